//! What seems wrong: the faults that the estimate believes in, held steady for a while so that two
//! explanations do not take turns on the screen.

use estimate::{Fault, FaultKind, Outlook};
use still::plan::StepKind;

use super::{Doubt, Helps, Unknown};
use crate::engine::Live;

/// A fault is shown from this probability on, and goes below that: judgement.
const SHOWN_FROM: f64 = 0.5;
const GONE_BELOW: f64 = 0.3;
/// What was shown stays for this long, and what went stays away as long, s.
const HOLD_S: f64 = 600.0;
/// A column head that stands less than this over its plateau tells nothing, K: noise and weather.
const FLAT_K: f64 = 0.1;
/// Least gain that is worth a person's walk, and most actions named.
const GAIN_LEAST: f64 = 0.04;
const HELPS_MAX: usize = 6;

#[derive(Debug, Clone, PartialEq)]
struct Held {
    kind: FaultKind,
    shown: bool,
    since_s: f64,
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
            match (place, fault) {
                (Some(at), _) => {
                    let held = &mut self.0[at];
                    if let Some(fault) = fault {
                        held.fault = fault.clone();
                    }
                    let wants = if held.shown {
                        probability >= GONE_BELOW
                    } else {
                        probability >= SHOWN_FROM
                    };
                    if wants != held.shown && now_s - held.since_s >= HOLD_S {
                        (held.shown, held.since_s) = (wants, now_s);
                        news.push(came_or_went(kind, wants));
                    }
                }
                (None, Some(fault)) if probability >= SHOWN_FROM => {
                    let fault = fault.clone();
                    self.0.push(Held { kind, shown: true, since_s: now_s, fault });
                    news.push(came_or_went(kind, true));
                }
                (None, _) => {}
            }
        }
        news
    }

    fn shown(&self) -> Vec<Doubt> {
        let mut held: Vec<&Held> = self.0.iter().filter(|held| held.shown).collect();
        held.sort_by(|a, b| b.fault.probability.total_cmp(&a.fault.probability));
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
fn odds(probability: f64) -> String {
    match (10.0 * probability).round() {
        tenths if tenths >= 10.0 => "all but certain".to_owned(),
        tenths if tenths <= 0.0 => "hardly likely".to_owned(),
        tenths => format!("{tenths:.0} in 10"),
    }
}

fn answer_words(answer: &str) -> &'static str {
    match answer {
        "end" => "When the hearts end",
        "litres" => "How much is still to come",
        "strength" => "The strength",
        "charge" => "What the charge holds",
        "rise" => "The rise over the plateau",
        "head" => "What the head says",
        _ => "What is left in the pot",
    }
}

fn unknown(what: &str, why: &str) -> Unknown {
    Unknown { what: what.to_owned(), words: answer_words(what).to_owned(), why: why.to_owned() }
}

impl Live {
    /// What seems wrong now.
    pub(super) fn doubts(&self) -> Vec<Doubt> {
        let mut doubts = self.foresight.doubted.shown();
        if let Some(words) = self.impossible_take_off() {
            doubts.push(Doubt {
                code: "take_off_impossible",
                words,
                channel: None,
                since_s: self.spirit.drawn.since_s,
                odds: odds(1.0),
                why: "the heat that is left over makes no more vapour than that".to_owned(),
            });
        }
        if self.spirit.over_charge {
            doubts.push(Doubt {
                code: "more_than_charged",
                words: "more spirit than the charge can hold".to_owned(),
                channel: None,
                since_s: self.spirit.drawn.since_s,
                odds: odds(1.0),
                why: "take-off and strength as recorded come to all the alcohol of the charge; time the take-off, or gauge the charge".to_owned(),
            });
        }
        doubts
    }

    /// What cannot be known, or not be trusted, now.
    pub(super) fn unknown(&self) -> Vec<Unknown> {
        let hearts = self.drawing_or_equalising() && self.course.end.is_none();
        let mut list = Vec::new();
        if hearts && self.blind() {
            let why = "the head is not read any more";
            list.extend(["rise", "strength", "end", "litres"].map(|what| unknown(what, why)));
            return list;
        }
        if hearts && !self.is_pot() && self.course.steps.plateau_c().is_none() {
            let why = "this run's plateau is known after 20 min of hearts, not before";
            list.push(unknown("rise", why));
        }
        let flat = self.course.steps.kind() == StepKind::Hearts
            && self.rise_k().is_some_and(|k| k < FLAT_K);
        if flat && !self.is_pot() {
            let why = "on the plateau it can show neither strength nor the end; both come from the \
                       charge and what was collected";
            list.push(unknown("head", why));
        }
        if let Some(outlook) = self.fresh_outlook().filter(|_| hearts) {
            list.extend(outlook.untrusted.iter().map(|item| unknown(&item.answer, &item.why)));
        }
        list
    }

    /// What would make it surer.
    pub(super) fn would_help(&self) -> Vec<Helps> {
        let list = self.fresh_outlook().map_or(&[][..], |outlook| &outlook.would_help);
        let worth = list.iter().filter(|help| help.end_gain.max(help.litres_gain) >= GAIN_LEAST);
        let helps = worth.take(HELPS_MAX).map(|help| Helps {
            action: help.action.clone(),
            text: help.text.clone(),
            end_gain: help.end_gain,
            litres_gain: help.litres_gain,
        });
        helps.collect()
    }
}
