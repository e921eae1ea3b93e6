//! `middlecut book notes`: rows of a table as entries, each judged after those before it.

use std::collections::BTreeMap;
use std::path::Path;

use account::{AccountError, Draft, Entry, Numbered, Raw, Spent, Unit};
use alcoholometry::gauge::Scale;
use alcoholometry::typed::Typed;
use serde::Serialize;
use server::Clock;
use store::{Store, StoreError};

use super::enter::{instrument, kind, legs};
use crate::command::data;
use crate::command::kept::kept;
use crate::command::progress::Progress;
use crate::error::CliError;
use crate::print;

/// The columns a table may have.
const COLUMNS: [&str; 20] = [
    "kind",
    "act",
    "from",
    "to",
    "by",
    "note",
    "spirit",
    "litres",
    "kg",
    "reading",
    "scale",
    "celsius",
    "instrument",
    "corrects",
    "about",
    "read_by",
    "checked_by",
    "energy_kwh",
    "water_l",
    "cost",
];
/// Most rows that are read at once. Judgement: many years of a small house.
const ROWS_MAX: usize = 200_000;

/// A row that is refused.
#[derive(Debug, Serialize)]
struct RefusedWire {
    line: u64,
    field: String,
    message: String,
    hint: String,
}

#[derive(Debug, Serialize)]
struct NotesWire {
    rows: usize,
    taken: usize,
    entered: usize,
    refused: Vec<RefusedWire>,
}

fn out_of(field: &'static str, value: &str, bound: &'static str) -> AccountError {
    let hint = "middlecut book notes --help names the columns";
    AccountError::OutOfRange { field, value: format!("\"{value}\""), bound, hint }
}

/// The cells of one row by their columns.
struct Row<'a>(BTreeMap<&'a str, &'a str>);

impl Row<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        self.0.get(column).map(|text| text.trim()).filter(|text| !text.is_empty())
    }

    fn number<T: std::str::FromStr>(
        &self,
        column: &'static str,
    ) -> Result<Option<T>, AccountError> {
        let read = |text: &str| {
            let point = text.replace(',', ".");
            point.parse().map_err(|_| out_of(column, text, "must be a number"))
        };
        self.text(column).map(read).transpose()
    }

    /// A number with the unit it was typed in.
    fn typed(&self, column: &'static str, of: &str) -> Result<Option<Typed>, AccountError> {
        let read = |text: &str| {
            Typed::read(text, of)
                .map_err(|_| out_of(column, text, "must be a number, or one with a unit"))
        };
        self.text(column).map(read).transpose()
    }

    fn draft(&self, now_ms: i64) -> Result<Draft, AccountError> {
        let must = |column| self.text(column).ok_or_else(|| out_of(column, "", "must be given"));
        let act = must("act")?;
        let bound = "must be a moment with its zone, as 2026-10-03T14:20:00+02:00";
        let (act_ms, zone_minutes) =
            store::time::parse_start(act).ok_or_else(|| out_of("act", act, bound))?;
        let mut entry = Entry::new(kind(must("kind")?)?, act_ms, must("by")?);
        let words = |column| self.text(column).map(str::to_owned);
        entry.entered_ms = now_ms;
        entry.zone_minutes = zone_minutes;
        entry.note = words("note");
        entry.spirit = words("spirit");
        entry.people.read = words("read_by");
        entry.people.checked = words("checked_by");
        entry.corrects = self.number("corrects")?;
        entry.about = self.number("about")?;
        let spent = Spent {
            energy_kwh: self.number("energy_kwh")?,
            water_l: self.number("water_l")?,
            cost: self.number("cost")?,
        };
        entry.spent = (spent != Spent::default()).then_some(spent);
        let sides = |column| legs(self.text(column).into_iter().flat_map(|text| text.split(" + ")));
        let (from, to) = (sides("from")?, sides("to")?);
        let read = self.read(&mut entry)?;
        Ok(Draft { entry, from, to, read })
    }

    /// What was read; how it was typed is kept in the entry.
    fn read(
        &self,
        entry: &mut Entry,
    ) -> Result<Option<(Raw, Vec<account::Instrument>)>, AccountError> {
        let celsius = self.typed("celsius", "°C")?.unwrap_or(Typed::own(20.0));
        let (quantity, unit) = match (self.typed("litres", "L")?, self.typed("kg", "kg")?) {
            (Some(litres), None) => (litres, Unit::L),
            (None, Some(kg)) => (kg, Unit::Kg),
            (None, None) => return Ok(None),
            _ => return Err(out_of("kg", "", "must not stand beside litres")),
        };
        let reading: Option<f64> = self.number("reading")?;
        let scale = self.text("scale").unwrap_or("vol20");
        let raw = Raw {
            quantity: quantity.value,
            unit,
            reading: reading
                .ok_or_else(|| out_of("reading", "", "must stand beside a quantity"))?,
            scale: Scale::from_name(scale).ok_or_else(|| {
                out_of("scale", scale, "must be vol20, vol60, proof60 or density")
            })?,
            celsius: celsius.value,
            quantity_sd: None,
        };
        entry.typed = kept([("read.quantity", Some(&quantity)), ("read.celsius", Some(&celsius))]);
        let instruments: Result<Vec<_>, _> =
            self.text("instrument").map(instrument).into_iter().collect();
        Ok(Some((raw, instruments?)))
    }
}

fn unfit(file: &Path, line: Option<u64>, what: String) -> CliError {
    let hint = "a table of commas with a head of columns; middlecut book notes --help names them"
        .to_owned();
    CliError::Unfit { file: file.to_owned(), line, what, hint }
}

/// Reads, judges, and enters all or nothing.
pub(super) fn run(
    file: &Path,
    dry_run: bool,
    named: Option<&Path>,
    json: bool,
) -> Result<(), CliError> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_path(file)
        .map_err(|error| unfit(file, None, error.to_string()))?;
    let head = reader.headers().map_err(|error| unfit(file, Some(1), error.to_string()))?.clone();
    if let Some(odd) = head.iter().find(|column| !COLUMNS.contains(&column.trim())) {
        return Err(unfit(
            file,
            Some(1),
            format!("column \"{odd}\" is none of {}", COLUMNS.join(", ")),
        ));
    }
    let rows: Result<Vec<_>, _> = reader.records().take(ROWS_MAX + 1).collect();
    let rows = rows.map_err(|error| {
        unfit(file, error.position().map(csv::Position::line), error.to_string())
    })?;
    if rows.len() > ROWS_MAX {
        return Err(unfit(file, None, format!("more than {ROWS_MAX} rows")));
    }
    let folder = data::folder(named)?;
    let store = if dry_run { Store::open_read_only(&folder)? } else { Store::open(&folder)? };
    let mut ledger = store.account(Clone::clone)?;
    let (mut refused, mut entries) = (Vec::new(), Vec::new());
    let now_ms = Clock::default().now_ms();
    let progress = Progress::of_things(rows.len());
    for row in &rows {
        let cells = Row(head.iter().map(str::trim).zip(row.iter()).collect());
        let made = cells.draft(now_ms).and_then(|draft| draft.resolve(&ledger)).and_then(|entry| {
            ledger.take(&Numbered { number: ledger.length() + 1, entry: entry.clone() })?;
            Ok(entry)
        });
        match made {
            Ok(entry) => entries.push(entry),
            Err(error) => refused.push(RefusedWire {
                line: row.position().map_or(0, csv::Position::line),
                field: error.field().to_owned(),
                message: error.to_string(),
                hint: error.hint().to_owned(),
            }),
        }
        progress.one_done();
    }
    drop(progress);
    let enter = !dry_run && refused.is_empty();
    if enter {
        store.enter_all(&entries, now_ms)?;
    }
    let entered = if enter { entries.len() } else { 0 };
    say(&NotesWire { rows: rows.len(), taken: entries.len(), entered, refused }, json)?;
    if enter || dry_run {
        return Ok(());
    }
    let error = AccountError::OutOfRange {
        field: "FILE",
        value: format!("{} rows that are refused", rows.len() - entries.len()),
        bound: "must have none: nothing was entered",
        hint: "mend the rows that are listed, or take them out",
    };
    Err(StoreError::from(error).into())
}

fn say(notes: &NotesWire, json: bool) -> Result<(), CliError> {
    if json {
        print::json(notes)?;
        return Ok(());
    }
    let mut text = format!(
        "{} rows, {} that fit, {} refused, {} entered\n",
        notes.rows,
        notes.taken,
        notes.refused.len(),
        notes.entered
    );
    for row in &notes.refused {
        let line = row.line.to_string();
        let words = ["line ", &line, ": ", &row.message, "\n    hint: ", &row.hint, "\n"];
        text.push_str(&words.concat());
    }
    print::text(&text)?;
    Ok(())
}
