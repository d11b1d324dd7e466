//! A set of whole numbers from nought, as bits.

/// A set of whole numbers below a limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bits {
    words: Vec<u64>,
    below: usize,
}

impl Bits {
    /// The empty set of numbers below a limit.
    pub(super) fn new(below: usize) -> Bits {
        Bits { words: vec![0; below.div_ceil(64)], below }
    }

    pub(super) fn insert(&mut self, number: usize) {
        assert!(number < self.below, "a set holds numbers below its limit");
        self.words[number / 64] |= 1 << (number % 64);
    }

    /// Adds each number of another set, moved up by `by`; what would be moved beyond the limit is left out.
    pub(super) fn add_moved(&mut self, other: &Bits, by: usize) {
        let (whole, part) = (by / 64, by % 64);
        for (index, &word) in other.words.iter().enumerate().filter(|&(_, &word)| word != 0) {
            if let Some(low) = self.words.get_mut(index + whole) {
                *low |= word << part;
            }
            if let (true, Some(high)) = (part > 0, self.words.get_mut(index + whole + 1)) {
                *high |= word >> (64 - part);
            }
        }
        let left = self.below % 64;
        if let (true, Some(last)) = (left > 0, self.words.last_mut()) {
            *last &= (1 << left) - 1;
        }
    }

    /// The numbers, ascending.
    pub(super) fn numbers(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(index, &word)| {
            let mut rest = word;
            std::iter::from_fn(move || {
                (rest != 0).then(|| {
                    let bit = rest.trailing_zeros() as usize;
                    rest &= rest - 1;
                    index * 64 + bit
                })
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Bits;

    #[test]
    fn numbers_move_up_to_the_limit() {
        for below in [1, 63, 64, 65, 200] {
            let mut set = Bits::new(below);
            let numbers: Vec<usize> = (0..below).filter(|number| number % 7 == 3 || number % 11 == 0).collect();
            numbers.iter().for_each(|&number| set.insert(number));
            assert_eq!(set.numbers().collect::<Vec<_>>(), numbers);
            for by in [0, 1, 5, 63, 64, 70, 128, 300] {
                let mut moved = Bits::new(below);
                moved.add_moved(&set, by);
                let expected: Vec<usize> = numbers.iter().map(|number| number + by).filter(|&n| n < below).collect();
                assert_eq!(moved.numbers().collect::<Vec<_>>(), expected, "{below} {by}");
            }
        }
    }
}
