//! The line: commands, options, and the words behind them. What is here is checked by its form alone; whether a name
//! or a value means something is decided with the document.

mod fault;
mod word;

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use shimwright_engine::length::Unit;

use word::{
    above_zero, builds, confidence, count_above_zero, digits, from_zero_to_one, stack_parser, threads, unit_parser,
    whole,
};

pub use fault::BadLine;
pub use word::{Assignment, Stack, Steps, Sweep};

/// Which shims to fit, and how sure that is.
#[derive(Debug, Parser)]
#[command(name = "shimwright", version, max_term_width = 80, after_help = AFTER_HELP)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands of this version.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// What the gaps will be, and how sure that is
    Gap(Gap),
    /// Which shims to fit
    Pick(Ask),
    /// Does the fitted gap, as read, agree with the sum, and what to change
    Verify(Ask),
    /// How often the kit gets there over all units, and how far a face may still be cut
    Reach(Reach),
    /// Which sizes to keep, and how many of each
    Stock(Stocking),
    /// The ready-made stacks: list them, read one, or fill one in
    Preset(Preset),
}

impl Command {
    /// The command's name, as JSON gives it.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Command::Gap(_) => "gap",
            Command::Pick(_) => "pick",
            Command::Verify(_) => "verify",
            Command::Reach(_) => "reach",
            Command::Stock(_) => "stock",
            Command::Preset(preset) => match preset.action {
                PresetAction::List(_) => "preset list",
                PresetAction::Show(_) => "preset show",
                PresetAction::Expand(_) => "preset expand",
            },
        }
    }

    /// Whether the answer, and what is wrong, are wanted as JSON.
    #[must_use]
    pub fn json(&self) -> bool {
        match self {
            Command::Gap(gap) => gap.ask.common.json,
            Command::Pick(pick) => pick.common.json,
            Command::Verify(verify) => verify.common.json,
            Command::Reach(reach) => reach.ask.common.json,
            Command::Stock(stock) => stock.ask.common.json,
            Command::Preset(preset) => match &preset.action {
                PresetAction::List(list) => list.json,
                PresetAction::Show(show) => show.json,
                PresetAction::Expand(expand) => expand.json,
            },
        }
    }
}

/// `gap`.
#[derive(Debug, clap::Args)]
pub struct Gap {
    /// What is asked, and of what.
    #[command(flatten)]
    pub ask: Ask,
    /// Root sum square: show the spread at this many standard deviations
    #[arg(long, value_name = "K", default_value = "3", value_parser = above_zero, allow_negative_numbers = true)]
    pub coverage: f64,
    /// Root sum square: multiply the spread by this
    #[arg(long, value_name = "F", default_value = "1", value_parser = above_zero, allow_negative_numbers = true)]
    pub inflate: f64,
    /// Root sum square: let every part's mean stray by this share of its tolerance, 0 to 1
    #[arg(long, value_name = "M", default_value = "0", value_parser = from_zero_to_one, allow_negative_numbers = true)]
    pub mean_shift: f64,
    /// Try out random assemblies until this many digits of the spread stand still, 1 to 6; --samples are the most
    #[arg(long, value_name = "N", value_parser = digits, allow_negative_numbers = true)]
    pub digits: Option<u32>,
    /// Say between which values the gap must be read to be sure that it is in band
    #[arg(long)]
    pub guard: bool,
    /// Say how wide the drawing's tolerances may be for this share of units to be in band, 0.997 or 99.7%, and which one
    /// to tighten first
    #[arg(long, value_name = "SHARE", value_parser = confidence, allow_negative_numbers = true)]
    pub tolerances: Option<f64>,
}

/// `pick` and `verify`, and what `gap` and `reach` have in common with them.
#[derive(Debug, clap::Args)]
pub struct Ask {
    /// What to work on.
    #[arg(value_name = "STACK", value_parser = stack_parser(), help = STACK_HELP)]
    pub stack: Stack,
    /// What was measured, or is wanted.
    #[arg(value_name = "NAME=VALUE", help = VALUES_HELP)]
    pub values: Vec<Assignment>,
    /// Options that other commands have too.
    #[command(flatten)]
    pub common: Common,
}

/// `reach`.
#[derive(Debug, clap::Args)]
pub struct Reach {
    /// What is asked, and of what.
    #[command(flatten)]
    pub ask: Ask,
    /// Count with the shims that are in the box, as measured, and no more [default: plenty of each size]
    #[arg(long)]
    pub on_hand: bool,
    /// Change the size of NAME by FROM, then a STEP more, up to TO: "case depth=0:-0.50:0.05" takes up to 0.50 off
    #[arg(long, value_name = "NAME=FROM:TO:STEP")]
    pub sweep: Option<Sweep>,
}

/// `stock`.
#[derive(Debug, clap::Args)]
pub struct Stocking {
    /// What is asked, and of what.
    #[command(flatten)]
    pub ask: Ask,
    /// The most sizes to keep [default: all of them]
    #[arg(long, value_name = "K", value_parser = count_above_zero, allow_negative_numbers = true)]
    pub sizes: Option<usize>,
    /// The sizes to choose from, such as 0.10:0.60:0.05 [default: the kit's own]
    #[arg(long, value_name = "FROM:TO:STEP")]
    pub candidates: Option<Steps>,
    /// How many builds the shelf is to last for: say how many of each size
    #[arg(long, value_name = "N", value_parser = builds, allow_negative_numbers = true)]
    pub builds: Option<usize>,
    /// How likely no build that the sizes can serve is to go without: 0.95 or 95%
    #[arg(long, value_name = "S", default_value = "0.95", value_parser = confidence, allow_negative_numbers = true)]
    pub service: f64,
}

/// Options that `gap`, `pick`, `verify`, `reach` and `stock` share.
#[derive(Debug, clap::Args)]
pub struct Common {
    /// Give the answer as JSON, for another program
    #[arg(long)]
    pub json: bool,
    /// The unit of the answer; it changes no number that you typed
    #[arg(long, value_name = "UNIT", value_parser = unit_parser())]
    pub unit: Option<Unit>,
    /// How sure is sure enough: 0.95 or 95%
    #[arg(long, value_name = "C", default_value = "0.95", value_parser = confidence, allow_negative_numbers = true)]
    pub confidence: f64,
    /// Where the random numbers start; the same start gives the same answer
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole, allow_negative_numbers = true)]
    pub seed: u64,
    /// Random assemblies that `gap` and `reach` try out as a check of the exact figures; 0 tries none
    #[arg(long, value_name = "N", default_value_t = 1_000_000, value_parser = whole, allow_negative_numbers = true)]
    pub samples: u64,
    /// How many processors to use, 1 to 1024 [default: all]
    #[arg(long, value_name = "N", value_parser = threads, allow_negative_numbers = true)]
    pub threads: Option<u16>,
    /// The instruments of your shop: a YAML file with `instruments`, and nothing else but `unit`
    #[arg(long, value_name = "FILE")]
    pub instruments: Option<PathBuf>,
    /// Print the first line only
    #[arg(long, conflicts_with = "json")]
    pub quiet: bool,
}

/// `preset`.
#[derive(Debug, clap::Args)]
pub struct Preset {
    /// What to do with them.
    #[command(subcommand)]
    pub action: PresetAction,
}

/// What can be done with presets.
#[derive(Debug, Subcommand)]
pub enum PresetAction {
    /// Name all of them
    List(PresetList),
    /// Show what one is for, what it asks, and where to put the instrument
    Show(PresetShow),
    /// Print the stack document that one makes of your values, to keep or to change
    Expand(PresetExpand),
}

/// `preset list`.
#[derive(Debug, clap::Args)]
pub struct PresetList {
    /// Give the answer as JSON, for another program
    #[arg(long)]
    pub json: bool,
}

/// `preset show`.
#[derive(Debug, clap::Args)]
pub struct PresetShow {
    /// The preset's name
    pub name: String,
    /// Give the answer as JSON, for another program
    #[arg(long)]
    pub json: bool,
}

/// `preset expand`.
#[derive(Debug, clap::Args)]
pub struct PresetExpand {
    /// The preset's name
    pub name: String,
    /// What was measured, or is wanted.
    #[arg(value_name = "NAME=VALUE", help = VALUES_HELP)]
    pub values: Vec<Assignment>,
    /// Tell what is wrong as JSON, for another program; the document itself is always YAML
    #[arg(long)]
    pub json: bool,
}

const STACK_HELP: &str = "The stack: a file (it ends in .yaml or .yml, or has a / in it), - for standard input, or \
                          the name of a preset";

const VALUES_HELP: &str = "What was measured, or is wanted: depth=53.97/53.96/53.99 (three readings), \
                           gear=30+0.02-0.01 (a drawing), float.found=0.43 (the gap as it is now), \
                           float.found=0.15goes/0.20stops (the same by feelers), \
                           shims.fitted=0.30+0.50 (the shims that are in)";

const AFTER_HELP: &str = "\
Measure the parts, write down how they stack, and ask. Lengths are millimetres
unless a unit stands behind them.

Exit status:
  0  in band, or there is no verdict to give
  1  out of band; of verify, that reading and sum disagree too
  2  the line cannot be read
  3  what it names or holds is wrong: a file, a preset, a NAME or a VALUE
  4  a result could not be computed or written
  5  cannot tell, or some will
130  ended by Ctrl-C; of random assemblies, what there was is shown";

#[cfg(test)]
mod tests;
