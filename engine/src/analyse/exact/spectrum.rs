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
        Self { normal_variance: parts.normal_variance, boxes, students: &parts.students, others: &parts.others }
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
        self.others
            .iter()
            .map(|other| other.law.characteristic(other.coefficient * t))
            .fold(real.into(), |product, factor| product * factor)
    }

    /// A bound of |φ| that falls with t > 0; once below a half it falls at least by half from t to 2t.
    pub(super) fn envelope(&self, t: f64) -> f64 {
        let mut bound = (-0.5 * self.normal_variance * t * t).exp();
        for &(half, count) in &self.boxes {
            bound *= (1.0 / (half * t)).min(1.0).powi(count);
        }
        for student in self.students {
            if bound == 0.0 {
                break;
            }
            bound *= student_characteristic::characteristic(student.freedom, student.scale * t);
        }
        self.others.iter().fold(bound, |bound, other| bound * other.law.envelope(other.coefficient * t))
    }
}
