//! The columns of a table that grows, and its rows below them.

use csv::StringRecord;

use crate::file::{At, Wanted};
use crate::line::{cells, of_cells, words};
use crate::unread::{Unread, number, shown};

/// Signs that part the cells of a table.
const SIGNS: [u8; 3] = *b",;\t";

/// The names of the columns, and by what its cells are parted.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    columns: StringRecord,
    parted_by: u8,
}

/// A row of it.
#[derive(Debug)]
pub(crate) struct TableRow<'table> {
    table: &'table Table,
    cells: StringRecord,
}

impl Table {
    /// The table of that first line: its cells are parted by the sign that shows most of the columns
    /// that are wanted.
    pub(crate) fn of(line: &str, wanted: &[Wanted]) -> Self {
        let by = |parted_by| {
            let columns = cells(line, parted_by).unwrap_or_default();
            Self { columns, parted_by }
        };
        let first = by(SIGNS[0]);
        SIGNS[1..].iter().map(|&sign| by(sign)).fold(first, |best, other| {
            if other.count_of(wanted) > best.count_of(wanted) { other } else { best }
        })
    }

    fn place_of(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column == name)
    }

    /// How many of the columns that are wanted it has.
    fn count_of(&self, wanted: &[Wanted]) -> usize {
        let has = |wanted: &&Wanted| matches!(&wanted.at, At::Field(name) if self.place_of(name).is_some());
        wanted.iter().filter(has).count()
    }

    /// Whether it has any column that is wanted.
    pub(crate) fn names_any(&self, wanted: &[Wanted]) -> bool {
        self.count_of(wanted) > 0
    }

    /// A line below its names. One that is wider than they are would put its values in wrong places.
    pub(crate) fn row(&self, line: &str) -> Result<TableRow<'_>, Unread> {
        let cells = cells(line, self.parted_by)?;
        let columns = self.columns.len();
        if cells.iter().skip(columns).any(|cell| !cell.is_empty()) {
            return Err(Unread::TooWide { cells: cells.len(), columns });
        }
        Ok(TableRow { table: self, cells })
    }
}

impl TableRow<'_> {
    /// The cell in the column of that name.
    pub(crate) fn cell(&self, column: &str) -> Result<&str, Unread> {
        let Some(place) = self.table.place_of(column) else {
            let names: Vec<&str> = self.table.columns.iter().collect();
            let (column, names) = (shown(column), shown(&names.join(", ")));
            return Err(Unread::Absent(format!("column \"{column}\"; the first line has {names}")));
        };
        self.cells.get(place).ok_or_else(|| {
            let (column, cells) = (shown(column), self.cells.len());
            Unread::Absent(format!("column \"{column}\": its row ends after {cells}"))
        })
    }

    /// What it says of each value.
    pub(crate) fn values(&self, wanted: &[Wanted]) -> Vec<Result<f64, Unread>> {
        let value = |wanted: &Wanted| match &wanted.at {
            At::Field(name) => self.number(self.cell(name)?, &words(&wanted.at)),
            at => of_cells(&self.cells, at),
        };
        wanted.iter().map(value).collect()
    }

    /// A cell as a number. Where commas part no cells, one parts decimals.
    fn number(&self, cell: &str, at: &str) -> Result<f64, Unread> {
        if self.table.parted_by == b',' {
            return number(cell, at);
        }
        number(&cell.replacen(',', ".", 1), at)
    }
}
