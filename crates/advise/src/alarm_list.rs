//! The alarms as they are shown: in which order, in which state, from which other one they follow.

use super::alarms::{Alarms, Standing};
use super::event::{Event, Priority};
use super::load::stands_long;
use super::review::AlarmReview;
use super::rules::{Phase, RULES, Rule, rule};
use crate::knowledge::{AlarmNow, AlarmState, Suppressed};

impl Alarms {
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
                stands_long: stands_long(now_s, one.raised_s) && !one.gone,
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
}

fn group_of(one: &Standing) -> &'static str {
    rule(one.event.code).map_or("", |rule| rule.group)
}

fn rank_of(one: &Standing) -> u8 {
    rule(one.event.code).map_or(u8::MAX, |rule| rule.rank)
}
