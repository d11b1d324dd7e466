//! What can be said about a gap: four methods, where the doubt comes from, and the verdict. Every function here takes
//! the model and returns a plain struct.

mod ask;
mod capability;
mod comparison;
mod contribution;
pub(crate) mod drawing;
pub mod exact;
mod gap;
mod guard;
mod heat;
mod joint;
mod judge;
pub mod monte_carlo;
mod root_sum_square;
mod settle;
mod suspects;
pub(crate) mod targets;
mod terms;
mod verdict;
mod verify;
mod worst_case;

pub use ask::{FACTOR_PRECISION, MOST_TIGHTENED, NoFactor, Tighten, Tolerances, tolerances};
pub use capability::{Capability, PartsPerMillion};
pub use comparison::Comparison;
pub use contribution::{Contribution, ContributionKind, contributions, effective_freedom};
pub use gap::{ExactFigures, GapFigures, GapOptions, GapReport, PackState, Source, report, report_watched};
pub use guard::{Guard, Limits};
pub use heat::ColdFigures;
pub use joint::{Banded, Joint, JointError, JointSource, frechet, joint_bounds, joint_within};
pub use judge::{Chances, Judge, verdict_on};
pub use root_sum_square::{RootSumSquare, RootSumSquareOptions, root_sum_square};
pub use settle::{MOST_READINGS, Rest, Settle, Step, Way, settle};
pub use suspects::{Slip, Suspect};
pub use terms::exact_of;
pub use verdict::{ByNumber, Confidence, Verdict, by_number};
pub use verify::{PackChange, RestsOn, Verified, VerifyReport, verify};
pub use worst_case::{Corner, WorstCase, worst_case};

use exact::ExactError;

/// Why a figure could not be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AnalyseError {
    /// The exact distribution of a gap.
    #[error("the distribution of `{gap}` cannot be computed: {fault}")]
    Exact {
        /// The gap.
        gap: String,
        /// Why.
        fault: ExactError,
    },
    /// Digits that are to be stable where they never are.
    #[error(
        "`{gap}` cannot be drawn until its digits are stable: a law in it has no fourth moment (a Student t of four \
         degrees or fewer), so that its standard deviation never settles"
    )]
    NoFourthMoment {
        /// The gap.
        gap: String,
    },
}
