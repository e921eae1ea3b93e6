//! A table that grows by rows: where to read on, which rows are new, what its last row says.

use crate::file::{At, Wanted};
use crate::line::{cells, of_cells, words};
use crate::lines::Lines;
use crate::unread::{Told, Unread, text};

/// What a look at a file should read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Nothing is new.
    Nothing,
    /// The bytes from there on.
    From(u64),
    /// The head of the file, within the bound of a line, and the byte before its end: it was there
    /// before it was first looked at, and its rows are of an earlier time.
    Head,
}

/// What is known of such a file.
#[derive(Debug, Clone, Default)]
pub struct Growing {
    known: Option<Known>,
}

#[derive(Debug, Clone, Default)]
struct Known {
    /// Which file it is, as the system counts them.
    identity: u64,
    /// Bytes that were read, or passed over.
    read: u64,
    columns: Option<csv::StringRecord>,
    lines: Lines,
}

impl Growing {
    /// For a file that was not there when its place was first looked at: all its rows are new.
    pub fn was_absent(&mut self) {
        if self.known.is_none() {
            self.known = Some(Known::default());
        }
    }

    /// What to read of a file so long. One that is shorter than before, or another one, begins anew.
    pub fn look(&mut self, identity: u64, length: u64) -> Look {
        let Some(known) = &mut self.known else { return Look::Head };
        if length < known.read || (known.read > 0 && identity != known.identity) {
            *known = Known::default();
        }
        known.identity = identity;
        if length == known.read { Look::Nothing } else { Look::From(known.read) }
    }

    /// Takes the head of a file that was there before: its column names count, its rows do not.
    /// `last` is the byte before its end.
    pub fn take_head(&mut self, identity: u64, length: u64, head: &[u8], last: Option<u8>) {
        let mut lines = Lines::default();
        let mut columns = None;
        let mut read = 0;
        if let Some(end) = head.iter().position(|&byte| byte == b'\n') {
            columns = text(&head[..end]).and_then(cells).ok();
            read = length;
            if last != Some(b'\n') {
                lines = Lines::from_amid();
            }
        }
        self.known = Some(Known { identity, read, columns, lines });
    }

    /// Takes the bytes that follow, and gives what each whole row among them says; the first line
    /// of a file that began anew names its columns.
    pub fn take(&mut self, bytes: &[u8], wanted: &[Wanted]) -> Vec<Told> {
        let known = self.known.get_or_insert_default();
        known.read += bytes.len() as u64;
        let mut told = Vec::new();
        for line in known.lines.take(bytes) {
            match (line.and_then(|line| cells(text(&line)?)), &known.columns) {
                (Ok(columns), None) => known.columns = Some(columns),
                (Ok(row), Some(columns)) => told.push(Ok(values(columns, &row, wanted))),
                (Err(unread), _) => told.push(Err(unread)),
            }
        }
        told
    }
}

fn values(
    columns: &csv::StringRecord,
    row: &csv::StringRecord,
    wanted: &[Wanted],
) -> Vec<Result<f64, Unread>> {
    let value = |wanted: &Wanted| {
        let At::Field(name) = &wanted.at else { return of_cells(row, &wanted.at) };
        let place = columns.iter().position(|column| column.trim_start_matches('\u{feff}') == name);
        let place = place.ok_or_else(|| Unread::Absent(format!("column {}", words(&wanted.at))))?;
        of_cells(row, &At::Place(place + 1))
    };
    wanted.iter().map(value).collect()
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{At, Growing, Look, Told, Unread, Wanted};
    use crate::unit::Unit;

    fn head() -> Vec<Wanted> {
        let probe = Probe::Head;
        let at = At::Field("head".into());
        vec![Wanted { probe, at, unit: Unit::own(probe), scale: 1.0, offset: 0.0 }]
    }

    fn is(told: &[Told], values: &[f64]) {
        let expected: Vec<Told> = values.iter().map(|value| Ok(vec![Ok(*value)])).collect();
        assert_eq!(told, expected);
    }

    #[test]
    fn rows_are_taken_when_their_end_has_come() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 0), Look::Nothing);
        assert_eq!(file.look(1, 17), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head()), &[20.5]);
        assert_eq!(file.look(1, 17), Look::Nothing);
        assert_eq!(file.look(1, 21), Look::From(17));
        is(&file.take(b"5,78", &head()), &[]);
        is(&file.take(b".3\n10,78.4\n", &head()), &[78.3, 78.4]);
    }

    #[test]
    fn rows_of_an_earlier_time_are_passed_over() {
        let mut file = Growing::default();
        assert_eq!(file.look(1, 21), Look::Head);
        file.take_head(1, 21, b"time,head\n0,20.5\n5,78", Some(b'8'));
        assert_eq!(file.look(1, 24), Look::From(21));
        is(&file.take(b".3\n", &head()), &[]);
        is(&file.take(b"10,78.4\n", &head()), &[78.4]);
    }

    #[test]
    fn a_file_that_was_shortened_or_replaced_begins_anew() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 17), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head()), &[20.5]);
        assert_eq!(file.look(1, 5), Look::From(0), "shorter");
        is(&file.take(b"head\n30\n", &head()), &[30.0]);
        assert_eq!(file.look(2, 40), Look::From(0), "another file");
        is(&file.take(b"pot,head\n1,40\n", &head()), &[40.0]);
    }

    #[test]
    fn a_file_that_is_no_table_is_told() {
        let mut file = Growing::default();
        file.was_absent();
        let _ = file.look(1, 9);
        let told = file.take(b"time,pot\n0,20.5\n", &head());
        assert_eq!(told, [Ok(vec![Err(Unread::Absent("column \"head\"".into()))])]);
        assert_eq!(file.take(b"\xff\xfe\n", &head()), [Err(Unread::NotText)]);
        assert_eq!(file.take(&[b'1'; 5000], &head()), [Err(Unread::TooLong)]);
    }
}
