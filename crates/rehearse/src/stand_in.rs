//! The stand-in attendant: what they do of what the engine asks for, ten to forty seconds later.

use super::chance::Chance;
use super::manner::Manner;
use advise::{Event, EventKind, Priority};

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
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Task {
    /// Look at the still.
    Look,
    /// Open or close the coolant.
    Coolant(bool),
    /// Begin a step of the plan.
    Step(usize),
    /// Change the jar.
    Jar,
    /// Press *Seen*.
    Seen(&'static str),
    /// Reset an alarm.
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

    /// Nothing runs any more, whatever the plan waits for: goes on to its last step.
    pub(super) fn give_up(&mut self, second: u64, last: usize, chance: &mut Chance) {
        self.plan(second, Task::Step(last), chance);
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

    /// What is due in this second; one who does everything twice has it twice.
    pub(super) fn due(&mut self, second: u64) -> Vec<Task> {
        let (due, later): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.tasks).into_iter().partition(|(at, _)| *at <= second);
        self.tasks = later;
        let times = if self.does_twice() { 2 } else { 1 };
        due.into_iter().flat_map(|(_, task)| std::iter::repeat_n(task, times)).collect()
    }

    /// Whether every press is made twice.
    pub(super) fn does_twice(&self) -> bool {
        self.manner == Manner::Twice
    }

    /// Whether it is time to press *Still here*.
    pub(super) const fn is_here_due(&self, second: u64) -> bool {
        second >= self.here_at
    }

    /// Something was pressed: *Still here* can wait again.
    pub(super) fn acted(&mut self, second: u64, chance: &mut Chance) {
        self.here_at = second + chance.seconds(HERE_S.0, HERE_S.1);
    }
}
