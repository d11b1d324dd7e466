//! Reads the embedded tables: columns of figures over ranges of nominal size.

use std::collections::BTreeMap;

use crate::length;

/// A size on the 1 nm grid, or `None` if it is not a finite number.
pub(super) fn on_grid(size_mm: f64) -> Option<i64> {
    // A size beyond the grid saturates, which is still beyond every table.
    size_mm.is_finite().then(|| length::on_grid(size_mm))
}

/// One figure of a table, over `over_nm`, up to and including `upto_nm`.
#[derive(Debug)]
pub(super) struct Cell {
    pub over_nm: i64,
    pub upto_nm: i64,
    /// The figure, in the unit of its table.
    pub value: f64,
    /// False where too few printings agree for the figure to be used.
    pub confirmed: bool,
}

/// Columns by name; the cells of a column stand in order of size and leave no hole.
#[derive(Debug)]
pub(super) struct Table {
    columns: BTreeMap<&'static str, Vec<Cell>>,
}

impl Table {
    /// Reads rows `column,over_mm,upto_mm,value,printings,status`; `#` begins a comment, the first row names the columns.
    ///
    /// # Panics
    /// If an embedded file is broken, which its test finds before a user does.
    pub(super) fn parse(text: &'static str) -> Self {
        let mut columns: BTreeMap<&'static str, Vec<Cell>> = BTreeMap::new();
        for row in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let fields: Vec<&'static str> = row.split(',').collect();
            let [name, over, upto, value, _printings, status] = fields[..] else {
                panic!("a row of an embedded table has six fields, not `{row}`");
            };
            let number = |field: &str| -> f64 {
                field.parse().unwrap_or_else(|_| panic!("`{field}` in the embedded row `{row}` is not a number"))
            };
            let edge =
                |field: &str| -> i64 { on_grid(number(field)).expect("the edge of an embedded range is finite") };
            assert!(
                status == "ok" || status == "UNVERIFIED",
                "the status in the embedded row `{row}` is neither ok nor UNVERIFIED"
            );
            let cell =
                Cell { over_nm: edge(over), upto_nm: edge(upto), value: number(value), confirmed: status == "ok" };
            assert!(cell.over_nm < cell.upto_nm, "the embedded row `{row}` has its range the wrong way round");
            let cells = columns.entry(name).or_default();
            assert!(
                cells.last().is_none_or(|last| last.upto_nm == cell.over_nm),
                "the embedded row `{row}` does not begin where the one before it ends"
            );
            cells.push(cell);
        }
        Self { columns }
    }

    /// The cell of `column` that holds the size, or the range the column covers (over, up to and including, in nm).
    ///
    /// # Panics
    /// If the table has no such column: callers ask only for columns their own rules name.
    pub(super) fn cell(&self, column: &str, size_nm: i64) -> Result<&Cell, (i64, i64)> {
        let cells = self.columns.get(column).unwrap_or_else(|| panic!("the embedded table has no column `{column}`"));
        let after = cells.partition_point(|cell| cell.upto_nm < size_nm);
        match cells.get(after) {
            Some(cell) if cell.over_nm < size_nm => Ok(cell),
            _ => Err((cells[0].over_nm, cells[cells.len() - 1].upto_nm)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = "# remark\ncolumn,over,upto,um,printings,status\nx,0,3,1.5,2,ok\nx,3,6,-2,1,UNVERIFIED\n";

    #[test]
    fn a_range_holds_its_upper_end_and_not_its_lower() {
        let table = Table::parse(SMALL);
        let value = |nm| table.cell("x", nm).map(|cell| cell.value);
        assert_eq!(value(0), Err((0, 6_000_000)));
        assert_eq!(value(1), Ok(1.5));
        assert_eq!(value(3_000_000), Ok(1.5));
        assert_eq!(value(3_000_001), Ok(-2.0));
        assert_eq!(value(6_000_000), Ok(-2.0));
        assert_eq!(value(6_000_001), Err((0, 6_000_000)));
    }

    #[test]
    fn an_unverified_cell_is_kept_and_marked() {
        let table = Table::parse(SMALL);
        assert!(table.cell("x", 1).expect("in range").confirmed);
        assert!(!table.cell("x", 6_000_000).expect("in range").confirmed);
    }

    #[test]
    fn the_grid_takes_off_the_dust_of_binary_sums() {
        assert_eq!(on_grid(0.1 + 0.2), Some(300_000));
        assert_eq!(on_grid(30.000_000_4), Some(30_000_000));
        assert_eq!(on_grid(30.000_000_6), Some(30_000_001));
        assert_eq!(on_grid(f64::NAN), None);
        assert_eq!(on_grid(f64::INFINITY), None);
    }

    #[test]
    #[should_panic(expected = "does not begin where")]
    fn a_hole_between_ranges_is_a_broken_table() {
        let _ = Table::parse("c,o,u,v,p,s\nx,0,3,1,2,ok\nx,4,6,1,2,ok\n");
    }
}
