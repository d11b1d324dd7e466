//! Cheapest assignments: against scipy's on stored cases (`data/assignment`), and against every assignment there is.

use proptest::prelude::*;
use shimwright_engine::select::plan::{Cost, assign};

const STORED: &str = include_str!("../data/assignment/assignment.csv");

/// The sum of what an assignment costs, after a look at whether it is one.
fn total(costs: &[Vec<Option<Cost>>], columns: &[usize]) -> Cost {
    assert_eq!(columns.len(), costs.len(), "every row has a column");
    let mut sum = [0; Cost::PARTS];
    for (row, &column) in columns.iter().enumerate() {
        assert!(!columns[..row].contains(&column), "column {column} is given twice");
        let cost = costs[row][column].expect("a column that the row may have");
        (0..Cost::PARTS).for_each(|part| sum[part] += cost.0[part]);
    }
    Cost(sum)
}

fn cost(figures: &str) -> Option<Cost> {
    if figures == "x" {
        return None;
    }
    let mut parts = [0; Cost::PARTS];
    for (part, figure) in parts.iter_mut().zip(figures.split('/')) {
        *part = figure.parse().expect("a whole figure");
    }
    Some(Cost(parts))
}

#[test]
fn are_as_cheap_as_those_of_scipy() {
    let mut cases = 0;
    for line in STORED.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split(';').collect();
        let [name, rows, columns, sums, costs] = fields[..] else { panic!("five fields in {line}") };
        let columns: usize = columns.parse().expect("a number of columns");
        let all: Vec<Option<Cost>> = costs.split(' ').map(cost).collect();
        let costs: Vec<Vec<Option<Cost>>> = all.chunks(columns).map(<[Option<Cost>]>::to_vec).collect();
        assert_eq!(costs.len(), rows.parse::<usize>().expect("a number of rows"), "{name}");
        let assigned = assign(&costs).unwrap_or_else(|| panic!("{name} has an assignment"));
        assert_eq!(Some(total(&costs, &assigned)), cost(sums), "{name}");
        cases += 1;
    }
    assert_eq!(cases, 43);
}

/// The cheapest sum, by going through every assignment.
fn by_trying_all(costs: &[Vec<Option<Cost>>], taken: &mut Vec<usize>) -> Option<Cost> {
    if taken.len() == costs.len() {
        return Some(total(costs, taken));
    }
    let mut best = None;
    for column in 0..costs[taken.len()].len() {
        if !taken.contains(&column) && costs[taken.len()][column].is_some() {
            taken.push(column);
            let found = by_trying_all(costs, taken);
            taken.pop();
            best = [best, found].into_iter().flatten().min();
        }
    }
    best
}

/// Few rows and columns with small costs of all six figures, so that ties are common and the later figures count.
fn costs() -> impl Strategy<Value = Vec<Vec<Option<Cost>>>> {
    let one = proptest::option::weighted(0.8, proptest::array::uniform6(-2_i64..4).prop_map(Cost));
    (1_usize..5, 0_usize..4).prop_flat_map(move |(rows, more)| {
        proptest::collection::vec(proptest::collection::vec(one.clone(), rows + more), rows)
    })
}

proptest! {
    #[test]
    fn are_the_cheapest_of_all(costs in costs()) {
        let best = by_trying_all(&costs, &mut Vec::new());
        prop_assert_eq!(assign(&costs).map(|assigned| total(&costs, &assigned)), best);
    }

    #[test]
    fn cost_the_same_in_any_order_of_rows(costs in costs(), turn in 0_usize..5) {
        let mut turned = costs.clone();
        let by = turn % turned.len();
        turned.rotate_left(by);
        let sum = |costs: &[Vec<Option<Cost>>]| assign(costs).map(|assigned| total(costs, &assigned));
        prop_assert_eq!(sum(&costs), sum(&turned));
    }
}
