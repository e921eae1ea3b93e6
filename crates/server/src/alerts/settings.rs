//! `alarms.toml` in the data folder: how the program itself tells alarms.

use std::path::{Path, PathBuf};
use std::time::Duration;

use advise::Priority;
use serde::Deserialize;
use store::toml_text;

/// Name of the file in the data folder.
const FILE: &str = "alarms.toml";
/// Longest file, bytes.
const BYTES_MAX: u64 = 64 * 1024;
/// Least and most seconds that a command may take, and what it may where nothing is said.
const LIMIT_S: (f64, f64) = (1.0, 60.0);
const LIMIT_USUAL_S: f64 = 10.0;
/// Most words of a command, and most characters of each and of a name.
const WORDS_MAX: usize = 32;
const CHARACTERS_MAX: usize = 1000;
const NAME_CHARACTERS_MAX: usize = 100;

/// Why settings of alarms cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{}: {key}{what}", file.display(), line.map(|line| format!(":{line}")).unwrap_or_default())]
pub struct AlertsError {
    /// The file.
    pub file: PathBuf,
    /// Counted from 1.
    pub line: Option<usize>,
    /// Path of the key with a colon behind it; empty where none is meant.
    pub key: String,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub hint: &'static str,
}

impl AlertsError {
    fn whole(file: &Path, what: String, hint: &'static str) -> Self {
        Self { file: file.to_path_buf(), line: None, key: String::new(), what, hint }
    }
}

/// How the program itself tells alarms.
#[derive(Debug, Clone, PartialEq)]
pub struct AlertSettings {
    /// A program and its arguments; none where nothing is to be called.
    pub command: Option<Vec<String>>,
    /// How long it may take.
    pub limit: Duration,
    /// Least priority that is told.
    pub from: Priority,
    /// Whether the terminal's bell rings.
    pub bell: bool,
    /// Who is called when nobody answers.
    pub second_person: Option<String>,
    /// The program that calls them, where it is another.
    pub second_command: Option<Vec<String>>,
    /// Whether each output says each priority when the server starts.
    pub test_at_start: bool,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    #[serde(default)]
    on_alarm: OnAlarm,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct OnAlarm {
    command: Option<Vec<String>>,
    time_limit_s: Option<f64>,
    from: Option<String>,
    bell: Option<bool>,
    second_person: Option<String>,
    second_command: Option<Vec<String>>,
    test_at_start: Option<bool>,
}

impl AlertSettings {
    /// What holds where nothing is said.
    pub(crate) fn usual() -> Self {
        Self {
            command: None,
            limit: Duration::from_secs_f64(LIMIT_USUAL_S),
            from: Priority::Medium,
            bell: true,
            second_person: None,
            second_command: None,
            test_at_start: true,
        }
    }

    /// As that data folder says; as usual where it says nothing.
    ///
    /// # Errors
    /// [`AlertsError`] naming file, line, key, bound and hint.
    pub fn read(data_dir: &Path) -> Result<Self, AlertsError> {
        let file = data_dir.join(FILE);
        let hint = "check the path and the rights; it is UTF-8 text";
        let unreadable = |why: String| AlertsError::whole(&file, why, hint);
        match std::fs::metadata(&file) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Ok(Self::usual());
            }
            Err(error) => return Err(unreadable(error.to_string())),
            Ok(about) if about.len() > BYTES_MAX => {
                return Err(unreadable(format!("must have {BYTES_MAX} bytes at most")));
            }
            Ok(_) => {}
        }
        let text = std::fs::read_to_string(&file).map_err(|why| unreadable(why.to_string()))?;
        Self::parse(&text, &file)
    }

    fn parse(text: &str, file: &Path) -> Result<Self, AlertsError> {
        let hint = "docs/alarms.md has a worked example";
        let (table, places) =
            toml_text::read::<Table>(text, FILE).map_err(|fault| AlertsError {
                file: file.to_path_buf(),
                line: Some(fault.line),
                key: format!("{}: ", fault.key),
                what: fault.what,
                hint,
            })?;
        table.on_alarm.checked().map_err(|(key, what)| AlertsError {
            file: file.to_path_buf(),
            line: places.line(&format!("on_alarm.{key}")),
            key: format!("on_alarm.{key}: "),
            what,
            hint,
        })
    }

    /// Whether an alarm of that priority is told.
    pub(crate) fn tells(&self, priority: Priority) -> bool {
        priority >= self.from
    }
}

impl OnAlarm {
    fn checked(self) -> Result<AlertSettings, (&'static str, String)> {
        let limit_s = self.time_limit_s.unwrap_or(LIMIT_USUAL_S);
        if !(limit_s >= LIMIT_S.0 && limit_s <= LIMIT_S.1) {
            let what = format!("{limit_s}: must lie from {} to {} s", LIMIT_S.0, LIMIT_S.1);
            return Err(("time_limit_s", what));
        }
        let from = match self.from.as_deref() {
            None | Some("medium") => Priority::Medium,
            Some("low") => Priority::Low,
            Some("high") => Priority::High,
            Some("critical") => Priority::Critical,
            Some(other) => {
                return Err(("from", format!("{other}: must be low, medium, high or critical")));
            }
        };
        for (key, words) in [("command", &self.command), ("second_command", &self.second_command)] {
            words
                .as_ref()
                .map_or(Ok(()), |words| check_words(words))
                .map_err(|what| (key, what))?;
        }
        if let Some(name) = &self.second_person {
            let sound = (1..=NAME_CHARACTERS_MAX).contains(&name.trim().chars().count())
                && !name.chars().any(char::is_control);
            if !sound {
                let what = format!("must be a name of 1 to {NAME_CHARACTERS_MAX} characters");
                return Err(("second_person", what));
            }
        } else if self.second_command.is_some() {
            return Err(("second_command", "needs second_person beside it".to_owned()));
        }
        let usual = AlertSettings::usual();
        Ok(AlertSettings {
            command: self.command,
            limit: Duration::from_secs_f64(limit_s),
            from,
            bell: self.bell.unwrap_or(usual.bell),
            second_person: self.second_person,
            second_command: self.second_command,
            test_at_start: self.test_at_start.unwrap_or(usual.test_at_start),
        })
    }
}

/// A program and its arguments.
fn check_words(words: &[String]) -> Result<(), String> {
    if words.is_empty() || words.len() > WORDS_MAX {
        return Err(format!("must have a program and {} arguments at most", WORDS_MAX - 1));
    }
    if words[0].trim().is_empty() {
        return Err("the program must not be empty".to_owned());
    }
    let sound = |word: &String| word.chars().count() <= CHARACTERS_MAX && !word.contains('\0');
    if words.iter().all(sound) {
        return Ok(());
    }
    Err(format!("each word must have {CHARACTERS_MAX} characters at most, and no NUL"))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{AlertSettings, Duration, Priority};

    fn parse(text: &str) -> Result<AlertSettings, String> {
        AlertSettings::parse(text, Path::new("alarms.toml")).map_err(|error| error.to_string())
    }

    #[test]
    fn without_a_file_the_bell_rings_and_nothing_is_called() {
        let usual = parse("").expect("nothing need be said");
        assert!(usual.bell && usual.command.is_none() && usual.second_person.is_none());
        assert!(usual.tells(Priority::Medium) && !usual.tells(Priority::Low));
        let said = parse(
            "[on_alarm]\ncommand = [\"ring\", \"a b\"]\ntime_limit_s = 2\nfrom = \"high\"\nbell = false\nsecond_person = \"Wren\"\n",
        );
        let said = said.expect("it is sound");
        assert_eq!(
            (said.limit, said.bell, said.from),
            (Duration::from_secs(2), false, Priority::High)
        );
        assert_eq!(said.command.expect("it is there"), ["ring", "a b"]);
    }

    #[test]
    fn a_mistake_is_told_with_file_line_and_key() {
        for (text, told) in [
            ("\n[on_alarm]\nbel = true\n", "alarms.toml:3: on_alarm.bel"),
            ("[on_alarm]\ntime_limit_s = 600\n", "alarms.toml:2: on_alarm.time_limit_s: 600: must"),
            ("[on_alarm]\ncommand = \"ring -l\"\n", "alarms.toml:2: on_alarm.command"),
            ("[on_alarm]\ncommand = []\n", "alarms.toml:2: on_alarm.command: must have"),
            ("[on_alarm]\nfrom = \"now\"\n", "alarms.toml:2: on_alarm.from: now: must be"),
            ("[on_alarm]\nsecond_command = [\"x\"]\n", "on_alarm.second_command: needs"),
            ("[on_alarm]\nsecond_person = \" \"\n", "on_alarm.second_person: must be a name"),
            ("[on_alarm\n", "alarms.toml:1"),
        ] {
            let error = parse(text).expect_err(text);
            assert!(error.contains(told), "{text}: {error}");
        }
    }
}
