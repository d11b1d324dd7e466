//! What is drawn: the variables of the gaps, block by block.

use super::sums::Sums;
use super::{Drawn, Ended, Share};
use crate::analyse::drawing::{Drawing, Line, Variables, generator};
use crate::analyse::joint::Banded;
use crate::model::{Column, Form};

/// What has to be drawn.
pub(super) struct Plan {
    drawing: Drawing,
    pub(super) rows: Vec<Row>,
}

/// One gap with its band.
pub(super) struct Row {
    /// The expected gap and the scale on which moments are summed.
    pub(super) centre: f64,
    pub(super) scale: f64,
    pub(super) fourth_moment: bool,
    gap: Line,
    low: Option<Line>,
    high: Option<Line>,
    /// Whether it counts among those that are to be in band at once.
    together: bool,
}

impl Plan {
    pub(super) fn new(gaps: &[Banded<'_>], together: &[usize], columns: &[Column]) -> Plan {
        let mut variables = Variables::new(columns);
        let mut line = |form: &Form| variables.line(form);
        let rows = gaps
            .iter()
            .enumerate()
            .map(|(index, gap)| Row {
                centre: gap.form.mean_mm(columns),
                scale: gap.form.variance_mm2(columns).filter(|&variance| variance > 0.0).map_or(1.0, f64::sqrt),
                fourth_moment: gap
                    .form
                    .terms()
                    .iter()
                    .all(|&(column, _)| columns[column].parts.iter().all(|part| part.law.has_fourth_moment())),
                gap: line(gap.form),
                low: gap.low.map(|end| line(&gap.form.plus(end, -1.0))),
                high: gap.high.map(|end| line(&gap.form.plus(end, -1.0))),
                together: together.contains(&index),
            })
            .collect();
        Plan { drawing: variables.ready(), rows }
    }

    /// Draws a block. What a gap's values are is passed to `told`, in the order of the rows.
    pub(super) fn block(&self, seed: u64, block: u64, count: usize, mut told: impl FnMut(usize, &[f64])) -> Sums {
        let mut rng = generator(seed, block);
        let values = self.drawing.draw(&mut rng, count);
        let mut sums = Sums::new(self.rows.len());
        let mut all_inside = vec![true; count];
        let mut inside = vec![true; count];
        let mut line_values = vec![0.0; count];
        for (index, (row, into)) in self.rows.iter().zip(&mut sums.gaps).enumerate() {
            row.gap.evaluate(&values, &mut line_values);
            told(index, &line_values);
            into.moments(&line_values, row.centre, row.scale);
            inside.fill(true);
            if let Some(low) = &row.low {
                low.evaluate(&values, &mut line_values);
                into.below = low.count(&line_values, -1.0, &mut inside);
            }
            if let Some(high) = &row.high {
                high.evaluate(&values, &mut line_values);
                into.above = high.count(&line_values, 1.0, &mut inside);
            }
            if row.together {
                all_inside.iter_mut().zip(&inside).for_each(|(all, &inside)| *all &= inside);
            }
        }
        sums.inside = all_inside.iter().filter(|inside| **inside).count() as u64;
        sums
    }

    pub(super) fn figures(&self, total: &Sums, samples: u64, ended: Ended) -> Drawn {
        let banded = |row: &Row| row.low.is_some() || row.high.is_some();
        let gaps =
            self.rows.iter().zip(&total.gaps).map(|(row, sums)| sums.figures(row, samples, banded(row))).collect();
        let together = self.rows.iter().any(|row| row.together);
        let joint_within = together.then(|| Share::new(total.inside, samples));
        Drawn { gaps, joint_within, samples, ended }
    }
}

impl Line {
    /// Counts the values on the side of `sign`, and marks them as not inside.
    fn count(&self, values: &[f64], sign: f64, inside: &mut [bool]) -> u64 {
        let mut count = 0;
        for (value, inside) in values.iter().zip(inside) {
            if value * sign > self.edge_mm() {
                count += 1;
                *inside = false;
            }
        }
        count
    }
}
