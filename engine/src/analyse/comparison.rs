//! A gap as it was read, beside the sum of its parts.

use crate::length::on_grid;
use crate::model::{Gap, Model};

/// The assembled gap as read, beside the sum of its parts with the fitted pack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// The sum of the parts, in millimetres.
    pub predicted_mm: f64,
    /// Its standard uncertainty, in millimetres.
    pub predicted_u_mm: f64,
    /// The reading, in millimetres.
    pub found_mm: f64,
    /// Its standard uncertainty, in millimetres.
    pub found_u_mm: f64,
    /// The normalised error E_n; none where neither is in doubt.
    pub normalised_error: Option<f64>,
}

impl Comparison {
    /// Compares a gap's reading with the sum of its parts.
    ///
    /// Formula: E_n = d/(2·√(u_p² + u_f² − 2 cov)), the covariance that of shims and zeros which both share. Source:
    /// the normalised error of ISO 13528. None where there is no reading, or no part to add up.
    #[must_use]
    pub fn of(model: &Model, gap: &Gap) -> Option<Comparison> {
        let found = gap.found.as_ref().filter(|_| gap.has_dimensions)?;
        let mut predicted = gap.paper.clone();
        for (pack, &coefficient) in model.packs.iter().zip(&gap.pack_coefficients) {
            if let Some(fitted) = &pack.fitted {
                predicted.add(&fitted.form, coefficient);
            }
        }
        let columns = &model.columns;
        let covariance = model.covariance(&[predicted.clone(), found.form.clone()])?;
        let (predicted_mm, found_mm) = (predicted.mean_mm(columns), found.form.mean_mm(columns));
        let variance = covariance[(0, 0)] + covariance[(1, 1)] - 2.0 * covariance[(0, 1)];
        let normalised_error = (variance > 0.0).then(|| (found_mm - predicted_mm) / (2.0 * variance.sqrt()));
        Some(Comparison {
            predicted_mm,
            predicted_u_mm: covariance[(0, 0)].max(0.0).sqrt(),
            found_mm,
            found_u_mm: covariance[(1, 1)].max(0.0).sqrt(),
            normalised_error,
        })
    }

    /// Whether the two agree: |E_n| ≤ 1; where neither is in doubt, whether they are the same length.
    #[must_use]
    pub fn agrees(&self) -> bool {
        match self.normalised_error {
            Some(error) => error.abs() <= 1.0,
            None => on_grid(self.found_mm) == on_grid(self.predicted_mm),
        }
    }
}
