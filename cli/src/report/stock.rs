//! The answer of `stock` in words and as JSON.

use serde_json::{Value, json};
use shimwright_engine::document::diagnostic::Diagnostic;
use shimwright_engine::document::source::Sources;
use shimwright_engine::select::stock::{Bound, Kept, Stock, StockOptions};

use super::answer_json::length;
use super::json::{FORMAT, Note};
use super::number::to_place;
use super::odds::{chance, level};
use super::text::{Align, hanging, table};
use super::view::{View, almost};

/// The first line: what to keep.
#[must_use]
pub fn headline(view: &View<'_>, stock: &Stock) -> String {
    if stock.sizes.is_empty() {
        return hanging("", "KEEP NOTHING: no size brings a unit into its band", view.width);
    }
    let units = almost(stock.reached).replace(" in ", " of ");
    let sizes: Vec<String> = stock
        .sizes
        .iter()
        .map(|kept| match kept.quantity {
            Some(quantity) => format!("{quantity} of {}", kept.label),
            None => kept.label.clone(),
        })
        .collect();
    hanging("", &format!("KEEP {}: they serve {units} units", sizes.join(", ")), view.width)
}

/// The whole answer.
#[must_use]
pub fn text(view: &View<'_>, stock: &Stock, options: &StockOptions, notes: &[Diagnostic]) -> String {
    let mut text = headline(view, stock);
    text.push_str(&hanging("  ", &how_good(stock), view.width));
    if let Some(service) = &stock.service {
        let line = format!(
            "for {} builds: in {} batches no unit that these sizes can serve goes without",
            service.builds,
            chance(service.service).replace(" in ", " of ")
        );
        text.push_str(&hanging("  ", &line, view.width));
        if service.beyond_reach > 0.0 {
            let line = format!(
                "beyond these sizes, on average {} of {} builds",
                to_place(service.beyond_reach, if service.beyond_reach < 1.0 { 2 } else { 1 }),
                service.builds
            );
            text.push_str(&hanging("  ", &line, view.width));
        }
    }
    text.push_str(&view.mind(notes));
    text.push_str(&list(view, stock));
    text.push_str(&figures(stock, options));
    text + &view.ending(notes)
}

fn how_good(stock: &Stock) -> String {
    let of = |probability: f64| almost(probability).replace(" in ", " of ");
    if stock.proven_best {
        let all = of(stock.reached_by_all);
        format!("no other choice of so many sizes serves more; all there are to choose from would serve {all}")
    } else {
        format!("the best found; no choice of so many sizes can serve more than {}", of(stock.bound))
    }
}

fn list(view: &View<'_>, stock: &Stock) -> String {
    if stock.service.is_none() || stock.sizes.is_empty() {
        return String::new();
    }
    let head = ["size", "keep", "there", "order", "100 builds use"].map(str::to_owned).to_vec();
    let row = |kept: &Kept| {
        vec![
            kept.label.clone(),
            kept.quantity.map_or(String::new(), |quantity| quantity.to_string()),
            kept.on_hand.to_string(),
            kept.to_order().map_or(String::new(), |order| order.to_string()),
            kept.use_per_100.map_or(String::new(), |used| to_place(used, 1)),
        ]
    };
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(stock.sizes.iter().map(row)).collect();
    let align = [Align::Left, Align::Right, Align::Right, Align::Right, Align::Right];
    format!("\nWhat to order for {} ({})\n{}", stock.kit, view.unit, table(&rows, &align, 2))
}

fn figures(stock: &Stock, options: &StockOptions) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut row = |name: &str, value: String| rows.push(vec![name.to_owned(), value]);
    row("reached by these sizes", format!("{:.6}", stock.reached));
    row("reached by all there are to choose from", format!("{:.6}", stock.reached_by_all));
    if !stock.proven_best {
        row(&format!("bound ({})", bounded_by(stock.bounded_by)), format!("{:.6}", stock.bound));
    }
    if let Some(service) = &stock.service {
        row("service wanted", level(options.service));
        let (low, high) = service.interval;
        row(
            "service tried out, 95 % interval",
            format!("{}, {} to {}", to_place(service.service, 4), to_place(low, 4), to_place(high, 4)),
        );
        row("batches, seed", format!("{}, {}", service.batches, options.monte_carlo.seed));
    }
    format!("\nFigures\n{}", table(&rows, &[Align::Left, Align::Left], 2))
}

fn bounded_by(bound: Bound) -> &'static str {
    match bound {
        Bound::Proof => "the best itself",
        Bound::AllSizes => "all sizes",
        Bound::FreeThicknesses => "as many thicknesses, freely chosen",
    }
}

/// The answer as JSON.
#[must_use]
pub fn as_json(
    view: &View<'_>,
    stock: &Stock,
    options: &StockOptions,
    notes: &[Diagnostic],
    sources: &Sources,
) -> Value {
    let size = |kept: &Kept| {
        json!({
            "size": length(view, Some(kept.size_mm)),
            "label": kept.label,
            "quantity": kept.quantity,
            "on_hand": kept.on_hand,
            "order": kept.to_order(),
            "use_per_100": kept.use_per_100,
        })
    };
    json!({
        "format": FORMAT,
        "command": "stock",
        "title": view.document.title,
        "unit": view.unit.word(),
        "seed": options.monte_carlo.seed,
        "kit": stock.kit,
        "sizes": stock.sizes.iter().map(size).collect::<Vec<Value>>(),
        "reached": stock.reached,
        "reached_by_all": stock.reached_by_all,
        "proven_best": stock.proven_best,
        "bound": stock.bound,
        "bounded_by": bounded_by(stock.bounded_by),
        "service": stock.service.as_ref().map(|service| json!({
            "wanted": options.service,
            "builds": service.builds,
            "service": service.service,
            "interval": [service.interval.0, service.interval.1],
            "batches": service.batches,
            "beyond_reach": service.beyond_reach,
        })),
        "notes": Note::all(notes, sources),
    })
}
