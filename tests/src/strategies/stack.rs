//! Stacks of dimensions whose laws have bounds, and of normal ones.

use std::fmt::Write;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;

use super::mm;

/// A stack: Σ coefficient × dimension, in a band. Its instrument has a zero error that its readings share.
#[derive(Debug, Clone)]
pub struct Stack {
    /// The dimensions.
    pub dimensions: Vec<Dimension>,
    /// The half-width of the band, about the expected gap.
    pub half: i64,
    /// How far the middle of the band is from the expected gap.
    pub off: i64,
}

/// A dimension of a stack.
#[derive(Debug, Clone, Copy)]
pub struct Dimension {
    /// Its coefficient, in hundredths.
    pub hundredths: i64,
    /// The middle of its limits, or what was read.
    pub middle: i64,
    /// Half the distance of its limits.
    pub half: i64,
    /// Its law.
    pub law: Law,
}

/// The law of a dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Law {
    /// No doubt at all.
    Exact,
    /// Limits three standard deviations from the middle.
    Normal,
    /// Between its limits.
    Rectangular,
    /// Between its limits.
    Triangular,
    /// Read with the gauge: its limit of error is 20 um, its zero error 10 um.
    Read,
}

impl Stack {
    /// The gauge's limit of error.
    pub const LIMIT: i64 = 20_000;
    /// The gauge's zero error.
    pub const ZERO: i64 = 10_000;

    /// The stack as a document, with its dimensions in this order and its lengths multiplied by `factor`.
    #[must_use]
    pub fn document(&self, order: &[usize], factor: i64) -> String {
        let length = |nm: i64| mm(nm * factor);
        let mut text = format!(
            "instruments: {{ gauge: {{ limit_of_error: {}, zero_error: {} }} }}\ndimensions:\n",
            length(Self::LIMIT),
            length(Self::ZERO)
        );
        let mut chain = String::from("0");
        let mut middle = 0;
        for &index in order {
            let one = &self.dimensions[index];
            let limits = format!("limits: [{}, {}]", length(one.middle - one.half), length(one.middle + one.half));
            let value = match one.law {
                Law::Exact => length(one.middle),
                Law::Normal => format!("{{ {limits} }}"),
                Law::Rectangular => format!("{{ {limits}, distribution: rectangular }}"),
                Law::Triangular => format!("{{ {limits}, distribution: triangular }}"),
                Law::Read => format!("{{ readings: [{}], instrument: gauge }}", length(one.middle)),
            };
            let _ = writeln!(text, "  part {index}: {value}");
            let sign = if one.hundredths < 0 { '-' } else { '+' };
            let _ = write!(chain, " {sign} {} % of part {index}", one.hundredths.abs());
            middle += one.hundredths * one.middle / 100;
        }
        let (low, high) = (middle + self.off - self.half, middle + self.off + self.half);
        let _ = writeln!(text, "gaps: {{ y: {{ chain: {chain}, accept: [{}, {}] }} }}", length(low), length(high));
        text
    }

    /// The order in which the dimensions were made.
    #[must_use]
    pub fn order(&self) -> Vec<usize> {
        (0..self.dimensions.len()).collect()
    }
}

/// Stacks of one to six dimensions of these laws, and an order of them.
pub fn stack(laws: &'static [Law]) -> impl Strategy<Value = (Stack, Vec<usize>)> {
    let dimension =
        (select(vec![-200_i64, -100, -100, -50, 50, 100, 100, 150]), 500_i64..60_000, 1_i64..60, select(laws))
            .prop_map(|(hundredths, middle, half, law)| Dimension {
                hundredths,
                middle: middle * 1000,
                half: if law == Law::Exact || law == Law::Read { 0 } else { half * 1000 },
                law,
            });
    (vec(dimension, 1..=6), 10_i64..200, -40_i64..=40)
        .prop_map(|(dimensions, half, off)| Stack { dimensions, half: half * 1000, off: off * 1000 })
        .prop_flat_map(|stack| {
            let order = Just(stack.order()).prop_shuffle();
            (Just(stack), order)
        })
}
