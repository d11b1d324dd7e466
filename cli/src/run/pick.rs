//! Which shims to fit.

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::resolved::{Document, Gap};
use shimwright_engine::select::{PickError, PickOptions, pick as choose};

use super::{Job, at_gap, of_analysis, say, stop, width};
use crate::args::Ask;
use crate::exit::{Outcome, Stop, of_verdict};
use crate::report::{answer_json, pick as words};
use crate::terminal::Terminal;

/// Runs `pick`.
///
/// # Errors
/// What is wrong with the document, or that the answer could not be computed or written.
pub fn pick(args: &Ask, terminal: &mut Terminal) -> Result<Outcome, Stop> {
    let common = &args.common;
    let job = Job::new(args)?;
    let answer = match choose(&job.model, &PickOptions { confidence: job.confidence }) {
        Ok(answer) => answer,
        Err(fault) => {
            let diagnostic = nothing_chosen(&job.loaded.document, &fault);
            return Err(stop(diagnostic.into(), job.loaded.sources));
        }
    };
    let view = job.view(width(common, terminal));
    let notes = &job.loaded.notes;
    say(
        terminal,
        common,
        || answer_json::pick(&view, &answer, common.seed, notes, &job.loaded.sources),
        || words::headline(&view, &answer),
        || words::text(&view, &answer, notes),
    )?;
    Ok(of_verdict(answer.verdict))
}

/// Why nothing was chosen, with its place in the document and what to do.
pub(super) fn nothing_chosen(document: &Document, fault: &PickError) -> Diagnostic {
    let said = |code| Diagnostic::error(code, fault.to_string());
    let at_pack = |diagnostic: Diagnostic, name: &str| match document.packs.iter().find(|pack| pack.name == name) {
        Some(pack) => diagnostic.at(pack.at).path(format!("packs.{name}")),
        None => diagnostic,
    };
    match fault {
        PickError::NoTarget { gap } => {
            let help = format!(
                "write `target:` and the figure to aim at beside `accept`; or give it on the line as \"{gap}.target=0.10\""
            );
            at_gap(said(Code::NoTarget), document.gaps.iter().find(|one| &one.name == gap)).help(help)
        }
        PickError::CannotEnter { gap, .. } => {
            let help = "leave `lean` out, or choose another: nearest, looser, tighter";
            at_gap(said(Code::NoPack), document.gaps.iter().find(|one| &one.name == gap)).help(help)
        }
        PickError::NothingToChoose => {
            let judged = |gap: &&Gap| gap.target.is_some() || gap.low.is_some() || gap.high.is_some();
            let (gap, help) = match document.gaps.iter().find(judged) {
                Some(gap) => (Some(gap), "write the pack's name in the chain: `chain: pocket - gear - shims`"),
                None => (document.gaps.first(), "write `accept:` with the band, or `target:`, beside the chain"),
            };
            at_gap(said(Code::NoTarget), gap).help(help)
        }
        PickError::SeveralPacks { packs } => {
            let named = packs.iter().find(|name| document.packs.first().is_none_or(|first| &first.name != *name));
            let help = "leave some of them out, with their thicknesses as dimensions in their place; of packs that share a \
                        box and no gap, and are one shim each (`count: 1`), there may be any number";
            at_pack(said(Code::SeveralPacks), named.or(packs.first()).map_or("", String::as_str)).help(help)
        }
        PickError::NoPack { pack, .. } => at_pack(said(Code::NoPack), pack).help("look at its rules and at its kit"),
        PickError::TooMany { pack } => {
            at_pack(said(Code::TooManyPacks), pack).help("allow fewer shims by `count`, or name fewer sizes in the kit")
        }
        PickError::Analyse(fault) => of_analysis(document, fault),
    }
}
