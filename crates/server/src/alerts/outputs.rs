//! The outputs: a line of changes with a bound, and the one thread that tells them.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use advise::Priority;

use super::change::{AlarmChange, What};
use super::command::run;
use super::settings::AlertSettings;
use super::sound::ring;

/// Most changes that wait.
const WAITING_MAX: usize = 32;
/// The outputs, by name.
const COMMAND: &str = "command";
const BELL: &str = "bell";
const SECOND_PERSON: &str = "second_person";

/// What came of one output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutputResult {
    /// `command`, `bell` or `second_person`.
    pub output: &'static str,
    /// Whether the settings name it.
    pub set: bool,
    /// Why it was not told; none where it was.
    pub failed: Option<String>,
}

/// How the outputs stand.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct OutputState {
    /// What came of each the last time.
    pub(crate) last: Vec<OutputResult>,
    /// How many changes wait.
    pub(crate) waiting: usize,
    /// How many were dropped because too many waited.
    pub(crate) dropped: u64,
}

#[derive(Debug, Default)]
struct Line {
    waiting: VecDeque<Arc<AlarmChange>>,
    last: Vec<OutputResult>,
    dropped: u64,
    stopped: bool,
}

#[derive(Debug, Default)]
struct Shared {
    line: Mutex<Line>,
    news: Condvar,
    /// Held while outputs are tested: one test at a time.
    testing: Mutex<()>,
}

/// The outputs of a server.
#[derive(Debug)]
pub(crate) struct Outputs {
    settings: AlertSettings,
    shared: Arc<Shared>,
}

impl Shared {
    fn line(&self) -> MutexGuard<'_, Line> {
        self.line.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Outputs {
    /// Nothing waits; a thread tells what comes.
    pub(crate) fn start(settings: AlertSettings) -> std::io::Result<Self> {
        let shared = Arc::new(Shared::default());
        let (of_thread, told) = (Arc::clone(&shared), settings.clone());
        thread::Builder::new()
            .name("outputs".to_owned())
            .spawn(move || serve(&of_thread, &told))?;
        Ok(Self { settings, shared })
    }

    /// Lets a change wait for its turn, where the outputs tell such; of too many the least urgent goes.
    pub(crate) fn put(&self, change: Arc<AlarmChange>) {
        let test = change.what == What::Test;
        if !test && !self.settings.tells(change.priority) {
            return;
        }
        let mut line = self.shared.line();
        line.waiting.push_back(change);
        if line.waiting.len() > WAITING_MAX {
            let urgent =
                |change: &AlarmChange| (change.what == What::SecondPerson, change.priority);
            let least = (0..line.waiting.len()).min_by_key(|place| urgent(&line.waiting[*place]));
            if let Some(gone) = least.and_then(|place| line.waiting.remove(place)) {
                line.dropped += 1;
                tracing::warn!("too many alarms wait to be told: {} is dropped", gone.code);
            }
        }
        drop(line);
        self.shared.news.notify_all();
    }

    /// How they stand.
    pub(crate) fn state(&self) -> OutputState {
        let line = self.shared.line();
        OutputState { last: line.last.clone(), waiting: line.waiting.len(), dropped: line.dropped }
    }

    /// What is set.
    pub(crate) const fn settings(&self) -> &AlertSettings {
        &self.settings
    }

    /// Tests each, and says what came of it; none while another test is under way. Waits for commands.
    pub(crate) fn test(&self) -> Option<Vec<OutputResult>> {
        let _one = self.shared.testing.try_lock().ok()?;
        Some(test(&self.settings))
    }

    /// Lets go of what waits; the command that runs is ended by its time.
    pub(crate) fn stop(&self) {
        let mut line = self.shared.line();
        (line.stopped, line.waiting) = (true, VecDeque::new());
        drop(line);
        self.shared.news.notify_all();
    }
}

impl Drop for Outputs {
    fn drop(&mut self) {
        self.stop();
    }
}

/// The life of the thread.
fn serve(shared: &Shared, settings: &AlertSettings) {
    loop {
        let line = shared.line();
        let idle = |line: &mut Line| line.waiting.is_empty() && !line.stopped;
        let mut line = shared.news.wait_while(line, idle).unwrap_or_else(PoisonError::into_inner);
        if line.stopped {
            return;
        }
        let Some(change) = line.waiting.pop_front() else { continue };
        drop(line);
        let told = tell(settings, &change);
        for result in told.iter().filter(|result| result.set && result.output != BELL) {
            if let Some(why) = &result.failed {
                tracing::warn!("an alarm was not told ({}): {why}", result.output);
            }
        }
        shared.line().last = told;
    }
}

/// Tells a change to the outputs that are set.
fn tell(settings: &AlertSettings, change: &AlarmChange) -> Vec<OutputResult> {
    let mut told = Vec::new();
    let second = change.what == What::SecondPerson;
    let sounds = matches!(change.what, What::Raised | What::SecondPerson | What::Test);
    if settings.bell && sounds {
        told.push(result(BELL, ring(change.priority)));
    }
    if let Some(words) = &settings.command
        && !(second && settings.second_command.is_some())
    {
        let call = settings.second_person.as_deref().filter(|_| second);
        told.push(result(COMMAND, run(words, settings.limit, change, call)));
    }
    if let (true, Some(words), Some(name)) =
        (second, &settings.second_command, &settings.second_person)
    {
        let called = run(words, settings.limit, change, Some(name));
        told.push(result(SECOND_PERSON, called));
    }
    told
}

fn result(output: &'static str, done: Result<(), String>) -> OutputResult {
    OutputResult { output, set: true, failed: done.err() }
}

/// Tests each output, whether it is set or not, and says what came of it.
pub(super) fn test(settings: &AlertSettings) -> Vec<OutputResult> {
    let unset = |output: &'static str| OutputResult {
        output,
        set: false,
        failed: Some("alarms.toml does not name it".to_owned()),
    };
    let change = AlarmChange::test(Priority::High);
    let try_it = |words: &[String], call| run(words, settings.limit, &change, call);
    let bell = if settings.bell { result(BELL, ring(Priority::High)) } else { unset(BELL) };
    let called = settings.command.as_ref();
    let of_command =
        called.map_or_else(|| unset(COMMAND), |words| result(COMMAND, try_it(words, None)));
    let caller = settings.second_command.as_ref().or(called);
    let second = match (&settings.second_person, caller) {
        (Some(name), Some(words)) => result(SECOND_PERSON, try_it(words, Some(name))),
        (Some(_), None) => OutputResult {
            output: SECOND_PERSON,
            set: true,
            failed: Some("there is no command that could call them".to_owned()),
        },
        (None, _) => unset(SECOND_PERSON),
    };
    vec![bell, of_command, second]
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::time::{Duration, Instant};

    use super::{AlarmChange, AlertSettings, Outputs, Priority, WAITING_MAX, What};

    fn settings(command: &str) -> AlertSettings {
        AlertSettings {
            command: Some(["/bin/sh", "-c", command].map(str::to_owned).to_vec()),
            limit: Duration::from_millis(300),
            from: Priority::Medium,
            bell: false,
            second_person: Some("Wren".to_owned()),
            second_command: None,
            test_at_start: false,
        }
    }

    fn change(what: What, priority: Priority) -> Arc<AlarmChange> {
        Arc::new(AlarmChange { what, ..AlarmChange::test(priority) })
    }

    #[test]
    fn what_is_urgent_is_told_and_the_second_person_is_named() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("told");
        let line = "$MIDDLECUT_ALARM_EVENT $MIDDLECUT_ALARM_PRIORITY [$MIDDLECUT_ALARM_CALL]";
        let command = format!("echo \"{line}\" >> {}", file.display());
        let outputs = Outputs::start(settings(&command)).expect("a thread");
        outputs.put(change(What::Raised, Priority::Low));
        outputs.put(change(What::Raised, Priority::High));
        outputs.put(change(What::SecondPerson, Priority::Critical));
        let told = || std::fs::read_to_string(&file).unwrap_or_default();
        let until = Instant::now() + Duration::from_secs(10);
        while told().lines().count() < 2 && Instant::now() < until {
            std::thread::sleep(Duration::from_millis(10));
        }
        assert_eq!(told(), "raised high []\nsecond_person critical [Wren]\n");
    }

    #[test]
    fn a_line_that_is_full_drops_the_least_urgent_and_a_hung_command_holds_nobody_up() {
        let outputs = Outputs::start(settings("sleep 30")).expect("a thread");
        let began = Instant::now();
        for _ in 0..2 * WAITING_MAX {
            outputs.put(change(What::Raised, Priority::Medium));
        }
        outputs.put(change(What::Raised, Priority::Critical));
        assert!(began.elapsed() < Duration::from_secs(5), "nobody waits for a command");
        let state = outputs.state();
        assert!(state.waiting <= WAITING_MAX && state.dropped >= WAITING_MAX as u64 - 1);
        let line = outputs.shared.line();
        assert!(line.waiting.iter().any(|change| change.priority == Priority::Critical));
    }
}
