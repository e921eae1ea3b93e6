//! What seems wrong: the faults that the estimate believes in, held steady for a while so that two
//! explanations do not take turns on the screen.

use estimate::{Fault, FaultKind, Outlook};

use super::Doubt;

/// A fault is shown from this probability on, and goes below that: judgement.
const SHOWN_FROM: f64 = 0.5;
const GONE_BELOW: f64 = 0.3;
/// What was shown stays for this long, and what went stays away as long, s.
const HOLD_S: f64 = 600.0;

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

    /// What is shown, likeliest first.
    pub(super) fn shown(&self) -> Vec<Doubt> {
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
        FaultKind::HeadAgainstJars => "a head that disagrees with the jars",
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
