//! Where the doubt of a gap comes from.

use crate::law::ExactRole;
use crate::model::{Column, ColumnKind, Form, Model};

/// What a contribution comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ContributionKind {
    /// A dimension, or a gap as found.
    Dimension,
    /// A pack of shims.
    Pack,
    /// The zero of an instrument.
    Instrument,
    /// What is between the stacked blades of a set of feelers.
    Stack,
    /// What a material grows by; a dimension like any other to a program.
    Expansion,
    /// What two dimensions add or take away because they go together.
    Correlation,
}

impl ContributionKind {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ContributionKind::Dimension | ContributionKind::Expansion => "dimension",
            ContributionKind::Pack => "pack",
            ContributionKind::Correlation => "correlation",
            ContributionKind::Instrument | ContributionKind::Stack => "instrument",
        }
    }
}

/// One variable's share in the doubt of a gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// What it comes from.
    pub kind: ContributionKind,
    /// Its name.
    pub name: String,
    /// Its coefficient in the gap; for a pack, the pack's; for what a material grows by, metres times kelvins; for a
    /// correlation, the product of the two coefficients.
    pub coefficient: f64,
    /// Its share of the variance; the shares sum to 1. A correlation's is negative where it takes away, and others' may
    /// then be above 1.
    pub variance_share: f64,
    /// Its share of the worst-case half-range, 0 to 1.
    pub worst_case_share: f64,
    /// Its own standard uncertainty in the gap, |coefficient|·σ, in millimetres; for a correlation, the root of what it
    /// adds or takes away.
    pub u_mm: f64,
    /// Whether it was measured.
    pub measured: bool,
}

/// The contributions to a form, those without doubt left out, in the order of the model.
///
/// Formula: share = a²σ²/u², u² = Σ a²σ² + Σ 2·a·b·ρ·σ_a·σ_b; each pair that goes together has a row of its own, behind
/// the others, with its 2·a·b·ρ·σ_a·σ_b/u². Shims count together for the pack that has the name `pack`.
/// None where a law has no variance.
#[must_use]
pub fn contributions(form: &Form, model: &Model, gap_coefficients: &[f64]) -> Option<Vec<Contribution>> {
    let columns = &model.columns;
    let total = form.variance_mm2(columns)?;
    let half =
        |index: usize, coefficient: f64| coefficient.abs() * (columns[index].high_mm() - columns[index].low_mm()) / 2.0;
    let total_half: f64 = form.terms().iter().map(|&(index, coefficient)| half(index, coefficient)).sum();
    let pack = gap_coefficients.iter().position(|&coefficient| coefficient != 0.0);
    let mut found: Vec<Contribution> = Vec::new();
    for &(index, coefficient) in form.terms() {
        let column: &Column = &columns[index];
        if column.parts.is_empty() {
            continue;
        }
        let variance = coefficient * coefficient * column.variance_mm2()?;
        let share = if total > 0.0 { variance / total } else { 0.0 };
        let worst = if total_half > 0.0 { half(index, coefficient) / total_half } else { 0.0 };
        let (kind, name, shown) = match column.kind {
            ColumnKind::Dimension => (ContributionKind::Dimension, column.name.clone(), coefficient),
            ColumnKind::Instrument => (ContributionKind::Instrument, column.name.clone(), coefficient),
            ColumnKind::Stack => (ContributionKind::Stack, column.name.clone(), coefficient),
            ColumnKind::Expansion => (ContributionKind::Expansion, column.name.clone(), coefficient),
            ColumnKind::Shim => {
                let name = pack.map_or_else(|| column.name.clone(), |pack| model.packs[pack].name.clone());
                (ContributionKind::Pack, name, pack.map_or(coefficient, |pack| gap_coefficients[pack]))
            }
        };
        match found.iter_mut().find(|one| kind == ContributionKind::Pack && one.kind == kind && one.name == name) {
            Some(one) => {
                one.variance_share += share;
                one.worst_case_share += worst;
                one.u_mm = one.u_mm.hypot(variance.sqrt());
                one.measured |= column.measured;
            }
            None => found.push(Contribution {
                kind,
                name,
                coefficient: shown,
                variance_share: share,
                worst_case_share: worst,
                u_mm: variance.sqrt(),
                measured: column.measured,
            }),
        }
    }
    for (one, other, covariance) in form.tied(columns) {
        found.push(Contribution {
            kind: ContributionKind::Correlation,
            name: format!("{} with {}", columns[one].name, columns[other].name),
            coefficient: form.coefficient(one) * form.coefficient(other),
            variance_share: if total > 0.0 { covariance / total } else { 0.0 },
            worst_case_share: 0.0,
            u_mm: covariance.abs().sqrt(),
            measured: false,
        });
    }
    Some(found)
}

/// The effective degrees of freedom of a form; none where every part is as good as known.
///
/// Formula: ν_eff = u⁴/Σ (u_i⁴/ν_i), u_i being the standard uncertainties of JCGM 100 (a scatter's is s/√n, not the
/// larger standard deviation of its Student t). Source: JCGM 100:2008, G.4.1, equation G.2b, which wants independent
/// parts; none where some go together.
#[must_use]
pub fn effective_freedom(form: &Form, columns: &[Column]) -> Option<f64> {
    if form.tied(columns).next().is_some() {
        return None;
    }
    let mut variance = 0.0;
    let mut sum = 0.0;
    for &(index, coefficient) in form.terms() {
        for part in &columns[index].parts {
            let one = match part.law.exact_role() {
                ExactRole::StudentT { scale, .. } => scale * scale,
                _ => part.law.variance()?,
            } * coefficient
                * coefficient;
            variance += one;
            if let Some(freedom) = part.freedom {
                sum += one * one / freedom;
            }
        }
    }
    (sum > 0.0).then(|| variance * variance / sum)
}
