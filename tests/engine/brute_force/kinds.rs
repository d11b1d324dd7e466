//! The shims that there are.

use shimwright_tests::strategies::Choice;

/// A kind of shim: those of one size, or one that was measured.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    pub(super) thickness: i64,
    /// The size that it is of; none for a fitted one that is no kit size.
    pub(super) size: Option<usize>,
    /// Whether it was measured by itself.
    pub(super) measured: bool,
    pub(super) in_box: Option<usize>,
    pub(super) fitted: usize,
    pub(super) staying: usize,
}

/// The kinds of shim there are.
pub(super) fn kinds(choice: &Choice) -> Vec<Kind> {
    let mut kinds = Vec::new();
    let fitted = || choice.fitted.iter().flatten();
    for (index, size) in choice.sizes.iter().enumerate() {
        for &thickness in &size.actual {
            kinds.push(Kind { thickness, size: Some(index), measured: true, in_box: Some(1), fitted: 0, staying: 0 });
        }
        let in_box = match (size.actual.is_empty(), choice.counted) {
            (true, true) => Some(size.on_hand),
            (true, false) => None,
            // The shims of this size are the measured ones.
            (false, _) => Some(0),
        };
        let alike = || fitted().filter(|one| one.thickness == size.label);
        kinds.push(Kind {
            thickness: size.label,
            size: Some(index),
            measured: false,
            in_box,
            fitted: alike().count(),
            staying: alike().filter(|one| one.stays).count(),
        });
    }
    for one in fitted().filter(|one| choice.sizes.iter().all(|size| size.label != one.thickness)) {
        let staying = usize::from(one.stays);
        kinds.push(Kind { thickness: one.thickness, size: None, measured: true, in_box: Some(0), fitted: 1, staying });
    }
    kinds
}
