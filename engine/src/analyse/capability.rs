//! What production makes of a band: the capability indices, and how many units of a million are outside.

use super::judge::Chances;

/// The capability of production against a band.
///
/// The indices speak of the mean and the standard deviation alone; how many units are outside rests on the laws that
/// the document assumes, all the way into their tails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capability {
    /// (upper end − lower end)/6σ, for a band with two ends.
    pub cp: Option<f64>,
    /// The distance of the mean from the nearer end, over 3σ.
    pub cpk: Option<f64>,
    /// How many units of a million are expected outside.
    pub ppm: PartsPerMillion,
}

/// Units of a million outside a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartsPerMillion {
    /// Below the lower end; 0 where there is none.
    pub below: f64,
    /// Above the upper end; 0 where there is none.
    pub above: f64,
    /// Both.
    pub outside: f64,
}

impl Capability {
    /// The capability of a gap with this mean and standard deviation against a band; none where nothing spreads.
    ///
    /// Formula: C_p = (h − l)/6σ, C_pk = min(h − m, m − l)/3σ, ppm = 10⁶·P. Units: millimetres. Source: the customary
    /// definitions, as in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6 (from memory). Precision: each tail
    /// is a probability of its own, never one less another, so that a small one keeps its digits.
    #[must_use]
    pub fn of(
        mean_mm: f64,
        sd_mm: f64,
        (low_mm, high_mm): (Option<f64>, Option<f64>),
        chances: &Chances,
    ) -> Option<Capability> {
        if sd_mm <= 0.0 {
            return None;
        }
        let to_ends = [high_mm.map(|high| high - mean_mm), low_mm.map(|low| mean_mm - low)];
        let million = |probability: f64| 1e6 * probability;
        Some(Capability {
            cp: low_mm.zip(high_mm).map(|(low, high)| (high - low) / (6.0 * sd_mm)),
            cpk: to_ends.into_iter().flatten().reduce(f64::min).map(|least| least / (3.0 * sd_mm)),
            ppm: PartsPerMillion {
                below: million(chances.below),
                above: million(chances.above),
                outside: million(chances.below + chances.above),
            },
        })
    }
}
