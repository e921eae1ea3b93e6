//! Entries of the account as they are told, here and by the command line.

use account::{Leg, Numbered, Profile};
use serde::Serialize;
use store::time::format_start;
use utoipa::ToSchema;

use super::account::SpentWire;
use super::record::EnteredWire;

/// One side of a move.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LegWire {
    /// As `tank:T1`.
    place: String,
    /// What stands there.
    lot: Option<String>,
    /// L of pure alcohol at 20 °C.
    pure_alcohol_l: f64,
    /// In the unit of the profile.
    reported: String,
    /// Litres of liquid at 20 °C.
    litres_20c: Option<f64>,
    /// Its strength, % vol.
    strength_vol: Option<f64>,
    /// Bottles.
    bottles: Option<u32>,
    /// What one holds, mL.
    bottle_ml: Option<f64>,
}

/// An instrument that something was gauged with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct GaugedWithWire {
    /// What it is called.
    pub name: String,
    /// Whether its calibration had ended when it was used.
    pub overdue: bool,
    /// When that ends, ms of UTC; none where nobody knows of a calibration.
    pub due_ms: Option<i64>,
    /// The entry or paper of its calibration.
    pub calibration: Option<String>,
    /// Its name, and whether it was overdue then, in words.
    pub words: String,
}

impl GaugedWithWire {
    /// Of an instrument, as it was at a moment.
    #[must_use]
    pub fn new(one: &account::Instrument, at_ms: i64) -> Self {
        Self {
            name: one.id.clone(),
            overdue: one.is_overdue(at_ms),
            due_ms: one.due_ms,
            calibration: one.calibration.clone(),
            words: one.words(at_ms),
        }
    }
}

impl From<&sense::GaugedWith> for GaugedWithWire {
    fn from(one: &sense::GaugedWith) -> Self {
        let (name, overdue, words) = (one.instrument.clone(), one.overdue, one.words());
        Self { name, overdue, due_ms: None, calibration: None, words }
    }
}

/// What was read, beside what follows from it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AccountGaugeWire {
    /// How much, as read.
    quantity: f64,
    /// `l`, `kg`, `us_gal` or `lb`.
    unit: String,
    /// What the glass read.
    reading: f64,
    /// What its numbers mean.
    scale: String,
    /// Temperature of the liquid, °C.
    celsius: f64,
    /// Litres at 20 °C that follow.
    litres_20c: f64,
    /// True strength, % vol at 20 °C.
    strength_vol: f64,
    /// Standard deviation of the pure alcohol, L.
    alcohol_sd_l: f64,
    /// US wine gallons at 60 °F.
    wine_gallons: f64,
    /// US proof gallons at 60 °F, not rounded.
    proof_gallons: f64,
    /// By which table.
    table: String,
    /// With which instruments.
    instruments: Vec<GaugedWithWire>,
}

/// An entry of the account.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AccountEntryWire {
    /// Its serial; of what was only looked at, the one it would have.
    serial: u64,
    /// Which act.
    kind: String,
    /// When it was done, RFC 3339.
    act: String,
    /// The same, ms of UTC.
    act_ms: i64,
    /// When it was entered, RFC 3339.
    entered: String,
    /// Whether it was entered later than the profile allows.
    late: bool,
    /// What goes out.
    from: Vec<LegWire>,
    /// What comes in.
    to: Vec<LegWire>,
    /// L of pure alcohol moved.
    pure_alcohol_l: f64,
    /// In the unit of the profile.
    reported: String,
    /// Kind of spirit.
    spirit: Option<String>,
    /// What was read.
    gauge: Option<AccountGaugeWire>,
    /// What a count found, L of pure alcohol.
    found_l: Option<f64>,
    /// What the book had then, L.
    book_l: Option<f64>,
    /// Who entered it.
    by: String,
    /// Who read.
    read_by: Option<String>,
    /// Who checked.
    checked_by: Option<String>,
    /// In words.
    note: Option<String>,
    /// The entry in whose place this one stands.
    corrects: Option<u64>,
    /// The entry that stands in its place.
    corrected_by: Option<u64>,
    /// The entry this one is about.
    about: Option<u64>,
    /// The run of the record it was taken from.
    run: Option<String>,
    /// What it took beside alcohol.
    spent: Option<SpentWire>,
    /// Numbers that were typed in other units, as they were typed: `from[0].litres_20c`,
    /// `to[1].strength_vol`, `found_l`, `read.celsius`.
    typed: Vec<EnteredWire>,
}

/// A moment to the second, with its zone.
fn moment(ms: i64, zone_minutes: i32) -> String {
    format_start(ms.div_euclid(1000) * 1000, zone_minutes).unwrap_or_default()
}

fn leg(leg: &Leg, profile: &Profile) -> LegWire {
    LegWire {
        place: leg.place.to_string(),
        lot: leg.lot.as_ref().map(ToString::to_string),
        pure_alcohol_l: leg.alcohol.litres(),
        reported: profile.reported(leg.alcohol),
        litres_20c: leg.litres_20c,
        strength_vol: leg.strength_vol,
        bottles: leg.bottles,
        bottle_ml: leg.bottle_ml,
    }
}

impl AccountGaugeWire {
    fn new(gauge: &account::Gauge, at_ms: i64) -> Self {
        let raw = gauge.raw;
        Self {
            quantity: raw.quantity,
            unit: raw.unit.word().to_owned(),
            reading: raw.reading,
            scale: raw.scale.name().to_owned(),
            celsius: raw.celsius,
            litres_20c: gauge.litres_20c,
            strength_vol: gauge.strength_vol,
            alcohol_sd_l: gauge.alcohol_sd_l,
            wine_gallons: gauge.wine_gallons(),
            proof_gallons: gauge.proof_gallons,
            table: gauge.table.clone(),
            instruments: gauge
                .instruments
                .iter()
                .map(|one| GaugedWithWire::new(one, at_ms))
                .collect(),
        }
    }
}

impl AccountEntryWire {
    /// Of an entry, and what took its place, told in the unit of a profile.
    #[must_use]
    pub fn new(numbered: &Numbered, corrected_by: Option<u64>, profile: &Profile) -> Self {
        let entry = &numbered.entry;
        Self {
            serial: numbered.number,
            kind: entry.kind.word().to_owned(),
            act: moment(entry.act_ms, entry.zone_minutes),
            act_ms: entry.act_ms,
            entered: moment(entry.entered_ms, entry.zone_minutes),
            late: profile.is_late(entry),
            from: entry.from.iter().map(|one| leg(one, profile)).collect(),
            to: entry.to.iter().map(|one| leg(one, profile)).collect(),
            pure_alcohol_l: entry.moved().litres(),
            reported: profile.reported(entry.moved()),
            spirit: entry.spirit.clone(),
            gauge: entry.gauge.as_deref().map(|one| AccountGaugeWire::new(one, entry.act_ms)),
            found_l: entry.counted.map(|counted| counted.found.litres()),
            book_l: entry.counted.map(|counted| counted.book.litres()),
            by: entry.people.entered.clone(),
            read_by: entry.people.read.clone(),
            checked_by: entry.people.checked.clone(),
            note: entry.note.clone(),
            corrects: entry.corrects,
            corrected_by,
            about: entry.about,
            run: entry.run.clone(),
            spent: entry.spent.map(SpentWire::from),
            typed: entry.typed.iter().map(EnteredWire::from).collect(),
        }
    }
}
