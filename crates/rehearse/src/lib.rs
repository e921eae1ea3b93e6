//! A rehearsal: the rows of a simulated still with noisy probes and, where asked for, of a stand-in
//! who attends it.
//!
//! The run begins at heater on. A stand-in presses it: second 0 brings the rows `heater` and
//! `step heat`. Without one the still stays cold until a person records the heater. Probes are read
//! every ten seconds. Everything comes from the seed, so the same seed gives the same run; values
//! are rounded as files hold them, so that a replay of the exported rows sees the same numbers.

mod bench;
mod chance;
mod drive;
mod error;
mod probes;
mod stand_in;

pub use drive::{rehearse, rehearse_as};
pub use error::RehearseError;

use bench::Bench;
use chance::Chance;
use probes::Probes;
use stand_in::StandIn;
use still::plan::{RunPlan, StepKind, TakeOff};
use still::running::RunningStill;

use advise::Event;
use sense::Action;
use sense::SecondRows;

/// Time between two readings, s.
const READ_EVERY_S: u64 = 10;
/// Relative error (standard deviation) of a take-off that is set by hand.
const VALVE_SD: f64 = 0.02;
/// A head under this is cool, °C.
const COOL_C: f64 = 50.0;
/// How long after everything is off and cool the rehearsal goes on, s.
const LINGER_S: f64 = 60.0;

/// A simulated still with noisy probes, driven by a person or a stand-in attendant.
#[derive(Debug)]
pub struct Rehearsal {
    plan: RunPlan,
    still: RunningStill,
    probes: Probes,
    bench: Bench,
    stand_in: Option<StandIn>,
    chance: Chance,
    step: usize,
    coolant_l_per_min: f64,
    heater_on: bool,
    off_since_s: Option<f64>,
    finished: bool,
    /// What went wrong while the person acted; said at the next second.
    failed: Option<RehearseError>,
}

impl Rehearsal {
    /// Sets up the still of `plan`, cold, at heater on.
    ///
    /// # Errors
    /// [`RehearseError`] for a plan that breaks a rule or a still that cannot be simulated.
    pub fn new(plan: &RunPlan, seed: u64, attendant: bool) -> Result<Self, RehearseError> {
        let mut chance = Chance::new(seed);
        Ok(Self {
            plan: plan.clone(),
            still: RunningStill::new(plan)?,
            probes: Probes::default(),
            bench: Bench::default(),
            stand_in: attendant.then(|| StandIn::new(&mut chance)),
            chance,
            step: 0,
            coolant_l_per_min: 0.0,
            heater_on: false,
            off_since_s: None,
            finished: false,
            failed: None,
        })
    }

    /// What happened in run second `second` (every second, in order), given what the engine said in
    /// the second before.
    ///
    /// # Errors
    /// [`RehearseError`] where the still cannot be simulated on.
    pub fn second(&mut self, second: u64, due: &[Event]) -> Result<SecondRows, RehearseError> {
        if let Some(error) = self.failed.take() {
            return Err(error);
        }
        let now_s = second as f64;
        let mut rows = SecondRows::default();
        rows.jars.append(&mut self.bench.take_due());
        if second.is_multiple_of(READ_EVERY_S) {
            self.still.advance_to(now_s)?;
            let state = self.still.state()?;
            rows.readings.push((
                now_s,
                self.probes.read(
                    now_s,
                    &state,
                    &self.plan,
                    self.coolant_l_per_min,
                    &mut self.chance,
                ),
            ));
            self.look_for_end(now_s, state.head_c);
        }
        if second == 0 {
            if self.stand_in.is_some() {
                let watts = self.plan.step_watts(0);
                self.act(now_s, Action::Heater { watts }, &mut rows)?;
                self.act(now_s, Action::Step { kind: StepKind::Heat }, &mut rows)?;
            }
            let pot_open = self.plan.still.kind == still::plan::StillKind::Pot;
            if pot_open {
                self.still.set_take_off(TakeOff::RefluxRatio(0.0));
            }
        }
        if let Some(mut stand_in) = self.stand_in.take() {
            let ready =
                second.is_multiple_of(READ_EVERY_S) && self.step == 0 && self.still.state()?.ready;
            stand_in.hear(second, due, self.step, ready, &mut self.chance);
            let wishes = stand_in.second(second, self, &mut rows);
            self.stand_in = Some(stand_in);
            wishes?;
        }
        rows.jars.append(&mut self.bench.take_due());
        Ok(rows)
    }

    /// An action by the person at the page: changes the simulated still. The caller records it.
    pub fn person(&mut self, time_s: f64, action: &Action) {
        if let Err(error) = self.apply(time_s, action) {
            self.failed = Some(error);
        }
    }

    /// Whether the still is off and cool and the coolant closed.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }

    /// An action of the stand-in: done and recorded.
    fn act(
        &mut self,
        time_s: f64,
        action: Action,
        rows: &mut SecondRows,
    ) -> Result<(), RehearseError> {
        self.apply(time_s, &action)?;
        rows.actions.push((time_s, action));
        Ok(())
    }

    fn apply(&mut self, time_s: f64, action: &Action) -> Result<(), RehearseError> {
        match action {
            Action::Heater { watts } => {
                self.still.advance_to(time_s)?;
                self.still.set_heater_watts(*watts);
                self.heater_on = *watts > 0.0;
            }
            Action::TakeOff { take_off, measured: false } => {
                self.still.advance_to(time_s)?;
                let real = match *take_off {
                    TakeOff::MlPerMin(rate) => {
                        TakeOff::MlPerMin(rate * (1.0 + VALVE_SD * self.chance.normal()).max(0.5))
                    }
                    other => other,
                };
                self.still.set_take_off(real);
            }
            Action::Coolant { l_per_min } => {
                self.still.advance_to(time_s)?;
                self.still.set_coolant_l_per_min(*l_per_min);
                self.coolant_l_per_min = l_per_min.max(0.0);
            }
            Action::Jar { number } => {
                self.still.advance_to(time_s)?;
                let state = self.still.state()?;
                let cut = self.plan.steps.get(self.step).map_or(StepKind::Heads, |step| step.kind);
                self.bench.change(time_s, &state, Some((*number, cut)), &mut self.chance);
            }
            Action::Step { kind } => {
                let later = self.plan.steps.iter().enumerate().skip(self.step + 1);
                if let Some((index, _)) = later.into_iter().find(|(_, step)| step.kind == *kind) {
                    self.step = index;
                }
                if *kind == StepKind::Stop {
                    self.still.advance_to(time_s)?;
                    let state = self.still.state()?;
                    self.bench.change(time_s, &state, None, &mut self.chance);
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn look_for_end(&mut self, now_s: f64, head_c: f64) {
        let stopped =
            self.plan.steps.get(self.step).is_some_and(|step| step.kind == StepKind::Stop);
        let over = stopped && !self.heater_on && self.coolant_l_per_min <= 0.0 && head_c < COOL_C;
        self.off_since_s = if over { self.off_since_s.or(Some(now_s)) } else { None };
        self.finished = self.off_since_s.is_some_and(|since| now_s - since >= LINGER_S);
    }
}
