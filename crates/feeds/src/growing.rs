//! A table that grows by rows: where to read on, which rows are new, what its last row says.

use crate::file::Wanted;
use crate::lines::{Lines, is_end};
use crate::table::Table;
use crate::unread::{Told, Unread, shown, text};

/// Bytes before the place where reading goes on by which a file is known again (judgement: a row or
/// two, with the figures in them).
pub const TAIL_BYTES: usize = 64;

/// What a look at a file should read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Nothing is new.
    Nothing,
    /// The bytes from there on, where those before are [`Growing::tail`]; else [`Growing::begin_anew`]
    /// and all bytes.
    From(u64),
    /// The head of the file, within the bound of a line, and its last [`TAIL_BYTES`]: it was there
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
    /// When it was last written, as the system counts time.
    written: u64,
    /// Bytes that were read, or passed over.
    read: u64,
    /// The last of them.
    tail: Vec<u8>,
    table: Option<Table>,
    /// The table of the file that it took the place of.
    before: Option<Table>,
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
    pub fn look(&mut self, identity: u64, length: u64, written: u64) -> Look {
        let Some(known) = &mut self.known else { return Look::Head };
        if length < known.read || (known.read > 0 && identity != known.identity) {
            self.begin_anew();
        }
        let known = self.known.get_or_insert_default();
        known.identity = identity;
        let rewritten = std::mem::replace(&mut known.written, written) != written;
        // As long as before and written since, it may be another text of that length.
        if length == known.read && !(rewritten && length > 0) {
            Look::Nothing
        } else {
            Look::From(known.read)
        }
    }

    /// The bytes before the place where reading goes on: others there are of another file.
    #[must_use]
    pub fn tail(&self) -> &[u8] {
        self.known.as_ref().map_or(&[], |known| &known.tail)
    }

    /// It is another file than it was.
    pub fn begin_anew(&mut self) {
        let known = self.known.get_or_insert_default();
        let before = known.table.take().or_else(|| known.before.take());
        let Known { identity, written, .. } = *known;
        *known = Known { identity, written, before, anew: true, ..Known::default() };
    }

    /// Takes the head of a file that was there before: its column names count, its rows do not.
    /// `tail` are the bytes before its end.
    pub fn take_head(
        &mut self,
        (identity, length, written): (u64, u64, u64),
        head: &[u8],
        tail: &[u8],
        wanted: &[Wanted],
    ) {
        let mut known = Known { identity, written, ..Known::default() };
        let mut lines = Lines::default();
        let texts = lines.take(head).into_iter().flatten();
        let mut texts = texts.filter_map(|line| Some(text(&line).ok()?.to_owned()));
        if head.iter().any(|&byte| is_end(byte)) {
            known.table =
                texts.find(|line| !is_remark(line, wanted)).map(|line| Table::of(&line, wanted));
            (known.read, known.tail) = (length, tail.to_vec());
            if !tail.last().is_some_and(|&byte| is_end(byte)) {
                known.lines = Lines::from_amid();
            }
        }
        self.known = Some(known);
    }

    /// Takes the bytes that follow, and gives what each whole row among them says; the first line
    /// of a file that began anew names its columns. `time` is the column that says when.
    pub fn take(&mut self, bytes: &[u8], wanted: &[Wanted], time: Option<&str>) -> Vec<GrownRow> {
        let known = self.known.get_or_insert_default();
        known.read += bytes.len() as u64;
        known.tail.extend_from_slice(&bytes[bytes.len().saturating_sub(TAIL_BYTES)..]);
        known.tail.drain(..known.tail.len().saturating_sub(TAIL_BYTES));
        let again = std::mem::take(&mut known.anew);
        let mut told = Vec::new();
        for line in known.lines.take(bytes) {
            match line.and_then(|line| Ok(text(&line)?.to_owned())) {
                Ok(line) if is_remark(&line, wanted) => {}
                Ok(line) => told.extend(
                    known.table_above(&line, wanted).map(|table| grown(table, &line, wanted, time)),
                ),
                Err(unread) => told.push(GrownRow { utc_ms: None, again, told: Err(unread) }),
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

impl Known {
    /// The table that a line is a row of; none where the line itself names the columns.
    fn table_above(&mut self, line: &str, wanted: &[Wanted]) -> Option<&Table> {
        if self.table.is_some() {
            return self.table.as_ref();
        }
        let named = Table::of(line, wanted);
        let before = self.before.take().filter(|_| !named.names_any(wanted));
        // One that was emptied goes on below the names it had.
        let goes_on = before.is_some();
        let table = self.table.insert(before.unwrap_or(named));
        goes_on.then_some(table)
    }
}

/// Whether a line is a remark of who writes the table: it begins as one and names no column.
fn is_remark(line: &str, wanted: &[Wanted]) -> bool {
    line.starts_with('#') && !Table::of(line, wanted).names_any(wanted)
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

fn grown(table: &Table, line: &str, wanted: &[Wanted], time: Option<&str>) -> GrownRow {
    let read = || {
        let row = table.row(line)?;
        let utc_ms = time.map(|column| moment(row.cell(column)?)).transpose()?;
        Ok((utc_ms, row.values(wanted)))
    };
    match read() {
        Ok((utc_ms, values)) => GrownRow { utc_ms, again: false, told: Ok(values) },
        Err(unread) => GrownRow { utc_ms: None, again: false, told: Err(unread) },
    }
}

/// Numbers from here on are milliseconds since 1970 UTC and no seconds: as seconds they would lie
/// in the year 5138.
const MILLISECONDS_FROM: f64 = 1.0e11;

/// When a row was taken, ms UTC.
fn moment(cell: &str) -> Result<i64, Unread> {
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

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{Growing, GrownRow, Look, Told, Unread, Wanted, ago_s};
    use crate::file::At;
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
        let _ = file.look(1, 9, 0);
        let text =
            b"when,head\n2026-10-03T08:12:00.5+02:00,1\n1791008000,2\n1791008000250,3\nx,4\n";
        let rows = file.take(text, &head(), Some("when"));
        let times: Vec<Option<i64>> = rows.iter().map(|row| row.utc_ms).collect();
        // 2026-10-03T06:12:00Z is 1 791 007 920 s (`date -u -d`).
        let expected = [1_791_007_920_500, 1_791_008_000_000, 1_791_008_000_250];
        assert_eq!(times[..3], expected.map(Some));
        assert_eq!(rows[3].told, Err(Unread::NotATime("x".into())));
        let absent = file.take(b"1,2\n", &head(), Some("at"));
        assert_eq!(
            absent[0].told,
            Err(Unread::Absent("column \"at\"; the first line has when, head".into()))
        );
        assert_eq!(ago_s(1_000, 3_500), Ok(2.5));
        assert_eq!(ago_s(3_500, 1_000), Ok(0.0), "two clocks differ a little");
        assert_eq!(ago_s(10_000, 1_000), Err(Unread::Ahead(9)));
        assert_eq!(ago_s(0, 601_000), Err(Unread::Old(601)));
    }

    #[test]
    fn rows_are_taken_when_their_end_has_come() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 0, 0), Look::Nothing);
        assert_eq!(file.look(1, 17, 0), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head(), None), &[20.5]);
        assert_eq!(file.look(1, 17, 0), Look::Nothing);
        assert_eq!(file.look(1, 21, 0), Look::From(17));
        is(&file.take(b"5,78", &head(), None), &[]);
        is(&file.take(b".3\n10,78.4\n", &head(), None), &[78.3, 78.4]);
    }

    #[test]
    fn rows_of_an_earlier_time_are_passed_over() {
        let mut file = Growing::default();
        assert_eq!(file.look(1, 21, 0), Look::Head);
        file.take_head((1, 21, 0), b"time,head\n0,20.5\n5,78", b"5,78", &head());
        assert_eq!(file.look(1, 24, 0), Look::From(21));
        is(&file.take(b".3\n", &head(), None), &[]);
        is(&file.take(b"10,78.4\n", &head(), None), &[78.4]);
    }

    #[test]
    fn a_file_that_was_shortened_or_replaced_begins_anew() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 17, 0), Look::From(0));
        is(&file.take(b"time,head\n0,20.5\n", &head(), None), &[20.5]);
        assert_eq!(file.look(1, 5, 0), Look::From(0), "shorter");
        is(&file.take(b"head\n30\n", &head(), None), &[30.0]);
        assert_eq!(file.look(2, 40, 0), Look::From(0), "another file");
        is(&file.take(b"pot,head\n1,40\n", &head(), None), &[40.0]);
    }

    #[test]
    fn a_file_that_is_no_table_is_told() {
        let mut file = Growing::default();
        file.was_absent();
        let _ = file.look(1, 9, 0);
        let told = |file: &mut Growing, bytes: &[u8]| tolds(&file.take(bytes, &head(), None));
        assert_eq!(
            told(&mut file, b"time,pot\n0,20.5\n"),
            [Ok(vec![Err(Unread::Absent("column \"head\"; the first line has time, pot".into()))])]
        );
        assert_eq!(told(&mut file, b"\xff\xfe\n"), [Err(Unread::NotText)]);
        assert_eq!(told(&mut file, &[b'1'; 5000]), [Err(Unread::TooLong)]);
    }

    #[test]
    fn a_text_written_over_itself_is_another_file() {
        let mut file = Growing::default();
        file.was_absent();
        assert_eq!(file.look(1, 14, 1), Look::From(0));
        is(&file.take(b"time,head\n1,9\n", &head(), None), &[9.0]);
        assert_eq!(file.tail(), b"time,head\n1,9\n");
        assert_eq!(file.look(1, 14, 2), Look::From(14), "written since, and as long");
        file.begin_anew();
        is(&file.take(b"time,head\n2,8\n", &head(), None), &[8.0]);
        file.begin_anew();
        is(&file.take(b"3,7\n", &head(), None), &[7.0]);
        assert_eq!(file.look(1, 4, 2), Look::Nothing, "emptied: the names of before count");
        is(&file.take(&[b'7'; 300], &head(), None), &[]);
        assert_eq!(file.tail(), [b'7'; 64]);
    }

    #[test]
    fn decimal_commas_are_read_where_another_sign_parts_the_cells_and_else_never_halved() {
        let read = |text: &[u8]| {
            let mut file = Growing::default();
            file.was_absent();
            tolds(&file.take(text, &head(), None))
        };
        let ok = |value: f64| [Ok(vec![Ok(value)])];
        assert_eq!(read(b"\xef\xbb\xbfhead;pot\n78,3;91,0\n"), ok(78.3));
        assert_eq!(read(b"# made by a logger\ntime\thead\n1\t78,3\n"), ok(78.3));
        assert_eq!(read(b"time;head\n1;78.3\n"), ok(78.3));
        let too_wide = [Err(Unread::TooWide { cells: 3, columns: 2 })];
        assert_eq!(read(b"head,pot\n78,3,91\n"), too_wide, "not 78");
        assert_eq!(read(b"time,head\n1,78.3,\n"), ok(78.3), "nothing stands in the last");
        let quoted = [Ok(vec![Err(Unread::WithComma("78,3".into()))])];
        assert_eq!(read(b"time,head\n1,\"78,3\"\n"), quoted);
    }
}
