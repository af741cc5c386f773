//! Closed sets of labels: one list of variants, each with its name for programs and its name for people.

/// Declares an enum of labels with `ALL`, `key` and `words`, from lines such as `Stock = "not_enough_in_stock", "not
/// enough in stock";`.
macro_rules! labels {
    (
        $(#[$doc:meta])*
        pub enum $name:ident { $($(#[$of:meta])* $label:ident = $key:literal, $words:literal;)+ }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[$of])* $label,)+
        }

        impl $name {
            /// All of them in order.
            pub const ALL: [Self; [$($key),+].len()] = [$(Self::$label),+];

            /// Returns its name for programs.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$label => $key,)+ }
            }

            /// Returns its name for people.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$label => $words,)+ }
            }
        }
    };
}
pub(crate) use labels;
