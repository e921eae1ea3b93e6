//! A wash as it stands, line by line.

use serde::Serialize;
use store::{Struck, WashEntry, WashLine, WashState};
use utoipa::ToSchema;

use super::wash_recipe::WashRecipeWire;
use crate::problem::ApiError;
use crate::unit_words::typed_words;

/// Most points of a floating sensor that are told.
const FLOAT_POINTS_MAX: usize = 400;

/// What a wash went into the still as.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashChargeWire {
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// Their standard deviation.
    pub(crate) litres_sd: f64,
    /// Strength, % vol at 20 °C.
    pub(crate) strength_vol: f64,
    /// Its standard deviation, % vol.
    pub(crate) strength_sd: f64,
    /// Its lot in the account; none where it is not entered yet.
    pub(crate) lot: Option<String>,
}

/// How a wash ended.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashEndWire {
    /// Its entry: taken back, the wash is open again.
    entry: i64,
    /// When, ms of UTC.
    at_ms: i64,
    /// What it became; none where it was poured away.
    charge: Option<WashChargeWire>,
    /// Why it was poured away.
    reason: String,
}

/// One line of the log.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashLineWire {
    /// Its entry.
    entry: i64,
    /// `opened`, `recipe`, `read`, `done`, `floated`, `withdrawn` or `ended`.
    kind: &'static str,
    /// When it happened, ms of UTC.
    at_ms: i64,
    /// When it was written, ms of UTC.
    stored_ms: i64,
    /// Hours from pitching.
    time_h: f64,
    /// Gravity as read.
    gravity: Option<f64>,
    /// Gravity as the glass would have read at its own temperature.
    gravity_true: Option<f64>,
    /// Temperature of the sample, °C.
    temperature_c: Option<f64>,
    /// Fermenter and wash together, kg.
    weight_kg: Option<f64>,
    /// Acidity.
    ph: Option<f64>,
    /// What was done.
    action: Option<String>,
    /// How much of it.
    value: Option<f64>,
    /// In which unit.
    unit: Option<&'static str>,
    /// Its numbers as they were typed, where that was in other units; else empty.
    typed: String,
    /// A remark, or why.
    note: String,
    /// Who.
    by: Option<String>,
    /// Why it does not hold any more, in words.
    struck: Option<String>,
    /// The entry that stands in its place.
    corrected_by: Option<i64>,
    /// Whether it can be taken back.
    can_be_struck: bool,
}

/// What a floating sensor sent.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashFloatWire {
    /// When, ms of UTC.
    at_ms: i64,
    /// Gravity by its own calibration.
    gravity: Option<f64>,
    /// Temperature of the wash, °C.
    temperature_c: Option<f64>,
}

/// A wash.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashWire {
    /// Its name in the record.
    id: String,
    /// In the example house.
    example: bool,
    /// What it is called.
    title: String,
    /// The recipe in force.
    recipe: WashRecipeWire,
    /// When the yeast was pitched, ms of UTC.
    pitched_ms: i64,
    /// The zone of that, minutes east of UTC.
    zone_offset_minutes: i32,
    /// Everything that is written of it, oldest first, floating sensors left out.
    lines: Vec<WashLineWire>,
    /// What a floating sensor sent: some hundred points of it.
    float: Vec<WashFloatWire>,
    /// How it ended; none while it goes on.
    ended: Option<WashEndWire>,
    /// Number of the last entry.
    last_entry: i64,
}

/// One line of the list of washes.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct WashSummaryWire {
    /// Its name in the record.
    id: String,
    /// What it is called.
    title: String,
    /// When the yeast was pitched, ms of UTC.
    pitched_ms: i64,
    /// The zone of that, minutes east of UTC.
    zone_offset_minutes: i32,
    /// Litres.
    litres: f64,
    /// The last gravity that stands, as the glass would have read at its own temperature.
    gravity: Option<f64>,
    /// When that was read, ms of UTC.
    gravity_ms: Option<i64>,
    /// `open`, `charged` or `poured`.
    status: &'static str,
}

impl WashSummaryWire {
    /// Of a wash.
    pub(crate) fn of(state: &WashState) -> Self {
        let last = state
            .lines
            .iter()
            .filter(|line| line.struck.is_none())
            .filter_map(|line| Some((line.at_ms, gravity_true(state, line)?)));
        let last = last.max_by_key(|row| row.0);
        Self {
            id: state.id.to_string(),
            title: state.recipe.title.clone(),
            pitched_ms: state.pitched_ms,
            zone_offset_minutes: state.zone_minutes,
            litres: state.recipe.litres,
            gravity: last.map(|row| row.1),
            gravity_ms: last.map(|row| row.0),
            status: match &state.ended {
                None => "open",
                Some((_, end)) if end.charge.is_some() => "charged",
                Some(_) => "poured",
            },
        }
    }
}

fn gravity_true(state: &WashState, line: &WashLine) -> Option<f64> {
    let WashEntry::Read(one) = &line.entry else { return None };
    let gravity = one.row.gravity?;
    Some(match one.row.temperature_c {
        Some(celsius) => ferment::at_glass_temperature(&state.recipe, gravity, celsius),
        None => gravity,
    })
}

impl WashLineWire {
    fn of(state: &WashState, line: &WashLine) -> Self {
        let kind = match line.entry {
            WashEntry::Opened(_) => "opened",
            WashEntry::Recipe(_) => "recipe",
            WashEntry::Read(_) => "read",
            WashEntry::Done(_) => "done",
            WashEntry::Floated(_) => "floated",
            WashEntry::Withdrawn(_) => "withdrawn",
            WashEntry::Ended(_) => "ended",
        };
        let (struck, corrected_by) = match &line.struck {
            None => (None, None),
            Some(Struck::Corrected(by)) => (Some("corrected".to_owned()), Some(*by)),
            Some(Struck::Withdrawn(why, by)) => {
                let by = by.as_ref().map(|by| format!(" ({by})")).unwrap_or_default();
                (Some(format!("{why}{by}")), None)
            }
        };
        let mut wire = Self {
            entry: line.number,
            kind,
            at_ms: line.at_ms,
            stored_ms: line.stored_ms,
            time_h: state.hours(line.at_ms),
            gravity: None,
            gravity_true: gravity_true(state, line),
            temperature_c: None,
            weight_kg: None,
            ph: None,
            action: None,
            value: None,
            unit: None,
            typed: typed_words(&line.typed),
            note: String::new(),
            by: line.entry.by().by.clone(),
            can_be_struck: line.struck.is_none() && matches!(kind, "read" | "done" | "ended"),
            struck,
            corrected_by,
        };
        match &line.entry {
            WashEntry::Read(one) => {
                wire.gravity = one.row.gravity;
                wire.temperature_c = one.row.temperature_c;
                wire.weight_kg = one.row.weight_kg;
                wire.ph = one.row.ph;
                wire.note.clone_from(&one.row.note);
            }
            WashEntry::Done(one) => {
                wire.action = Some(one.row.action.clone());
                wire.value = one.row.value;
                wire.unit = Some(one.row.unit());
                wire.note.clone_from(&one.row.note);
            }
            WashEntry::Recipe(one) => wire.note.clone_from(&one.reason),
            WashEntry::Withdrawn(one) => wire.note = format!("{}: {}", one.entry, one.reason),
            WashEntry::Ended(one) => wire.note.clone_from(&one.reason),
            WashEntry::Opened(_) | WashEntry::Floated(_) => {}
        }
        wire
    }
}

impl WashWire {
    /// Of a wash.
    pub(crate) fn of(state: &WashState, example: bool) -> Result<Self, ApiError> {
        let sensor = |line: &&WashLine| matches!(line.entry, WashEntry::Floated(_));
        let float = state.folder().float;
        let every = (float.len() / FLOAT_POINTS_MAX).max(1);
        let point = |(hours, row): &(f64, store::rows::WashFloat)| WashFloatWire {
            at_ms: state.moment(*hours),
            gravity: row.gravity,
            temperature_c: row.temperature_c,
        };
        let end = |(entry, end): &(i64, store::WashEnd)| WashEndWire {
            entry: *entry,
            at_ms: end.at_ms,
            charge: end.charge.as_ref().map(|charge| WashChargeWire {
                litres: charge.litres,
                litres_sd: charge.litres_sd,
                strength_vol: charge.strength_vol,
                strength_sd: charge.strength_sd,
                lot: Some(charge.lot.clone()),
            }),
            reason: end.reason.clone(),
        };
        let lines = state.lines.iter().filter(|line| !sensor(line));
        Ok(Self {
            id: state.id.to_string(),
            example,
            title: state.recipe.title.clone(),
            recipe: WashRecipeWire::of(&state.recipe)?,
            pitched_ms: state.pitched_ms,
            zone_offset_minutes: state.zone_minutes,
            lines: lines.map(|line| WashLineWire::of(state, line)).collect(),
            float: float.iter().step_by(every).map(point).collect(),
            ended: state.ended.as_ref().map(end),
            last_entry: state.last_entry,
        })
    }
}
