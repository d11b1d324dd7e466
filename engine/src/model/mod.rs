//! The model: one linear map from the parts' dimensions and errors to the gaps, y = S·x + P·p + c.
//!
//! It is built once from a document and then asked with packs. x holds the dimensions, one column for each
//! instrument's zero that readings share, and one for each shim or size of shim whose thickness is in doubt. A
//! shared error cancels in a difference and adds up in a sum because its coefficients are summed; nothing else is
//! needed for that.

mod build;
mod column;
mod form;
mod gap;
mod link;
mod pack;
mod reread;

use nalgebra::{DMatrix, DVector};

use crate::document::resolved::Instrument;
use crate::length::Unit;

pub use build::build;
pub use column::{Column, ColumnKind};
pub use form::Form;
pub use gap::{Basis, Face, Found, Gap, Heat};
pub use link::{Link, linked, normal_correlation};
pub use pack::{Item, Origin, Pack, PackForm};
pub use reread::Reread;

/// A document made ready to run.
#[derive(Debug, Clone)]
pub struct Model {
    /// What the stack is.
    pub title: Option<String>,
    /// The unit in which answers are given.
    pub unit: Unit,
    /// The variables x.
    pub columns: Vec<Column>,
    /// Each dimension of the document as a form of the variables.
    pub dimensions: Vec<Form>,
    /// The gaps y.
    pub gaps: Vec<Gap>,
    /// The packs p.
    pub packs: Vec<Pack>,
    /// The instruments that readings were made with.
    pub instruments: Vec<Instrument>,
}

impl Model {
    /// A gap with these packs in, as a linear form of x.
    ///
    /// Shape: one pack form for each pack of the model; a pack that is not in a gap's chain has the coefficient 0 there.
    #[must_use]
    pub fn with(&self, gap: &Gap, packs: &[PackForm]) -> Form {
        assert_eq!(packs.len(), self.packs.len(), "a model is asked with one pack for each of its packs");
        let mut form = gap.start.clone();
        for (pack, &coefficient) in packs.iter().zip(&gap.pack_coefficients) {
            if coefficient != 0.0 {
                form.add(&pack.form, coefficient);
            }
        }
        form
    }

    /// Whether any of its variables go together.
    #[must_use]
    pub fn has_links(&self) -> bool {
        self.columns.iter().any(|column| !column.links.is_empty())
    }

    /// The packs that are in now; a pack without `fitted` counts as empty.
    #[must_use]
    pub fn fitted(&self) -> Vec<PackForm> {
        self.packs.iter().map(|pack| pack.fitted.clone().unwrap_or_default()).collect()
    }

    /// S: the coefficient of each column in each form. Shape: forms × columns.
    #[must_use]
    pub fn matrix(&self, forms: &[Form]) -> DMatrix<f64> {
        let mut matrix = DMatrix::zeros(forms.len(), self.columns.len());
        for (row, form) in forms.iter().enumerate() {
            for &(column, coefficient) in form.terms() {
                matrix[(row, column)] = coefficient;
            }
        }
        matrix
    }

    /// The means of forms: S·μ + c, in millimetres.
    #[must_use]
    pub fn means(&self, forms: &[Form]) -> DVector<f64> {
        let mean = DVector::from_iterator(self.columns.len(), self.columns.iter().map(Column::mean_mm));
        let constant = DVector::from_iterator(forms.len(), forms.iter().map(|form| form.constant_mm));
        self.matrix(forms) * mean + constant
    }

    /// The covariance of forms: S·Σ·Sᵀ, in mm²; Σ is diagonal but for the columns that go together.
    ///
    /// None where a column of a form has no variance.
    #[must_use]
    pub fn covariance(&self, forms: &[Form]) -> Option<DMatrix<f64>> {
        let s = self.matrix(forms);
        let mut deviations = Vec::with_capacity(self.columns.len());
        for (index, column) in self.columns.iter().enumerate() {
            let used = s.column(index).iter().any(|&coefficient| coefficient != 0.0);
            deviations.push(if used { column.sd_mm()? } else { 0.0 });
        }
        // Σ·Sᵀ by the few entries that Σ has: a dense one would not fit where there are many columns.
        let mut spread = DMatrix::zeros(self.columns.len(), forms.len());
        for (index, column) in self.columns.iter().enumerate() {
            for row in 0..forms.len() {
                let own = deviations[index] * deviations[index] * s[(row, index)];
                let tied = |link: &Link| link.factor * deviations[link.column] * s[(row, link.column)];
                spread[(index, row)] = own + deviations[index] * column.links.iter().map(tied).sum::<f64>();
            }
        }
        Some(s * spread)
    }
}
