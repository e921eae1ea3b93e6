//! What is known before heat: the still, its charge, its site and the planned steps, with the
//! names and units of the run folder's `run.toml`.

mod charge;
mod check;
mod defaults;
mod heat;
mod measured;
mod probe;
mod surface;

pub use charge::{Charge, ChargeKind, FeintsPart};
pub use check::{FORMAT_NEWEST, PlanError, STATION_HPA, STEPS_MAX, TITLE_CHARACTERS_MAX};
pub use defaults::{OwnStill, default_congeners_mg_per_l, likely_kind};
pub use heat::HeatSource;
pub use measured::{Derived, Filling, Measured, Metal};
pub use probe::HeadPlace;
use quantities::Power;
use serde::{Deserialize, Serialize};

/// A run as it is planned: everything a forecast needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunPlan {
    /// Version of the format, to [`FORMAT_NEWEST`]: with 2 came more columns of readings.
    pub format: u32,
    /// What the person calls this run.
    pub title: String,
    /// Heater on, or planned: a timestamp with its zone offset (RFC 3339).
    pub start: String,
    /// The apparatus.
    pub still: Still,
    /// What goes into the boiler.
    pub charge: Charge,
    /// Where the still stands.
    pub site: Site,
    /// The steps in order: `heat` first, `stop` last.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
}

/// Pot head or reflux column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StillKind {
    /// A bare head: 0 or 1 stages, no returned reflux.
    Pot,
    /// A reflux column of 2 to 30 stages.
    Column,
}

/// The apparatus as its owner describes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Still {
    /// What the person calls it.
    pub name: String,
    /// Pot head or reflux column.
    pub kind: StillKind,
    /// Boiler volume, L.
    pub boiler_litres: f64,
    /// What heats it; absent = electric.
    #[serde(default, skip_serializing_if = "HeatSource::is_electric")]
    pub heat_source: HeatSource,
    /// Each heating element, W; of steam, gas or fire what reaches the pot, or none where nobody
    /// knows.
    pub elements_watts: Vec<f64>,
    /// Liquid that must stay over the elements, L.
    pub element_cover_litres: f64,
    /// Believed contact stages, the pot not counted; may be fractional.
    pub stages: f64,
    /// Murphree vapour efficiency of each stage; only with whole stages.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Temperature of subcooled reflux, °C; absent = bubble point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reflux_c: Option<f64>,
    /// Share of the spirit drawn that never reaches the jars, as vapour (0..0.5); absent = none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vapour_lost: Option<f64>,
    /// Liquid held in column and drum, L.
    pub holdup_litres: f64,
    /// Share of the hold-up that is in the drum (0..1).
    pub drum_fraction: f64,
    /// Heat lost by the boiler, W/K above ambient.
    pub boiler_loss_w_per_k: f64,
    /// Heat lost by the column, W/K above ambient.
    pub column_loss_w_per_k: f64,
    /// Heat capacity of the boiler metal, kJ/K.
    pub metal_kj_per_k: f64,
    /// Heat capacity of the column metal, kJ/K.
    pub column_metal_kj_per_k: f64,
    /// Pressure drop per stage, Pa.
    pub pressure_drop_pa_per_stage: f64,
    /// Where the head thermometer sits; absent = above.
    #[serde(default, skip_serializing_if = "HeadPlace::is_usual")]
    pub head_place: HeadPlace,
    /// Share of the packed height, from its foot, at which the thermometer in the column sits
    /// (0.05..0.95); absent = none, or, where one is read all the same, [`Still::column_probe`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub column_probe_fraction: Option<f64>,
    /// A check on the plan, mL/min; the model itself limits take-off only by the vapour.
    pub max_takeoff_ml_per_min: f64,
}

/// Where the still stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Station pressure, hPa (not reduced to sea level), within [`STATION_HPA`].
    pub pressure_hpa: f64,
    /// Ambient temperature, °C.
    pub ambient_c: f64,
    /// Coolant inlet temperature, °C.
    pub coolant_in_c: f64,
    /// Coolant flow, L/min.
    pub coolant_l_per_min: f64,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// From heater on until the stages are filled.
    Heat,
    /// Total reflux (column only).
    Equalise,
    /// The first runnings, to be discarded.
    Foreshots,
    /// The early fraction.
    Heads,
    /// The clean middle; a second one in a row is the slow phase.
    Hearts,
    /// The late fraction.
    Tails,
    /// Heater off.
    Stop,
}

impl StepKind {
    /// The name used in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Heat => "heat",
            Self::Equalise => "equalise",
            Self::Foreshots => "foreshots",
            Self::Heads => "heads",
            Self::Hearts => "hearts",
            Self::Tails => "tails",
            Self::Stop => "stop",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        [
            Self::Heat,
            Self::Equalise,
            Self::Foreshots,
            Self::Heads,
            Self::Hearts,
            Self::Tails,
            Self::Stop,
        ]
        .into_iter()
        .find(|kind| kind.name() == name)
    }

    /// Whether spirit is drawn in this step.
    #[must_use]
    pub const fn draws(self) -> bool {
        matches!(self, Self::Foreshots | Self::Heads | Self::Hearts | Self::Tails)
    }
}

/// How much is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TakeOff {
    /// Nothing: total reflux.
    Closed,
    /// Reflux returned per spirit drawn, mol/mol; 0 draws everything.
    RefluxRatio(f64),
    /// Millilitres a minute at 20 °C.
    MlPerMin(f64),
    /// All but what a partial condenser of that duty returns, W.
    RefluxWatts(f64),
}

/// One step of the plan. Any `until_*` (and `minutes`) ends it, the first reached wins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// What it does.
    #[serde(rename = "do")]
    pub kind: StepKind,
    /// Heater power, W; absent = as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watts: Option<f64>,
    /// Reflux ratio while drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reflux_ratio: Option<f64>,
    /// Duty of the partial condenser while drawing, W: it returns what it condenses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reflux_watts: Option<f64>,
    /// Take-off while drawing, mL/min at 20 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub takeoff_ml_per_min: Option<f64>,
    /// Longest duration, min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// The step's own volume at 20 °C, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_ml: Option<f64>,
    /// Head rise above this run's plateau, pressure-corrected, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_rise_k: Option<f64>,
    /// Strength of the drum falling to this, % vol.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_strength_vol: Option<f64>,
    /// Pot temperature rising to this, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_pot_c: Option<f64>,
    /// Everything drawn since heat, mL at 20 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_total_ml: Option<f64>,
}

impl Step {
    /// A step of that kind with nothing else set.
    #[must_use]
    pub const fn new(kind: StepKind) -> Self {
        Self {
            kind,
            watts: None,
            reflux_ratio: None,
            reflux_watts: None,
            takeoff_ml_per_min: None,
            minutes: None,
            until_ml: None,
            until_rise_k: None,
            until_strength_vol: None,
            until_pot_c: None,
            until_total_ml: None,
        }
    }

    /// How much this step draws; a pot without a take-off key draws everything.
    #[must_use]
    pub fn take_off(&self) -> TakeOff {
        if let (true, Some(watts)) = (self.kind.draws(), self.reflux_watts) {
            return TakeOff::RefluxWatts(watts);
        }
        match (self.kind.draws(), self.reflux_ratio, self.takeoff_ml_per_min) {
            (false, _, _) => TakeOff::Closed,
            (true, Some(ratio), _) => TakeOff::RefluxRatio(ratio),
            (true, None, Some(rate)) => TakeOff::MlPerMin(rate),
            (true, None, None) => TakeOff::RefluxRatio(0.0),
        }
    }
}

impl RunPlan {
    /// Most power that reaches the pot.
    #[must_use]
    pub fn heater_power(&self) -> Power {
        self.still.heater_power()
    }

    /// The heater power of step `index`: `watts` keeps its last value.
    #[must_use]
    pub fn step_power(&self, index: usize) -> Power {
        let given = self.steps.iter().take(index + 1).rev().find_map(|step| step.watts);
        given.map_or_else(|| self.heater_power(), Power::nearest_watts)
    }

    /// Position of the first hearts step.
    #[must_use]
    pub fn first_hearts(&self) -> Option<usize> {
        self.steps.iter().position(|step| step.kind == StepKind::Hearts)
    }

    /// Whether step `index` is a slow phase: hearts right after hearts.
    #[must_use]
    pub fn is_slow_phase(&self, index: usize) -> bool {
        index > 0
            && self.steps.get(index).is_some_and(|step| step.kind == StepKind::Hearts)
            && self.steps[index - 1].kind == StepKind::Hearts
    }

    /// What a person calls step `index`: its kind, or slow hearts.
    #[must_use]
    pub fn step_name(&self, index: usize) -> &'static str {
        if self.is_slow_phase(index) {
            return "slow hearts";
        }
        self.steps.get(index).map_or("step", |step| step.kind.name())
    }
}

/// A sound plan of seven steps for the tests of this module.
#[cfg(test)]
pub(crate) fn test_plan() -> RunPlan {
    let (still, _) = OwnStill {
        kind: StillKind::Column,
        boiler_litres: 25.0,
        elements_watts: vec![500.0, 1700.0],
    }
    .complete("Test still");
    let charge = Charge {
        kind: Some(ChargeKind::SugarWash),
        litres: 20.0,
        strength_vol: 12.0,
        temperature_c: 18.0,
        litres_sd: None,
        strength_sd: None,
        congeners_mg_per_l: None,
        feints: None,
    };
    let site =
        Site { pressure_hpa: 1010.0, ambient_c: 18.0, coolant_in_c: 14.0, coolant_l_per_min: 1.5 };
    let drawn = |kind, reflux_ratio| Step { reflux_ratio: Some(reflux_ratio), ..Step::new(kind) };
    let steps = vec![
        Step { watts: Some(2200.0), ..Step::new(StepKind::Heat) },
        Step { watts: Some(1700.0), minutes: Some(30.0), ..Step::new(StepKind::Equalise) },
        Step { until_ml: Some(50.0), ..drawn(StepKind::Foreshots, 20.0) },
        Step { until_ml: Some(150.0), ..drawn(StepKind::Heads, 12.0) },
        Step {
            takeoff_ml_per_min: Some(20.0),
            until_rise_k: Some(0.4),
            ..Step::new(StepKind::Hearts)
        },
        Step { until_strength_vol: Some(40.0), ..drawn(StepKind::Tails, 3.0) },
        Step::new(StepKind::Stop),
    ];
    RunPlan {
        format: 1,
        title: "Test run".into(),
        start: "2026-10-03T08:12:00+02:00".into(),
        still,
        charge,
        site,
        steps,
    }
}
