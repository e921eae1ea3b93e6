//! A row of actions: one word, a number with its unit, a note.

use quantities::Power;
use sense::{Action, Vessel};
use serde::{Deserialize, Serialize};
use still::plan::{StepKind, TakeOff};

use super::vessel;
use super::{RowFault, check_note, check_number, required};

/// Columns of the actions file, in order.
pub const ACTION_COLUMNS: [&str; 5] = ["time_s", "action", "value", "unit", "note"];

/// The words of the action column.
pub const ACTIONS: [&str; 14] = [
    "heater", "takeoff", "coolant", "jar", "step", "gauge", "residue", "feints", "sample", "here",
    "seen", "reset", "quiet", "note",
];

/// Most characters of an alarm code.
const CODE_CHARACTERS_MAX: usize = 60;

/// An action in the words of the file.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ActionRow {
    /// One of [`ACTIONS`].
    pub action: String,
    /// Its number, where the action has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// Unit of the number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub unit: String,
    /// A step's name, an alarm's code, or a remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl From<&Action> for ActionRow {
    fn from(action: &Action) -> Self {
        let row = |action: &str, value: Option<f64>, unit: &str, note: &str| Self {
            action: action.to_owned(),
            value,
            unit: unit.to_owned(),
            note: note.to_owned(),
        };
        match action {
            Action::Heater { watts } => row("heater", Some(*watts), "W", ""),
            Action::TakeOff { take_off, measured } => {
                let note = if *measured { "measured" } else { "" };
                match *take_off {
                    TakeOff::Closed => row("takeoff", Some(0.0), "ml_per_min", note),
                    TakeOff::MlPerMin(rate) => row("takeoff", Some(rate), "ml_per_min", note),
                    TakeOff::RefluxWatts(watts) => {
                        row("takeoff", Some(watts), "reflux_watts", note)
                    }
                    TakeOff::RefluxRatio(ratio) => {
                        row("takeoff", Some(ratio), "reflux_ratio", note)
                    }
                }
            }
            Action::Coolant { l_per_min } => row("coolant", Some(*l_per_min), "l_per_min", ""),
            Action::Jar { number } => row("jar", Some(f64::from(*number)), "", ""),
            Action::Step { kind } => row("step", None, "", kind.name()),
            Action::Gauge { apparent_vol, celsius } => {
                row("gauge", Some(*apparent_vol), &format!("vol_at_{celsius}"), "")
            }
            Action::Vessel(record) => {
                let (value, unit, note) = vessel::cells(record);
                row(record.vessel.name(), Some(value), unit, &note)
            }
            Action::Here => row("here", None, "", ""),
            Action::Seen { code } => row("seen", None, "", code),
            Action::Reset { code } => row("reset", None, "", code),
            Action::Quiet { code, minutes, reason } => {
                row("quiet", Some(*minutes), "min", &format!("{code}: {reason}"))
            }
            Action::Note { text } => row("note", None, "", text),
        }
    }
}

impl ActionRow {
    /// The action, checked, and the remark that stood beside it, if any.
    ///
    /// # Errors
    /// [`RowFault`] for an unknown action, a missing or surplus number, a wrong unit, a number
    /// out of bounds, an unknown step.
    pub fn action(&self) -> Result<(Action, Option<String>), RowFault> {
        check_note(&self.note)?;
        let action = match self.action.as_str() {
            "heater" => {
                Action::Heater { watts: self.number(&["W"], Power::LOW, Power::HIGH, "W")? }
            }
            "takeoff" => self.take_off()?,
            "coolant" => {
                Action::Coolant { l_per_min: self.number(&["l_per_min"], 0.0, 1000.0, "L/min")? }
            }
            "jar" => {
                let number = self.number(&[""], 0.0, f64::INFINITY, "")?;
                Action::Jar { number: check_number("value", number)? }
            }
            "gauge" => self.gauge()?,
            word if let Some(vessel) = Vessel::from_name(word) => {
                let value = self.number(&vessel::UNITS, 0.0, vessel::AMOUNT_MAX, "")?;
                return Ok((vessel::action(vessel, value, &self.unit, &self.note)?, None));
            }
            "quiet" => return Ok((self.quiet()?, None)),
            "step" => return Ok((self.step()?, None)),
            "seen" => return Ok((Action::Seen { code: self.code(&self.note)? }, None)),
            "reset" => return Ok((Action::Reset { code: self.code(&self.note)? }, None)),
            "note" => {
                self.no_number()?;
                return Ok((Action::Note { text: self.note.clone() }, None));
            }
            "here" => {
                self.no_number()?;
                Action::Here
            }
            _ => {
                let bound = format!("must be one of {}", ACTIONS.join(", "));
                let hint = "a remark goes into an action \"note\"";
                return Err(RowFault::new("action", &self.action, bound, hint));
            }
        };
        Ok((action, self.remark()))
    }

    /// What is left of the note once its meaning is taken out.
    fn remark(&self) -> Option<String> {
        let plain = match self.action.as_str() {
            "takeoff" => matches!(self.note.as_str(), "" | "set" | "measured"),
            _ => self.note.is_empty(),
        };
        (!plain).then(|| self.note.clone())
    }

    fn number(&self, units: &[&str], low: f64, high: f64, unit: &str) -> Result<f64, RowFault> {
        if !units.contains(&self.unit.as_str()) {
            let expected: Vec<String> = units.iter().map(|unit| format!("\"{unit}\"")).collect();
            let bound = format!("must be {} for {}", expected.join(" or "), self.action);
            return Err(RowFault::new(
                "unit",
                &self.unit,
                bound,
                "write the unit as the format names it",
            ));
        }
        let Some(value) = self.value else {
            let bound = format!("{} needs a number", self.action);
            return Err(RowFault::new("value", "", bound, "0 means off"));
        };
        required("value", value, low, high, unit, "correct the number or its unit")?;
        if value.is_finite() {
            return Ok(value);
        }
        Err(RowFault::new("value", value, "must be a finite number", "correct the number"))
    }

    fn no_number(&self) -> Result<(), RowFault> {
        let bound = format!("{} takes no number", self.action);
        if let Some(value) = self.value {
            return Err(RowFault::new("value", value, bound, "leave value and unit empty"));
        }
        if self.unit.is_empty() {
            return Ok(());
        }
        Err(RowFault::new("unit", &self.unit, bound, "leave value and unit empty"))
    }

    fn take_off(&self) -> Result<Action, RowFault> {
        let value =
            self.number(&["ml_per_min", "reflux_ratio", "reflux_watts"], 0.0, 100_000.0, "")?;
        let take_off = match self.unit.as_str() {
            "reflux_ratio" => TakeOff::RefluxRatio(value),
            "reflux_watts" => TakeOff::RefluxWatts(value),
            _ if value == 0.0 => TakeOff::Closed,
            _ => TakeOff::MlPerMin(value),
        };
        Ok(Action::TakeOff { take_off, measured: self.note.starts_with("measured") })
    }

    fn gauge(&self) -> Result<Action, RowFault> {
        let hint = "the unit says the temperature, as vol_at_21.5";
        let at = self.unit.strip_prefix("vol_at_").and_then(|text| text.parse::<f64>().ok());
        let Some(celsius) = at else {
            return Err(RowFault::new("unit", &self.unit, "must be vol_at_<C> for gauge", hint));
        };
        required("unit", celsius, -20.0, 100.0, "°C", hint)?;
        let apparent_vol = self.number(&[&self.unit], 0.0, 100.0, "% vol")?;
        Ok(Action::Gauge { apparent_vol, celsius })
    }

    fn step(&self) -> Result<Action, RowFault> {
        self.no_number()?;
        let kind = StepKind::from_name(&self.note).ok_or_else(|| {
            let bound = "must be heat, equalise, foreshots, heads, hearts, tails or stop";
            RowFault::new("note", &self.note, bound, "the note of a step action is the step's name")
        })?;
        Ok(Action::Step { kind })
    }

    fn quiet(&self) -> Result<Action, RowFault> {
        let minutes = self.number(&["", "min"], 0.0, 1440.0, "min")?;
        let (code, reason) = self.note.split_once(':').unwrap_or((&self.note, ""));
        let reason = reason.strip_prefix(' ').unwrap_or(reason).to_owned();
        Ok(Action::Quiet { code: checked_code(code)?, minutes, reason })
    }

    fn code(&self, text: &str) -> Result<String, RowFault> {
        self.no_number()?;
        checked_code(text)
    }
}

fn checked_code(text: &str) -> Result<String, RowFault> {
    let sound = (1..=CODE_CHARACTERS_MAX).contains(&text.len())
        && text
            .bytes()
            .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_');
    if sound {
        return Ok(text.to_owned());
    }
    let bound = "must begin with the code of an alarm in small letters";
    Err(RowFault::new("note", text, bound, "as data_stale, or coolant_loss: hose mended"))
}
