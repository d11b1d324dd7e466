//! What is next to the packs that were chosen, and what was ruled out.

use shimwright_engine::select::{Alternative, AlternativeRole, Choice, Expected, Packed, Pick, Rule, Ruled};

use super::expect::{decides, expectation_short};
use super::pick::{is_station, places};
use super::screw;
use super::text::{columns_of, hanging, table};
use super::view::{View, together};

/// The thicknesses wanted, the packs next to those that were chosen, and what the rules refused.
pub(super) fn beside(view: &View<'_>, pick: &Pick) -> String {
    if pick.packs.iter().all(|packed| is_station(pick, packed)) {
        return String::new();
    }
    let mut text = "\nNext to it\n".to_owned();
    for packed in pick.packs.iter().filter(|packed| !is_station(pick, packed)) {
        let mut line = wanted(view, pick, packed);
        if pick.packs.len() > 1 {
            line = format!("{}: {line}", view.model.packs[packed.pack].name);
        }
        text.push_str(&hanging("  ", &line, view.width));
    }
    let rows: Vec<Vec<String>> = pick.alternatives.iter().map(|one| alternative(view, pick, one)).collect();
    text.push_str(&in_columns(&rows, view.width));
    for ruled in &pick.ruled {
        text.push_str(&hanging("  ", &ruled_out(view, pick, ruled), view.width));
    }
    text
}

/// The thickness wanted of a pack; of several, the others being as they were chosen.
fn wanted(view: &View<'_>, pick: &Pick, packed: &Packed) -> String {
    let wanted = &packed.wanted;
    let length = |mm: f64| match view.model.packs[packed.pack].turns(mm) {
        Some(turns) => screw::turns(turns),
        None => view.length(mm, places(view, pick)),
    };
    let several = pick.packs.len() > 1;
    let mut line = format!("wanted {}", length(wanted.thickness_mm));
    if wanted.none_serves {
        line = if several {
            "no thickness alone keeps every gap in band".to_owned()
        } else {
            "no one thickness keeps all of these gaps in band".to_owned()
        };
    }
    match (wanted.low_mm, wanted.high_mm) {
        (Some(low), Some(high)) => {
            line.push_str(&format!("; in band by the number from {} to {}", length(low), length(high)));
        }
        (Some(low), None) => line.push_str(&format!("; in band by the number from {}", length(low))),
        (None, Some(high)) => line.push_str(&format!("; in band by the number up to {}", length(high))),
        (None, None) => {}
    }
    line
}

/// Rows in columns, or each as a sentence where a row would be too wide.
fn in_columns(rows: &[Vec<String>], width: usize) -> String {
    let set = table(rows, &[], 2);
    if set.lines().all(|line| columns_of(line) <= width) {
        return set;
    }
    rows.iter().map(|row| hanging(&format!("  {}: ", row[0]), &row[1..].join("; "), width)).collect()
}

fn alternative(view: &View<'_>, pick: &Pick, one: &Alternative) -> Vec<String> {
    let screw = one.which.is_some_and(|which| view.model.packs[pick.packs[which].pack].pitch_mm.is_some());
    let role = match (one.role, screw) {
        (AlternativeRole::Thinner, false) => "next thinner",
        (AlternativeRole::Thicker, false) => "next thicker",
        (AlternativeRole::Thinner, true) => "a step back",
        (AlternativeRole::Thicker, true) => "a step on",
        (AlternativeRole::Next, _) => "if bought",
    };
    let (role, packs) = match one.which {
        Some(which) if pick.packs.len() > 1 => {
            (format!("{}, {role}", name(view, pick, which)), view.pack(&one.choices[which]))
        }
        Some(which) => (role.to_owned(), view.pack(&one.choices[which])),
        None => (role.to_owned(), named(view, pick, &one.choices)),
    };
    vec![role, packs, gives(view, pick, &one.gaps)]
}

fn name<'v>(view: &View<'v>, pick: &Pick, which: usize) -> &'v str {
    &view.model.packs[pick.packs[which].pack].name
}

/// Packs in words, of several each with its name.
fn named(view: &View<'_>, pick: &Pick, choices: &[Choice]) -> String {
    match choices {
        [one] => view.pack(one),
        _ => {
            let one = |(which, choice): (usize, &Choice)| format!("{} {}", name(view, pick, which), view.pack(choice));
            choices.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
        }
    }
}

fn gives(view: &View<'_>, pick: &Pick, gaps: &[Expected]) -> String {
    (0..gaps.len())
        .filter(|&index| decides(view, pick, index))
        .map(|index| expectation_short(view, &gaps[index]))
        .collect::<Vec<_>>()
        .join("; ")
}

fn ruled_out(view: &View<'_>, pick: &Pick, ruled: &Ruled) -> String {
    let pack = &view.model.packs[pick.packs[ruled.which].pack];
    let of = if pick.packs.len() > 1 { format!(" on {}", pack.name) } else { String::new() };
    let other = |index: Option<usize>| index.map_or("", |index| view.model.packs[index].name.as_str());
    let rule = match ruled.rule {
        Rule::Most => format!("at most {} may be in", pack.count.most),
        Rule::Least => format!("at least {} must be in", pack.count.least),
        Rule::Includes => {
            let sizes: Vec<String> = pack.includes_mm.iter().map(|&mm| view.length(mm, 2)).collect();
            format!("{} must be in", together(&sizes))
        }
        Rule::Thickest => "the pack may not be thicker".to_owned(),
        Rule::Never => "some sizes may not meet".to_owned(),
        Rule::SameAs => format!("it is as thick as {}", other(pack.same_as)),
        Rule::NotThinner => format!("it is not thinner than {}", other(pack.not_thinner_than)),
        Rule::Box => "the box has no more".to_owned(),
    };
    let packs = named(view, pick, &ruled.choices);
    format!("but for the rule{of} that {rule}: {packs}, {}", gives(view, pick, &ruled.gaps))
}
