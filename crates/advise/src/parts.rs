//! The parts of the engine: where the run stands, what was drawn, what is expected, what is said.

use estimate::Character;
use sense::{HeadLeftOut, JarHead};
use still::outcome::EndedBy;
use still::walk::PlanWalk;

use crate::alarms::Alarms;
use crate::asking::Asking;
use crate::coolant_usual::CoolantUsual;
use crate::drawn::Drawn;
use crate::forecasts::Forecasts;
use crate::heat::Heat;
use crate::jars::Jars;
use crate::knowledge::{Doubted, Moved, Reasons, RunEnd, Steady};
use crate::level::Level;
use crate::prompts::Prompts;
use crate::weighing::Weighing;

/// What was read when the plateau was taken, where it was.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct AtPlateau {
    /// Coolant inlet, °C.
    pub(crate) coolant_in_c: Option<f64>,
    /// Barometer, hPa.
    pub(crate) pressure_hpa: Option<f64>,
}

/// Where the run stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Course {
    /// The walk through the steps of the plan, as recorded.
    pub(crate) steps: PlanWalk,
    /// Whether any step was recorded by a person.
    recorded: bool,
    pub(crate) heat: Heat,
    vapour_s: Option<f64>,
    /// Since when the pot stands at its boil, as its thermometer shows, s.
    stands_s: Option<f64>,
    /// How hot the head stood while spirit was drawn.
    pub(crate) level: Level,
    /// How the coolant runs in this phase, nothing being wrong.
    pub(crate) coolant: CoolantUsual,
    /// What was read when this run's plateau was taken.
    pub(crate) at_plateau: AtPlateau,
    /// Whether vapour came by the pot alone, beside a head that is read and cold.
    head_never_hot: bool,
    knee_s: Option<f64>,
    /// What condition of the running step was met; kept when the stop begins.
    reached: Option<EndedBy>,
    end: Option<RunEnd>,
}

impl Course {
    /// Before heat.
    pub(crate) fn new(steps: PlanWalk) -> Self {
        let heat = Heat::default();
        Self {
            steps,
            recorded: false,
            heat,
            vapour_s: None,
            stands_s: None,
            level: Level::default(),
            coolant: CoolantUsual::default(),
            at_plateau: AtPlateau::default(),
            head_never_hot: false,
            knee_s: None,
            reached: None,
            end: None,
        }
    }

    /// A person recorded a step.
    pub(crate) const fn record(&mut self) {
        self.recorded = true;
    }

    /// Whether any step was recorded by a person.
    pub(crate) const fn is_recorded(&self) -> bool {
        self.recorded
    }

    /// A condition of the running step is met.
    pub(crate) const fn reach(&mut self, by: EndedBy) {
        self.reached = Some(by);
    }

    /// A step begins of which no condition is met yet.
    pub(crate) const fn nothing_reached(&mut self) {
        self.reached = None;
    }

    /// The condition that was met last.
    pub(crate) const fn reached(&self) -> Option<EndedBy> {
        self.reached
    }

    /// The run is over.
    pub(crate) fn finish(&mut self, end: RunEnd) {
        self.end = Some(end);
    }

    /// How it ended, once it has.
    pub(crate) const fn end(&self) -> Option<&RunEnd> {
        self.end.as_ref()
    }

    /// Whether the run is over.
    pub(crate) const fn is_over(&self) -> bool {
        self.end.is_some()
    }

    /// When vapour first reached the head, s.
    pub(crate) const fn vapour_s(&self) -> Option<f64> {
        self.vapour_s
    }

    /// Vapour reaches the head; only the first time counts.
    pub(crate) fn vapour_comes(&mut self, time_s: f64) {
        self.vapour_s.get_or_insert(time_s);
    }

    /// Follows whether the pot stands at its boil; since when it does, s.
    pub(crate) fn stands(&mut self, time_s: f64, now: bool) -> Option<f64> {
        self.stands_s = now.then(|| self.stands_s.unwrap_or(time_s));
        self.stands_s
    }

    /// The head, which is read, is cold while vapour has come; or it is hot.
    pub(crate) const fn head_is_hot(&mut self, hot: bool) {
        self.head_never_hot = !hot;
    }

    /// Whether vapour came beside a head that never was hot.
    pub(crate) const fn head_never_hot(&self) -> bool {
        self.head_never_hot
    }

    /// Since when the knee shows in the head, s.
    pub(crate) const fn knee_s(&self) -> Option<f64> {
        self.knee_s
    }

    /// The knee shows since then, or not any more.
    pub(crate) const fn knee(&mut self, since_s: Option<f64>) {
        self.knee_s = since_s;
    }
}

/// What the glass has shown.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Gauged {
    /// Last reading of running spirit: time, % vol.
    pub(crate) last: Option<(f64, f64)>,
    /// True strength less the reckoned one, % vol.
    pub(crate) offset_vol: f64,
    /// Gauged jars beside the head, by their number.
    pub(crate) heads: Vec<(u32, JarHead)>,
    /// Whether those let go of the head, and whether that was said.
    pub(crate) head_out: Option<HeadLeftOut>,
    pub(crate) head_out_said: bool,
}

/// What was drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spirit {
    pub(crate) drawn: Drawn,
    pub(crate) jars: Jars,
    pub(crate) gauged: Gauged,
    /// Size of a jar, mL.
    pub(crate) jar_ml: f64,
    /// Whether somebody said so.
    pub(crate) jar_stated: bool,
    /// Whether more runs, as reckoned, than the charge holds.
    pub(crate) over_charge: Steady,
    /// Since when a take-off is set that the vapour cannot give, s.
    pub(crate) over_vapour_s: Option<f64>,
    pub(crate) weighing: Weighing,
}

/// What is expected, and from what.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Foresight {
    pub(crate) forecasts: Option<Forecasts>,
    /// Why there is no forecast, where one was asked for.
    pub(crate) forecast_problem: Option<String>,
    /// Whether estimates are asked for.
    pub(crate) estimates: bool,
    pub(crate) character: Option<Character>,
    pub(crate) asking: Asking,
    /// What seems wrong, held steady.
    pub(crate) doubted: Doubted,
    /// What was told of the ends lately.
    pub(crate) moved: Moved,
    /// What may have moved them.
    pub(crate) reasons: Reasons,
    /// Whether a probe that shows the course was lost in the second before.
    pub(crate) was_blind: bool,
}

/// What is said.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Voice {
    pub(crate) prompts: Prompts,
    pub(crate) alarms: Alarms,
}
