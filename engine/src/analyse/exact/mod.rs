//! The exact distribution of a constant plus a weighted sum of independent lengths, each answer with a bound of its
//! own error.
//!
//! Zero terms fold into the constant and normal terms merge. What is left decides the method: a normal law, a single
//! Student t, a few rectangles in closed form ([`boxes`]; a symmetric triangle is two equal ones), and for all else
//! the inversion of the characteristic function ([`inversion`]).

mod aliasing;
mod boxes;
mod heavy;
mod inversion;
mod light;
mod parts;
mod probability;
mod spectrum;

pub use probability::Probability;

use crate::law::Law;
use crate::number::double_double::DoubleDouble;
use crate::number::root::solve_increasing;
use crate::number::{normal, student_t};
use boxes::Boxes;
use heavy::Heavy;
use inversion::{Inversion, Plan};
use parts::{Parts, Student};

/// Up to so many rectangles the closed form is always taken.
const FEW_BOXES: usize = 6;

/// Up to [`Boxes::MOST`] rectangles the closed form is taken where inversion would need more terms than this.
const MANY_TERMS: usize = 4096;

/// One term of the sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// What X is multiplied by.
    pub coefficient: f64,
    /// The law of X.
    pub law: Law,
}

/// How exact, and at what cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExactOptions {
    /// The error bound aimed at for a probability, in (0, 1). Rounding adds a few 1e-14.
    pub tolerance: f64,
    /// The most terms of one inversion. Where they do not reach the tolerance the bound told is larger.
    pub most_terms: usize,
    /// Where nothing is random: a limit within this distance of the value is met exactly. mm.
    pub same_within_mm: f64,
}

impl Default for ExactOptions {
    /// 1e-12; 2¹⁸ terms; half of the 1 nm grid on which equality of sizes is decided.
    fn default() -> Self {
        Self { tolerance: 1e-12, most_terms: 1 << 18, same_within_mm: 0.5e-6 }
    }
}

/// Why there is no exact distribution. The texts are parts of a sentence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ExactError {
    /// A term has no variance: a Student t with two degrees of freedom or fewer.
    #[error("a term has no variance (a Student t needs more than two degrees of freedom)")]
    NoVariance,
    /// The constant, or a coefficient times a length, is not a finite number.
    #[error("the sum is not a finite number")]
    NotFinite,
    /// The tolerance is not in (0, 1), or no terms are allowed.
    #[error("the tolerance is not between 0 and 1, or no terms are allowed")]
    Options,
}

/// How a distribution is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Nothing is random.
    Constant,
    /// One normal law.
    Normal,
    /// A few rectangles, in closed form.
    Boxes,
    /// One law alone, by its own distribution function.
    Single,
    /// Inversion of the characteristic function.
    Inversion,
}

/// The distribution of Y = constant + Σ coefficient × X, all X independent.
#[derive(Debug, Clone, PartialEq)]
pub struct Exact {
    parts: Parts,
    heavy: Heavy,
    options: ExactOptions,
    way: Way,
}

#[derive(Debug, Clone, PartialEq)]
enum Way {
    Constant,
    Normal,
    Single(Student),
    Boxes(Boxes),
    Inversion(Inversion),
}

impl Exact {
    /// Prepares the distribution.
    ///
    /// # Errors
    /// [`ExactError::NoVariance`] for a Student t term of two degrees or fewer; [`ExactError::NotFinite`];
    /// [`ExactError::Options`].
    pub fn new(constant_mm: f64, terms: &[Term], options: ExactOptions) -> Result<Self, ExactError> {
        if !(options.tolerance > 0.0 && options.tolerance < 1.0) || options.most_terms == 0 {
            return Err(ExactError::Options);
        }
        let parts = Parts::sort(constant_mm, terms)?;
        let heavy = Heavy::new(&parts);
        let way = Way::choose(&parts, &heavy, &options);
        Ok(Self { parts, heavy, options, way })
    }

    /// How it is computed.
    #[must_use]
    pub fn method(&self) -> Method {
        match self.way {
            Way::Constant => Method::Constant,
            Way::Normal => Method::Normal,
            Way::Single(_) => Method::Single,
            Way::Boxes(_) => Method::Boxes,
            Way::Inversion(_) => Method::Inversion,
        }
    }

    /// The expectation, mm.
    #[must_use]
    pub fn mean_mm(&self) -> f64 {
        self.place(self.parts.mean)
    }

    /// The standard deviation, mm.
    #[must_use]
    pub fn sd_mm(&self) -> f64 {
        self.parts.sd * self.parts.unit
    }

    /// P(Y < x).
    #[must_use]
    pub fn below(&self, x_mm: f64) -> Probability {
        let u = self.from_location(x_mm);
        match self.way {
            Way::Constant => Probability::certain(u > self.options.same_within_mm),
            _ => self.lower(u),
        }
    }

    /// P(Y ≤ x): differs from [`Self::below`] only where nothing is random.
    #[must_use]
    pub fn at_or_below(&self, x_mm: f64) -> Probability {
        self.above(x_mm).complement()
    }

    /// P(Y > x).
    #[must_use]
    pub fn above(&self, x_mm: f64) -> Probability {
        let u = self.from_location(x_mm);
        match self.way {
            Way::Constant => Probability::certain(u < -self.options.same_within_mm),
            _ => self.upper(u),
        }
    }

    /// The probability density at x, 1/mm; zero where nothing is random.
    #[must_use]
    pub fn density(&self, x_mm: f64) -> f64 {
        let u = self.from_location(x_mm);
        self.unit_density(u) / self.parts.unit
    }

    /// The x with P(Y ≤ x) = p, mm; `None` when p is not inside (0, 1).
    ///
    /// P at the answer is p within the error bound there (and the rounding of x).
    #[must_use]
    pub fn quantile(&self, p: f64) -> Option<f64> {
        if !(p > 0.0 && p < 1.0) {
            return None;
        }
        Some(if p <= 0.5 { self.lower_quantile(p) } else { self.upper_quantile(1.0 - p) })
    }

    /// The interval that leaves (1 − coverage)/2 on each side, mm; for coverage 1 the limits of Y.
    ///
    /// `None` when coverage is not in (0, 1], or is 1 and Y has no limits.
    #[must_use]
    pub fn interval(&self, coverage: f64) -> Option<(f64, f64)> {
        if !(coverage > 0.0 && coverage <= 1.0) {
            return None;
        }
        let tail = 0.5 * (1.0 - coverage);
        if tail > 0.0 {
            return Some((self.lower_quantile(tail), self.upper_quantile(tail)));
        }
        let half = self.parts.half_range()?;
        Some((self.place(-half), self.place(half)))
    }

    /// (x − location) in the unit; where nothing is random the unit is 1 mm.
    fn from_location(&self, x_mm: f64) -> f64 {
        assert!(!x_mm.is_nan(), "a probability is asked at a number");
        if x_mm.is_infinite() {
            return x_mm;
        }
        (DoubleDouble::from(x_mm) - self.parts.location).to_f64() / self.parts.unit
    }

    fn place(&self, u: f64) -> f64 {
        (self.parts.location + DoubleDouble::from(u * self.parts.unit)).to_f64()
    }

    /// P(Y < location + u unit), Y continuous.
    fn lower(&self, u: f64) -> Probability {
        match &self.way {
            Way::Constant => Probability::certain(u > 0.0),
            Way::Normal => self.normal_tail(-u),
            Way::Single(student) => single_tail(*student, -u),
            Way::Boxes(boxes) => boxes.below(u),
            Way::Inversion(inversion) => self.inverted_tail(inversion, u, -1.0),
        }
    }

    /// P(Y > location + u unit), Y continuous.
    fn upper(&self, u: f64) -> Probability {
        match &self.way {
            Way::Constant => Probability::certain(u < 0.0),
            Way::Normal => self.normal_tail(u),
            Way::Single(student) => single_tail(*student, u),
            Way::Boxes(boxes) => boxes.below(-u),
            Way::Inversion(inversion) => self.inverted_tail(inversion, u, 1.0),
        }
    }

    /// P(N > u). Rounding: a few ulp of the function, and of u times its share u² in the logarithm.
    fn normal_tail(&self, u: f64) -> Probability {
        let z = u / self.parts.sd;
        let value = normal::above(z);
        Probability::new(value, value * f64::EPSILON * (4.0 + 4.0 * z * z))
    }

    /// The tail beyond u on the side of `sign` (1 above, −1 below) by inversion, or by a bound further out.
    fn inverted_tail(&self, inversion: &Inversion, u: f64, sign: f64) -> Probability {
        let outward = sign * u;
        if outward < -inversion.reach() {
            return self.inverted_tail(inversion, u, -sign).complement();
        }
        if outward <= inversion.reach() {
            let (central, _) = inversion.central(u);
            return Probability::new(0.5 - sign * central, inversion.error_bound(u));
        }
        let far = self.far_tail(outward);
        if far.error_bound <= self.options.tolerance || outward.is_infinite() {
            return far;
        }
        // Rare: far out in a heavy tail, but not so far that its own law is exact enough.
        let ExactOptions { tolerance, most_terms, .. } = self.options;
        let plan = Plan::new(&self.parts, &self.heavy, Some(outward), tolerance, most_terms);
        let (central, _) = Inversion::new(&self.parts, &self.heavy, plan).central(u);
        let near = Probability::new(0.5 - sign * central, plan.neglected());
        if near.error_bound < far.error_bound { near } else { far }
    }

    /// The tail at a distance w beyond the reach, by what is known of it there.
    fn far_tail(&self, w: f64) -> Probability {
        if self.parts.half_range().is_some_and(|half| w >= half) {
            return Probability::certain(false);
        }
        let largest_term = self.heavy.largest_term_tail(w);
        Probability::new(largest_term, self.heavy.far_bound(w) + 1e-13 * largest_term)
    }

    fn unit_density(&self, u: f64) -> f64 {
        match &self.way {
            Way::Constant => 0.0,
            Way::Normal => normal::density(u / self.parts.sd) / self.parts.sd,
            Way::Single(student) => student_t::density(student.freedom, u / student.scale) / student.scale,
            Way::Boxes(boxes) => boxes.density(u),
            Way::Inversion(inversion) if u.abs() <= inversion.reach() => inversion.central(u).1.max(0.0),
            Way::Inversion(_) => self.heavy.largest_term_density(u),
        }
    }

    fn lower_quantile(&self, p: f64) -> f64 {
        self.place(-self.tail_quantile(p, -1.0))
    }

    fn upper_quantile(&self, p: f64) -> f64 {
        self.place(self.tail_quantile(p, 1.0))
    }

    /// The distance from the location, outward on the side of `sign`, beyond which lies p ≤ ½.
    fn tail_quantile(&self, p: f64, sign: f64) -> f64 {
        let normal_start = -self.parts.sd * normal::quantile(p).expect("a tail probability lies in (0, 1/2]");
        match &self.way {
            Way::Constant => 0.0,
            Way::Normal => normal_start,
            Way::Single(student) => student.scale * student_t::upper_quantile(student.freedom, p),
            Way::Boxes(_) | Way::Inversion(_) => {
                let furthest = self.heavy.furthest(p);
                // Inward distance: the tail increases with it.
                let inward = solve_increasing((-furthest, furthest), -normal_start, p, |inward| {
                    self.tail_and_density(-inward, sign)
                });
                -inward
            }
        }
    }

    /// The tail beyond `outward` on the side of `sign`, and the density there.
    fn tail_and_density(&self, outward: f64, sign: f64) -> (f64, f64) {
        let u = sign * outward;
        if let Way::Inversion(inversion) = &self.way
            && u.abs() <= inversion.reach()
        {
            let (central, density) = inversion.central(u);
            return (0.5 - sign * central, density);
        }
        let tail = if sign > 0.0 { self.upper(u) } else { self.lower(u) };
        (tail.value, self.unit_density(u))
    }
}

impl Way {
    fn choose(parts: &Parts, heavy: &Heavy, options: &ExactOptions) -> Self {
        if parts.is_constant() {
            return Self::Constant;
        }
        let no_others = parts.others.is_empty();
        if no_others && parts.boxes.is_empty() {
            match (parts.normal_variance > 0.0, &parts.students[..]) {
                (true, []) => return Self::Normal,
                (false, &[student]) => return Self::Single(student),
                _ => {}
            }
        }
        let only_boxes = no_others && parts.normal_variance == 0.0 && parts.students.is_empty();
        if only_boxes && parts.boxes.len() <= FEW_BOXES {
            return Self::Boxes(Boxes::new(&parts.boxes));
        }
        let plan = Plan::new(parts, heavy, None, options.tolerance, options.most_terms);
        if only_boxes && parts.boxes.len() <= Boxes::MOST && plan.terms > MANY_TERMS.min(options.most_terms) {
            return Self::Boxes(Boxes::new(&parts.boxes));
        }
        Self::Inversion(Inversion::new(parts, heavy, plan))
    }
}

/// P(sT > u): relative error a few 1e-15.
fn single_tail(student: Student, u: f64) -> Probability {
    let value = student_t::above(student.freedom, u / student.scale);
    Probability::new(value, value * 2e-14)
}
