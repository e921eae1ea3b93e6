//! A command that tells an alarm: no shell, its words in the environment, ended when it takes too
//! long.

use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use advise::Priority;

use super::change::AlarmChange;

/// Time between two looks at a running command.
const LOOK: Duration = Duration::from_millis(20);
/// How long a command that was ended may take to be gone.
const ENDED_MAX: Duration = Duration::from_secs(1);

/// Runs it; `call` is who is called. Says in words what went wrong.
pub(super) fn run(
    words: &[String],
    limit: Duration,
    change: &AlarmChange,
    call: Option<&str>,
) -> Result<(), String> {
    let (program, arguments) = words.split_first().ok_or("there is no program")?;
    let mut command = Command::new(program);
    command.args(arguments).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    for (name, value) in environment(change, call) {
        command.env(format!("MIDDLECUT_ALARM_{name}"), value);
    }
    apart(&mut command);
    let mut child = command.spawn().map_err(|error| format!("{program}: {error}"))?;
    match wait(&mut child, limit) {
        Some(status) if status.success() => Ok(()),
        Some(status) => Err(format!("{program}: {status}")),
        None => {
            end(&mut child);
            Err(format!("{program}: ended after {} s", limit.as_secs_f64()))
        }
    }
}

/// What the command is told.
fn environment(change: &AlarmChange, call: Option<&str>) -> Vec<(&'static str, String)> {
    let priority = match change.priority {
        Priority::Low => "low",
        Priority::Medium => "medium",
        Priority::High => "high",
        Priority::Critical => "critical",
    };
    // A line of a text is one line, whatever a still is called.
    let line = |text: &str| text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    vec![
        ("EVENT", change.what.word().to_owned()),
        ("CODE", change.code.to_owned()),
        ("PRIORITY", priority.to_owned()),
        ("TEXT", line(&change.text)),
        ("HOW_SURE", line(&change.how_sure)),
        ("DO", line(&change.to_do)),
        ("WITHIN_S", change.within_s.map_or(String::new(), |within_s| format!("{within_s:.0}"))),
        ("RUN", line(&change.run)),
        ("STILL", line(&change.still)),
        ("TIME_S", format!("{:.0}", change.time_s)),
        ("CALL", line(call.unwrap_or_default())),
    ]
}

/// Waits until it is over, or its time is.
fn wait(child: &mut Child, limit: Duration) -> Option<ExitStatus> {
    let until = Instant::now() + limit;
    loop {
        if let Ok(Some(status)) = child.try_wait() {
            return Some(status);
        }
        if Instant::now() >= until {
            return None;
        }
        thread::sleep(LOOK);
    }
}

/// Puts it into a group of its own, so that what it started is ended with it.
fn apart(command: &mut Command) {
    #[cfg(unix)]
    {
        use std::os::unix::process::CommandExt;
        command.process_group(0);
    }
    #[cfg(not(unix))]
    let _ = command;
}

fn end(child: &mut Child) {
    #[cfg(target_os = "linux")]
    if let Some(group) = i32::try_from(child.id()).ok().and_then(rustix::process::Pid::from_raw) {
        let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
    }
    let _ = child.kill();
    // One that hangs in the system is let go.
    let _ = wait(child, ENDED_MAX);
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::{AlarmChange, Priority, run};

    fn shell(text: &str) -> Vec<String> {
        ["/bin/sh", "-c", text].map(str::to_owned).to_vec()
    }

    #[test]
    fn a_command_gets_its_words_in_the_environment_and_says_how_it_ended() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("told");
        let mut change = AlarmChange::test(Priority::High);
        change.text = "$(touch no)\n\"x\"".to_owned();
        let words = shell(&format!("env > {}", file.display()));
        run(&words, Duration::from_secs(5), &change, Some("Wren")).expect("it runs");
        let told = std::fs::read_to_string(file).expect("it was written");
        for line in [
            "MIDDLECUT_ALARM_EVENT=test",
            "MIDDLECUT_ALARM_PRIORITY=high",
            "MIDDLECUT_ALARM_CALL=Wren",
            "MIDDLECUT_ALARM_TEXT=$(touch no) \"x\"",
        ] {
            assert!(told.lines().any(|told| told == line), "{line}: {told}");
        }
        let failed = run(&shell("exit 3"), Duration::from_secs(5), &change, None);
        assert!(failed.expect_err("it failed").contains('3'));
        let nowhere = run(&["/no/such/program".to_owned()], Duration::from_secs(5), &change, None);
        assert!(nowhere.is_err());
    }

    #[test]
    fn a_command_that_hangs_is_ended_with_all_it_started() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("alive");
        let words = shell(&format!("(sleep 0.6; touch {}) & sleep 30", file.display()));
        let began = Instant::now();
        let change = AlarmChange::test(Priority::High);
        let ended = run(&words, Duration::from_millis(100), &change, None);
        assert!(ended.expect_err("it hangs").contains("ended after 0.1 s"));
        assert!(began.elapsed() < Duration::from_secs(5));
        std::thread::sleep(Duration::from_millis(700));
        assert!(!file.exists(), "what it started goes on");
    }
}
