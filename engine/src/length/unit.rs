//! The units that a length may be written in.

use std::fmt;

/// A unit of length. Inside the engine every length is in millimetres; the unit is kept for what is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Unit {
    /// Millimetre.
    #[default]
    Mm,
    /// Inch, 25.4 mm exactly.
    Inch,
    /// Thousandth of an inch, 0.0254 mm exactly.
    Thou,
    /// Micrometre, 0.001 mm.
    Um,
}

impl Unit {
    /// Every unit, in the order in which messages list them.
    pub const ALL: [Unit; 4] = [Unit::Mm, Unit::Inch, Unit::Thou, Unit::Um];

    /// The unit that a word names, if it names one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Unit> {
        match word {
            "mm" => Some(Unit::Mm),
            "in" | "inch" => Some(Unit::Inch),
            "thou" => Some(Unit::Thou),
            "um" | "µm" | "μm" => Some(Unit::Um),
            _ => None,
        }
    }

    /// The unit that a word probably means which names none: `inches`, `millimetre`, `"`.
    #[must_use]
    pub fn meant_by(word: &str) -> Option<Unit> {
        let low = word.to_lowercase();
        let begins = |starts: &[&str]| starts.iter().any(|start| low.starts_with(start));
        match low.as_str() {
            "\"" | "\u{201d}" | "\u{2033}" | "''" => Some(Unit::Inch),
            "mil" | "mils" => Some(Unit::Thou),
            _ if Unit::from_word(&low).is_some() => Unit::from_word(&low),
            _ if begins(&["inch"]) => Some(Unit::Inch),
            _ if begins(&["thou"]) => Some(Unit::Thou),
            _ if begins(&["millim", "milim"]) => Some(Unit::Mm),
            _ if begins(&["micro"]) => Some(Unit::Um),
            _ => None,
        }
    }

    /// The word that a document uses for this unit.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Inch => "in",
            Unit::Thou => "thou",
            Unit::Um => "um",
        }
    }

    /// `number` of this unit, in millimetres.
    ///
    /// A division is used where the factor is not a binary fraction, so that `30 um` is the double nearest to 0.030.
    #[must_use]
    pub fn to_mm(self, number: f64) -> f64 {
        match self {
            Unit::Mm => number,
            Unit::Inch => number * 25.4,
            Unit::Thou => number * 25.4 / 1000.0,
            Unit::Um => number / 1000.0,
        }
    }

    /// A length in millimetres, in this unit.
    #[must_use]
    pub fn from_mm(self, mm: f64) -> f64 {
        match self {
            Unit::Mm => mm,
            Unit::Inch => mm / 25.4,
            Unit::Thou => mm / 25.4 * 1000.0,
            Unit::Um => mm * 1000.0,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::Unit;

    #[test]
    fn every_word_names_its_unit() {
        for unit in Unit::ALL {
            assert_eq!(Unit::from_word(unit.word()), Some(unit));
        }
    }

    #[test]
    fn other_words_for_a_unit_are_understood_but_not_taken() {
        for (word, unit) in [("inches", Unit::Inch), ("\"", Unit::Inch), ("MM", Unit::Mm), ("microns", Unit::Um)] {
            assert_eq!((Unit::from_word(word), Unit::meant_by(word)), (None, Some(unit)), "{word}");
        }
        assert_eq!(Unit::meant_by("cm"), None);
    }

    #[test]
    fn inches_are_exact() {
        assert_eq!(Unit::Inch.to_mm(1.0), 25.4);
        assert_eq!(Unit::Thou.to_mm(1000.0), 25.4);
        assert_eq!(Unit::Um.to_mm(30.0), 0.030);
    }
}
