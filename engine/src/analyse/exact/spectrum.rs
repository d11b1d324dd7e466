//! The characteristic function of a sum, and a falling bound of it.

use super::parts::{Other, Parts, Student};
use crate::number::student_characteristic;
use nalgebra::Complex;

/// The factors of the characteristic function, equal rectangles gathered.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spectrum<'a> {
    normal_variance: f64,
    /// Half-width and how many rectangles have it.
    boxes: Vec<(f64, i32)>,
    students: &'a [Student],
    others: &'a [Other],
    /// See [`Parts::off_middle`].
    off_middle: f64,
}

impl<'a> Spectrum<'a> {
    pub(super) fn new(parts: &'a Parts) -> Self {
        let mut boxes: Vec<(f64, i32)> = Vec::new();
        for &half in &parts.boxes {
            match boxes.last_mut() {
                Some((same, count)) if *same == half => *count += 1,
                _ => boxes.push((half, 1)),
            }
        }
        Self {
            normal_variance: parts.normal_variance,
            boxes,
            students: &parts.students,
            others: &parts.others,
            off_middle: parts.off_middle,
        }
    }

    /// How many factors are multiplied, for the rounding bound.
    pub(super) fn factors(&self) -> usize {
        let boxes: i32 = self.boxes.iter().map(|&(_, count)| count).sum();
        1 + boxes.unsigned_abs() as usize + self.students.len() + self.others.len()
    }

    /// φ(t) for t > 0.
    pub(super) fn at(&self, t: f64) -> Complex<f64> {
        let mut real = (-0.5 * self.normal_variance * t * t).exp();
        for &(half, count) in &self.boxes {
            let angle = half * t;
            real *= (angle.sin() / angle).powi(count);
        }
        for student in self.students {
            real *= student_characteristic::characteristic(student.freedom, student.scale * t);
        }
        // Laws speak about the middle of their limits, the sum about its mean.
        let start = if self.off_middle == 0.0 { real.into() } else { Complex::from_polar(real, -self.off_middle * t) };
        self.others
            .iter()
            .map(|other| other.law.characteristic(other.coefficient * t))
            .fold(start, |product, factor| product * factor)
    }

    /// A bound of |φ| that falls with t > 0, and an r ≤ 1 such that from t on it falls at least by r at each doubling.
    pub(super) fn envelope(&self, t: f64) -> (f64, f64) {
        let normal = self.normal_variance * t * t;
        let (mut bound, mut fall) = ((-0.5 * normal).exp(), (-1.5 * normal).exp());
        for &(half, count) in &self.boxes {
            let one = 1.0 / (half * t);
            if one <= 1.0 {
                bound *= one.powi(count);
                fall *= 0.5f64.powi(count);
            }
        }
        for student in self.students {
            if bound == 0.0 {
                break;
            }
            // At twice t it is at most its square; a t in a sum has more than two degrees.
            let one = student_characteristic::characteristic(student.freedom, student.scale * t);
            bound *= one;
            fall *= one;
        }
        for other in self.others {
            bound *= other.law.envelope(other.coefficient * t);
            fall *= other.law.fall(other.coefficient * t);
        }
        (bound, fall)
    }
}

impl Spectrum<'_> {
    /// How far from the centre lie the points about which the other terms turn, times a bound of all that multiplies
    /// them: their angles round by so much.
    pub(super) fn turning(&self, t: f64) -> f64 {
        let about: f64 = self.others.iter().map(|other| other.turns_about).sum();
        if about == 0.0 {
            return 0.0;
        }
        let boxes: f64 = self.boxes.iter().map(|&(half, count)| (1.0 / (half * t)).min(1.0).powi(count)).product();
        about * boxes * (-0.5 * self.normal_variance * t * t).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::super::Term;
    use super::*;
    use crate::law::{Law, Normal, Rectangular, StudentT, Triangular};

    #[test]
    fn it_is_the_product_of_the_laws_own_and_covered() {
        let laws = [
            (1.0, Law::Normal(Normal::new(4.0, 0.1).expect("valid"))),
            (-2.0, Law::Rectangular(Rectangular::new(1.0, 2.0).expect("valid"))),
            (1.0, Law::Triangular(Triangular::symmetric(0.0, 2.0).expect("valid"))),
            (0.5, Law::StudentT(StudentT::new(1.0, 0.3, 3.0).expect("valid"))),
        ];
        let terms: Vec<Term> =
            laws.iter().map(|(coefficient, law)| Term { coefficient: *coefficient, law: law.clone() }).collect();
        let parts = Parts::sort(0.0, &terms).expect("every term has a variance");
        let spectrum = Spectrum::new(&parts);
        assert_eq!(spectrum.factors(), 1 + 3 + 1);
        let mut before = 1.0;
        for step in 1..400 {
            let t = 0.1 * f64::from(step);
            let expected: Complex<f64> =
                laws.iter().map(|(coefficient, law)| law.characteristic(coefficient * t)).product();
            let found = spectrum.at(t * parts.unit);
            let (bound, fall) = spectrum.envelope(t * parts.unit);
            assert!((found - expected).norm() < 1e-15, "{t}");
            assert!(found.norm() <= bound * (1.0 + 1e-14) && bound <= before, "{t}");
            // The promise on which the truncation bound rests.
            assert!(spectrum.envelope(2.0 * t * parts.unit).0 <= fall * bound * (1.0 + 1e-12));
            before = bound;
        }
    }
}
