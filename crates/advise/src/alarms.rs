//! The alarms and the states they go through: raised after a delay, said once and again only when
//! they get worse, over after another delay.
//!
//! *Seen* silences and does not cure. A critical alarm stays, its cause gone or not, until a person
//! resets it. *Quiet* takes a reason and 10, 20 or 30 min, and never a critical alarm; when it is
//! over, what still is the matter is raised again.

use super::event::{Event, Priority};
use super::finding::{Found, state_event};
use super::load::{Called, Raised};
use super::review::Tally;
use super::rules::{Cause, Phase, RULES, Rule, alarm_words, rule};
use crate::knowledge::{AlarmState, Quiet};

/// What quiet may last, min.
const QUIET_MINUTES: [f64; 3] = [10.0, 20.0, 30.0];
/// How an act of a person, and what follows from readings, is known.
const BY_A_PERSON: &str = "asked for by a person";
const FROM_READINGS: &str = "from the readings and actions";

#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a state of its own, and any of them may meet"
)]
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Standing {
    pub(super) cause: &'static Cause,
    pub(super) event: Event,
    pub(super) about: String,
    /// When it came, s.
    pub(super) raised_s: f64,
    pub(super) seen: bool,
    /// When the cause was last there, s.
    pub(super) cause_s: f64,
    /// Whether it was said that the cause is gone.
    pub(super) gone: bool,
    /// Whether it was critical: stands until a person resets it.
    pub(super) latched: bool,
    /// Said while quiet: nobody heard it.
    pub(super) unheard: bool,
}

impl Standing {
    pub(super) fn state(&self) -> AlarmState {
        match (self.gone, self.seen) {
            _ if self.unheard => AlarmState::Quiet,
            (false, false) => AlarmState::ActiveUnseen,
            (false, true) => AlarmState::ActiveSeen,
            (true, false) => AlarmState::ClearedUnseen,
            (true, true) => AlarmState::ClearedSeen,
        }
    }

    /// Whether it calls for an act: a cleared one that nobody has to reset is only listed.
    pub(super) const fn calls(&self) -> bool {
        !self.unheard && (!self.gone || self.latched)
    }
}

/// All of them.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Alarms {
    pub(super) standing: Vec<Standing>,
    /// Causes that are there, since when, s.
    causes: Vec<(&'static Cause, f64)>,
    quiet: Vec<Quiet>,
    pub(super) raised: Raised,
    called: Called,
    pub(super) tally: Tally,
}

impl Alarms {
    /// Compares what is the matter in this second with what stands.
    pub(super) fn update(
        &mut self,
        now_s: f64,
        phase: Phase,
        mut found: Vec<Found>,
        said: &mut Vec<Event>,
    ) {
        found.retain(|found| !found.cause.suppressed.contains(&phase));
        self.end_quiet(now_s, said);
        self.follow_causes(now_s, &found);
        for rule in &RULES {
            let of_rule = found.iter().filter(|found| found.cause.code == rule.code);
            let lasts = |found: &&Found| {
                let since_s = self.since_s(found.cause).unwrap_or(now_s);
                now_s - since_s >= found.cause.on_delay_s
            };
            let there = of_rule.clone().next().is_some();
            let worst = of_rule.filter(lasts).max_by_key(|found| found.cause.priority);
            match worst.cloned() {
                Some(worst) => self.raise(now_s, worst, said),
                None if there && self.stands(rule.code) => self.lasts(now_s, rule.code),
                None => self.ease(now_s, rule, said),
            }
        }
        let open = self
            .standing
            .iter()
            .filter(|one| one.event.priority == Priority::Critical && !one.gone && !one.seen);
        let open = open.min_by(|a, b| a.event.time_s.total_cmp(&b.event.time_s));
        let call = self.called.follow(now_s, open.map(|one| &one.event));
        if call.is_some() {
            self.tally.called();
        }
        said.extend(call);
    }

    fn follow_causes(&mut self, now_s: f64, found: &[Found]) {
        let there = |cause: &Cause| found.iter().any(|found| found.cause == cause);
        self.causes.retain(|(cause, _)| there(cause));
        for found in found {
            if self.since_s(found.cause).is_none() {
                self.causes.push((found.cause, now_s));
            }
        }
    }

    /// Since when a cause is there, s; its alarm may still wait for its delay.
    pub(super) fn since_s(&self, cause: &Cause) -> Option<f64> {
        self.causes.iter().find(|(there, _)| *there == cause).map(|(_, since_s)| *since_s)
    }

    /// Whether a value is over the limit of a cause, or not yet back under its dead band.
    pub(super) fn is_over(&self, cause: &Cause, value: f64) -> bool {
        let band = if self.since_s(cause).is_some() { cause.dead_band } else { 0.0 };
        value > cause.limit - band
    }

    /// Whether it is under the limit, or not yet back over its dead band.
    pub(super) fn is_under(&self, cause: &Cause, value: f64) -> bool {
        let band = if self.since_s(cause).is_some() { cause.dead_band } else { 0.0 };
        value < cause.limit + band
    }

    /// Quiet that is over: what still is the matter is raised again.
    fn end_quiet(&mut self, now_s: f64, said: &mut Vec<Event>) {
        let (over, on): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.quiet).into_iter().partition(|quiet| quiet.until_s <= now_s);
        self.quiet = on;
        for quiet in over {
            let text = format!("Quiet is over: {}.", alarm_words(&quiet.code));
            said.push(state_event(now_s, "quiet_over", text, "its time has passed"));
            for one in self.standing.iter_mut().filter(|one| one.event.code == quiet.code) {
                one.unheard |= !one.gone;
            }
        }
    }

    pub(super) fn is_quiet(&self, code: &str) -> bool {
        self.quiet.iter().any(|quiet| quiet.code == code)
    }

    pub(super) fn place(&self, code: &str) -> Option<usize> {
        self.standing.iter().position(|one| one.event.code == code)
    }

    fn lasts(&mut self, now_s: f64, code: &str) {
        for one in self.standing.iter_mut().filter(|one| one.event.code == code) {
            one.cause_s = now_s;
        }
    }

    fn raise(&mut self, now_s: f64, found: Found, said: &mut Vec<Event>) {
        let (code, priority) = (found.cause.code, found.cause.priority);
        let quiet = self.is_quiet(code) && priority < Priority::Critical;
        let (cause, about) = (found.cause, found.about.clone());
        let latched = priority == Priority::Critical;
        let Some(place) = self.place(code) else {
            let event = found.event(now_s);
            if !quiet {
                self.say(&event, said);
            }
            self.standing.push(Standing {
                cause,
                event,
                about,
                raised_s: now_s,
                seen: false,
                cause_s: now_s,
                gone: false,
                latched,
                unheard: quiet,
            });
            return;
        };
        let one = &mut self.standing[place];
        one.cause_s = now_s;
        one.latched |= latched;
        let worse = priority > one.event.priority;
        let other = about != one.about && priority >= one.event.priority;
        let heard_at_last = one.unheard && !quiet;
        if !(worse || other || one.gone || heard_at_last) {
            // What is shown has this second's figures; when it was raised, and how urgent it was, stay.
            if priority == one.event.priority {
                (one.event.text, one.event.how_sure) = (found.text, found.how_sure);
            }
            return;
        }
        if one.gone {
            one.raised_s = now_s;
        }
        (one.cause, one.about, one.event) = (cause, about, found.event(now_s));
        (one.seen, one.gone, one.unheard) = (false, false, quiet);
        if !quiet {
            let event = one.event.clone();
            self.say(&event, said);
        }
    }

    fn say(&mut self, event: &Event, said: &mut Vec<Event>) {
        self.raised.push(event.time_s, event.code);
        self.tally.raised(event.time_s, event.code, event.priority);
        said.push(event.clone());
    }

    fn ease(&mut self, now_s: f64, rule: &Rule, said: &mut Vec<Event>) {
        let Some(place) = self.place(rule.code) else { return };
        let one = &mut self.standing[place];
        if one.gone || now_s - one.cause_s < rule.off_delay_s {
            return;
        }
        self.tally.over(now_s, rule.code);
        let what = rule.words;
        if one.latched {
            one.gone = true;
            // What is shown is no longer what was the matter, nor what to do about it.
            one.event = Event {
                text: format!("Over, to be reset: {what}."),
                how_sure: "the cause is gone".to_owned(),
                to_do: "Look at the still, then reset the alarm.".to_owned(),
                within_s: None,
                ..one.event.clone()
            };
            let text =
                format!("The cause of the alarm is gone ({what}); a person should reset it.");
            said.push(state_event(now_s, "alarm_cause_gone", text, FROM_READINGS));
            return;
        }
        if one.unheard {
            self.standing.remove(place);
            return;
        }
        one.gone = true;
        let seen = one.seen;
        let text = format!("The alarm is over, its cause is gone: {what}.");
        said.push(state_event(now_s, "alarm_over", text, FROM_READINGS));
        if seen {
            self.standing.remove(place);
        }
    }

    /// A person has seen it.
    pub(super) fn seen(&mut self, code: &str) {
        for one in self.standing.iter_mut().filter(|one| one.event.code == code) {
            one.seen = true;
        }
        self.standing.retain(|one| one.event.code != code || !one.gone || one.latched);
    }

    /// A person resets it: goes only where the cause is gone.
    pub(super) fn reset(&mut self, now_s: f64, code: &str) -> Vec<Event> {
        let Some(place) = self.place(code) else { return Vec::new() };
        let what = alarm_words(code);
        if self.standing[place].gone {
            self.standing.remove(place);
            let text = format!("The alarm was reset: {what}.");
            return vec![state_event(now_s, "alarm_over", text, "reset by a person")];
        }
        self.seen(code);
        let text = format!("The alarm stays, its cause is still there: {what}.");
        vec![state_event(now_s, "reset_refused", text, FROM_READINGS)]
    }

    /// A person makes it quiet.
    pub(super) fn quieten(
        &mut self,
        now_s: f64,
        code: &str,
        minutes: f64,
        reason: &str,
    ) -> Vec<Event> {
        if let Some(why) = self.not_quiet(code, minutes, reason) {
            let text = format!("The alarm was not made quiet: {why}.");
            return vec![state_event(now_s, "quiet_refused", text, "a rule of this program")];
        }
        self.quiet.retain(|quiet| quiet.code != code);
        let until_s = now_s + 60.0 * minutes;
        self.quiet.push(Quiet { code: code.to_owned(), until_s, reason: reason.to_owned() });
        self.seen(code);
        self.tally.made_quiet(code, now_s, 60.0 * minutes, reason);
        let what = alarm_words(code);
        let text = format!("Quiet for {minutes:.0} min ({what}): {reason}.");
        vec![state_event(now_s, "made_quiet", text, BY_A_PERSON)]
    }

    /// Why it may not be made quiet.
    pub(super) fn not_quiet(&self, code: &str, minutes: f64, reason: &str) -> Option<&'static str> {
        let critical = |one: &Standing| {
            one.event.code == code && one.event.priority == Priority::Critical && !one.gone
        };
        let Some(rule) = rule(code) else { return Some("there is no alarm of that code") };
        if reason.trim().is_empty() {
            Some("a reason is needed")
        } else if !QUIET_MINUTES.iter().any(|allowed| (allowed - minutes).abs() < 1e-9) {
            Some("it lasts 10, 20 or 30 min")
        } else if self.standing.iter().any(critical) {
            Some("a critical alarm cannot be made quiet")
        } else if !rule.hush {
            Some("this alarm is never quiet")
        } else {
            None
        }
    }

    /// How many came in the last ten minutes.
    pub(super) fn rate(&self, now_s: f64) -> usize {
        self.raised.rate(now_s)
    }

    /// Codes of those seen.
    pub(super) fn seen_codes(&self) -> Vec<String> {
        let seen = self.standing.iter().filter(|one| one.seen);
        seen.map(|one| one.event.code.to_owned()).collect()
    }

    /// What is quiet.
    pub(super) fn quiet(&self) -> Vec<Quiet> {
        self.quiet.clone()
    }

    /// Whether an alarm of that code stands and its cause is there.
    pub(super) fn stands(&self, code: &str) -> bool {
        self.standing.iter().any(|one| one.event.code == code && !one.gone)
    }
}
