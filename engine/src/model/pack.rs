//! A pack of the model: the shims it may be made of, and the rules it must obey.

use super::form::Form;
use crate::document::resolved::Count;
use crate::length::on_grid;

/// A pack, ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Pack {
    /// Its name.
    pub name: String,
    /// The name of its kit.
    pub kit: String,
    /// The fewest and the most shims.
    pub count: Count,
    /// The shims it may be made of from the box and from what is fitted, thinnest first.
    pub items: Vec<Item>,
    /// Every size of the kit as if there were plenty, for what a bought shim would do.
    pub bought: Vec<Item>,
    /// Labels that must be in it, one for each.
    pub includes_mm: Vec<f64>,
    /// How much may be taken off one shim, in millimetres, and the doubt of what it is then: it is measured.
    pub lap: Option<(f64, Form)>,
    /// Labels of which no two may meet, list by list.
    pub never_mm: Vec<Vec<f64>>,
    /// How far one turn moves it, where it is a screw.
    pub pitch_mm: Option<f64>,
    /// The pack that it is to be as thick as, among the model's.
    pub same_as: Option<usize>,
    /// The pack that it may not be thinner than, among the model's.
    pub not_thinner_than: Option<usize>,
    /// The greatest thickness of the whole pack.
    pub thickest_mm: Option<f64>,
    /// The pack that is in now.
    pub fitted: Option<PackForm>,
    /// The shims of the pack that is in now, as typed.
    pub fitted_labels: Vec<String>,
    /// Whether the box was counted.
    pub counted: bool,
    /// Whether the kit's labels are taken as exact, for want of a tolerance and of measured shims.
    pub taken_as_exact: bool,
}

/// A shim, or several that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// The label as typed.
    pub label: String,
    /// The size by the label, in millimetres.
    pub label_mm: f64,
    /// The thickness that is reckoned with, in millimetres.
    pub thickness_mm: f64,
    /// The thickness with its doubt.
    pub form: Form,
    /// How many there are in the box; none: plenty.
    pub in_box: Option<usize>,
    /// How many of them are fitted now.
    pub fitted: usize,
    /// How many of the fitted ones are not to come out.
    pub staying: usize,
    /// Where it comes from if it is not fitted.
    pub origin: Origin,
    /// Whether it is this one shim, measured, and no other is like it.
    pub unique: bool,
}

/// Where a shim of a pack comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The kit's box.
    Kit,
    /// It is in now.
    Fitted,
    /// It would have to be bought.
    Bought,
    /// It is made to size.
    Made,
    /// It is a place of a screw.
    Turned,
    /// It is lapped to size.
    Lapped,
}

impl Pack {
    /// Whether it is made up of shims, and no screw or piece that is made.
    #[must_use]
    pub fn is_of_shims(&self) -> bool {
        self.items.iter().all(|item| !matches!(item.origin, Origin::Made | Origin::Turned))
    }

    /// A length of it in turns, where it is a screw.
    #[must_use]
    pub fn turns(&self, mm: f64) -> Option<f64> {
        self.pitch_mm.map(|pitch_mm| mm / pitch_mm)
    }
}

impl Item {
    /// How many may be used; none: as many as wanted.
    #[must_use]
    pub fn available(&self) -> Option<usize> {
        self.in_box.map(|in_box| in_box + self.fitted)
    }

    /// The thickness on the 1 nm grid.
    #[must_use]
    pub fn thickness_nm(&self) -> i64 {
        on_grid(self.thickness_mm)
    }
}

/// A pack's thickness with its doubt.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PackForm {
    /// The thickness, in millimetres.
    pub thickness_mm: f64,
    /// The thickness as a form of the model's variables.
    pub form: Form,
}

impl PackForm {
    /// The pack made of so many of each item.
    #[must_use]
    pub fn of<'a>(items: impl IntoIterator<Item = (&'a Item, usize)>) -> PackForm {
        let mut pack = PackForm::default();
        for (item, count) in items {
            pack.thickness_mm += count as f64 * item.thickness_mm;
            pack.form.add(&item.form, count as f64);
        }
        pack
    }
}
