//! The three tables of a run, to and from their files.

use std::path::Path;

use sense::{Action, Instruments, JarRecord, Probe, Reading, reading_columns};

use super::FolderError;
use super::table::{Row, Table};
use crate::rows::{
    ACTION_COLUMNS, ActionRow, JAR_COLUMNS, JAR_COLUMNS_WITHOUT_INSTRUMENT, JarRow, ReadingRow,
    RowFault, check_time,
};

/// Refuses a time before that of the row above.
fn forward(column: &'static str, before: &mut f64, time_s: f64) -> Result<(), RowFault> {
    check_time(column, time_s)?;
    if time_s < *before {
        let bound = format!("must not be before {} s of the row above", *before);
        return Err(RowFault::new(column, time_s, bound, "rows stand in the order of time"));
    }
    *before = time_s;
    Ok(())
}

/// Reads `readings.csv`.
/// A column that came with a later format than `format` is unknown to it.
pub(super) fn readings(path: &Path, format: u32) -> Result<Vec<(f64, Reading)>, FolderError> {
    let mut rows = Vec::new();
    let opened = Table::open(path, reading_columns(format), &["time_s"]);
    let Some(mut table) = opened.map_err(|error| later_format(error, format))? else {
        return Ok(rows);
    };
    let mut before = 0.0;
    while let Some((line, row)) = table.next()? {
        let read = reading(&row, &mut before).map_err(|fault| table.refuse(line, fault))?;
        rows.push(read);
    }
    Ok(rows)
}

/// Says of a column that is none yet in the folder's format what would make it one.
fn later_format(error: FolderError, format: u32) -> FolderError {
    let later = |column: &str| {
        let known = Probe::of_column(column).map(Probe::column);
        known.is_some_and(|column| !reading_columns(format).contains(&column))
    };
    match error {
        FolderError::Column { file, column, known, .. } if later(&column) => {
            let what = "is a column of a later format than run.toml says it has";
            FolderError::Column { file, column, what, known }
        }
        error => error,
    }
}

fn reading(row: &Row, before: &mut f64) -> Result<(f64, Reading), RowFault> {
    let time_s = row.needed(0)?;
    forward("time_s", before, time_s)?;
    let mut cells = Reading::default();
    for (index, probe) in Probe::ALL.into_iter().enumerate().take(row.columns() - 1) {
        cells.set(probe, row.number(index + 1)?);
    }
    ReadingRow { time_s, cells }.reading()
}

/// Reads `actions.csv`. A remark beside an action becomes a note of its own right after it.
pub(super) fn actions(path: &Path) -> Result<Vec<(f64, Action)>, FolderError> {
    let mut rows = Vec::new();
    let Some(mut table) = Table::open(path, &ACTION_COLUMNS, &["time_s", "action"])? else {
        return Ok(rows);
    };
    let mut before = 0.0;
    while let Some((line, row)) = table.next()? {
        let read = action(&row, &mut before).map_err(|fault| table.refuse(line, fault))?;
        let (time_s, (action, remark)) = read;
        rows.push((time_s, action));
        rows.extend(remark.map(|text| (time_s, Action::Note { text })));
    }
    Ok(rows)
}

fn action(row: &Row, before: &mut f64) -> Result<(f64, (Action, Option<String>)), RowFault> {
    let time_s = row.needed(0)?;
    forward("time_s", before, time_s)?;
    let words = ActionRow {
        action: row.text(1).trim().to_owned(),
        value: row.number(2)?,
        unit: row.text(3).trim().to_owned(),
        note: row.text(4).to_owned(),
    };
    Ok((time_s, words.action()?))
}

/// Reads `jars.csv`.
pub(super) fn jars(path: &Path) -> Result<Vec<JarRecord>, FolderError> {
    let mut rows = Vec::new();
    let needed = ["jar", "start_s", "end_s", "volume_ml"];
    let Some(mut table) = Table::open(path, &JAR_COLUMNS, &needed)? else { return Ok(rows) };
    let mut before = 0.0;
    while let Some((line, row)) = table.next()? {
        rows.push(jar(&row, &mut before).map_err(|fault| table.refuse(line, fault))?);
    }
    Ok(rows)
}

fn jar(row: &Row, before: &mut f64) -> Result<JarRecord, RowFault> {
    let start_s = row.needed(1)?;
    forward("start_s", before, start_s)?;
    JarRow {
        jar: crate::rows::check_number("jar", row.needed(0)?)?,
        start_s,
        end_s: row.needed(2)?,
        volume_ml: row.needed(3)?,
        temperature_c: row.number(4)?,
        apparent_vol: row.number(5)?,
        cut: row.text(6).trim().to_owned(),
        note: row.text(7).to_owned(),
        instrument: row.text(8).trim().to_owned(),
        overdue: yes(row, 9)?,
    }
    .record()
}

/// Whether a cell says so; an empty one does not.
fn yes(row: &Row, place: usize) -> Result<bool, RowFault> {
    match row.text(place).trim() {
        "" | "false" => Ok(false),
        "true" => Ok(true),
        other => {
            let hint = "whether the instrument was overdue for calibration then";
            Err(RowFault::new(JAR_COLUMNS[place], other, "must be true, false or empty", hint))
        }
    }
}

pub(super) fn cell(value: Option<f64>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// A table as CSV text. Writing into memory cannot fail, so a failure would be an empty file:
/// the csv writer only refuses rows of uneven length, and every row here is an array of one size.
pub(super) fn table<R: AsRef<[String]>>(header: &[&str], rows: impl Iterator<Item = R>) -> Vec<u8> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(header).expect("a header goes into memory");
    rows.for_each(|row| {
        writer.write_record(row.as_ref()).expect("rows of one length go into memory");
    });
    writer.into_inner().expect("memory takes what was buffered")
}

/// Writes `readings.csv` with the columns of that format.
pub(super) fn readings_csv(readings: &[(f64, Reading)], format: u32) -> Vec<u8> {
    let columns = reading_columns(format);
    let rows = readings.iter().map(|(time_s, reading)| {
        let cells = Probe::ALL.into_iter().map(|probe| cell(reading.get(probe)));
        let row = std::iter::once(time_s.to_string()).chain(cells);
        row.take(columns.len()).collect::<Vec<_>>()
    });
    table(columns, rows)
}

/// Writes `actions.csv`.
pub(super) fn actions_csv(actions: &[(f64, Action)]) -> Vec<u8> {
    let rows = actions.iter().map(|(time_s, action)| {
        let row = ActionRow::from(action);
        [time_s.to_string(), row.action, cell(row.value), row.unit, row.note]
    });
    table(&ACTION_COLUMNS, rows)
}

/// Writes `instruments.csv`: from which run time on what was read by which instrument, and each point
/// by which its readings were put right.
pub(super) fn instruments_csv(instruments: &Instruments) -> Vec<u8> {
    let columns = ["from_s", "channel", "instrument", "shown", "true", "overdue"];
    let mut rows: Vec<[String; 6]> = Vec::new();
    for (from_s, list) in instruments.lists() {
        for one in list {
            let row = |shown: Option<f64>, truth: Option<f64>| {
                let (channel, name) = (one.probe.column().to_owned(), one.name.clone());
                let overdue = one.overdue.to_string();
                [from_s.to_string(), channel, name, cell(shown), cell(truth), overdue]
            };
            let points = one.correction.points();
            rows.extend(points.iter().map(|(shown, truth)| row(Some(*shown), Some(*truth))));
            if points.is_empty() {
                rows.push(row(None, None));
            }
        }
    }
    table(&columns, rows.into_iter())
}

/// Writes `jars.csv`.
pub(super) fn jars_csv(jars: &[JarRecord]) -> Vec<u8> {
    let said = jars.iter().any(|jar| jar.gauged_with.is_some());
    let columns = if said { JAR_COLUMNS.len() } else { JAR_COLUMNS_WITHOUT_INSTRUMENT };
    let rows = jars.iter().map(|jar| {
        let row = JarRow::new(jar);
        let overdue = if row.overdue { "true".to_owned() } else { String::new() };
        let cells = [
            row.jar.to_string(),
            row.start_s.to_string(),
            row.end_s.to_string(),
            row.volume_ml.to_string(),
            cell(row.temperature_c),
            cell(row.apparent_vol),
            row.cut,
            row.note,
            row.instrument,
            overdue,
        ];
        cells.into_iter().take(columns).collect::<Vec<_>>()
    });
    table(&JAR_COLUMNS[..columns], rows)
}
