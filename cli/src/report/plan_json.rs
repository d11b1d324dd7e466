//! The plan of many stations as JSON.

use serde_json::{Value, json};
use shimwright_engine::analyse::Verdict;
use shimwright_engine::select::Pick;
use shimwright_engine::select::plan::{Old, Plan, Planned, Step};

use super::plan::labels;
use super::view::View;

/// `keep`, `move`, `box`, `buy`: one entry a station, in one of the four; `spare`: shims that are left over;
/// `unserved`: stations that are out of band by the number, with what to have made.
#[must_use]
pub fn plan(view: &View<'_>, pick: &Pick, plan: &Plan) -> Value {
    let labels = labels(view, plan);
    let of = |is: &dyn Fn(&Planned) -> bool| -> Vec<Value> {
        let stations = plan.stations.iter().zip(&labels).filter(|(one, _)| is(one));
        stations.map(|(one, label)| entry(view, pick, one, label)).collect()
    };
    let unserved = plan.stations.iter().zip(&labels).filter(|(one, _)| !one.in_by_number);
    let unserved = unserved.map(|(one, label)| {
        let make = one.make.as_ref().map(|make| {
            let l = |mm: f64| view.unit.from_mm(mm);
            json!({ "thickness": l(make.thickness_mm), "low": l(make.low_mm), "high": l(make.high_mm), "sure": make.sure })
        });
        json!({ "station": label, "pack": view.model.packs[one.pack].name, "make": make })
    });
    let spare = plan.spare.iter().map(|one| {
        json!({ "size": view.unit.from_mm(one.size_mm), "label": one.label, "from": view.model.packs[one.from].name })
    });
    json!({
        "keep": of(&|one| one.step == Step::Keep),
        "move": of(&|one| matches!(one.step, Step::Move(_))),
        "box": of(&|one| one.step == Step::Box),
        "buy": of(&|one| one.step == Step::Buy),
        "spare": spare.collect::<Vec<Value>>(),
        "unserved": unserved.collect::<Vec<Value>>(),
    })
}

fn entry(view: &View<'_>, pick: &Pick, station: &Planned, label: &str) -> Value {
    let l = |mm: f64| view.unit.from_mm(mm);
    let packed = pick.packs.iter().find(|packed| packed.pack == station.pack);
    let shim = packed.and_then(|packed| packed.choice.shims.first());
    let from = match station.step {
        Step::Move(from) => Some(view.model.packs[from].name.as_str()),
        Step::Keep | Step::Box | Step::Buy => None,
    };
    let gaps: Vec<&str> = station.gaps.iter().map(|&index| pick.gaps[index].name.as_str()).collect();
    let if_bought = station
        .if_bought
        .as_ref()
        .map(|bought| json!({ "size": l(bought.size_mm), "expected": l(bought.expected_mm), "within": bought.within }));
    json!({
        "station": label,
        "pack": view.model.packs[station.pack].name,
        "gaps": gaps,
        "take_out": station.taken_out.iter().map(|old: &Old| l(old.size_mm)).collect::<Vec<f64>>(),
        "size": shim.map(|shim| l(shim.size_mm)),
        "thickness": shim.map(|shim| l(shim.thickness_mm)),
        "from": from,
        "by_number": if station.in_by_number { "in" } else { "out" },
        "verdict": station.verdict.map(Verdict::words),
        "sure": station.verdict.map(|verdict| verdict == Verdict::In),
        "if_bought": if_bought,
    })
}
