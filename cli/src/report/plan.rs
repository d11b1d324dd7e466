//! What to do at many stations that draw on one box, in words.

use shimwright_engine::analyse::{ByNumber, Verdict};
use shimwright_engine::model::Origin;
use shimwright_engine::select::plan::{Old, Plan, Planned, Step};
use shimwright_engine::select::{Choice, Expected, Pick};

use super::pick::places;
use super::settle;
use super::text::{columns_of, hanging, table};
use super::view::{View, almost, odds};

/// The name of each station: that of its pack without the words that all of them begin with.
#[must_use]
pub fn labels(view: &View<'_>, plan: &Plan) -> Vec<String> {
    let names: Vec<Vec<&str>> =
        plan.stations.iter().map(|one| view.model.packs[one.pack].name.split(' ').collect()).collect();
    let all_begin_alike =
        |words: usize| names.iter().all(|name| name.len() > words + 1 && name[..=words] == names[0][..=words]);
    let common = (0..).find(|&words| !all_begin_alike(words)).unwrap_or(0);
    names.iter().map(|name| name[common..].join(" ")).collect()
}

/// Whether a gap belongs to a station of the plan.
#[must_use]
pub fn is_of_plan(pick: &Pick, gap: usize) -> bool {
    pick.plan.iter().flat_map(|plan| &plan.stations).any(|station| station.gaps.contains(&gap))
}

/// The first line: how many shims to buy, to move, to take from the box and to keep, and where it does not come out.
#[must_use]
pub fn headline(view: &View<'_>, pick: &Pick, plan: &Plan) -> String {
    let labels = labels(view, plan);
    let of = |is: &dyn Fn(Step) -> bool| plan.stations.iter().filter(|one| is(one.step)).collect::<Vec<&Planned>>();
    let sizes = |stations: &[&Planned]| counted(stations.iter().map(|one| label(choice(pick, one))).collect());
    let (bought, moved) = (of(&|step| step == Step::Buy), of(&|step| matches!(step, Step::Move(_))));
    let (of_box, kept) = (of(&|step| step == Step::Box), of(&|step| step == Step::Keep));
    let mut parts = Vec::new();
    if !bought.is_empty() {
        parts.push(format!("buy {}: {}", bought.len(), sizes(&bought)));
    }
    if !of_box.is_empty() {
        parts.push(format!("from the box {}: {}", of_box.len(), sizes(&of_box)));
    }
    if !moved.is_empty() {
        parts.push(format!("move {}", moved.len()));
    }
    if !kept.is_empty() {
        parts.push(format!("keep {}", kept.len()));
    }
    let mut line =
        if kept.len() == plan.stations.len() { "leave all as they are".to_owned() } else { parts.join("; ") };
    let end = line.find(|c: char| !c.is_alphabetic() && c != ' ').unwrap_or(line.len());
    line.replace_range(..end, &line[..end].to_uppercase());
    let out: Vec<&str> = plan
        .stations
        .iter()
        .zip(&labels)
        .filter(|(one, _)| !one.in_by_number)
        .map(|(_, label)| label.as_str())
        .collect();
    if !out.is_empty() {
        line.push_str(&format!("; NOTHING FITS {}", out.join(", ")));
    }
    let judged = plan.stations.iter().filter(|one| one.verdict.is_some()).count();
    let sure = plan.stations.iter().filter(|one| one.verdict == Some(Verdict::In)).count();
    if judged > 0 {
        let all = if sure == judged { format!("all {judged}") } else { format!("{sure} of {judged}") };
        line.push_str(&format!("; sure to be in band: {all}"));
    }
    line
}

/// Sizes, each once: `2.45 twice, 2.75`.
fn counted(sizes: Vec<&str>) -> String {
    let mut found: Vec<(&str, usize)> = Vec::new();
    for size in sizes {
        match found.iter_mut().find(|(there, _)| *there == size) {
            Some((_, count)) => *count += 1,
            None => found.push((size, 1)),
        }
    }
    let one = |(size, count): (&str, usize)| match count {
        1 => size.to_owned(),
        2 => format!("{size} twice"),
        _ => format!("{size} {count} times"),
    };
    found.into_iter().map(one).collect::<Vec<_>>().join(", ")
}

fn choice<'p>(pick: &'p Pick, station: &Planned) -> &'p Choice {
    let packed = pick.packs.iter().find(|packed| packed.pack == station.pack);
    &packed.expect("every station's pack was chosen").choice
}

/// A station has one shim.
fn label(choice: &Choice) -> &str {
    choice.shims.first().map_or("no shim", |shim| shim.label.as_str())
}

/// One line a station, what is left over, what to have made, and what would make sure what is not.
#[must_use]
pub fn under_headline(view: &View<'_>, pick: &Pick, plan: &Plan) -> String {
    let labels = labels(view, plan);
    let label_of = |pack: usize| {
        let place = plan.stations.iter().position(|one| one.pack == pack);
        place.map_or(view.model.packs[pack].name.as_str(), |place| labels[place].as_str())
    };
    let rows: Vec<Vec<String>> =
        plan.stations.iter().zip(&labels).map(|(one, label)| row(view, pick, one, label, &label_of)).collect();
    let set = table(&rows, &[], 2);
    let mut text = if set.lines().all(|line| columns_of(line) <= view.width) {
        set
    } else {
        let as_sentence = |row: &Vec<String>| {
            let cells: Vec<&str> = row[1..].iter().map(String::as_str).filter(|cell| !cell.is_empty()).collect();
            hanging(&format!("  {}: ", row[0]), &cells.join(", "), view.width)
        };
        rows.iter().map(as_sentence).collect()
    };
    if !plan.spare.is_empty() {
        let one = |old: &Old| format!("{} (from {})", old.label, label_of(old.from));
        let all: Vec<String> = plan.spare.iter().map(one).collect();
        text.push_str(&hanging("spare: ", &all.join(", "), view.width));
    }
    for (station, label) in plan.stations.iter().zip(&labels).filter(|(one, _)| !one.in_by_number) {
        text.push_str(&unserved(view, pick, station, label));
    }
    let would: Vec<String> = plan
        .stations
        .iter()
        .zip(&labels)
        .filter_map(|(station, label)| {
            let bought = station.if_bought.as_ref()?;
            let u_mm = pick.gaps[*station.gaps.first()?].u_mm;
            let value = view.value(bought.expected_mm, u_mm);
            Some(format!("{label}: {} gives {value}, {}", bought.label, almost(bought.within)))
        })
        .collect();
    if !would.is_empty() {
        text.push_str(&hanging("one more bought would make sure: ", &would.join("; "), view.width));
    }
    text + &settled(view, pick)
}

fn row<'l>(
    view: &View<'_>,
    pick: &Pick,
    station: &Planned,
    label: &str,
    label_of: &impl Fn(usize) -> &'l str,
) -> Vec<String> {
    let choice = choice(pick, station);
    let shim = view.pack(&Choice {
        shims: choice
            .shims
            .iter()
            .cloned()
            // Where it comes from is said in the words of the plan.
            .map(|mut shim| {
                (shim.from, shim.moved_from) = (Origin::Kit, None);
                shim
            })
            .collect(),
        ..choice.clone()
    });
    let taken_out: Vec<&str> = station.taken_out.iter().map(|old| old.label.as_str()).collect();
    let out = if taken_out.is_empty() { String::new() } else { format!("take out {}", taken_out.join(" + ")) };
    let fit = match station.step {
        Step::Keep => format!("keep {shim}"),
        Step::Move(from) => format!("fit {shim} from {}", label_of(from)),
        Step::Box => format!("fit {shim} from the box"),
        Step::Buy => format!("fit {shim} (buy)"),
    };
    let mut row = vec![label.to_owned(), out, fit];
    let several = station.gaps.len() > 1;
    for &index in &station.gaps {
        let gap = &pick.gaps[index];
        let value = view.value(gap.expected_mm, gap.u_mm);
        row.push(if several { format!("expect {} {value}", gap.name) } else { format!("expect {value}") });
        row.push(how_sure(view, index, gap));
    }
    row
}

fn how_sure(view: &View<'_>, index: usize, gap: &Expected) -> String {
    let (Some(verdict), Some(number), Some(chances)) = (gap.verdict, gap.by_number, &gap.chances) else {
        return String::new();
    };
    let side = if number == ByNumber::In { "in" } else { number.side() };
    let side = format!("{side}{}", view.miss(gap.misses_by_mm(), gap.u_mm));
    if !view.model.gaps[index].not_flat.is_empty() {
        return format!("{side}, but a face is not flat");
    }
    match (verdict, number) {
        (Verdict::In, _) => format!("{side}, sure: {}", odds(chances)),
        (Verdict::Out, ByNumber::In) => format!("{side} by the number, out: {}", odds(chances)),
        (Verdict::Out, _) => format!("{side}: out"),
        (Verdict::CannotTell | Verdict::SomeWill, _) => format!("{side}, not sure: {}", odds(chances)),
    }
}

/// What a station needs that no shim brings in.
fn unserved(view: &View<'_>, pick: &Pick, station: &Planned, label: &str) -> String {
    let length = |mm: f64| view.length(mm, places(view, pick));
    let line = match &station.make {
        Some(make) => format!(
            "{label}: have one made {} thick; from {} to {} keeps it in band{}",
            length(make.thickness_mm),
            length(make.low_mm),
            length(make.high_mm),
            if make.sure { "" } else { " by the number" }
        ),
        None => format!("{label}: no thickness can do it; look at the parts"),
    };
    hanging("", &line, view.width)
}

/// What would settle the stations' gaps, those together that the same words are said of.
fn settled(view: &View<'_>, pick: &Pick) -> String {
    let mut text = String::new();
    for (index, gap) in pick.gaps.iter().enumerate().filter(|(index, _)| is_of_plan(pick, *index)) {
        if let Some(settle) = &pick.settle[index] {
            text.push_str(&settle::sentence(view, Some(&gap.name), settle));
        }
    }
    text
}
