//! The choice of the method, and the tails by each of them, about the location and in the unit of the sum.

use super::boxes::Boxes;
use super::heavy::Heavy;
use super::inversion::{Inversion, Plan};
use super::parts::{Other, Parts, Student};
use super::{ExactOptions, Method, Probability};
use crate::law::Law;
use crate::number::root::solve_increasing;
use crate::number::{normal, student_t};

/// Up to so many rectangles the closed form is always taken.
const FEW_BOXES: usize = 6;

/// Up to [`Boxes::MOST`] rectangles the closed form is taken where inversion would need more terms than this.
const MANY_TERMS: usize = 4096;

/// The rounding met in practice in an inverted tail (its bound is ten times as large): no search goes below it.
const INVERSION_NOISE: f64 = 2e-15;

/// Relative error of the tail of a single t.
const STUDENT_ROUNDING: f64 = 2e-14;

/// Relative error of the tail of any other law alone, its place apart.
const LAW_ROUNDING: f64 = 2e-13;

/// A sum ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Prepared {
    parts: Parts,
    heavy: Heavy,
    tolerance: f64,
    most_terms: usize,
    way: Way,
}

#[derive(Debug, Clone, PartialEq)]
enum Way {
    Constant,
    Normal,
    Single(Student),
    Law(Other),
    Boxes(Boxes),
    Inversion(Inversion),
}

impl Prepared {
    pub(super) fn new(parts: Parts, options: &ExactOptions) -> Self {
        let heavy = Heavy::new(&parts);
        let options = &ExactOptions { most_terms: options.most_terms.min(parts.most_terms()), ..*options };
        Self {
            way: Way::choose(&parts, &heavy, options),
            parts,
            heavy,
            tolerance: options.tolerance,
            most_terms: options.most_terms,
        }
    }

    pub(super) fn parts(&self) -> &Parts {
        &self.parts
    }

    pub(super) fn method(&self) -> Method {
        match self.way {
            Way::Constant => Method::Constant,
            Way::Normal => Method::Normal,
            Way::Single(_) | Way::Law(_) => Method::Single,
            Way::Boxes(_) => Method::Boxes,
            Way::Inversion(_) => Method::Inversion,
        }
    }

    /// P(U > u) for `sign` 1, P(U < u) for `sign` −1.
    pub(super) fn tail(&self, u: f64, sign: f64) -> Probability {
        let outward = sign * u;
        if self.parts.extent(sign).is_some_and(|extent| outward >= extent) && !matches!(self.way, Way::Constant) {
            return Probability::certain(false);
        }
        match &self.way {
            Way::Constant => Probability::certain(outward < 0.0),
            Way::Normal => {
                let z = outward / self.parts.sd;
                let value = normal::above(z);
                // A few ulp of the function; an ulp of z counts z² times, of the smaller tail.
                let smaller = normal::above(z.abs());
                let of_place = relative(smaller, 4.0 * f64::EPSILON * (1.0 + z * z));
                Probability::new(value, relative(value, 4.0 * f64::EPSILON) + of_place)
            }
            Way::Single(student) => {
                let value = student_t::above(student.freedom, outward / student.scale);
                Probability::new(value, relative(value, STUDENT_ROUNDING))
            }
            Way::Law(other) => other.tail(u, sign),
            Way::Boxes(boxes) => boxes.below(-outward),
            Way::Inversion(inversion) => self.inverted_tail(inversion, outward, sign),
        }
    }

    /// The tail by inversion, or by what is known of it further out.
    fn inverted_tail(&self, inversion: &Inversion, outward: f64, sign: f64) -> Probability {
        if outward < -inversion.reach() {
            return self.inverted_tail(inversion, -outward, -sign).complement();
        }
        if outward <= inversion.reach() {
            return inversion.tail(outward, sign);
        }
        let far = self.far_tail(outward);
        if far.error_bound <= inversion.error_bound(inversion.reach()).max(self.tolerance) {
            return far;
        }
        // Rare: out in a heavy tail, but not so far that the law of its largest term is exact enough.
        let plan = Plan::new(&self.parts, &self.heavy, Some(outward), self.tolerance, self.most_terms);
        let near = Inversion::new(&self.parts, &self.heavy, plan).tail(outward, sign);
        if near.error_bound < far.error_bound { near } else { far }
    }

    /// The tail at a distance w beyond the reach: that of its largest term, within a bound.
    fn far_tail(&self, w: f64) -> Probability {
        if w.is_infinite() {
            return Probability::certain(false);
        }
        let value = self.heavy.largest_term_tail(w);
        Probability::new(value, self.heavy.far_bound(w) + relative(value, STUDENT_ROUNDING))
    }

    /// The density at u.
    pub(super) fn density(&self, u: f64) -> f64 {
        match &self.way {
            Way::Constant => 0.0,
            Way::Normal => normal::density(u / self.parts.sd) / self.parts.sd,
            Way::Single(student) => student_t::density(student.freedom, u / student.scale) / student.scale,
            Way::Law(other) => other.density(u),
            Way::Boxes(boxes) => boxes.density(u),
            Way::Inversion(inversion) if u.abs() <= inversion.reach() => inversion.central(u).1.max(0.0),
            Way::Inversion(_) => self.heavy.largest_term_density(u),
        }
    }

    /// The distance outward, on the side of `sign`, beyond which p ≤ ½ lies.
    pub(super) fn tail_quantile(&self, p: f64, sign: f64) -> f64 {
        let z = -normal::quantile(p).expect("a tail probability lies in (0, 1/2]");
        let normal_distance = z * self.parts.sd;
        match &self.way {
            Way::Constant => 0.0,
            Way::Normal => normal_distance,
            Way::Single(student) => student.scale * student_t::upper_quantile(student.freedom, p),
            Way::Law(_) | Way::Boxes(_) | Way::Inversion(_) => {
                let furthest = self.heavy.furthest(p);
                let end = |sign| self.parts.extent(sign).map_or(furthest, |extent| extent.min(furthest));
                let noise = if let Way::Inversion(_) = self.way { INVERSION_NOISE } else { 0.0 };
                // The tail grows inward.
                -solve_increasing((-end(sign), end(-sign)), -normal_distance, p, noise, |inward| {
                    self.tail_and_density(-inward, sign)
                })
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
        (self.tail(u, sign).value, self.density(u))
    }
}

/// A relative error as an absolute one; zero stays zero even at an infinite distance.
fn relative(value: f64, error: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value * error }
}

impl Other {
    /// Where the law is when the term is u from its mean, mm.
    fn place(&self, u: f64) -> f64 {
        self.law.mean().unwrap_or_else(|| self.law.centre()) + u / self.coefficient
    }

    /// P(U > u) for `sign` 1, P(U < u) for `sign` −1, with what lies within the rounding of the place.
    fn tail(&self, u: f64, sign: f64) -> Probability {
        let x = self.place(u);
        let value = if sign * self.coefficient > 0.0 { self.law.above(x) } else { self.law.below(x) };
        let near = 4.0 * f64::EPSILON * x.abs();
        Probability::new(value, relative(value, LAW_ROUNDING) + self.law.below(x + near) - self.law.below(x - near))
    }

    fn density(&self, u: f64) -> f64 {
        self.law.density(self.place(u)) / self.coefficient.abs()
    }
}

impl Way {
    fn choose(parts: &Parts, heavy: &Heavy, options: &ExactOptions) -> Self {
        if parts.is_constant() {
            return Self::Constant;
        }
        let no_others = parts.others.is_empty();
        if parts.boxes.is_empty() {
            match (parts.normal_variance > 0.0, &parts.students[..], &parts.others[..]) {
                (true, [], []) => return Self::Normal,
                (false, &[student], []) => return Self::Single(student),
                (false, [], [other]) if other.law.atoms().is_none() && !matches!(other.law, Law::Mixture(_)) => {
                    return Self::Law(other.clone());
                }
                _ => {}
            }
        }
        let only_boxes = no_others && parts.normal_variance == 0.0 && parts.students.is_empty();
        if only_boxes && parts.boxes.len() <= FEW_BOXES {
            return Self::Boxes(Boxes::new(&parts.boxes));
        }
        let plan = Plan::new(parts, heavy, None, options.tolerance, options.most_terms);
        if only_boxes && parts.boxes.len() <= Boxes::MOST && plan.terms > MANY_TERMS.min(options.most_terms / 2) {
            return Self::Boxes(Boxes::new(&parts.boxes));
        }
        Self::Inversion(Inversion::new(parts, heavy, plan))
    }
}
