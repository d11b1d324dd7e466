//! How much parts and tools grow with temperature.
//!
//! The shipped figures are in `data/materials.csv`, whose header names their source.

use std::sync::LazyLock;

/// The temperature at which sizes are stated, in °C (ISO 1).
pub const REFERENCE_CELSIUS: f64 = 20.0;

/// The doubt of every expansion coefficient, as a share of it: a rectangular half-width. Common practice, no source.
pub const SHARE_IN_DOUBT: f64 = 0.1;

/// A shipped material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Its name.
    pub name: &'static str,
    /// Its linear expansion, in 1e-6 of the length per kelvin.
    pub per_million: f64,
    /// The alloy that the figure was measured on.
    pub alloy: &'static str,
}

static MATERIALS: LazyLock<Vec<Material>> = LazyLock::new(|| {
    let rows = include_str!("../../data/materials.csv").lines().filter(|line| !line.starts_with('#')).skip(1);
    let material = |row: &'static str| {
        let fields: Vec<&'static str> = row.split(',').collect();
        let [name, figure, alloy] = fields[..] else { panic!("a row of materials has three fields, not `{row}`") };
        let per_million = figure.parse().unwrap_or_else(|_| panic!("`{figure}` in `{row}` is not a number"));
        Material { name, per_million, alloy }
    };
    rows.map(material).collect()
});

/// The shipped materials.
#[must_use]
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

/// What a part or a tool grows by.
#[derive(Debug, Clone, PartialEq)]
pub struct Expansion {
    /// The linear expansion, in 1e-6 of the length per kelvin.
    pub per_million: f64,
    /// The material's name; a figure that is that of no shipped material has none.
    pub material: Option<&'static str>,
}

impl Expansion {
    /// That of a shipped material.
    #[must_use]
    pub fn of(material: &str) -> Option<Expansion> {
        let found = MATERIALS.iter().find(|one| one.name == material)?;
        Some(Expansion { per_million: found.per_million, material: Some(found.name) })
    }

    /// A figure, in 1e-6 of the length per kelvin. The figure of a shipped material is that material: two parts with
    /// the same figure share its doubt.
    #[must_use]
    pub fn figure(per_million: f64) -> Expansion {
        let mut plain = Expansion { per_million, material: None };
        plain.material = MATERIALS
            .iter()
            .find(|one| Expansion { per_million: one.per_million, material: None }.key() == plain.key())
            .map(|one| one.name);
        plain
    }

    /// Steel, of which kit shims are made and tools that say nothing else.
    ///
    /// # Panics
    /// If the shipped materials have no steel, which its test finds before a user does.
    #[must_use]
    pub fn steel() -> Expansion {
        Expansion::of("steel").expect("steel is among the shipped materials")
    }

    /// The growth of a length of one for each kelvin.
    #[must_use]
    pub fn per_kelvin(&self) -> f64 {
        self.per_million * 1e-6
    }

    /// What makes two coefficients one: the figure to a millionth of its unit, finer than any is known.
    #[must_use]
    pub fn key(&self) -> i64 {
        // Rounding saturates, and a figure that large is refused where it is read.
        (self.per_million * 1e6).round() as i64
    }

    /// What it is called: `aluminium`, or `22.7e-6/K`.
    #[must_use]
    pub fn name(&self) -> String {
        self.material.map_or_else(|| format!("{}e-6/K", self.per_million), str::to_owned)
    }
}

#[cfg(test)]
mod tests {
    use super::{Expansion, materials};

    #[test]
    fn figures_and_names_are_one() {
        assert_eq!(materials().len(), 10);
        for one in materials() {
            let by_name = Expansion::of(one.name).unwrap();
            assert_eq!(Expansion::figure(one.per_million), by_name, "no two materials have one figure");
        }
        assert_eq!(Expansion::figure(22.7).name(), "22.7e-6/K");
        assert_eq!(Expansion::steel().per_million, 11.7);
        assert_eq!(Expansion::of("unobtainium"), None);
    }
}
