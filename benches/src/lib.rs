//! The cases that are timed: documents as text, in invented numbers that do not change from run to run, and the way
//! from a text to a model.

use std::fmt::{self, Write};

use shimwright_engine::document::resolved::Document;
use shimwright_engine::document::source::{SourceId, Sources};
use shimwright_engine::model::{Form, Model};
use shimwright_engine::{document, model};

/// The demo of the repository that has measured parts, a class of ISO 286 and a counted box.
pub const LAYSHAFT: &str = include_str!("../../presets/demos/layshaft.yaml");

/// The demo of a batch, with drawings and the way in which each unit is read.
pub const GEARMOTOR: &str = include_str!("../../presets/demos/nettle-gearmotor.yaml");

/// A choice from a reading of the assembled gap, with a pack in and a counted box.
pub const FOUND: &str = "
gaps:
  float:
    chain: 0 - shims
    accept: [0.10, 0.30]
    target: 0.20
    found: { readings: [0.35, 0.36, 0.35], instrument: indicator }
packs:
  shims: { kit: drawer, count: [1, 3], fitted: [0.30] }
kits:
  drawer:
    sizes: [0.10, 0.15, 0.20, 0.30, 0.50]
    tolerance: 0.01
    on_hand: { 0.10: 4, 0.15: 2, 0.20: 1, 0.30: 3, 0.50: 1 }
";

/// Five dimensions, one of them measured.
pub const SMALL: &str = "
dimensions:
  bore: { readings: [40.02, 40.01, 40.03], instrument: depth gauge }
  hub: { size: 22, tolerance: 0.03 }
  ring: { limits: [3.95, 4.00], distribution: rectangular }
  cap: { size: 9, class: h9 }
  washer: { size: 2.5, tolerance: 0.05, distribution: triangular }
gaps:
  play: { chain: bore - hub - ring - cap - washer, accept: [2.40, 2.70] }
";

/// Three parts that were read four times each, so that their scatter is a Student t with three degrees of freedom,
/// and one by the drawing.
pub const MEASURED: &str = "
instruments:
  first: { limit_of_error: 0.02 }
  second: { limit_of_error: 0.004 }
dimensions:
  bore: { readings: [31.42, 31.44, 31.43, 31.40], instrument: first }
  sleeve: { readings: [18.204, 18.209, 18.206, 18.203], instrument: second }
  collar: { readings: [9.61, 9.63, 9.62, 9.62], instrument: none }
  spacer: { size: 3, tolerance: 0.02, distribution: rectangular }
gaps:
  play: { chain: bore - sleeve - collar - spacer, accept: [0.55, 0.65] }
";

/// Ten parts of ten kinds: normal, rectangular, skew triangular, trapezoidal, truncated normal, beta, arcsine and Student t.
pub const MIXED: &str = "
dimensions:
  case: { size: 20, sd: 0.010 }
  plate: { size: 5, tolerance: 0.03, distribution: rectangular }
  bush: { limits: [2.96, 3.05], distribution: { triangular: { mode: 3.00 } } }
  washer: { limits: [5.96, 6.04], distribution: { trapezoidal: { top: [5.98, 6.02] } } }
  ring: { limits: [1.47, 1.54], distribution: { truncated normal: { mean: 1.50, sd: 0.015 } } }
  clip: { limits: [3.95, 4.05], distribution: { beta: { a: 2, b: 3.5 } } }
  turn: { size: 0, tolerance: 0.02, distribution: arcsine }
  cover: { size: 8, tolerance: 0.02, distribution: rectangular }
  seal: { size: 0.5, tolerance: 0.05, cpk: 1.2, shift: -0.01 }
  pad: { distribution: { student t: { mean: 1.0, scale: 0.006, freedom: 5 } } }
gaps:
  play: { chain: case - plate - bush - washer + ring - clip + turn + cover - seal - pad, accept: [9.9, 10.1] }
";

const TEN: [&str; 10] = [
    "normal",
    "rectangular",
    "normal",
    "triangular",
    "normal",
    "rectangular",
    "normal",
    "triangular",
    "normal",
    "rectangular",
];

/// Ten dimensions: five normal, three rectangular and two triangular.
#[must_use]
pub fn ten() -> String {
    drawn(TEN.len(), &TEN)
}

/// Two hundred dimensions of the same kinds.
#[must_use]
pub fn long() -> String {
    drawn(200, &TEN)
}

/// A stack by the drawing alone, every other part filling what the one before leaves.
fn drawn(count: usize, shapes: &[&str]) -> String {
    let mut dimensions = String::new();
    let mut chain = String::from("100");
    for index in 0..count {
        let (size, tolerance) = (20 + index % 2, 20 + 5 * (index % 4));
        let shape = shapes[index % shapes.len()];
        let line = format!("  p{index}: {{ size: {size}, tolerance: 0.0{tolerance}, distribution: {shape} }}\n");
        dimensions += &line;
        chain += if index % 2 == 0 { " + " } else { " - " };
        write!(chain, "p{index}").expect("a string takes all that is written");
    }
    let middle = 100 - count / 2;
    let (low, high) = (middle as f64 - 0.1, middle as f64 + 0.1);
    format!("dimensions:\n{dimensions}gaps:\n  play: {{ chain: {chain}, accept: [{low}, {high}] }}\n")
}

/// So many stations with a shim in each, and a box with one of each of so many sizes, 0.01 mm apart; every lash is off by
/// some hundredths. With `sharp` tools most stations come out sure, with others hardly any.
#[must_use]
pub fn stations(count: usize, sizes: usize, sharp: bool) -> String {
    let (mut gaps, mut packs) = (String::new(), String::new());
    for index in 0..count {
        let lash = 0.10 + ((index * 37) % 21) as f64 / 100.0;
        let fitted = 2.30 + ((index * 29) % 97) as f64 / 100.0;
        let gap = format!(
            "  lash {index}: {{ chain: 0 - shim {index}, accept: [0.12, 0.18], found: {{ readings: [{lash:.2}], instrument: gauge }} }}\n"
        );
        let pack = format!("  shim {index}: {{ kit: tray, count: 1, fitted: [{fitted:.2}] }}\n");
        gaps += &gap;
        packs += &pack;
    }
    let on_hand: Vec<String> = (0..sizes).map(|index| format!("{:.2}: 1", 2.00 + index as f64 / 100.0)).collect();
    let limit = if sharp { "0.002" } else { "0.04" };
    format!(
        "instruments:\n  gauge: {{ limit_of_error: {limit}, difference: true }}\ngaps:\n{gaps}packs:\n{packs}kits:\n  tray: {{ on_hand: {{ {} }}, tolerance: 0.005 }}\n",
        on_hand.join(", ")
    )
}

/// What a kit is asked for.
#[derive(Debug, Clone, Copy)]
pub enum Reach {
    /// Many packs are in band and sure.
    Easy,
    /// The doubt is wider than the band: every near pack has some chance, none is sure.
    Doubtful,
    /// The thickest pack leaves the gap far above its band.
    OutOfReach,
}

/// A kit of so many sizes, 0.01 mm apart and plenty of each, for packs of so many shims at most.
#[derive(Debug, Clone, Copy)]
pub struct Kit {
    /// How many sizes.
    pub sizes: usize,
    /// The most shims in a pack.
    pub most: usize,
}

impl fmt::Display for Kit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} sizes, up to {}", self.sizes, self.most)
    }
}

/// The document of a choice from a kit.
#[must_use]
pub fn kit(kit: Kit, reach: Reach) -> String {
    let Kit { sizes, most } = kit;
    let thickest = 0.09 + 0.01 * sizes as f64;
    // About the middle of what a pack can be, where there are most ways to make it up.
    let wanted = match reach {
        Reach::OutOfReach => thickest * most as f64 + 0.6,
        Reach::Easy | Reach::Doubtful => thickest * 0.5 * most as f64,
    };
    let half = match reach {
        Reach::Doubtful => 0.01,
        Reach::Easy | Reach::OutOfReach => 0.10,
    };
    let (low, high, bore) = (0.2 - half, 0.2 + half, 30.2 + wanted);
    format!(
        "dimensions:
  bore: {{ readings: [{:.3}, {bore:.3}, {:.3}], instrument: depth gauge }}
  hub: {{ size: 30, tolerance: 0.02 }}
gaps:
  play: {{ chain: bore - hub - shims, accept: [{low}, {high}], target: 0.2 }}
packs:
  shims: {{ kit: tray, count: [1, {most}] }}
kits:
  tray: {{ sizes: {{ from: 0.10, to: {thickest:.2}, step: 0.01 }}, tolerance: 0.005 }}
",
        bore - 0.01,
        bore + 0.01
    )
}

/// The same with every third size measured shim by shim, so that the shims have errors of several patterns.
#[must_use]
pub fn partly_measured(case: Kit, reach: Reach) -> String {
    let mut actual = String::new();
    for index in (0..case.sizes).step_by(3) {
        let label = 0.10 + 0.01 * index as f64;
        write!(actual, "{label:.2}: [{:.3}, {:.3}], ", label + 0.002, label - 0.001)
            .expect("a string takes all that is written");
    }
    let instead = format!("tolerance: 0.005, instrument: micrometer, actual: {{ {actual}}} }}");
    kit(case, reach).replace("tolerance: 0.005 }", &instead)
}

/// The text as a source of its own.
#[must_use]
pub fn source(text: &str) -> (Sources, SourceId) {
    let mut sources = Sources::new();
    let id = sources.add("case", text);
    (sources, id)
}

/// The resolved document of a case.
///
/// # Panics
/// If the case is not a document that can be used.
#[must_use]
pub fn document_of(text: &str) -> Document {
    let (sources, id) = source(text);
    document::load(&sources, id).unwrap_or_else(|faults| panic!("{faults:?}")).0
}

/// The model of a case.
///
/// # Panics
/// If the case is not a document that can be used.
#[must_use]
pub fn model_of(text: &str) -> Model {
    model::build(&document_of(text)).unwrap_or_else(|faults| panic!("{faults:?}")).0
}

/// The first gap of a model with the packs that are fitted.
#[must_use]
pub fn first_gap(model: &Model) -> Form {
    model.with(&model.gaps[0], &model.fitted())
}

#[cfg(test)]
mod tests {
    use super::*;
    use shimwright_engine::analyse::Verdict;
    use shimwright_engine::law::Law;
    use shimwright_engine::select::{PickOptions, pick};

    /// How many normal, rectangular, triangular and Student t laws a case has.
    fn laws(text: &str) -> [usize; 4] {
        let mut counts = [0; 4];
        for part in model_of(text).columns.iter().flat_map(|column| &column.parts) {
            let place = match &part.law {
                Law::Normal(_) => 0,
                Law::Rectangular(_) => 1,
                Law::Triangular(_) => 2,
                Law::StudentT(_) => {
                    assert_eq!(part.freedom, Some(3.0));
                    3
                }
                other => panic!("{other:?} is in no case that is counted"),
            };
            counts[place] += 1;
        }
        counts
    }

    #[test]
    fn the_cases_have_the_laws_that_are_told() {
        assert_eq!(laws(&ten()), [5, 3, 2, 0]);
        assert_eq!(laws(&long()), [100, 60, 40, 0]);
        assert_eq!(laws(MEASURED)[3], 3);
        assert_eq!(model_of(SMALL).dimensions.len(), 5);
        assert_eq!(model_of(MIXED).dimensions.len(), 10);
    }

    #[test]
    fn the_stations_are_as_many_and_as_sure_as_is_told() {
        let sure = |sharp| {
            let model = model_of(&stations(32, 168, sharp));
            let shims: usize = model.packs[0].items.iter().filter_map(|item| item.in_box).sum();
            assert_eq!((model.packs.len(), shims), (32, 168));
            let answer = pick(&model, &PickOptions::default()).expect("every station gets a shim");
            let plan = answer.plan.expect("stations on one box are a plan");
            plan.stations.iter().filter(|station| station.verdict == Some(Verdict::In)).count()
        };
        let (sharp, blunt) = (sure(true), sure(false));
        assert!(sharp > 24 && blunt < sharp, "{sharp} and {blunt} of 32");
    }

    #[test]
    fn the_kits_are_as_hard_as_is_told() {
        let verdict = |reach| {
            let model = model_of(&kit(Kit { sizes: 10, most: 2 }, reach));
            pick(&model, &PickOptions::default()).expect("a pack can be chosen").verdict
        };
        assert_eq!(verdict(Reach::Easy), Some(Verdict::In));
        assert_eq!(verdict(Reach::Doubtful), Some(Verdict::CannotTell));
        assert_eq!(verdict(Reach::OutOfReach), Some(Verdict::Out));
        let model = model_of(&partly_measured(Kit { sizes: 10, most: 2 }, Reach::Easy));
        assert_eq!(model.packs[0].items.iter().filter(|item| item.unique).count(), 8);
    }
}
