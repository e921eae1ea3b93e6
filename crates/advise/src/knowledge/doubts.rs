//! What seems wrong: the faults that the estimate believes in, held steady for a while so that two
//! explanations do not take turns on the screen.

use std::cmp::Ordering;

use estimate::{Fault, FaultKind, Outlook};

use super::Doubt;

/// A fault is shown from this probability on, and goes below that: judgement.
const SHOWN_FROM: f64 = 0.5;
const GONE_BELOW: f64 = 0.3;
/// What was shown stays for this long, and what went stays away as long, s.
const HOLD_S: f64 = 600.0;

/// Whether an explanation is shown, and since when: none takes turns with another.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Steady {
    shown: bool,
    /// When it last came or went, s.
    turned_s: Option<f64>,
}

impl Steady {
    /// Since when it has been shown, s.
    pub(crate) fn shown_since_s(self) -> Option<f64> {
        self.turned_s.filter(|_| self.shown)
    }

    /// It speaks, or not, at this moment. Returns whether it came or went.
    pub(crate) fn take(&mut self, now_s: f64, speaks: bool) -> bool {
        let rests = self.turned_s.is_some_and(|turned_s| now_s - turned_s < HOLD_S);
        let turns = speaks != self.shown && !rests;
        if turns {
            *self = Self { shown: speaks, turned_s: Some(now_s) };
        }
        turns
    }
}

#[derive(Debug, Clone, PartialEq)]
struct Held {
    kind: FaultKind,
    steady: Steady,
    fault: Fault,
}

/// What is shown as wrong, and since when.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Doubted(Vec<Held>);

impl Doubted {
    /// Takes the faults of a new estimate. Returns what came or went, in words.
    pub(crate) fn take(&mut self, now_s: f64, outlook: &Outlook) -> Vec<String> {
        let mut news = Vec::new();
        for kind in FaultKind::ALL {
            let fault = outlook.faults.iter().find(|fault| fault.kind == kind);
            let probability = fault.map_or(0.0, |fault| fault.probability);
            let place = self.0.iter().position(|held| held.kind == kind);
            let held = match (place, fault) {
                (Some(at), _) => &mut self.0[at],
                (None, Some(fault)) => {
                    let (steady, fault) = (Steady::default(), fault.clone());
                    self.0.push(Held { kind, steady, fault });
                    let last = self.0.len() - 1;
                    &mut self.0[last]
                }
                (None, None) => continue,
            };
            if let Some(fault) = fault {
                held.fault = fault.clone();
            }
            let bound = if held.steady.shown { GONE_BELOW } else { SHOWN_FROM };
            if held.steady.take(now_s, probability >= bound) {
                news.push(came_or_went(kind, held.steady.shown));
            }
        }
        news
    }

    /// Whether a fault of that kind is shown.
    pub(crate) fn shows(&self, kind: FaultKind) -> bool {
        self.0.iter().any(|held| held.kind == kind && held.steady.shown)
    }

    /// What is shown, in the order in which it came: by odds, two would take turns at the top.
    pub(super) fn shown(&self) -> Vec<Doubt> {
        let mut held: Vec<&Held> = self.0.iter().filter(|held| held.steady.shown).collect();
        held.sort_by(|a, b| {
            a.steady.turned_s.partial_cmp(&b.steady.turned_s).unwrap_or(Ordering::Equal)
        });
        held.into_iter().map(|held| doubt(&held.fault)).collect()
    }
}

fn came_or_went(kind: FaultKind, came: bool) -> String {
    let words = fault_words(kind);
    if came { format!("{words} is now believed") } else { format!("{words} is no longer believed") }
}

fn fault_words(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::StuckHead => "a head thermometer that stands still",
        FaultKind::StuckPot => "a pot thermometer that stands still",
        FaultKind::Spikes => "a probe whose readings jump",
        FaultKind::Dropouts => "a probe whose readings drop out",
        FaultKind::Drift => "a head thermometer that drifts",
        FaultKind::Swapped => "head and pot thermometer exchanged",
        FaultKind::WrongStrength => "a charge not as strong as stated",
        FaultKind::CoolantLoss => "coolant that failed for a while",
        FaultKind::ElementFailing => "a heater that gives less than it should",
        FaultKind::HeadOffset => "a head thermometer off by a constant",
        FaultKind::HeadAgainstJars => "a head that disagrees with the jars",
        FaultKind::ColumnLeftOut => "a thermometer in the column that is left out",
    }
}

fn doubt(fault: &Fault) -> Doubt {
    Doubt {
        code: fault.kind.name(),
        words: fault_words(fault.kind).to_owned(),
        channel: Some(fault.channel.clone()),
        since_s: fault.since_s,
        odds: odds(fault.probability),
        why: fault.why.clone(),
    }
}

/// How sure, in tenths a person can picture.
pub(super) fn odds(probability: f64) -> String {
    match (10.0 * probability).round() {
        tenths if tenths >= 10.0 => "all but certain".to_owned(),
        tenths if tenths <= 0.0 => "hardly likely".to_owned(),
        tenths => format!("{tenths:.0} in 10"),
    }
}

#[cfg(test)]
mod tests {
    use super::{Doubted, Fault, FaultKind, HOLD_S, Held, Steady};

    #[test]
    fn what_came_or_went_stays_so_for_ten_minutes() {
        let mut steady = Steady::default();
        assert!(steady.take(100.0, true));
        assert!(!steady.take(110.0, false) && steady.shown_since_s() == Some(100.0));
        assert!(steady.take(100.0 + HOLD_S, false) && steady.shown_since_s().is_none());
        assert!(!steady.take(101.0 + HOLD_S, true), "it has just gone");
    }

    /// A run of a measured still: a charge not as strong as stated and a head that the jars speak
    /// against were at the top by turns, as their odds crossed.
    #[test]
    fn of_two_doubts_the_first_to_come_stays_first_whatever_their_odds() {
        let held = |kind: FaultKind, probability, came_s| {
            let mut steady = Steady::default();
            steady.take(came_s, true);
            let (channel, why) = ("head_c".to_owned(), String::new());
            Held { kind, steady, fault: Fault { kind, channel, probability, since_s: 0.0, why } }
        };
        let late = held(FaultKind::HeadAgainstJars, 0.9, 900.0);
        let doubted = Doubted(vec![late, held(FaultKind::WrongStrength, 0.6, 300.0)]);
        let codes: Vec<&str> = doubted.shown().iter().map(|doubt| doubt.code).collect();
        assert_eq!(codes, ["wrong_strength", "head_against_jars"]);
    }
}
