//! Every row of the embedded ISO 286 tables through the lookup: a confirmed figure is given at both ends of its range,
//! and one that is not confirmed is refused with the reason.
//!
//! The rows are read here apart from the engine's own reader of them.

use shimwright_engine::standards::iso286::{ClassError, Deviations, limits};

const TOLERANCES: &str = include_str!("../../engine/data/iso286_it.csv");
const DEVIATIONS: &str = include_str!("../../engine/data/iso286_dev.csv");

/// Figures are whole micrometres, halves or one decimal, and at most three additions stand between table and result.
const ROUNDING_UM: f64 = 1e-9;

/// The grid of sizes: a range begins one step over its lower end.
const STEP_MM: f64 = 1e-6;

struct Row {
    column: &'static str,
    sizes_mm: [f64; 2],
    um: f64,
    confirmed: bool,
}

fn rows(text: &'static str) -> Vec<Row> {
    let read = |line: &'static str| {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |index: usize| -> f64 { fields[index].parse().unwrap() };
        Row {
            column: fields[0],
            sizes_mm: [number(1) + STEP_MM, number(2)],
            um: number(3),
            confirmed: fields[5] == "ok",
        }
    };
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(read).collect()
}

fn of(size_mm: f64, class: &str) -> Deviations {
    limits(size_mm, class).unwrap_or_else(|error| panic!("{size_mm} {class}: {error}"))
}

#[track_caller]
fn same(found: f64, row: &Row, size: f64) {
    assert!((found - row.um).abs() <= ROUNDING_UM, "{} at {size}: {found}, the table has {}", row.column, row.um);
}

/// Where a class is not for sizes up to 1 mm, the lower end of the first range is asked just over that.
fn least(row: &Row, size: f64) -> f64 {
    let coarse = row.column.strip_prefix("IT").is_some_and(|grade| grade.parse::<u8>().unwrap() >= 14);
    if size < 1.0 && (coarse || matches!(row.column, "a" | "b")) { 1.0 + STEP_MM } else { size }
}

#[test]
fn every_standard_tolerance_is_given_or_refused_as_its_row_says() {
    let (mut given, mut refused) = (0, 0);
    for row in rows(TOLERANCES) {
        let grade = row.column.strip_prefix("IT").unwrap();
        for size in row.sizes_mm.map(|size| least(&row, size)) {
            // A shaft h, a hole H and js have no deviation of their own.
            for class in [format!("h{grade}"), format!("H{grade}"), format!("js{grade}"), format!("JS{grade}")] {
                if row.confirmed {
                    let found = of(size, &class);
                    same(found.upper_um - found.lower_um, &row, size);
                    given += 1;
                } else {
                    let error = limits(size, &class).unwrap_err();
                    assert_eq!(error, ClassError::Unverified { class: class.clone() });
                    let text = error.to_string();
                    assert!(text.starts_with(&class) && text.contains("one printing"), "{text}");
                    refused += 1;
                }
            }
        }
    }
    // 16 and 2 grades, 13 ranges, two ends, four classes.
    assert_eq!((given, refused), (16 * 13 * 8, 2 * 13 * 8));
}

#[test]
fn every_deviation_is_given_as_its_row_says() {
    let mut seen = 0;
    for row in rows(DEVIATIONS) {
        assert!(row.confirmed, "all deviations are confirmed");
        for size in row.sizes_mm.map(|size| least(&row, size)) {
            match row.column {
                "a" | "b" | "c" | "d" | "e" | "f" | "g" | "h" => {
                    same(of(size, &format!("{}9", row.column)).upper_um, &row, size);
                    // ISO 286-1: EI = -es.
                    same(-of(size, &format!("{}9", row.column.to_uppercase())).lower_um, &row, size);
                }
                "j5" | "j6" | "j7" => same(of(size, row.column).lower_um, &row, size),
                "J6" | "J7" | "J8" => same(of(size, row.column).upper_um, &row, size),
                "k" | "m" | "n" | "p" | "r" | "s" | "t" | "u" => {
                    same(of(size, &format!("{}6", row.column)).lower_um, &row, size);
                    // ISO 286-1, grades above those with delta: ES = -ei. K, M and N have others there.
                    if !matches!(row.column, "k" | "m" | "n") {
                        same(-of(size, &format!("{}10", row.column.to_uppercase())).upper_um, &row, size);
                    }
                }
                delta => {
                    let grade = delta.strip_prefix("delta").expect("a column of delta");
                    // ISO 286-1: ES = -ei + delta, for K to grade 8; k is tabulated for grades 4 to 7.
                    let es = of(size, &format!("K{grade}")).upper_um;
                    same(es + of(size, "k6").lower_um, &row, size);
                }
            }
            seen += 1;
        }
    }
    assert_eq!(seen, 2 * 622);
}
