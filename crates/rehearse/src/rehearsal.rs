//! The simulated still of a rehearsal, second by second, and what is done to it.

use advise::Event;
use quantities::{Power, RunTime};
use sense::{Action, Probe, SecondRows, acts_of_begin};
use still::plan::{RunPlan, StepKind, TakeOff};
use still::running::RunningStill;

use super::bench::Bench;
use super::chance::Chance;
use super::error::RehearseError;
use super::in_column::InColumn;
use super::manner::{Lapse, Manner};
use super::probes::Probes;
use super::scale::JarScale;
use super::stand_in::{StandIn, Task};

/// Time between two readings, s.
const READ_EVERY_S: u64 = 10;
/// Relative error (standard deviation) of a take-off that is set by hand.
const VALVE_SD: f64 = 0.02;
/// A head under this is cool, °C.
const COOL_C: f64 = 50.0;
/// How long after everything is off and cool the rehearsal goes on, s.
const LINGER_S: f64 = 60.0;
/// A stand-in who catches less than so much in so long gives up: the heat no longer makes vapour,
/// and the plan would wait for days. Judgement.
const NOTHING_L: f64 = 0.01;
const GIVES_UP_S: f64 = 7200.0;

/// A simulated still with noisy probes, driven by a person or a stand-in attendant.
#[derive(Debug)]
pub struct Rehearsal {
    plan: RunPlan,
    still: RunningStill,
    probes: Probes,
    bench: Bench,
    seed: u64,
    /// The scale under the jar, where there is one.
    scale: Option<JarScale>,
    /// The thermometer in the column, where the plan has one.
    in_column: Option<InColumn>,
    stand_in: Option<StandIn>,
    chance: Chance,
    lapse: Lapse,
    /// Heater as set; the mains may be gone.
    set: Power,
    powered: bool,
    step: usize,
    coolant_l_per_min: f64,
    heater_on: bool,
    off_since_s: Option<f64>,
    /// When something last ran, and what was collected then, L.
    ran: (f64, f64),
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
        Self::with(plan, seed, attendant.then_some(Manner::Careful))
    }

    /// The same with a stand-in of that manner.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn attended(plan: &RunPlan, seed: u64, manner: Manner) -> Result<Self, RehearseError> {
        Self::with(plan, seed, Some(manner))
    }

    fn with(plan: &RunPlan, seed: u64, manner: Option<Manner>) -> Result<Self, RehearseError> {
        let mut chance = Chance::new(seed);
        let stand_in = manner.map(|manner| StandIn::new(manner, &mut chance));
        let careful = manner.is_none_or(|manner| manner == Manner::Careful);
        // A careful run draws nothing for a lapse: its noise is that of earlier versions.
        let lapse = if careful {
            Lapse::none()
        } else {
            Lapse::drawn(manner.unwrap_or_default(), &mut chance)
        };
        Ok(Self {
            plan: plan.clone(),
            still: RunningStill::new(plan)?,
            probes: Probes::default(),
            bench: Bench::default(),
            seed,
            scale: None,
            in_column: InColumn::of(plan, seed),
            stand_in,
            chance,
            lapse,
            set: Power::OFF,
            powered: true,
            step: 0,
            coolant_l_per_min: 0.0,
            heater_on: false,
            off_since_s: None,
            ran: (0.0, 0.0),
            finished: false,
            failed: None,
        })
    }

    /// The same still with a scale under the jar.
    #[must_use]
    pub fn with_scale(mut self) -> Self {
        self.scale = Some(JarScale::new(self.seed));
        self
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
        self.mains(second)?;
        if second.is_multiple_of(READ_EVERY_S) {
            self.read(second, &mut rows)?;
        }
        if second == 0 {
            if self.stand_in.is_some() {
                let watts = self.plan.step_power(0).watts();
                self.act(now_s, Action::Heater { watts }, &mut rows)?;
                self.act(now_s, Action::Step { kind: StepKind::Heat }, &mut rows)?;
            }
            let pot_open = self.plan.still.kind == still::plan::StillKind::Pot;
            if pot_open {
                self.still.set_take_off(TakeOff::RefluxRatio(0.0))?;
            }
        }
        if let Some(mut stand_in) = self.stand_in.take() {
            let ready =
                second.is_multiple_of(READ_EVERY_S) && self.step == 0 && self.still.state()?.ready;
            stand_in.hear(second, due, self.step, ready, &mut self.chance);
            if self.heater_on
                && now_s - self.ran.0 >= GIVES_UP_S
                && let Some(stop) = self.stop()
            {
                stand_in.give_up(second, stop, &mut self.chance);
            }
            let wishes = self.attend(second, &mut stand_in, &mut rows);
            self.stand_in = Some(stand_in);
            wishes?;
        }
        rows.jars.append(&mut self.bench.take_due());
        Ok(rows)
    }

    /// The mains go, or come back with the heater as it was set.
    fn mains(&mut self, second: u64) -> Result<(), RehearseError> {
        let powered = !self.lapse.no_power(second);
        if powered != self.powered {
            self.powered = powered;
            self.still.advance_to(RunTime::of_second(second))?;
            self.still.set_heater(if powered { self.set } else { Power::OFF })?;
        }
        Ok(())
    }

    fn read(&mut self, second: u64, rows: &mut SecondRows) -> Result<(), RehearseError> {
        let now_s = second as f64;
        self.still.advance_to(RunTime::of_second(second))?;
        let state = self.still.state()?;
        let flow = self.coolant_l_per_min;
        let mut reading = self.probes.read(now_s, &state, &self.plan, flow, &mut self.chance);
        reading.set(Probe::Receiver, self.scale.as_mut().map(|scale| scale.read(&state)));
        let in_column = self.in_column.as_mut().map(|probe| probe.read(now_s, &state));
        reading.set(Probe::Column, in_column);
        if self.lapse.head_off(second) {
            reading.set(Probe::Head, Some(self.plan.site.ambient_c));
        }
        if !self.lapse.no_readings(second) {
            rows.readings.push((now_s, reading));
        }
        let draws = self.plan.steps.get(self.step).is_some_and(|step| step.kind.draws());
        if !draws || state.drawn.litres_20c >= self.ran.1 + NOTHING_L {
            self.ran = (now_s, state.drawn.litres_20c);
        }
        self.look_for_end(now_s, state.head_c);
        Ok(())
    }

    /// What the simulated still really shows now.
    ///
    /// # Errors
    /// [`RehearseError`] where its equations fail.
    pub fn truth(&mut self) -> Result<still::running::RunningState, RehearseError> {
        Ok(self.still.state()?)
    }

    /// An action by the person at the page: changes the simulated still. The caller records it.
    pub fn person(&mut self, time_s: f64, action: &Action) {
        if let Err(error) = self.apply(time_s, action) {
            self.failed = Some(error);
        }
    }

    /// Place of the plan's stop.
    fn stop(&self) -> Option<usize> {
        self.plan.steps.iter().position(|step| step.kind == StepKind::Stop)
    }

    /// Whether the still is off and cool and the coolant closed.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }

    /// Lets the stand-in do what is due in this second.
    fn attend(
        &mut self,
        second: u64,
        stand_in: &mut StandIn,
        rows: &mut SecondRows,
    ) -> Result<(), RehearseError> {
        if self.lapse.away(second) {
            return Ok(());
        }
        let now_s = second as f64;
        let due = stand_in.due(second);
        let mut acted = !due.is_empty();
        for task in due {
            let begins = matches!(task, Task::Step(index) if index == self.step + 1);
            self.carry_out(now_s, task, rows)?;
            if begins && stand_in.does_twice() {
                let kind = self.plan.steps[self.step].kind;
                rows.actions.push((now_s, Action::Step { kind }));
            }
        }
        if !acted && stand_in.is_here_due(second) && self.heater_on {
            self.act(now_s, Action::Here, rows)?;
            acted = true;
        }
        if acted {
            stand_in.acted(second, &mut self.chance);
        }
        Ok(())
    }

    fn carry_out(
        &mut self,
        now_s: f64,
        task: Task,
        rows: &mut SecondRows,
    ) -> Result<(), RehearseError> {
        let action = match task {
            Task::Look => Action::Here,
            Task::Coolant(true) => Action::Coolant { l_per_min: self.plan.site.coolant_l_per_min },
            Task::Coolant(false) => Action::Coolant { l_per_min: 0.0 },
            Task::Step(index)
                if index == self.step + 1 || (index > self.step && self.stop() == Some(index)) =>
            {
                // Heater, step, take-off, jar.
                let (open_cut, next_jar) = (self.bench.open_cut, self.bench.next_number());
                let acts = acts_of_begin(&self.plan, self.step, index, open_cut, next_jar);
                return acts.into_iter().try_for_each(|action| self.act(now_s, action, rows));
            }
            Task::Jar if self.plan.steps[self.step].kind.draws() => {
                Action::Jar { number: self.bench.next_number() }
            }
            Task::Step(_) | Task::Jar => return Ok(()),
            Task::Seen(code) => Action::Seen { code: code.to_owned() },
            Task::Reset(code) => Action::Reset { code: code.to_owned() },
        };
        self.act(now_s, action, rows)
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
        let at = RunTime::nearest_seconds(time_s);
        match action {
            Action::Heater { watts } => {
                self.still.advance_to(at)?;
                self.set = Power::from_watts(*watts)?;
                self.still.set_heater(if self.powered { self.set } else { Power::OFF })?;
                self.heater_on = *watts > 0.0;
            }
            Action::TakeOff { take_off, measured: false } => {
                self.still.advance_to(at)?;
                let real = match *take_off {
                    TakeOff::MlPerMin(rate) => {
                        TakeOff::MlPerMin(rate * (1.0 + VALVE_SD * self.chance.normal()).max(0.5))
                    }
                    other => other,
                };
                self.still.set_take_off(real)?;
            }
            Action::Coolant { l_per_min } => {
                self.still.advance_to(at)?;
                self.still.set_coolant_l_per_min(*l_per_min);
                self.coolant_l_per_min = l_per_min.max(0.0);
            }
            Action::Jar { number } => {
                self.still.advance_to(at)?;
                let state = self.still.state()?;
                let cut = self.plan.steps.get(self.step).map_or(StepKind::Heads, |step| step.kind);
                self.bench.change(time_s, &state, Some((*number, cut)), &mut self.chance);
                if let Some(scale) = &mut self.scale {
                    scale.change(&state);
                }
            }
            Action::Step { kind } => {
                let later = self.plan.steps.iter().enumerate().skip(self.step + 1);
                if let Some((index, _)) = later.into_iter().find(|(_, step)| step.kind == *kind) {
                    self.step = index;
                }
                if *kind == StepKind::Stop {
                    self.still.advance_to(at)?;
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
