//! The cheapest assignment of rows to columns, each column once.

/// What an assignment costs: the first figure counts, and the next ones among those that are level so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost(pub [i64; Cost::PARTS]);

impl Cost {
    /// How many figures there are.
    pub const PARTS: usize = 6;
    /// Nothing.
    pub const NONE: Cost = Cost([0; Cost::PARTS]);

    fn plus(self, other: Cost) -> Cost {
        Cost(std::array::from_fn(|part| self.0[part] + other.0[part]))
    }

    fn less(self, other: Cost) -> Cost {
        Cost(std::array::from_fn(|part| self.0[part] - other.0[part]))
    }
}

/// The column of each row in a cheapest assignment; none where the rows cannot all have a column of their own.
///
/// Shape: `costs[row][column]`, every row of one length; a cost that is not there is a column that the row may not
/// have. Method: shortest augmenting paths with potentials (Kuhn 1955; Jonker and Volgenant 1987), in whole numbers
/// throughout, so that the answer is exact; lexicographic costs add and compare as one number does. Time: rows² ×
/// columns. No figure may be beyond 2⁵⁸ divided by the number of rows. Of several cheapest assignments always the same
/// one comes out.
#[must_use]
pub fn assign(costs: &[Vec<Option<Cost>>]) -> Option<Vec<usize>> {
    let columns = costs.first().map_or(0, Vec::len);
    let mut potential_of_row = vec![Cost::NONE; costs.len()];
    let mut potential_of_column = vec![Cost::NONE; columns];
    let mut row_of: Vec<Option<usize>> = vec![None; columns];
    for start in 0..costs.len() {
        let mut shortest: Vec<Option<Cost>> = vec![None; columns];
        // The column before each column on the shortest path to it; none: the row that is to be placed.
        let mut before: Vec<Option<usize>> = vec![None; columns];
        let mut done = vec![false; columns];
        let mut reached: Option<usize> = None;
        loop {
            let row = reached.map_or(start, |column| row_of[column].expect("a path goes on from taken columns only"));
            let mut next: Option<(Cost, usize)> = None;
            for column in (0..columns).filter(|&column| !done[column]) {
                if let Some(cost) = costs[row][column] {
                    let reduced = cost.less(potential_of_row[row]).less(potential_of_column[column]);
                    if shortest[column].is_none_or(|there| reduced < there) {
                        shortest[column] = Some(reduced);
                        before[column] = reached;
                    }
                }
                if let Some(cost) = shortest[column]
                    && next.is_none_or(|(least, _)| cost < least)
                {
                    next = Some((cost, column));
                }
            }
            let (step, nearest) = next?;
            potential_of_row[start] = potential_of_row[start].plus(step);
            for column in 0..columns {
                if done[column] {
                    let taken_by = row_of[column].expect("only taken columns are passed");
                    potential_of_row[taken_by] = potential_of_row[taken_by].plus(step);
                    potential_of_column[column] = potential_of_column[column].less(step);
                } else {
                    shortest[column] = shortest[column].map(|cost| cost.less(step));
                }
            }
            done[nearest] = true;
            reached = Some(nearest);
            if row_of[nearest].is_none() {
                break;
            }
        }
        // The rows on the path each take the column that comes next on it.
        let mut to = reached.expect("a path has been found");
        while let Some(from) = before[to] {
            row_of[to] = row_of[from];
            to = from;
        }
        row_of[to] = Some(start);
    }
    let mut column_of = vec![0; costs.len()];
    for (column, row) in row_of.iter().enumerate() {
        if let Some(row) = *row {
            column_of[row] = column;
        }
    }
    Some(column_of)
}

#[cfg(test)]
mod tests {
    use super::{Cost, assign};

    fn one(cost: i64) -> Option<Cost> {
        Some(Cost([cost, 0, 0, 0, 0, 0]))
    }

    #[test]
    fn the_cheapest_for_each_row_may_not_be_the_cheapest_of_all() {
        // Row 0 by itself would take column 0, and leave 9 for row 1.
        let costs = [vec![one(1), one(2)], vec![one(1), one(9)]];
        assert_eq!(assign(&costs), Some(vec![1, 0]));
    }

    #[test]
    fn a_later_figure_counts_only_among_those_that_are_level() {
        let cost = |first: i64, second: i64| Some(Cost([first, second, 0, 0, 0, 0]));
        assert_eq!(assign(&[vec![cost(0, 1_000_000), cost(1, 0)]]), Some(vec![0]));
        let costs = [vec![cost(1, 0), cost(0, 500), cost(0, 7)], vec![cost(0, 3), cost(0, 500), cost(0, 4)]];
        assert_eq!(assign(&costs), Some(vec![2, 0]));
    }

    #[test]
    fn what_is_forbidden_is_not_taken() {
        assert_eq!(assign(&[vec![None, one(5)], vec![one(1), one(0)]]), Some(vec![1, 0]));
        assert_eq!(assign(&[vec![None, one(5)], vec![None, one(0)]]), None, "two rows and one column");
        assert_eq!(assign(&[vec![one(1)], vec![one(1)]]), None, "fewer columns than rows");
        assert_eq!(assign(&[]), Some(Vec::new()));
    }
}
