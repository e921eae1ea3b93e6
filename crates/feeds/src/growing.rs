//! A table that grows by rows: where to read on, which rows are new, what its last row says.

use crate::file::{At, Wanted};
use crate::line::{cells, of_cells, words};
use crate::lines::Lines;
use crate::unread::{Told, Unread, shown, text};

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
    /// It took the place of another: what it holds may have been read before.
    anew: bool,
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
            *known = Known { anew: true, ..Known::default() };
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
        self.known = Some(Known { identity, read, columns, lines, anew: false });
    }

    /// Takes the bytes that follow, and gives what each whole row among them says; the first line
    /// of a file that began anew names its columns. `time` is the column that says when.
    pub fn take(&mut self, bytes: &[u8], wanted: &[Wanted], time: Option<&str>) -> Vec<GrownRow> {
        let known = self.known.get_or_insert_default();
        known.read += bytes.len() as u64;
        let again = std::mem::take(&mut known.anew);
        let mut told = Vec::new();
        for line in known.lines.take(bytes) {
            match (line.and_then(|line| cells(text(&line)?)), &known.columns) {
                (Ok(columns), None) => known.columns = Some(columns),
                (Ok(row), Some(columns)) => told.push(grown(columns, &row, wanted, time)),
                (Err(unread), _) => told.push(GrownRow { utc_ms: None, again, told: Err(unread) }),
            }
        }
        for row in &mut told {
            row.again = again;
        }
        // Of rows that may have been read before and do not say when, the newest is the one of now.
        let known_before = if again && time.is_none() { told.len().saturating_sub(1) } else { 0 };
        told.split_off(known_before)
    }
}

/// A whole row.
#[derive(Debug, Clone, PartialEq)]
pub struct GrownRow {
    /// When it was taken, as it says itself, ms UTC.
    pub utc_ms: Option<i64>,
    /// Whether it may have been read before, from another file of that name.
    pub again: bool,
    /// What it says.
    pub told: Told,
}

fn grown(
    columns: &csv::StringRecord,
    row: &csv::StringRecord,
    wanted: &[Wanted],
    time: Option<&str>,
) -> GrownRow {
    match time.map(|column| moment(columns, row, column)).transpose() {
        Ok(utc_ms) => GrownRow { utc_ms, again: false, told: Ok(values(columns, row, wanted)) },
        Err(unread) => GrownRow { utc_ms: None, again: false, told: Err(unread) },
    }
}

/// Numbers from here on are milliseconds since 1970 UTC and no seconds: as seconds they would lie
/// in the year 5138.
const MILLISECONDS_FROM: f64 = 1.0e11;

/// When a row was taken, ms UTC.
fn moment(
    columns: &csv::StringRecord,
    row: &csv::StringRecord,
    column: &str,
) -> Result<i64, Unread> {
    let absent = || Unread::Absent(format!("column \"{}\"", shown(column)));
    let cell = row.get(place_of(columns, column).ok_or_else(absent)?).ok_or_else(absent)?;
    if let Some((utc_ms, _)) = store::time::parse_start(cell) {
        return Ok(utc_ms);
    }
    let since_1970: f64 = cell.parse().map_err(|_| Unread::NotATime(shown(cell)))?;
    let ms = if since_1970 < MILLISECONDS_FROM { 1000.0 * since_1970 } else { since_1970 };
    if !(0.0..MILLISECONDS_FROM * 1000.0).contains(&ms) {
        return Err(Unread::NotATime(shown(cell)));
    }
    #[expect(clippy::cast_possible_truncation, reason = "far below 2^53")]
    Ok(ms.round() as i64)
}

/// How far the time of a row may lie ahead of ours, s, and how far back (judgement: two clocks that
/// are looked after; a table that is written every few minutes).
const AHEAD_MAX_S: f64 = 5.0;
/// See [`AHEAD_MAX_S`].
const AGO_MAX_S: f64 = 600.0;

/// How long ago a row was taken, s.
///
/// # Errors
/// [`Unread`] where its time cannot be right.
pub fn ago_s(utc_ms: i64, now_utc_ms: i64) -> Result<f64, Unread> {
    let ago_s = now_utc_ms.saturating_sub(utc_ms) as f64 / 1000.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "it is positive, and words need no more"
    )]
    let whole = |seconds: f64| seconds.round() as u64;
    if ago_s < -AHEAD_MAX_S {
        return Err(Unread::Ahead(whole(-ago_s)));
    }
    if ago_s > AGO_MAX_S {
        return Err(Unread::Old(whole(ago_s)));
    }
    Ok(ago_s.max(0.0))
}

fn place_of(columns: &csv::StringRecord, name: &str) -> Option<usize> {
    columns.iter().position(|column| column.trim_start_matches('\u{feff}') == name)
}

fn values(
    columns: &csv::StringRecord,
    row: &csv::StringRecord,
    wanted: &[Wanted],
) -> Vec<Result<f64, Unread>> {
    let value = |wanted: &Wanted| {
        let At::Field(name) = &wanted.at else { return of_cells(row, &wanted.at) };
        let place = place_of(columns, name)
            .ok_or_else(|| Unread::Absent(format!("column {}", words(&wanted.at))))?;
        of_cells(row, &At::Place(place + 1))
    };
    wanted.iter().map(value).collect()
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{At, Growing, GrownRow, Look, Told, Unread, Wanted, ago_s};
    use crate::unit::own_unit;

    fn head() -> Vec<Wanted> {
        let probe = Probe::Head;
        let at = At::Field("head".into());
        vec![Wanted {
            probe: probe.into(),
            topic: None,
            at,
            unit: own_unit(probe),
            scale: 1.0,
            offset: 0.0,
        }]
    }

    fn is(rows: &[GrownRow], values: &[f64]) {
        let expected: Vec<Told> = values.iter().map(|value| Ok(vec![Ok(*value)])).collect();
        assert_eq!(tolds(rows), expected);
    }

    fn tolds(rows: &[GrownRow]) -> Vec<Told> {
        rows.iter().map(|row| row.told.clone()).collect()
    }

    #[test]
    fn a_row_that_says_when_is_of_that_time() {
        let mut file = Growing::default();
        file.was_absent();
        let _ = file.look(1, 9);
        let text =
            b"when,head\n2026-10-03T08:12:00.5+02:00,1\n1791008000,2\n1791008000250,3\nx,4\n";
        let rows = file.take(text, &head(), Some("when"));
        let times: Vec<Option<i64>> = rows.iter().map(|row| row.utc_ms).collect();
        // 2026-10-03T06:12:00Z is 1 791 007 920 s (`date -u -d`).
        let expected = [1_791_007_920_500, 1_791_008_000_000, 1_791_008_000_250];
        assert_eq!(times[..3], expected.map(Some));
        assert_eq!(rows[3].told, Err(Unread::NotATime("x".into())));
        let absent = file.take(b"1,2\n", &head(), Some("at"));
        assert_eq!(absent[0].told, Err(Unread::Absent("column \"at\"".into())));
        assert_eq!(ago_s(1_000, 3_500), Ok(2.5));
        assert_eq!(ago_s(3_500, 1_000), Ok(0.0), "two clocks differ a little");
        assert_eq!(ago_s(10_000, 1_000), Err(Unread::Ahead(9)));
        assert_eq!(ago_s(0, 601_000), Err(Unread::Old(601)));
    }

    #[test]
    fn rows_are_taken_when_their_end_has_come() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 0), Look::Nothing);
        assert_eq!(file.look(1, 17), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head(), None), &[20.5]);
        assert_eq!(file.look(1, 17), Look::Nothing);
        assert_eq!(file.look(1, 21), Look::From(17));
        is(&file.take(b"5,78", &head(), None), &[]);
        is(&file.take(b".3\n10,78.4\n", &head(), None), &[78.3, 78.4]);
    }

    #[test]
    fn rows_of_an_earlier_time_are_passed_over() {
        let mut file = Growing::default();
        assert_eq!(file.look(1, 21), Look::Head);
        file.take_head(1, 21, b"time,head\n0,20.5\n5,78", Some(b'8'));
        assert_eq!(file.look(1, 24), Look::From(21));
        is(&file.take(b".3\n", &head(), None), &[]);
        is(&file.take(b"10,78.4\n", &head(), None), &[78.4]);
    }

    #[test]
    fn a_file_that_was_shortened_or_replaced_begins_anew() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 17), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head(), None), &[20.5]);
        assert_eq!(file.look(1, 5), Look::From(0), "shorter");
        is(&file.take(b"head\n30\n", &head(), None), &[30.0]);
        assert_eq!(file.look(2, 40), Look::From(0), "another file");
        is(&file.take(b"pot,head\n1,40\n", &head(), None), &[40.0]);
    }

    #[test]
    fn a_file_that_is_no_table_is_told() {
        let mut file = Growing::default();
        file.was_absent();
        let _ = file.look(1, 9);
        let told = |file: &mut Growing, bytes: &[u8]| tolds(&file.take(bytes, &head(), None));
        assert_eq!(
            told(&mut file, b"time,pot\n0,20.5\n"),
            [Ok(vec![Err(Unread::Absent("column \"head\"".into()))])]
        );
        assert_eq!(told(&mut file, b"\xff\xfe\n"), [Err(Unread::NotText)]);
        assert_eq!(told(&mut file, &[b'1'; 5000]), [Err(Unread::TooLong)]);
    }
}
