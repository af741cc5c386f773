//! What is wrong with an input file: found where it stands, reported all at once.

use super::visible;
use std::fmt;

/// One thing that is wrong in one place of one input.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Diagnostic {
    /// Name of the file as the user gave it.
    pub file: String,
    /// Line, from 1; 0 where the whole file is meant.
    pub line: usize,
    /// Column: characters from 1 in a study; the number of the cell from 1 in a CSV; 0 where the whole line is meant.
    pub column: usize,
    /// Where in words: the key of the study or the heading of the column.
    pub place: String,
    /// What stands there, as it reads behind "is"; empty where it is missing.
    pub found: String,
    /// What is accepted there, as it reads behind "needs"; empty where that is plain.
    pub accepted: String,
    /// What to do about it: "try ..." with a value that is accepted, or a short sentence; empty where that is plain.
    pub hint: String,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", visible(&self.file))?;
        if self.line > 0 {
            write!(f, ":{}", self.line)?;
            if self.column > 0 {
                write!(f, ":{}", self.column)?;
            }
        }
        let found = if self.found.is_empty() { "missing" } else { &self.found };
        write!(f, ": {} is {}", visible(&self.place), visible(found))?;
        if !self.accepted.is_empty() {
            write!(f, "\n    needs {}", visible(&self.accepted))?;
        }
        if !self.hint.is_empty() {
            write!(f, "\n    {}", visible(&self.hint))?;
        }
        Ok(())
    }
}

/// All problems of the inputs, in the order of file, line and column.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Diagnostics(Vec<Diagnostic>);

impl From<Diagnostic> for Diagnostics {
    fn from(diagnostic: Diagnostic) -> Self {
        Self(vec![diagnostic])
    }
}

impl Diagnostics {
    /// Adds one.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.0.push(diagnostic);
    }

    /// Adds all of another list.
    pub fn extend(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// True where nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The list, sorted by place.
    #[must_use]
    pub fn sorted(mut self) -> Vec<Diagnostic> {
        self.0.sort();
        self.0.dedup();
        self.0
    }

    /// What is accepted instead, in one line: where in words, what, and what to do about it.
    pub fn accepted(&self) -> String {
        let line = |diagnostic: Diagnostic| {
            let hint =
                if diagnostic.hint.is_empty() { String::new() } else { format!(" ({})", diagnostic.hint) };
            format!("{}: accepted {}{hint}", diagnostic.place, diagnostic.accepted)
        };
        self.clone().sorted().into_iter().map(line).collect::<Vec<_>>().join("; ")
    }

    /// How many problems in how many files: "7 problems in 3 files".
    pub fn count(diagnostics: &[Diagnostic]) -> String {
        let files: std::collections::BTreeSet<&str> =
            diagnostics.iter().map(|diagnostic| diagnostic.file.as_str()).collect();
        let several = |number: usize, word: &str| match number {
            1 => format!("1 {word}"),
            number => format!("{number} {word}s"),
        };
        format!("{} in {}", several(diagnostics.len(), "problem"), several(files.len(), "file"))
    }

    /// `Ok(value)` where nothing is wrong, else the problems.
    ///
    /// # Errors
    /// The problems, where there is one.
    pub fn or<T>(self, value: T) -> Result<T, Self> {
        if self.is_empty() { Ok(value) } else { Err(self) }
    }
}

impl fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let texts: Vec<String> = self.clone().sorted().iter().map(Diagnostic::to_string).collect();
        f.write_str(&texts.join("\n"))
    }
}
