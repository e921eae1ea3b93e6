//! The standing alarms: raised once, repeated only when they get worse, cleared with a delay.
//!
//! *Seen* silences and does not cure. A critical alarm stays, its cause gone or not, until a person
//! resets it. *Quiet* takes a reason and 10, 20 or 30 min, and never a critical alarm.

use super::event::{Event, EventKind, Priority};
use crate::knowledge::Quiet;

/// What is the matter: an alarm or a prompt before it has a time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Finding {
    pub(super) code: &'static str,
    pub(super) priority: Priority,
    pub(super) text: String,
    pub(super) how_sure: String,
    pub(super) to_do: String,
    pub(super) within_s: Option<f64>,
    /// What in particular, so that another channel of the same code is said anew.
    pub(super) about: String,
}

impl Finding {
    /// As an event.
    pub(super) fn event(self, time_s: f64, kind: EventKind) -> Event {
        Event {
            time_s,
            kind,
            code: self.code,
            priority: self.priority,
            text: self.text,
            how_sure: self.how_sure,
            to_do: self.to_do,
            within_s: self.within_s,
        }
    }
}

/// An event that only says what is known now.
#[must_use]
pub fn state_event(time_s: f64, code: &'static str, text: String, how_sure: &str) -> Event {
    Event {
        time_s,
        kind: EventKind::State,
        code,
        priority: Priority::Low,
        text,
        how_sure: how_sure.to_owned(),
        to_do: String::new(),
        within_s: None,
    }
}

/// Alarm codes, with the time without cause after which each is over, s.
const CODES: [(&str, f64); 6] = [
    ("coolant_loss", 60.0),
    ("head_running_away", 120.0),
    ("data_stale", 20.0),
    ("data_impossible", 60.0),
    ("attendant_absent", 0.0),
    ("element_cover", 60.0),
];
/// What an alarm is about, in words.
#[must_use]
pub fn alarm_words(code: &str) -> &'static str {
    match code {
        "coolant_loss" => "coolant",
        "head_running_away" => "a head that runs away",
        "data_stale" => "lost readings",
        "data_impossible" => "readings that cannot be right",
        "attendant_absent" => "nobody at the still",
        "element_cover" => "liquid over the elements",
        _ => "unknown",
    }
}

/// What quiet may last, min.
const QUIET_MINUTES: [f64; 3] = [10.0, 20.0, 30.0];

#[derive(Debug, Clone, PartialEq)]
struct Standing {
    event: Event,
    about: String,
    seen: bool,
    /// When the cause was last there, s.
    cause_s: f64,
    /// Whether it was said that the cause is gone.
    gone: bool,
    /// Said while quiet: nobody heard it.
    unheard: bool,
}

/// All of them.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Alarms {
    standing: Vec<Standing>,
    quiet: Vec<Quiet>,
}

impl Alarms {
    /// Compares the findings of this second with what stands.
    pub(super) fn update(&mut self, now_s: f64, findings: Vec<Finding>, said: &mut Vec<Event>) {
        self.quiet.retain(|quiet| quiet.until_s > now_s);
        let present: Vec<&'static str> = findings.iter().map(|finding| finding.code).collect();
        for finding in findings {
            self.raise(now_s, finding, said);
        }
        for (code, delay_s) in CODES {
            if !present.contains(&code) {
                self.ease(now_s, code, delay_s, said);
            }
        }
    }

    fn is_quiet(&self, code: &str) -> bool {
        self.quiet.iter().any(|quiet| quiet.code == code)
    }

    fn raise(&mut self, now_s: f64, finding: Finding, said: &mut Vec<Event>) {
        let quiet = self.is_quiet(finding.code) && finding.priority < Priority::Critical;
        let place = self.standing.iter().position(|standing| standing.event.code == finding.code);
        let Some(place) = place else {
            let about = finding.about.clone();
            let event = finding.event(now_s, EventKind::Alarm);
            if !quiet {
                said.push(event.clone());
            }
            let (seen, gone) = (false, false);
            self.standing.push(Standing {
                event,
                about,
                seen,
                cause_s: now_s,
                gone,
                unheard: quiet,
            });
            return;
        };
        let standing = &mut self.standing[place];
        standing.cause_s = now_s;
        // What is shown has this second's figures; when it was raised stays.
        standing.event.text.clone_from(&finding.text);
        standing.event.how_sure.clone_from(&finding.how_sure);
        let worse = finding.priority > standing.event.priority;
        let other = finding.about != standing.about && finding.priority >= standing.event.priority;
        let heard_at_last = standing.unheard && !quiet;
        if worse || other || standing.gone || heard_at_last {
            standing.about.clone_from(&finding.about);
            standing.event = finding.event(now_s, EventKind::Alarm);
            (standing.seen, standing.gone, standing.unheard) = (false, false, quiet);
            if !quiet {
                said.push(standing.event.clone());
            }
        }
    }

    fn ease(&mut self, now_s: f64, code: &'static str, delay_s: f64, said: &mut Vec<Event>) {
        let Some(place) = self.standing.iter().position(|standing| standing.event.code == code)
        else {
            return;
        };
        let standing = &mut self.standing[place];
        if standing.gone || now_s - standing.cause_s < delay_s {
            return;
        }
        if standing.event.priority == Priority::Critical {
            standing.gone = true;
            let what = alarm_words(code);
            // What is shown is no longer what was the matter, nor what to do about it.
            standing.event = Event {
                text: format!("Over, to be reset: {what}."),
                how_sure: "the cause is gone".to_owned(),
                to_do: "Look at the still, then reset the alarm.".to_owned(),
                within_s: None,
                ..standing.event.clone()
            };
            let text =
                format!("The cause of the alarm is gone ({what}); a person should reset it.");
            said.push(state_event(
                now_s,
                "alarm_cause_gone",
                text,
                "from the readings and actions",
            ));
        } else {
            let silent = standing.unheard;
            self.standing.remove(place);
            if !silent {
                let what = alarm_words(code);
                let text = format!("The alarm is over, its cause is gone: {what}.");
                said.push(state_event(now_s, "alarm_over", text, "from the readings and actions"));
            }
        }
    }

    /// A person has seen it.
    pub(super) fn seen(&mut self, code: &str) {
        for standing in &mut self.standing {
            standing.seen |= standing.event.code == code;
        }
    }

    /// A person resets it: goes only where the cause is gone.
    pub(super) fn reset(&mut self, now_s: f64, code: &str) -> Vec<Event> {
        let Some(place) = self.standing.iter().position(|standing| standing.event.code == code)
        else {
            return Vec::new();
        };
        if self.standing[place].gone {
            let code = self.standing.remove(place).event.code;
            let text = format!("The alarm was reset: {}.", alarm_words(code));
            return vec![state_event(now_s, "alarm_over", text, "reset by a person")];
        }
        self.seen(code);
        let what = alarm_words(code);
        let text = format!("The alarm stays, its cause is still there: {what}.");
        vec![state_event(now_s, "reset_refused", text, "from the readings and actions")]
    }

    /// A person makes it quiet.
    pub(super) fn quieten(
        &mut self,
        now_s: f64,
        code: &str,
        minutes: f64,
        reason: &str,
    ) -> Vec<Event> {
        let known = CODES.iter().any(|(known, _)| *known == code);
        let allowed = QUIET_MINUTES.iter().any(|allowed| (allowed - minutes).abs() < 1e-9);
        let critical = self
            .standing
            .iter()
            .any(|s| s.event.code == code && s.event.priority == Priority::Critical && !s.gone);
        let refusal = if !known {
            Some("there is no alarm of that code")
        } else if reason.trim().is_empty() {
            Some("a reason is needed")
        } else if !allowed {
            Some("it lasts 10, 20 or 30 min")
        } else if critical {
            Some("a critical alarm cannot be made quiet")
        } else {
            None
        };
        if let Some(why) = refusal {
            let text = format!("The alarm was not made quiet: {why}.");
            return vec![state_event(now_s, "quiet_refused", text, "a rule of this program")];
        }
        self.quiet.retain(|quiet| quiet.code != code);
        let until_s = now_s + 60.0 * minutes;
        self.quiet.push(Quiet { code: code.to_owned(), until_s, reason: reason.to_owned() });
        self.seen(code);
        let what = alarm_words(code);
        let text = format!("Quiet for {minutes:.0} min ({what}): {reason}.");
        vec![state_event(now_s, "made_quiet", text, "asked for by a person")]
    }

    /// What stands and was heard, most urgent first.
    pub(super) fn shown(&self) -> Vec<Event> {
        let heard = self.standing.iter().filter(|standing| !standing.unheard);
        let mut events: Vec<Event> = heard.map(|standing| standing.event.clone()).collect();
        events.sort_by(|a, b| b.priority.cmp(&a.priority).then(b.time_s.total_cmp(&a.time_s)));
        events
    }

    /// Codes of those seen.
    pub(super) fn seen_codes(&self) -> Vec<String> {
        let seen = self.standing.iter().filter(|standing| standing.seen);
        seen.map(|standing| standing.event.code.to_owned()).collect()
    }

    /// What is quiet.
    pub(super) fn quiet(&self) -> Vec<Quiet> {
        self.quiet.clone()
    }

    /// Whether an alarm of that code stands and its cause is there.
    pub(super) fn stands(&self, code: &str) -> bool {
        self.standing.iter().any(|standing| standing.event.code == code && !standing.gone)
    }
}
