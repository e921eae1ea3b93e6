//! The stand-in attendant: does what the engine asks for, ten to forty seconds later.

use super::Rehearsal;
use super::chance::Chance;
use super::manner::Manner;
use crate::error::RehearseError;
use advise::{Event, EventKind, Priority};
use sense::{Action, SecondRows, acts_of_begin};

/// How long a person takes to answer, s.
const ANSWER_S: (u64, u64) = (10, 40);
/// The same for one who is late, and what share one who forgets forgets.
const LATE_S: (u64, u64) = (300, 900);
const FORGETS: f64 = 0.33;
/// Chance in each minute of a drawing step that one who is early goes on to the next.
const EARLY: f64 = 0.01;
/// How long a person goes without pressing *Still here*, s.
const HERE_S: (u64, u64) = (400, 470);

/// Something the stand-in is about to do.
#[derive(Debug, Clone, PartialEq)]
enum Task {
    Look,
    Coolant(bool),
    Step(usize),
    Jar,
    Seen(&'static str),
    Reset(&'static str),
}

/// The stand-in.
#[derive(Debug, Clone)]
pub(super) struct StandIn {
    manner: Manner,
    tasks: Vec<(u64, Task)>,
    here_at: u64,
    critical: Vec<&'static str>,
}

impl StandIn {
    pub(super) fn new(manner: Manner, chance: &mut Chance) -> Self {
        let here_at = chance.seconds(HERE_S.0, HERE_S.1);
        Self { manner, tasks: Vec::new(), here_at, critical: Vec::new() }
    }

    fn plan(&mut self, second: u64, task: Task, chance: &mut Chance) {
        if self.tasks.iter().any(|(_, waiting)| *waiting == task) {
            return;
        }
        let (low, high) = if self.manner == Manner::Late { LATE_S } else { ANSWER_S };
        let forgets = self.manner == Manner::Forgetful && chance.unit() < FORGETS;
        // Nobody forgets the coolant in these rehearsals: what then comes is another lesson.
        if !forgets || matches!(task, Task::Coolant(_)) {
            self.tasks.push((second + chance.seconds(low, high), task));
        }
    }

    /// Hears what the engine said while step `step` ran; sees for itself that reflux runs.
    pub(super) fn hear(
        &mut self,
        second: u64,
        said: &[Event],
        step: usize,
        ready: bool,
        chance: &mut Chance,
    ) {
        if ready {
            self.plan(second, Task::Step(step + 1), chance);
        }
        let hurries = self.manner == Manner::Early && step > 0 && second.is_multiple_of(60);
        if hurries && chance.unit() < EARLY {
            self.plan(second, Task::Step(step + 1), chance);
        }
        for event in said {
            if let Some(task) = self.answer(event, step) {
                self.plan(second, task, chance);
            }
        }
    }

    fn answer(&mut self, event: &Event, step: usize) -> Option<Task> {
        match (event.kind, event.code) {
            (EventKind::Prompt, "coolant_on") => Some(Task::Coolant(true)),
            (EventKind::Prompt, "coolant_off") => Some(Task::Coolant(false)),
            (EventKind::Prompt, "jar_change") => Some(Task::Jar),
            (EventKind::Prompt, "hearts_end_near") if event.priority < Priority::High => {
                Some(Task::Look)
            }
            (
                EventKind::Prompt,
                "head_steady" | "foreshots_done" | "heads_done" | "hearts_end_near" | "slow_phase"
                | "stop",
            ) => Some(Task::Step(step + 1)),
            (EventKind::Prompt, _) => Some(Task::Look),
            (EventKind::Alarm, code) => {
                if event.priority == Priority::Critical {
                    self.critical.push(code);
                }
                Some(Task::Seen(code))
            }
            (EventKind::State, "alarm_cause_gone") => self.critical.pop().map(Task::Reset),
            _ => None,
        }
    }

    /// Does what is due in this second.
    pub(super) fn second(
        &mut self,
        second: u64,
        rehearsal: &mut Rehearsal,
        rows: &mut SecondRows,
    ) -> Result<(), RehearseError> {
        if rehearsal.lapse.away(second) {
            return Ok(());
        }
        let now_s = second as f64;
        let (due, later) =
            std::mem::take(&mut self.tasks).into_iter().partition(|(at, _)| *at <= second);
        self.tasks = later;
        let due: Vec<(u64, Task)> = due;
        let mut acted = !due.is_empty();
        let twice = self.manner == Manner::Twice;
        let due = due.into_iter().flat_map(|(_, task)| [Some(task.clone()), twice.then_some(task)]);
        for task in due.flatten().collect::<Vec<Task>>() {
            match task {
                Task::Look => rehearsal.act(now_s, Action::Here, rows)?,
                Task::Coolant(on) => {
                    let l_per_min = if on { rehearsal.plan.site.coolant_l_per_min } else { 0.0 };
                    rehearsal.act(now_s, Action::Coolant { l_per_min }, rows)?;
                }
                Task::Step(index) if index == rehearsal.step + 1 => {
                    begin(now_s, index, rehearsal, rows)?;
                    if twice {
                        let kind = rehearsal.plan.steps[rehearsal.step].kind;
                        rows.actions.push((now_s, Action::Step { kind }));
                    }
                }
                Task::Jar if rehearsal.plan.steps[rehearsal.step].kind.draws() => {
                    let number = rehearsal.bench.next_number();
                    rehearsal.act(now_s, Action::Jar { number }, rows)?;
                }
                Task::Step(_) | Task::Jar => {}
                Task::Seen(code) => {
                    rehearsal.act(now_s, Action::Seen { code: code.to_owned() }, rows)?;
                }
                Task::Reset(code) => {
                    rehearsal.act(now_s, Action::Reset { code: code.to_owned() }, rows)?;
                }
            }
        }
        if !acted && second >= self.here_at && rehearsal.heater_on {
            rehearsal.act(now_s, Action::Here, rows)?;
            acted = true;
        }
        if acted {
            self.here_at = second + rehearsal.chance.seconds(HERE_S.0, HERE_S.1);
        }
        Ok(())
    }
}

/// Begins step `index` of the plan: heater, step, take-off, jar.
fn begin(
    now_s: f64,
    index: usize,
    rehearsal: &mut Rehearsal,
    rows: &mut SecondRows,
) -> Result<(), RehearseError> {
    let (open_cut, next_jar) = (rehearsal.bench.open_cut, rehearsal.bench.next_number());
    let acts = acts_of_begin(&rehearsal.plan, rehearsal.step, index, open_cut, next_jar);
    acts.into_iter().try_for_each(|action| rehearsal.act(now_s, action, rows))
}
