//! How a plan goes on: the one place that knows what ends a step and which one follows.
//!
//! A walk is told what the still does and says whether the running step is due to end. It never
//! goes on by itself: who holds it begins the next step, a simulation at once, a live run when a
//! person says so. So the forecast, the estimate's track, the driven still and the live engine
//! can differ in what they observe, not in what follows from it.
//!
//! A simulation looks for the zero of [`PlanWalk::margin`] inside its integrator's steps, stops at
//! `PlanWalk::next_stop_s` and observes at `PlanWalk::next_sample_s`. A live run calls
//! [`PlanWalk::observe`] each second with what its probes show.

mod observation;
mod plateau;

pub use observation::{Met, Observation};
pub use plateau::PlateauWatch;

use quantities::{Power, RunTime};

use crate::outcome::EndedBy;
use crate::plan::{RunPlan, Step, StepKind, TakeOff};

/// In a slow phase: how far under its trigger the rise must come to arm it, K (judgement).
const REARM_K: f64 = 0.02;
/// In a slow phase: time after which the trigger is armed whatever the rise, s (judgement).
const REARM_LATEST_S: f64 = 900.0;
/// The pot counts as dry at this share of the charge (judgement).
pub(crate) const DRY_SHARE: f64 = 0.01;
/// Longest run, s: three days, whatever its plan says (judgement).
pub const RUN_MAX_S: f64 = 259_200.0;
/// Seconds in a minute (definition).
const MINUTE_S: f64 = 60.0;
/// What can end a step, the dangerous ones first: where two are met at once, the first counts.
const CAUSES: [EndedBy; 10] = [
    EndedBy::ElementCover,
    EndedBy::PotDry,
    EndedBy::NoVapour,
    EndedBy::Filled,
    EndedBy::UntilMl,
    EndedBy::UntilTotalMl,
    EndedBy::UntilStrengthVol,
    EndedBy::UntilPotC,
    EndedBy::UntilRiseK,
    EndedBy::Minutes,
];

/// A walk through a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanWalk {
    index: usize,
    step: Step,
    start: RunTime,
    power: Power,
    slow_phase: bool,
    /// Whether the rise trigger acts.
    armed: bool,
    /// Whether the first hearts have begun.
    hearts: bool,
    watch: PlateauWatch,
    /// Time of the last observation and whether spirit ran.
    last: Option<(f64, bool)>,
    /// What was seen to end the running step at the last observation.
    met: Option<Met>,
    cover_litres: f64,
    steps: usize,
}

impl PlanWalk {
    /// At heater on, in the plan's first step.
    #[must_use]
    pub fn new(plan: &RunPlan) -> Self {
        let mut walk = Self {
            index: 0,
            step: Step::new(StepKind::Heat),
            start: RunTime::START,
            power: Power::OFF,
            slow_phase: false,
            armed: false,
            hearts: false,
            watch: PlateauWatch::default(),
            last: None,
            met: None,
            cover_litres: plan.still.element_cover_litres,
            steps: plan.steps.len(),
        };
        walk.begin(plan, 0, RunTime::START);
        walk
    }

    /// Begins step `index`, whatever ran before; a position beyond the plan does nothing.
    pub fn begin(&mut self, plan: &RunPlan, index: usize, at: RunTime) {
        let Some(step) = plan.steps.get(index) else { return };
        self.index = index;
        self.step = step.clone();
        self.start = at;
        self.power = if step.kind == StepKind::Stop { Power::OFF } else { plan.step_power(index) };
        self.slow_phase = plan.is_slow_phase(index);
        self.armed = false;
        self.met = None;
        self.hearts |= step.kind == StepKind::Hearts;
    }

    /// Position of the running step.
    #[must_use]
    pub const fn index(&self) -> usize {
        self.index
    }

    /// What the running step does.
    #[must_use]
    pub const fn kind(&self) -> StepKind {
        self.step.kind
    }

    /// When it began.
    #[must_use]
    pub const fn started(&self) -> RunTime {
        self.start
    }

    /// Heater power of the running step.
    #[must_use]
    pub const fn power(&self) -> Power {
        self.power
    }

    /// Take-off of the running step.
    #[must_use]
    pub fn take_off(&self) -> TakeOff {
        self.step.take_off()
    }

    /// Whether the plan is through: its stop has begun.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.step.kind == StepKind::Stop
    }

    /// Which step follows an end for that cause: the next one, or the stop where nothing more can
    /// be run.
    #[must_use]
    pub const fn next_index(&self, by: EndedBy) -> usize {
        let stop = self.steps - 1;
        if by.is_terminal() || self.index >= stop { stop } else { self.index + 1 }
    }

    /// The plateau as watched so far.
    #[must_use]
    pub const fn plateau(&self) -> &PlateauWatch {
        &self.watch
    }

    /// Head above this run's plateau; none while there is none.
    fn rise(&self, head: f64) -> Option<f64> {
        self.watch.plateau().map(|plateau| head - plateau)
    }

    /// Whether the running step slows down what the step before drew, up to a rise again.
    #[must_use]
    pub const fn is_slow_phase(&self) -> bool {
        self.slow_phase
    }

    /// When the rise trigger of a slow phase acts at the latest, s; none where it acts or there is none.
    #[must_use]
    pub fn rearm_latest_s(&self) -> Option<f64> {
        let waits = self.slow_phase && self.step.until_rise_k.is_some() && !self.armed;
        waits.then_some(self.start.seconds() + REARM_LATEST_S)
    }

    /// Whether the rise trigger of the running step acts.
    #[must_use]
    pub const fn is_armed(&self) -> bool {
        self.armed
    }

    /// Whether the running step has that end.
    #[must_use]
    pub fn has(&self, by: EndedBy) -> bool {
        self.limit(by).is_some()
    }

    /// Whether the head is asked for at that time.
    pub(crate) fn needs_head(&self, time_s: f64) -> bool {
        let judged = self.step.until_rise_k.is_some() && self.watch.plateau().is_some();
        judged || self.next_sample_s().is_some_and(|sample_s| time_s >= sample_s - 1e-6)
    }

    /// What the running step compares with, in the unit of its cause.
    fn limit(&self, by: EndedBy) -> Option<f64> {
        let step = &self.step;
        let runs = !matches!(step.kind, StepKind::Heat | StepKind::Stop);
        match by {
            EndedBy::ElementCover => runs.then_some(self.cover_litres),
            EndedBy::PotDry => runs.then_some(DRY_SHARE),
            EndedBy::NoVapour => runs.then_some(0.0),
            EndedBy::Filled => (step.kind == StepKind::Heat).then_some(1.0),
            EndedBy::UntilMl => step.until_ml,
            EndedBy::UntilTotalMl => step.until_total_ml,
            EndedBy::UntilStrengthVol => step.until_strength_vol,
            EndedBy::UntilPotC => step.until_pot_c,
            EndedBy::UntilRiseK => step.until_rise_k.filter(|_| self.armed),
            EndedBy::Minutes => step.minutes,
            EndedBy::Person | EndedBy::Plan => None,
        }
    }

    fn seen(&self, by: EndedBy, seen: &Observation) -> Option<f64> {
        match by {
            EndedBy::ElementCover => seen.pot_litres,
            EndedBy::PotDry => seen.pot_share,
            EndedBy::NoVapour => seen.vapour,
            EndedBy::Filled => Some(if seen.filled { 1.0 } else { 0.0 }),
            EndedBy::UntilMl => seen.step_ml,
            EndedBy::UntilTotalMl => seen.total_ml,
            EndedBy::UntilStrengthVol => seen.drum_vol,
            EndedBy::UntilPotC => seen.pot_c,
            EndedBy::UntilRiseK => seen.head.and_then(|head| self.rise(head)),
            EndedBy::Minutes => self.minutes(seen.time_s),
            EndedBy::Person | EndedBy::Plan => None,
        }
    }

    /// Minutes of the running step, exactly its limit at [`Self::minutes_end_s`].
    fn minutes(&self, time_s: f64) -> Option<f64> {
        let (limit, end_s) = (self.step.minutes?, self.minutes_end_s()?);
        Some(limit + (time_s - end_s) / MINUTE_S)
    }

    fn minutes_end_s(&self) -> Option<f64> {
        self.step.minutes.map(|minutes| self.start.seconds() + MINUTE_S * minutes)
    }

    /// How one cause stands, met or not; none where the step has it not or nothing is observed.
    #[must_use]
    pub fn stands(&self, by: EndedBy, seen: &Observation) -> Option<Met> {
        Some(Met { by, seen: self.seen(by, seen)?, limit: self.limit(by)? })
    }

    /// The cause that is furthest beyond its limit, or nearest to it: [`Met::margin`] is negative
    /// while none is met and zero where the first one is.
    #[must_use]
    pub fn margin(&self, seen: &Observation) -> Option<Met> {
        let all = CAUSES.iter().filter_map(|by| self.stands(*by, seen));
        all.max_by(|a, b| a.margin().total_cmp(&b.margin()))
    }

    /// Takes an observation: time of hearts, plateau, arming. Says what ends the running step, as
    /// long as it does; going on is [`Self::begin`].
    pub fn observe(&mut self, seen: &Observation) -> Option<Met> {
        self.watch_plateau(seen);
        self.arm(seen);
        let all = CAUSES.iter().filter_map(|by| self.stands(*by, seen));
        self.met = all.into_iter().find(|met| met.margin() >= 0.0);
        self.met
    }

    /// What ends the running step, as of the last observation.
    #[must_use]
    pub const fn met(&self) -> Option<Met> {
        self.met
    }

    fn watch_plateau(&mut self, seen: &Observation) {
        if self.hearts && seen.drawing {
            if let Some((before_s, true)) = self.last {
                self.watch.pass(seen.time_s - before_s);
            }
            if let Some(head) = seen.head {
                self.watch.sample(head);
            }
        }
        self.last = Some((seen.time_s, seen.drawing));
    }

    /// A rise trigger acts once the plateau is known; in a slow phase, where the step before ended
    /// by the same rise, once the head has come down again or some time has passed.
    fn arm(&mut self, seen: &Observation) {
        let Some(limit) = self.step.until_rise_k.filter(|_| !self.armed) else { return };
        if self.watch.plateau().is_none() {
            return;
        }
        let rise = seen.head.and_then(|head| self.rise(head));
        self.armed = !self.slow_phase
            || seen.time_s >= self.start.seconds() + REARM_LATEST_S
            || rise.is_some_and(|rise| rise <= limit - REARM_K);
    }

    /// The next instant at which something follows from time alone, s: a simulation must not step
    /// over it.
    pub(crate) fn next_stop_s(&self, now_s: f64) -> Option<f64> {
        let window = self.drawn_after(self.watch.until_window_s());
        let all = [self.minutes_end_s(), self.rearm_latest_s(), window];
        all.into_iter().flatten().filter(|time_s| *time_s > now_s).min_by(f64::total_cmp)
    }

    /// When the plateau takes its next sample, s, if spirit runs on; none where it takes none.
    pub(crate) fn next_sample_s(&self) -> Option<f64> {
        self.drawn_after(self.watch.until_sample_s())
    }

    /// The run time after so much more of hearts is drawn.
    fn drawn_after(&self, seconds: Option<f64>) -> Option<f64> {
        let (last_s, drawing) = self.last?;
        (self.hearts && drawing).then_some(last_s + seconds?)
    }
}
