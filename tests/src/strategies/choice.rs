//! The choice of a pack: kit, box, rules, what is fitted, and the gap to be set.

use std::fmt::Write;

use super::mm;

/// A choice to be made. Its gap is `body + coefficient × pack`, or starts from what was found.
#[derive(Debug, Clone)]
pub struct Choice {
    /// The kit's sizes, ascending.
    pub sizes: Vec<Size>,
    /// Whether the box was counted.
    pub counted: bool,
    /// The kit's tolerance.
    pub tolerance: Option<i64>,
    /// The fewest and the most shims.
    pub count: (usize, usize),
    /// Sizes that must be in, as indices.
    pub includes: Vec<usize>,
    /// The greatest thickness of the pack.
    pub thickest: Option<i64>,
    /// The shims that are in; none: not said.
    pub fitted: Option<Vec<Fitted>>,
    /// The coefficient of the pack, in hundredths.
    pub hundredths: i64,
    /// Whether the figures are a preload's.
    pub preload: bool,
    /// The side to prefer.
    pub lean: Lean,
    /// What the gap starts from.
    pub start: Start,
    /// The band and the target, as they are written.
    pub aim: Aim,
}

/// A size of the kit.
#[derive(Debug, Clone)]
pub struct Size {
    /// The label.
    pub label: i64,
    /// How many there are, where the box was counted.
    pub on_hand: usize,
    /// The measured shims, where they were.
    pub actual: Vec<i64>,
}

/// A shim that is in.
#[derive(Debug, Clone, Copy)]
pub struct Fitted {
    /// Its thickness; a kit size or not.
    pub thickness: i64,
    /// Whether it is not to come out.
    pub stays: bool,
}

/// The side to prefer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// None.
    Nearest,
    /// More play.
    Looser,
    /// Less play.
    Tighter,
}

/// What a gap starts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// A body of this exact length.
    Exact(i64),
    /// A body by its drawing: size, tolerance, whether rectangular.
    Drawn(i64, i64, bool),
    /// A body read once with the shipped micrometer.
    Read(i64),
    /// A body with four readings, the outer two this far from the mean; `instrument: none`.
    Repeated(i64, i64),
    /// The play as found, with the shipped indicator.
    Found(i64),
}

/// The band and the target, in the gap's own sense.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Aim {
    /// The lower end.
    pub low: Option<i64>,
    /// The upper end.
    pub high: Option<i64>,
    /// The target, where it is written.
    pub target: Option<i64>,
}

impl Choice {
    /// The choice as a document.
    #[must_use]
    pub fn document(&self) -> String {
        let mut text = String::new();
        let body = match self.start {
            Start::Exact(size) => mm(size),
            Start::Drawn(size, tolerance, rectangular) => {
                let word = if rectangular { "rectangular" } else { "normal" };
                format!("{{ size: {}, tolerance: {}, distribution: {word} }}", mm(size), mm(tolerance))
            }
            Start::Read(size) => format!("{{ readings: [{}], instrument: micrometer }}", mm(size)),
            Start::Repeated(mean, off) => {
                let all = [mean - off, mean, mean, mean + off].map(mm).join(", ");
                format!("{{ readings: [{all}], instrument: none }}")
            }
            Start::Found(_) => String::new(),
        };
        let sign = if self.hundredths < 0 { '-' } else { '+' };
        let first = if body.is_empty() { "0" } else { "body" };
        let mut gap = format!("chain: {first} {sign} {} % of shims", self.hundredths.abs());
        if let Start::Found(play) = self.start {
            let _ = write!(gap, ", found: [{}]", mm(play));
        } else {
            let _ = writeln!(text, "dimensions: {{ body: {body} }}");
        }
        match (self.aim.low, self.aim.high) {
            (Some(low), Some(high)) => gap += &format!(", accept: [{}, {}]", mm(low), mm(high)),
            (Some(low), None) => gap += &format!(", accept: at least {}", mm(low)),
            (None, Some(high)) => gap += &format!(", accept: at most {}", mm(high)),
            (None, None) => {}
        }
        if let Some(target) = self.aim.target {
            gap += &format!(", target: {}", mm(target));
        }
        if self.preload {
            gap += ", as: preload";
        }
        gap += match self.lean {
            Lean::Nearest => "",
            Lean::Looser => ", lean: looser",
            Lean::Tighter => ", lean: tighter",
        };
        let _ = writeln!(text, "gaps: {{ space: {{ {gap} }} }}");
        let _ = writeln!(text, "packs: {{ shims: {{ {} }} }}", self.pack());
        let _ = writeln!(text, "kits: {{ box: {{ {} }} }}", self.kit());
        text
    }

    fn pack(&self) -> String {
        let mut pack = format!("kit: box, count: [{}, {}]", self.count.0, self.count.1);
        let list = |lengths: &mut dyn Iterator<Item = i64>| lengths.map(mm).collect::<Vec<_>>().join(", ");
        if let Some(fitted) = &self.fitted {
            pack += &format!(", fitted: [{}]", list(&mut fitted.iter().map(|one| one.thickness)));
            if fitted.iter().any(|one| one.stays) {
                let staying = list(&mut fitted.iter().filter(|one| one.stays).map(|one| one.thickness));
                pack += &format!(", stay: [{staying}]");
            }
        }
        if !self.includes.is_empty() {
            pack += &format!(", includes: [{}]", list(&mut self.includes.iter().map(|&one| self.sizes[one].label)));
        }
        if let Some(thickest) = self.thickest {
            pack += &format!(", thickest: {}", mm(thickest));
        }
        pack
    }

    fn kit(&self) -> String {
        let sizes: Vec<String> = self.sizes.iter().map(|size| mm(size.label)).collect();
        let mut kit = format!("sizes: [{}]", sizes.join(", "));
        if let Some(tolerance) = self.tolerance {
            kit += &format!(", tolerance: {}", mm(tolerance));
        }
        if self.counted {
            let plain = self.sizes.iter().filter(|size| size.actual.is_empty());
            let counts: Vec<String> = plain.map(|size| format!("{}: {}", mm(size.label), size.on_hand)).collect();
            kit += &format!(", on_hand: {{ {} }}", counts.join(", "));
        }
        let measured = self.sizes.iter().filter(|size| !size.actual.is_empty());
        let actual: Vec<String> = measured
            .map(|size| {
                let each: Vec<String> = size.actual.iter().map(|&one| mm(one)).collect();
                format!("{}: [{}]", mm(size.label), each.join(", "))
            })
            .collect();
        if !actual.is_empty() {
            kit += &format!(", actual: {{ {} }}", actual.join(", "));
        }
        kit
    }
}
