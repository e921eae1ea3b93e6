//! What probes read of a wash becomes entries of its log: from feeds, and as devices post it.

use sense::{Sensor, WashProbe};
use store::rows::{WashFloat, WashReading};
use store::{FedUnit, WashBy, WashEntry, WashFloated, WashRead};

use crate::app::App;
use crate::problem::ApiError;
use crate::session::Fed;

/// Who writes what feeds read.
const FEEDS: &str = "feeds";
/// What was read at a moment, milliseconds of UTC.
pub(crate) type Moment = (i64, Vec<(WashProbe, f64)>);

/// Hands what feeds read to the wash of that name that goes on; gives how many rows it took, twice.
pub(crate) async fn feed_wash(app: &App, name: &str, fed: &Fed) -> Result<(u64, u64), ApiError> {
    let now = app.clock.moment();
    let moment = |row: &feeds::Row| {
        #[expect(clippy::cast_possible_truncation, reason = "a minute at most")]
        let ago_ms = (now.steady_ms as f64 - row.at_s * 1000.0).max(0.0) as i64;
        let of_wash = |&(sensor, value): &(Sensor, f64)| match sensor {
            Sensor::Wash(probe) => Some((probe, value)),
            Sensor::Still(_) => None,
        };
        (app.clock.now_ms() - ago_ms, row.cells.iter().filter_map(of_wash).collect())
    };
    let moments: Vec<Moment> = fed.rows.iter().map(moment).collect();
    let by = WashBy { by: Some(FEEDS.to_owned()), key: None };
    let (rows, entries) = (moments.len() as u64, entries(&moments, &fed.units, &by));
    write(app, name, entries).await?;
    Ok((rows, rows))
}

/// Writes entries into the wash of that name that goes on; gives its name in the record.
pub(crate) async fn write(
    app: &App,
    name: &str,
    entries: Vec<WashEntry>,
) -> Result<String, ApiError> {
    let (asked, now_ms) = (name.to_owned(), app.clock.now_ms());
    let written = move |store: &store::Store| {
        let id = store.wash_that_goes_on(&asked)?;
        if !entries.is_empty() {
            store.write_wash(&id, entries, now_ms)?;
        }
        Ok(id)
    };
    Ok(app.own.write(written).await?.to_string())
}

/// The entries of what was read: temperatures and gravities as a floating sensor's, acid and weight as
/// readings. The first has the key.
pub(crate) fn entries(moments: &[Moment], units: &[FedUnit], by: &WashBy) -> Vec<WashEntry> {
    let of = |cells: &[(WashProbe, f64)], wanted| {
        cells.iter().find(|cell| cell.0 == wanted).map(|cell| cell.1)
    };
    let units_of = |columns: [WashProbe; 2]| -> Vec<FedUnit> {
        let is =
            |unit: &&FedUnit| columns.map(Sensor::from).iter().any(|c| c.column() == unit.channel);
        units.iter().filter(is).cloned().collect()
    };
    let mut rows = Vec::new();
    let mut entries = Vec::new();
    for (at_ms, cells) in moments {
        let [temperature_c, gravity, ph, weight_kg] = WashProbe::ALL.map(|probe| of(cells, probe));
        if temperature_c.or(gravity).is_some() {
            rows.push((*at_ms, WashFloat { gravity, temperature_c }));
        }
        if ph.or(weight_kg).is_some() {
            let row = WashReading { ph, weight_kg, ..WashReading::default() };
            let units = units_of([WashProbe::Ph, WashProbe::Weight]);
            let (at_ms, by) = (*at_ms, WashBy { key: None, ..by.clone() });
            entries.push(WashEntry::Read(WashRead { at_ms, row, corrects: None, units, by }));
        }
    }
    if !rows.is_empty() {
        let units = units_of([WashProbe::Temperature, WashProbe::Gravity]);
        let by = WashBy { key: None, ..by.clone() };
        entries.insert(0, WashEntry::Floated(WashFloated { rows, units, by }));
    }
    match entries.first_mut() {
        Some(WashEntry::Floated(first)) => first.by.key.clone_from(&by.key),
        Some(WashEntry::Read(first)) => first.by.key.clone_from(&by.key),
        _ => {}
    }
    entries
}
