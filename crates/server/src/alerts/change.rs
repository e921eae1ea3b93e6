//! A change of an alarm, as it is told further.

use advise::{AlarmNow, AlarmState, Event, Priority};

/// What happened to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum What {
    /// It came, or got worse.
    Raised,
    /// A person has seen it.
    Seen,
    /// Its cause is gone; it waits to be seen or reset.
    Cleared,
    /// A person made it quiet.
    Quiet,
    /// It is not there any more.
    Normal,
    /// Nobody answers: the second person is called.
    SecondPerson,
    /// Nothing is the matter: the outputs are tried.
    Test,
}

impl What {
    /// In a word.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Raised => "raised",
            Self::Seen => "seen",
            Self::Cleared => "cleared",
            Self::Quiet => "quiet",
            Self::Normal => "normal",
            Self::SecondPerson => "second_person",
            Self::Test => "test",
        }
    }
}

/// A change of an alarm.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AlarmChange {
    pub(crate) what: What,
    /// Id of the run; empty in a test.
    pub(crate) run: String,
    /// Name of the still; empty in a test.
    pub(crate) still: String,
    /// Whether it is of a real run.
    pub(crate) real: bool,
    /// Run time, s.
    pub(crate) time_s: f64,
    pub(crate) code: &'static str,
    pub(crate) priority: Priority,
    pub(crate) text: String,
    pub(crate) how_sure: String,
    pub(crate) to_do: String,
    pub(crate) within_s: Option<f64>,
}

impl AlarmChange {
    /// A test.
    pub(crate) fn test(priority: Priority) -> Self {
        Self {
            what: What::Test,
            run: String::new(),
            still: String::new(),
            real: true,
            time_s: 0.0,
            code: "test",
            priority,
            text: "This is a test: nothing is the matter.".to_owned(),
            how_sure: "asked for, or at the start of the program".to_owned(),
            to_do: "Nothing.".to_owned(),
            within_s: None,
        }
    }
}

/// What happened to alarms between two looks, each with what it says now or said last.
pub(crate) fn changes<'a>(
    before: &'a [(AlarmNow, Event)],
    now: &'a [(AlarmNow, Event)],
) -> Vec<(What, &'a Event)> {
    let of = |list: &'a [(AlarmNow, Event)], code: &str| {
        list.iter().find(|(alarm, _)| alarm.code == code)
    };
    let mut changes = Vec::new();
    for (alarm, event) in now {
        let was = of(before, alarm.code);
        let same = was.is_some_and(|(was, _)| was.state == alarm.state);
        let again = was.is_none_or(|(_, said)| said.time_s < event.time_s);
        match alarm.state {
            AlarmState::ActiveUnseen if again || !same => changes.push((What::Raised, event)),
            _ if same => {}
            AlarmState::ActiveUnseen => {}
            AlarmState::ActiveSeen => changes.push((What::Seen, event)),
            AlarmState::ClearedUnseen | AlarmState::ClearedSeen => {
                changes.push((What::Cleared, event));
            }
            AlarmState::Quiet => changes.push((What::Quiet, event)),
        }
    }
    let gone = before.iter().filter(|(alarm, _)| of(now, alarm.code).is_none());
    changes.extend(gone.map(|(_, event)| (What::Normal, event)));
    changes
}

#[cfg(test)]
mod tests {
    use advise::EventKind;

    use super::{AlarmNow, AlarmState, Event, Priority, What, changes};

    fn alarm(state: AlarmState, time_s: f64, priority: Priority) -> (AlarmNow, Event) {
        let code = "data_stale";
        let now = AlarmNow {
            code,
            words: "lost readings",
            state,
            priority,
            raised_s: 0.0,
            follows: None,
            chatters: false,
            stands_long: false,
        };
        let (text, how_sure, to_do) = ("x".to_owned(), String::new(), String::new());
        let kind = EventKind::Alarm;
        (now, Event { time_s, kind, code, priority, text, how_sure, to_do, within_s: None })
    }

    #[test]
    fn every_change_of_an_alarm_is_told_once() {
        use AlarmState::{ActiveSeen, ActiveUnseen, ClearedSeen, ClearedUnseen, Quiet};
        let whats = |before: &[(AlarmNow, Event)], now: &[(AlarmNow, Event)]| {
            changes(before, now).into_iter().map(|(what, _)| what).collect::<Vec<_>>()
        };
        let high = |state| vec![alarm(state, 10.0, Priority::High)];
        assert_eq!(whats(&[], &high(ActiveUnseen)), [What::Raised]);
        assert_eq!(whats(&high(ActiveUnseen), &high(ActiveUnseen)), []);
        assert_eq!(whats(&high(ActiveUnseen), &high(ActiveSeen)), [What::Seen]);
        let worse = [alarm(ActiveUnseen, 70.0, Priority::Critical)];
        assert_eq!(whats(&high(ActiveSeen), &worse), [What::Raised]);
        assert_eq!(whats(&high(ActiveUnseen), &worse), [What::Raised]);
        assert_eq!(whats(&high(ActiveSeen), &high(Quiet)), [What::Quiet]);
        assert_eq!(whats(&high(ActiveUnseen), &high(ClearedUnseen)), [What::Cleared]);
        assert_eq!(whats(&high(ClearedUnseen), &high(ActiveUnseen)), [What::Raised]);
        assert_eq!(whats(&high(ClearedSeen), &[]), [What::Normal]);
    }
}
