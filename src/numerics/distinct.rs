//! Distinct values in the order in which they first came: a log of a million rows holds few of them.

/// Values, each once, found again by a hash of what makes them equal. The order is that of their coming, whatever the
/// hash.
#[derive(Debug, Clone)]
pub struct Distinct<T> {
    values: Vec<T>,
    /// Hash and place of each value, at or after the slot that its hash names; a power of two of them.
    slots: Vec<(u32, u32)>,
}

/// A slot without value.
const EMPTY: (u32, u32) = (0, u32::MAX);

impl<T> Default for Distinct<T> {
    fn default() -> Self {
        Self { values: Vec::new(), slots: vec![EMPTY; 16] }
    }
}

impl<T> Distinct<T> {
    /// The place of the value with this hash that is the same; it is made where there is none.
    #[expect(clippy::cast_possible_truncation, reason = "below 2^32 values")]
    pub fn place(&mut self, hash: u32, same: impl Fn(&T) -> bool, make: impl FnOnce() -> T) -> usize {
        let mut at = self.slot(hash);
        while self.slots[at] != EMPTY {
            let (other, place) = self.slots[at];
            if other == hash && same(&self.values[place as usize]) {
                return place as usize;
            }
            at = (at + 1) & (self.slots.len() - 1);
        }
        let place = self.values.len();
        self.slots[at] = (hash, place as u32);
        self.values.push(make());
        if 2 * self.values.len() > self.slots.len() {
            self.grow();
        }
        place
    }

    /// The values.
    pub fn values(&self) -> &[T] {
        &self.values
    }

    /// The values by their places.
    pub fn into_values(self) -> Vec<T> {
        self.values
    }

    fn slot(&self, hash: u32) -> usize {
        hash as usize & (self.slots.len() - 1)
    }

    fn grow(&mut self) {
        let old = std::mem::take(&mut self.slots);
        self.slots = vec![EMPTY; 2 * old.len()];
        for (hash, place) in old.into_iter().filter(|slot| *slot != EMPTY) {
            let mut at = self.slot(hash);
            while self.slots[at] != EMPTY {
                at = (at + 1) & (self.slots.len() - 1);
            }
            self.slots[at] = (hash, place);
        }
    }
}

/// A hash of some words.
pub fn hash(words: impl IntoIterator<Item = u64>) -> u32 {
    let mixed = words.into_iter().fold(0x9E37_79B9_7F4A_7C15_u64, |sum, word| {
        let product = (sum ^ word).wrapping_mul(0xD6E8_FEB8_6659_FD93);
        product ^ product >> 32
    });
    (mixed.wrapping_mul(0xD6E8_FEB8_6659_FD93) >> 32) as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_keep_the_order_in_which_they_came() {
        let mut distinct = Distinct::default();
        for i in 0..100_000_u64 {
            let value = i * i % 1009;
            // a poor hash on purpose: a third of the values share each
            let place = distinct.place(hash([value % 300]), |v| *v == value, || value);
            assert_eq!(distinct.values()[place], value);
        }
        let mut seen = Vec::new();
        for value in (0..100_000_u64).map(|i| i * i % 1009) {
            if !seen.contains(&value) {
                seen.push(value);
            }
        }
        assert_eq!(distinct.into_values(), seen);
    }
}
