//! What is known of a still as a JSON file that is written and read again.

use std::path::Path;

use estimate::{Belief, Character, Counted, Trait};

use crate::command::files::write_file;
use crate::error::CliError;

/// Longest file, bytes: 20 000 runs would fit.
const BYTES_MAX: u64 = 50_000_000;
/// Widest spread and farthest mean that a belief can have: a factor of e to the 10, or 10 K.
const FAR: f64 = 10.0;
/// Most of anything that one run can count: a fortnight in seconds.
const AMOUNT_MOST: f64 = 1_209_600.0;

/// Writes it.
pub(super) fn write(path: &Path, known: &Character) -> Result<(), CliError> {
    let text = serde_json::to_string_pretty(known).map_err(std::io::Error::from)?;
    write_file("--save", path, &(text + "\n"))
}

/// Reads it and refuses what no lesson could have said.
pub(super) fn read(path: &Path) -> Result<Character, CliError> {
    let unfit = |line: Option<u64>, what: String, hint: &str| CliError::Unfit {
        file: path.to_path_buf(),
        line,
        what,
        hint: hint.to_owned(),
    };
    let io = |why: std::io::Error| unfit(None, why.to_string(), "check the path after --from");
    let length = std::fs::metadata(path).map_err(io)?.len();
    if length > BYTES_MAX {
        let what = format!("{length} bytes: at most {BYTES_MAX} are read");
        return Err(unfit(None, what, "name a file that learn --save wrote"));
    }
    let text = std::fs::read_to_string(path).map_err(io)?;
    let known: Character = serde_json::from_str(&text).map_err(|why| {
        let line = u64::try_from(why.line()).ok();
        unfit(line, why.to_string(), "name a file that learn --save wrote")
    })?;
    fault(&known).map_or(Ok(known), |what| {
        Err(unfit(None, what, "mend the file, or learn again from the run folders"))
    })
}

/// What is wrong with it, where something is.
fn fault(known: &Character) -> Option<String> {
    let taught = known.history.iter().flat_map(|one| one.run.iter().chain(&one.after));
    if let Some(Belief { of, mean, sd }) =
        known.beliefs.iter().chain(taught).find(|belief| !is_believable(belief))
    {
        return Some(format!(
            "{}: mean {mean}, sd {sd}: the mean must lie from -{FAR} to {FAR}, the sd from above 0 to {FAR}",
            of.name()
        ));
    }
    let counted = known.history.iter().filter_map(|one| one.counted.as_ref());
    if let Some((name, value)) = counted.flat_map(amounts).find(|(_, value)| !is_amount(*value)) {
        return Some(format!(
            "counted.{name} is {value}: it must be a number from 0 to {AMOUNT_MOST}"
        ));
    }
    let count = |of: Trait| known.beliefs.iter().filter(|belief| belief.of == of).count();
    let needed = usize::from(!known.history.is_empty());
    // What was learned before these two were traits says nothing of them.
    let early = |of: Trait| matches!(of, Trait::VapourLost | Trait::ColumnLoss) && count(of) == 0;
    let odd = Trait::ALL.into_iter().find(|&of| count(of) != needed && !early(of))?;
    Some(format!(
        "beliefs: {} stands there {} times: it must stand there {} after {} runs",
        odd.name(),
        count(odd),
        if needed == 1 { "once" } else { "not at all" },
        known.runs()
    ))
}

/// What a run counted that is no whole number.
fn amounts(counted: &Counted) -> [(&'static str, f64); 5] {
    let Counted { changes, paused_s, wrong_strength, drift, weak_heater, .. } = *counted;
    [
        ("changes.late_s", changes.late_s),
        ("paused_s", paused_s),
        ("wrong_strength", wrong_strength),
        ("drift", drift),
        ("weak_heater", weak_heater),
    ]
}

fn is_amount(value: f64) -> bool {
    (0.0..=AMOUNT_MOST).contains(&value)
}

fn is_believable(belief: &Belief) -> bool {
    belief.mean.abs() <= FAR && belief.sd > 0.0 && belief.sd <= FAR
}

#[cfg(test)]
mod tests {
    use estimate::{Belief, Character, Learned, Trait};

    use super::{fault, read, write};

    fn known() -> Character {
        let beliefs: Vec<Belief> =
            Trait::ALL.map(|of| Belief { of, mean: -0.125, sd: 0.5 }).to_vec();
        let run = Learned {
            title: "one".into(),
            start: "2026-01-01T08:00:00+01:00".into(),
            run: Vec::new(),
            after: beliefs.clone(),
            counted: None,
        };
        Character { beliefs, history: vec![run] }
    }

    #[test]
    fn what_is_written_is_read_again() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("still.json");
        write(&path, &known()).unwrap();
        assert_eq!(read(&path).unwrap(), known());
    }

    #[test]
    fn beliefs_that_no_run_can_have_taught_are_refused() {
        assert_eq!(fault(&known()), None);
        assert_eq!(fault(&Character::default()), None);
        let mut earlier = known();
        earlier.beliefs.retain(|belief| belief.of != Trait::VapourLost);
        assert_eq!(fault(&earlier), None);
        let mut without_spread = known();
        without_spread.beliefs[3].sd = 0.0;
        assert!(fault(&without_spread).unwrap().contains("heater"));
        let mut far = known();
        far.history[0].after[5].mean = 11.0;
        assert!(fault(&far).unwrap().contains("head_offset"));
        let mut twice = known();
        twice.beliefs[1].of = Trait::Separation;
        assert!(fault(&twice).unwrap().contains("separation stands there 2 times"));
        let mut untaught = known();
        untaught.history.clear();
        assert!(fault(&untaught).unwrap().contains("not at all after 0 runs"));
    }
}
