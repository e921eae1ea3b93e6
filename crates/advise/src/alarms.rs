//! The alarms and the states they go through: raised after a delay, said once and again only when
//! they get worse, over after another delay.
//!
//! *Seen* silences and does not cure. A critical alarm stays, its cause gone or not, until a person
//! resets it. *Quiet* takes a reason and 10, 20 or 30 min, and never a critical alarm; when it is
//! over, what still is the matter is raised again.

use super::event::{Event, Priority};
use super::finding::{Found, state_event};
use super::load::{Called, Raised};
use super::review::{AlarmReview, Tally};
use super::rules::{Cause, Phase, RULES, Rule, alarm_words, rule};
use crate::knowledge::{AlarmNow, AlarmState, Quiet, Suppressed};

/// What quiet may last, min.
const QUIET_MINUTES: [f64; 3] = [10.0, 20.0, 30.0];
/// How an act of a person, and what follows from readings, is known.
const BY_A_PERSON: &str = "asked for by a person";
const FROM_READINGS: &str = "from the readings and actions";

#[derive(Debug, Clone, PartialEq)]
struct Standing {
    cause: &'static Cause,
    event: Event,
    about: String,
    /// When it came, s.
    raised_s: f64,
    seen: bool,
    /// When the cause was last there, s.
    cause_s: f64,
    /// Whether it was said that the cause is gone.
    gone: bool,
    /// Whether it was critical: stands until a person resets it.
    latched: bool,
    /// Said while quiet: nobody heard it.
    unheard: bool,
}

impl Standing {
    fn state(&self) -> AlarmState {
        match (self.gone, self.seen) {
            _ if self.unheard => AlarmState::Quiet,
            (false, false) => AlarmState::ActiveUnseen,
            (false, true) => AlarmState::ActiveSeen,
            (true, false) => AlarmState::ClearedUnseen,
            (true, true) => AlarmState::ClearedSeen,
        }
    }

    /// Whether it calls for an act: a cleared one that nobody has to reset is only listed.
    const fn calls(&self) -> bool {
        !self.unheard && (!self.gone || self.latched)
    }
}

/// All of them.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Alarms {
    standing: Vec<Standing>,
    /// Causes that are there, since when, s.
    causes: Vec<(&'static Cause, f64)>,
    quiet: Vec<Quiet>,
    raised: Raised,
    called: Called,
    tally: Tally,
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

    fn is_quiet(&self, code: &str) -> bool {
        self.quiet.iter().any(|quiet| quiet.code == code)
    }

    fn place(&self, code: &str) -> Option<usize> {
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
    fn not_quiet(&self, code: &str, minutes: f64, reason: &str) -> Option<&'static str> {
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

    /// What stands and was heard: the most urgent first, of a group the one that came first.
    pub(super) fn shown(&self) -> Vec<Event> {
        let mut shown: Vec<&Standing> = self.standing.iter().filter(|one| one.calls()).collect();
        let newest_s = |one: &Standing| {
            let group = group_of(one);
            let of_group = shown.iter().filter(|other| group_of(other) == group);
            of_group.map(|other| other.raised_s).fold(f64::NEG_INFINITY, f64::max)
        };
        let order: Vec<(Priority, f64, f64, u8)> = shown
            .iter()
            .map(|one| (one.event.priority, newest_s(one), one.raised_s, rank_of(one)))
            .collect();
        let mut places: Vec<usize> = (0..shown.len()).collect();
        places.sort_by(|a, b| {
            let (a, b) = (order[*a], order[*b]);
            let groups = b.0.cmp(&a.0).then(b.1.total_cmp(&a.1));
            groups.then(a.2.total_cmp(&b.2)).then(a.3.cmp(&b.3))
        });
        shown = places.into_iter().map(|place| shown[place]).collect();
        shown.into_iter().map(|one| one.event.clone()).collect()
    }

    /// All of them over the run.
    pub(super) fn review(&self, now_s: f64) -> AlarmReview {
        self.tally.review(now_s)
    }

    /// All that are not normal, in the order of the rules, each with what it says.
    pub(super) fn list(&self, now_s: f64) -> Vec<(AlarmNow, Event)> {
        let now = |rule: &'static Rule| {
            let one = &self.standing[self.place(rule.code)?];
            let now = AlarmNow {
                code: rule.code,
                words: rule.words,
                state: if self.is_quiet(rule.code) && !one.latched {
                    AlarmState::Quiet
                } else {
                    one.state()
                },
                priority: one.event.priority,
                raised_s: one.raised_s,
                follows: self.first_of(one),
                chatters: self.raised.chatters(now_s, rule.code),
                stands_long: self.raised.stands_long(now_s, one.raised_s) && !one.gone,
            };
            Some((now, one.event.clone()))
        };
        RULES.iter().filter_map(now).collect()
    }

    /// The alarm that an alarm follows from: the first of its group that still is there.
    fn first_of(&self, one: &Standing) -> Option<&'static str> {
        let there = |other: &&Standing| group_of(other) == group_of(one) && !other.gone;
        let earlier = |a: &&Standing, b: &&Standing| {
            a.raised_s.total_cmp(&b.raised_s).then(rank_of(a).cmp(&rank_of(b)))
        };
        let first = self.standing.iter().filter(there).min_by(earlier)?;
        (first.event.code != one.event.code && !one.gone).then_some(first.event.code)
    }

    /// What is not raised in this phase, and why.
    pub(super) fn suppressed(phase: Phase) -> Vec<Suppressed> {
        let of_phase = RULES.iter().filter(|rule| rule.suppressed.contains(&phase));
        let suppressed =
            |rule: &Rule| Suppressed { code: rule.code, words: rule.words, because: rule.because };
        of_phase.map(suppressed).collect()
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

fn group_of(one: &Standing) -> &'static str {
    rule(one.event.code).map_or("", |rule| rule.group)
}

fn rank_of(one: &Standing) -> u8 {
    rule(one.event.code).map_or(u8::MAX, |rule| rule.rank)
}
