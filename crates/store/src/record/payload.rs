//! Entries as versioned JSON: the text that is stored, chained and read back bit for bit.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::act::{check_by, check_jar_size, check_reason, check_text};
use super::entry::Entry;
use super::payload_checks::{check_end, check_opened, check_speed};
use super::run_id::EntryNumber;
use super::steady::SteadyMark;
use super::tended::Tended;
use super::wash_entry::WashEntry;
use crate::error::StoreError;
use crate::rows::{ActionRow, JarRow, ReadingRow, check_time};

/// Version of the payloads written now; older ones stay readable for ever.
pub const PAYLOAD_VERSION: i64 = 8;
/// Most bytes of one entry.
pub const ENTRY_BYTES_MAX: usize = 4_000_000;

/// An action with its run time.
#[derive(Serialize, Deserialize)]
struct TimedAction {
    time_s: f64,
    #[serde(flatten)]
    row: ActionRow1,
}

/// The action row without the refusal of unknown keys, which `flatten` cannot have.
#[derive(Serialize, Deserialize)]
struct ActionRow1 {
    action: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    unit: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
}

#[derive(Serialize, Deserialize)]
struct Started {
    started_ms: i64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    steady: Option<SteadyMark>,
}

#[derive(Serialize, Deserialize)]
struct Clock {
    time_s: f64,
    utc_ms: i64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    steady: Option<SteadyMark>,
}

#[derive(Serialize, Deserialize)]
struct Withdrawn {
    entry: EntryNumber,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct JarSize {
    time_s: f64,
    ml: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Abandoned {
    time_s: f64,
    reason: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct By {
    by: String,
    #[serde(default = "right_before", skip_serializing_if = "is_right_before")]
    entries: u32,
}

/// Until version 6 it was always the entry right before.
const fn right_before() -> u32 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "as serde asks it")]
const fn is_right_before(entries: &u32) -> bool {
    *entries == 1
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Named {
    name: String,
}

#[derive(Serialize, Deserialize)]
struct Speed {
    time_s: f64,
    speed: f64,
}

impl Entry {
    /// The word of the kind column.
    pub(super) const fn kind(&self) -> &'static str {
        match self {
            Self::Opened(_) => "opened",
            Self::Plan(_) => "plan",
            Self::Started { .. } => "started",
            Self::Clock { .. } => "clock",
            Self::Readings(_) => "readings",
            Self::ReadByHand(..) => "read_by_hand",
            Self::Action(..) => "action",
            Self::Jar(_) => "jar",
            Self::Event(_) => "event",
            Self::Withdrawn { .. } => "withdrawn",
            Self::Speed { .. } => "speed",
            Self::Ended(_) => "ended",
            Self::Outcome(_) => "outcome",
            Self::Balance(_) => "balance",
            Self::OwnStill(_) => "own_still",
            Self::Learned(_) => "learned",
            Self::StillReset(_) => "still_reset",
            Self::Calibrated(_) => "calibrated",
            Self::CalibrationDropped(_) => "calibration_dropped",
            Self::LossAccepted(_) => "loss_accepted",
            Self::Account(_) => "account",
            Self::Corrected { .. } => "corrected",
            Self::Begun(_) => "begun",
            Self::Keyed(_) => "keyed",
            Self::Checks(_) => "checks",
            Self::JarSize { .. } => "jar_size",
            Self::Abandoned { .. } => "abandoned",
            Self::Named { .. } => "named",
            Self::By { .. } => "by",
            Self::Learning(_) => "learning",
            Self::PlanKept(_) => "plan_kept",
            Self::PlanDropped { .. } => "plan_dropped",
            Self::Instrument(_) => "instrument",
            Self::InstrumentCalibrated(_) => "instrument_calibrated",
            Self::InstrumentDropped(_) => "instrument_dropped",
            Self::Instruments(_) => "instruments",
            Self::Tended(one) => one.kind(),
            Self::Wash(entry) => entry.kind(),
            Self::Units(_) => "units",
        }
    }

    /// Refuses what a run folder could not hold, so that every entry can be exported.
    pub(super) fn check(&self) -> Result<(), StoreError> {
        match self {
            Self::Opened(run) => check_opened(run)?,
            Self::Plan(plan) => plan.check()?,
            Self::Readings(rows) => {
                for (time_s, reading) in rows {
                    ReadingRow { time_s: *time_s, cells: *reading }.reading()?;
                }
            }
            Self::ReadByHand(time_s, reading) => {
                ReadingRow { time_s: *time_s, cells: *reading }.reading()?;
            }
            Self::Action(time_s, action) => {
                check_time("time_s", *time_s)?;
                ActionRow::from(action).action()?;
            }
            Self::Jar(jar) => drop(JarRow::new(jar).record()?),
            Self::Event(event) => check_time("time_s", event.time_s)?,
            Self::Clock { time_s, .. } => check_time("time_s", *time_s)?,
            Self::Speed { time_s, speed } => {
                check_time("time_s", *time_s)?;
                check_speed(*speed)?;
            }
            Self::Ended(end) => check_end(end)?,
            Self::Balance(balance) => balance.check()?,
            Self::OwnStill(own) => {
                own.still.check()?;
                own.measured.check()?;
            }
            Self::Learned(lesson) => lesson.check()?,
            Self::StillReset(reset) => reset.check()?,
            Self::Calibrated(calibration) => calibration.check()?,
            Self::CalibrationDropped(dropped) => dropped.check()?,
            Self::LossAccepted(accepted) => accepted.check()?,
            Self::Account(entry) => entry.check()?,
            Self::Keyed(key) => key.check()?,
            Self::Checks(list) => list.check()?,
            Self::JarSize { time_s, ml } => {
                check_time("time_s", *time_s)?;
                check_jar_size(*ml)?;
            }
            Self::Abandoned { time_s, reason } => {
                check_time("time_s", *time_s)?;
                check_reason(reason)?;
            }
            Self::Named { name } | Self::PlanDropped { name } => check_text("name", name)?,
            Self::By { by, entries } => check_by(by, *entries)?,
            Self::PlanKept(kept) => kept.check()?,
            Self::Instrument(one) => one.check()?,
            Self::InstrumentCalibrated(one) => one.check()?,
            Self::InstrumentDropped(gone) => gone.check()?,
            Self::Instruments(list) => list.check()?,
            Self::Tended(one) => one.check()?,
            Self::Wash(entry) => entry.check()?,
            Self::Units(units) => units.check()?,
            Self::Started { .. }
            | Self::Withdrawn { .. }
            | Self::Corrected { .. }
            | Self::Begun(_)
            | Self::Learning(_)
            | Self::Outcome(_) => {}
        }
        Ok(())
    }

    /// The stored text.
    pub(super) fn payload(&self) -> Result<String, StoreError> {
        self.check()?;
        let text = match self {
            Self::Opened(run) => json(run),
            Self::Plan(plan) => json(plan),
            Self::Started { started_ms, steady } => {
                json(&Started { started_ms: *started_ms, steady: *steady })
            }
            Self::Clock { time_s, utc_ms, steady } => {
                json(&Clock { time_s: *time_s, utc_ms: *utc_ms, steady: *steady })
            }
            Self::Readings(rows) => {
                let rows: Vec<_> =
                    rows.iter().map(|row| ReadingRow { time_s: row.0, cells: row.1 }).collect();
                json(&rows)
            }
            Self::ReadByHand(time_s, reading) => {
                json(&ReadingRow { time_s: *time_s, cells: *reading })
            }
            Self::Action(time_s, action) => {
                let ActionRow { action, value, unit, note } = ActionRow::from(action);
                json(&TimedAction {
                    time_s: *time_s,
                    row: ActionRow1 { action, value, unit, note },
                })
            }
            Self::Jar(jar) => json(&JarRow::new(jar)),
            Self::Event(event) => json(event),
            Self::Withdrawn { entry } | Self::Corrected { entry } => {
                json(&Withdrawn { entry: *entry })
            }
            Self::Speed { time_s, speed } => json(&Speed { time_s: *time_s, speed: *speed }),
            Self::Ended(end) => json(end),
            Self::Outcome(value) => json(value),
            Self::Balance(balance) => json(balance),
            Self::OwnStill(own) => json(own),
            Self::Learned(lesson) => json(lesson),
            Self::StillReset(reset) => json(reset),
            Self::Calibrated(calibration) => json(calibration),
            Self::CalibrationDropped(dropped) => json(dropped),
            Self::LossAccepted(accepted) => json(accepted),
            Self::Account(entry) => json(entry),
            Self::Begun(begun) => json(begun),
            Self::Keyed(key) => json(key),
            Self::Checks(list) => json(list),
            Self::JarSize { time_s, ml } => json(&JarSize { time_s: *time_s, ml: *ml }),
            Self::Abandoned { time_s, reason } => {
                json(&Abandoned { time_s: *time_s, reason: reason.clone() })
            }
            Self::By { by, entries } => json(&By { by: by.clone(), entries: *entries }),
            Self::Named { name } | Self::PlanDropped { name } => {
                json(&Named { name: name.clone() })
            }
            Self::Learning(choice) => json(choice),
            Self::PlanKept(kept) => json(kept),
            Self::Instrument(one) => json(one),
            Self::InstrumentCalibrated(one) => json(one),
            Self::InstrumentDropped(gone) => json(gone),
            Self::Instruments(list) => json(list),
            Self::Tended(one) => one.payload(),
            Self::Wash(entry) => entry.payload(),
            Self::Units(units) => json(units),
        };
        if text.len() > ENTRY_BYTES_MAX {
            return Err(StoreError::TooLong { found: text.len(), limit: ENTRY_BYTES_MAX });
        }
        Ok(text)
    }

    /// The entry of a stored text.
    pub(super) fn from_payload(kind: &str, version: i64, text: &str) -> Result<Self, String> {
        if !(1..=PAYLOAD_VERSION).contains(&version) {
            return Err(format!("payload version {version}, this program knows {PAYLOAD_VERSION}"));
        }
        let entry = match kind {
            "opened" => Self::Opened(parse(text)?),
            "plan" => Self::Plan(parse(text)?),
            "started" => {
                let Started { started_ms, steady } = parse(text)?;
                Self::Started { started_ms, steady }
            }
            "readings" => {
                let rows: Vec<ReadingRow> = parse(text)?;
                let rows: Result<Vec<_>, _> = rows.iter().map(ReadingRow::reading).collect();
                Self::Readings(rows.map_err(|fault| fault.to_string())?)
            }
            "action" => {
                let TimedAction { time_s, row } = parse(text)?;
                let ActionRow1 { action, value, unit, note } = row;
                let row = ActionRow { action, value, unit, note };
                Self::Action(time_s, row.action().map_err(|fault| fault.to_string())?.0)
            }
            "jar" => {
                let row: JarRow = parse(text)?;
                Self::Jar(row.record().map_err(|fault| fault.to_string())?)
            }
            "event" => Self::Event(parse(text)?),
            "withdrawn" => Self::Withdrawn { entry: parse::<Withdrawn>(text)?.entry },
            "speed" => {
                let Speed { time_s, speed } = parse(text)?;
                Self::Speed { time_s, speed }
            }
            "ended" => Self::Ended(parse(text)?),
            "outcome" => Self::Outcome(parse(text)?),
            "balance" => Self::Balance(parse(text)?),
            "own_still" => Self::OwnStill(parse(text)?),
            "learned" => Self::Learned(parse(text)?),
            "still_reset" => Self::StillReset(parse(text)?),
            _ if version >= 2 => return Self::of_version_2(kind, text),
            _ => return Err("unknown kind of entry".to_owned()),
        };
        Ok(entry)
    }
}

impl Entry {
    /// The kinds that came with version 2.
    fn of_version_2(kind: &str, text: &str) -> Result<Self, String> {
        Ok(match kind {
            "clock" => {
                let Clock { time_s, utc_ms, steady } = parse(text)?;
                Self::Clock { time_s, utc_ms, steady }
            }
            "read_by_hand" => {
                let read = parse::<ReadingRow>(text)?.reading();
                let (time_s, reading) = read.map_err(|fault| fault.to_string())?;
                Self::ReadByHand(time_s, reading)
            }
            "corrected" => Self::Corrected { entry: parse::<Withdrawn>(text)?.entry },
            "begun" => Self::Begun(parse(text)?),
            "keyed" => Self::Keyed(parse(text)?),
            "checks" => Self::Checks(parse(text)?),
            "jar_size" => {
                let JarSize { time_s, ml } = parse(text)?;
                Self::JarSize { time_s, ml }
            }
            "abandoned" => {
                let Abandoned { time_s, reason } = parse(text)?;
                Self::Abandoned { time_s, reason }
            }
            "named" => Self::Named { name: parse::<Named>(text)?.name },
            "learning" => Self::Learning(parse(text)?),
            "calibrated" => Self::Calibrated(parse(text)?),
            "calibration_dropped" => Self::CalibrationDropped(parse(text)?),
            "by" => {
                let By { by, entries } = parse(text)?;
                Self::By { by, entries }
            }
            "loss_accepted" => Self::LossAccepted(parse(text)?),
            "account" => Self::Account(parse(text)?),
            "plan_kept" => Self::PlanKept(parse(text)?),
            "plan_dropped" => Self::PlanDropped { name: parse::<Named>(text)?.name },
            "instrument" => Self::Instrument(parse(text)?),
            "instrument_calibrated" => Self::InstrumentCalibrated(parse(text)?),
            "instrument_dropped" => Self::InstrumentDropped(parse(text)?),
            "instruments" => Self::Instruments(parse(text)?),
            "units" => Self::Units(parse(text)?),
            _ if Tended::KINDS.contains(&kind) => {
                Self::Tended(Box::new(Tended::from_payload(kind, text)?))
            }
            _ => Self::Wash(Box::new(WashEntry::from_payload(kind, text)?)),
        })
    }
}

fn json<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).expect("structs of numbers and text always have a JSON text")
}

fn parse<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_str(text).map_err(|error| error.to_string())
}

#[cfg(test)]
#[path = "payload_tests.rs"]
mod tests;
