//! Says of what was seen what is missing and what to do about it; looks at nothing itself.

use serde::Serialize;

use super::seen::{Reached, RecordSeen, Seen, SourceSeen};

/// Least room on the disk, bytes. Judgement: a run of twelve hours with a row a second is some twenty
/// megabytes, and a damaged record is kept as a copy.
const FREE_BYTES_MIN: u64 = 200_000_000;

/// Whether something is as it should be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum State {
    Good,
    Missing,
    Unknown,
}

/// One thing that was judged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Finding {
    pub(super) what: String,
    pub(super) state: State,
    pub(super) words: String,
    /// What to do, where something is.
    #[serde(rename = "do")]
    pub(super) to_do: Option<String>,
}

fn good(what: &str, words: impl Into<String>) -> Finding {
    Finding { what: what.to_owned(), state: State::Good, words: words.into(), to_do: None }
}

fn not(what: &str, state: State, words: impl Into<String>, to_do: impl Into<String>) -> Finding {
    let (what, to_do) = (what.to_owned(), Some(to_do.into()));
    Finding { what, state, words: words.into(), to_do }
}

/// Judges everything, in the order in which a person would mend it.
pub(super) fn judge(seen: &Seen) -> Vec<Finding> {
    let mut found = vec![folder(seen), disk(seen), record(seen), clock(seen)];
    if let Some(why) = &seen.feeds_refused {
        let to_do = "correct the file; docs/feeds.md says how";
        found.push(not("feeds.toml", State::Missing, why, to_do));
    }
    found.extend(seen.sources.iter().map(|source| probe(seen, source)));
    if let Some(broker) = &seen.broker {
        found.push(match &broker.refused {
            None => good("broker", format!("{} answers", broker.address)),
            Some(why) => not(
                "broker",
                State::Missing,
                format!("{} does not answer: {why}", broker.address),
                "start it, or correct host and port under [broker] in feeds.toml",
            ),
        });
    }
    found
}

fn folder(seen: &Seen) -> Finding {
    match &seen.folder_refused {
        None => good("data folder", format!("{} can be written", seen.folder)),
        Some(why) => not(
            "data folder",
            State::Missing,
            format!("{} cannot be written: {why}", seen.folder),
            format!("give it to {}, or name another one with --data", seen.user),
        ),
    }
}

fn disk(seen: &Seen) -> Finding {
    let Some(free) = seen.free_bytes else {
        return not(
            "disk",
            State::Unknown,
            "the system does not say its room",
            "look at it yourself",
        );
    };
    let words = format!("{} MB free", free / 1_000_000);
    if free >= FREE_BYTES_MIN {
        return good("disk", words);
    }
    let to_do = format!("make room for {} MB before a run", FREE_BYTES_MIN / 1_000_000);
    not("disk", State::Missing, words, to_do)
}

fn record(seen: &Seen) -> Finding {
    match &seen.record {
        RecordSeen::Absent => good("record", "none yet; it is made when the program first serves"),
        RecordSeen::Whole { entries } => good("record", format!("whole, {entries} entries")),
        RecordSeen::Faulty { what, hint } => not("record", State::Missing, what, hint),
    }
}

fn clock(seen: &Seen) -> Finding {
    match seen.clock_set {
        Some(true) => good("clock", "set by a clock of the network"),
        Some(false) => not(
            "clock",
            State::Missing,
            "not set by a clock of the network: dates in the record may be wrong; run time is not",
            "connect it once, or set it by hand; `timedatectl set-ntp true` where systemd keeps it",
        ),
        None => not(
            "clock",
            State::Unknown,
            "the system does not say whether it was set",
            "compare it with a watch",
        ),
    }
}

fn probe(seen: &Seen, source: &SourceSeen) -> Finding {
    let SourceSeen { name, kind, path, reached } = source;
    let what = format!("probe {name}");
    match (reached, kind.as_str()) {
        (Reached::Yes, _) => good(&what, format!("{path} can be read")),
        (Reached::Absent, "one_wire") if !seen.one_wire_bus => not(
            &what,
            State::Missing,
            format!("{path} is not there: this system has no 1-wire bus"),
            "switch it on: on a Pi the line `dtoverlay=w1-gpio` in /boot/firmware/config.txt, then \
             start it anew; elsewhere `modprobe w1-gpio`",
        ),
        (Reached::Absent, "one_wire") => not(
            &what,
            State::Missing,
            format!("{path} is not there: the bus is, the thermometer is not"),
            "check its wires and its number; `ls /sys/bus/w1/devices` shows those that are there",
        ),
        (Reached::Absent, "serial") => not(
            &what,
            State::Missing,
            format!("{path} is not there"),
            "plug the adapter in; /dev/serial/by-id has names that stay when it is plugged elsewhere",
        ),
        (Reached::Absent, _) => not(
            &what,
            State::Missing,
            format!("{path} is not there"),
            "start what writes it, or correct its path in feeds.toml",
        ),
        (Reached::Refused { group: Some(group) }, "serial") => not(
            &what,
            State::Missing,
            format!("{} has no right to {path}", seen.user),
            format!("`sudo usermod -aG {group} {}`, then log in anew", seen.user),
        ),
        (Reached::Refused { .. }, _) => not(
            &what,
            State::Missing,
            format!("{} has no right to {path}", seen.user),
            format!("let {} read it", seen.user),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::seen::{BrokerSeen, Reached, RecordSeen, Seen, SourceSeen};
    use super::{State, judge};

    fn sound() -> Seen {
        Seen {
            user: "wren".into(),
            folder: "/data".into(),
            folder_refused: None,
            free_bytes: Some(5_000_000_000),
            record: RecordSeen::Whole { entries: 12 },
            clock_set: Some(true),
            one_wire_bus: true,
            feeds_refused: None,
            sources: vec![source("serial", Reached::Yes)],
            broker: Some(BrokerSeen { address: "shed:1883".into(), refused: None }),
        }
    }

    fn source(kind: &str, reached: Reached) -> SourceSeen {
        let (name, kind, path) = ("head".to_owned(), kind.to_owned(), "/dev/x".to_owned());
        SourceSeen { name, kind, path, reached }
    }

    #[test]
    fn a_sound_machine_lacks_nothing() {
        let found = judge(&sound());
        assert_eq!(found.len(), 6);
        assert!(found.iter().all(|one| one.state == State::Good && one.to_do.is_none()));
    }

    #[test]
    fn each_thing_that_is_missing_is_named_with_what_to_do() {
        let refused = || Reached::Refused { group: Some("dialout".into()) };
        let faulty = RecordSeen::Faulty { what: "torn".into(), hint: "restore".into() };
        let with = |change: &dyn Fn(&mut Seen)| {
            let mut seen = sound();
            change(&mut seen);
            seen
        };
        let cases = [
            ("data folder", "--data", with(&|seen| seen.folder_refused = Some("no".into()))),
            ("disk", "200 MB", with(&|seen| seen.free_bytes = Some(1))),
            ("record", "restore", with(&|seen| seen.record = faulty.clone())),
            ("clock", "timedatectl", with(&|seen| seen.clock_set = Some(false))),
            ("feeds.toml", "docs/feeds.md", with(&|seen| seen.feeds_refused = Some("x".into()))),
            (
                "probe head",
                "usermod -aG dialout wren",
                with(&|seen| seen.sources = vec![source("serial", refused())]),
            ),
            (
                "probe head",
                "by-id",
                with(&|seen| seen.sources = vec![source("serial", Reached::Absent)]),
            ),
            (
                "probe head",
                "w1/devices",
                with(&|seen| seen.sources = vec![source("one_wire", Reached::Absent)]),
            ),
            (
                "probe head",
                "dtoverlay=w1-gpio",
                with(&|seen| {
                    seen.one_wire_bus = false;
                    seen.sources = vec![source("one_wire", Reached::Absent)];
                }),
            ),
            (
                "probe head",
                "feeds.toml",
                with(&|seen| seen.sources = vec![source("file", Reached::Absent)]),
            ),
            (
                "broker",
                "[broker]",
                with(&|seen| {
                    seen.broker =
                        Some(BrokerSeen { address: "shed:1883".into(), refused: Some("x".into()) });
                }),
            ),
        ];
        for (what, to_do, seen) in cases {
            let found = judge(&seen);
            let missing: Vec<_> = found.iter().filter(|one| one.state != State::Good).collect();
            assert_eq!(missing.len(), 1, "{what}: {missing:?}");
            assert_eq!((missing[0].what.as_str(), missing[0].state), (what, State::Missing));
            let said = missing[0].to_do.as_deref().unwrap_or_default();
            assert!(said.contains(to_do), "{what}: {said}");
        }
    }

    #[test]
    fn what_the_system_does_not_say_is_not_said_to_be_missing() {
        let seen = Seen { clock_set: None, free_bytes: None, ..sound() };
        let unknown = judge(&seen).into_iter().filter(|one| one.state == State::Unknown);
        assert_eq!(unknown.map(|one| one.what).collect::<Vec<_>>(), ["disk", "clock"]);
    }
}
