//! The rules as their file has them, and what each must say.

use std::collections::BTreeMap;

use serde::Deserialize;

/// The whole file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rules {
    pub(super) alarm: Vec<Alarm>,
    pub(super) second_person: SecondPerson,
    pub(super) load: Load,
    pub(super) not: Vec<NoAlarm>,
}

/// One alarm.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Alarm {
    pub(super) code: String,
    pub(super) words: String,
    pub(super) group: String,
    pub(super) rank: u8,
    pub(super) off_delay_s: f64,
    pub(super) hush: bool,
    pub(super) suppressed: Vec<Phase>,
    pub(super) because: String,
    pub(super) job: Vec<String>,
    pub(super) cause: Vec<Cause>,
}

/// One way in which it is raised.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cause {
    pub(super) name: String,
    pub(super) when: String,
    pub(super) priority: Priority,
    #[serde(rename = "do")]
    pub(super) to_do: String,
    pub(super) within_s: Option<f64>,
    #[serde(default)]
    pub(super) on_delay_s: f64,
    pub(super) limit: Option<f64>,
    #[serde(default)]
    pub(super) dead_band: f64,
    #[serde(default)]
    pub(super) unit: String,
    #[serde(default)]
    pub(super) numbers: Vec<Number>,
    /// Where it is suppressed otherwise than the alarm's other causes.
    pub(super) suppressed: Option<Vec<Phase>>,
    pub(super) source: String,
    pub(super) test: Test,
}

/// A further number of a rule.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Number {
    pub(super) name: String,
    pub(super) value: f64,
    pub(super) what: String,
}

/// How the walk brings a cause about.
#[expect(clippy::struct_excessive_bools, reason = "keys of a file, each of which may be left out")]
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Test {
    /// Cells of every row.
    pub(super) row: BTreeMap<String, f64>,
    /// Cells that grow by so much each second.
    pub(super) ramp: BTreeMap<String, f64>,
    /// Columns that are not read any more.
    pub(super) without: Vec<String>,
    /// Cells that are read before, beside the usual ones.
    pub(super) calm: BTreeMap<String, f64>,
    /// What is done: `takeoff 600`, `step stop`.
    pub(super) acts: Vec<String>,
    /// Nobody presses anything.
    pub(super) alone: bool,
    /// With a forecast of the plan.
    pub(super) foretold: bool,
    /// It turns critical if it lasts.
    pub(super) worsens: bool,
    /// It is over by itself.
    pub(super) brief: bool,
    /// Litres of the charge, where not as usual.
    pub(super) charge_l: Option<f64>,
    /// The size stated for the jars, mL.
    pub(super) jar_ml: Option<f64>,
    /// A channel whose instrument is overdue.
    pub(super) overdue: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Priority {
    Critical,
    High,
    Medium,
    Low,
}

impl Priority {
    /// As the engine's type has it, and in words.
    pub(super) const fn name(self) -> (&'static str, &'static str) {
        match self {
            Self::Critical => ("Critical", "critical"),
            Self::High => ("High", "high"),
            Self::Medium => ("Medium", "medium"),
            Self::Low => ("Low", "low"),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Phase {
    BeforeHeat,
    HeatUp,
    Boil,
    Cooling,
    Cold,
}

impl Phase {
    /// As the engine's type has it, and in words.
    pub(super) const fn name(self) -> (&'static str, &'static str) {
        match self {
            Self::BeforeHeat => ("BeforeHeat", "before heat"),
            Self::HeatUp => ("HeatUp", "in heat-up"),
            Self::Boil => ("Boil", "in the boil"),
            Self::Cooling => ("Cooling", "5 min after heat off"),
            Self::Cold => ("Cold", "once it is cold"),
        }
    }
}

/// Who is called when nobody answers.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SecondPerson {
    pub(super) after_s: f64,
    pub(super) again_s: f64,
    pub(super) times: u32,
    pub(super) source: String,
}

/// How many alarms are too many.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Load {
    pub(super) window_s: f64,
    pub(super) flood: usize,
    pub(super) chatters: usize,
    pub(super) stands_long_s: f64,
    pub(super) source: String,
}

/// What is no alarm here.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NoAlarm {
    pub(super) job: Vec<String>,
    pub(super) what: String,
    pub(super) why: String,
}

impl Rules {
    /// What no type of it checks.
    pub(super) fn check(&self) -> Result<(), String> {
        for (place, alarm) in self.alarm.iter().enumerate() {
            if self.alarm[..place].iter().any(|before| before.code == alarm.code) {
                return Err(format!("{}: stands twice", alarm.code));
            }
            if alarm.cause.is_empty() || alarm.words.is_empty() || alarm.group.is_empty() {
                return Err(format!("{}: needs words, a group and a cause", alarm.code));
            }
            let of_causes = alarm.cause.iter().filter_map(|cause| cause.suppressed.as_ref());
            let all = of_causes.chain([&alarm.suppressed]).all(Vec::is_empty);
            if all != alarm.because.is_empty() {
                return Err(format!("{}: because says why it is suppressed", alarm.code));
            }
            for cause in &alarm.cause {
                cause.check().map_err(|what| format!("{}.{}: {what}", alarm.code, cause.name))?;
            }
        }
        Ok(())
    }
}

impl Cause {
    fn check(&self) -> Result<(), String> {
        let said = [&self.name, &self.when, &self.to_do, &self.source];
        if said.iter().any(|text| text.is_empty()) {
            return Err("needs name, when, do and source".into());
        }
        let longest_s = match self.priority {
            Priority::Critical => 60.0,
            Priority::High => 300.0,
            Priority::Medium => 1200.0,
            Priority::Low => f64::INFINITY,
        };
        let within_s = self.within_s.unwrap_or(f64::INFINITY);
        if within_s > longest_s {
            return Err(format!("within_s must be {longest_s} at most for its priority"));
        }
        Ok(())
    }
}
