//! What seems wrong, what cannot be known, and what would help.

use sense::Probe;
use still::plan::StepKind;

use super::doubts::odds;
use super::{Doubt, Helps, Unknown};
use crate::engine::Live;
use crate::numbers::minutes;

/// A column head that stands less than this over its plateau tells nothing, K: noise and weather.
const FLAT_K: f64 = 0.1;
/// Least gain that is worth a person's walk, and most actions named.
const GAIN_LEAST: f64 = 0.04;
const HELPS_MAX: usize = 6;

/// Hearts that do not count for the plateau are told from so many on, s: judgement.
const PUT_OFF_S: f64 = 60.0;
/// Spirit that ran unseen is told from so much on, mL: judgement.
const UNSEEN_ML: f64 = 20.0;

fn answer_words(answer: &str) -> &'static str {
    match answer {
        "end" => "When the hearts end",
        "litres" => "How much is still to come",
        "strength" => "The strength",
        "charge" => "What the charge holds",
        "rise" => "The rise over the plateau",
        "drawn" => "What was drawn",
        "head" => "What the head says",
        "coolant" => "Whether the coolant runs",
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
        // It stays for minutes once it came, so that the other takes no turns with it.
        if let Some(since_s) = self.spirit.over_charge.shown_since_s() {
            doubts.push(Doubt {
                code: "more_than_charged",
                words: "more spirit than the charge can hold".to_owned(),
                channel: None,
                since_s,
                odds: odds(1.0),
                why: "take-off and strength as recorded come to all the alcohol of the charge; time the take-off, or gauge the charge".to_owned(),
            });
        }
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
        doubts
    }

    /// What cannot be known, or not be trusted, now.
    pub(super) fn unknown(&self) -> Vec<Unknown> {
        let hearts = self.drawing_or_equalising() && !self.course.is_over();
        let mut list = Vec::new();
        if self.course.steps.kind() == StepKind::Heat && self.begun() && self.all_is_lost() {
            let why = "no reading comes in any more: the plan alone does not tell";
            list.extend(["strength", "end", "litres"].map(|what| unknown(what, why)));
        }
        if hearts && self.blind() {
            let head = self.probes.reader().of(Probe::Head).ever();
            let probe = if head { "head" } else { "pot" };
            let why = format!("the {probe} is not read any more");
            list.extend(["rise", "strength", "end", "litres"].map(|what| unknown(what, &why)));
        } else if hearts && !self.is_pot() && self.course.steps.plateau().plateau().is_none() {
            list.push(unknown("rise", &self.plateau_when()));
        }
        list.extend(self.drawn_unseen());
        if hearts && self.scale_is_silent() {
            let why = "the scale under the jar shows nothing now: it is reckoned from the take-off";
            list.push(unknown("drawn", why));
        }
        if self.vapour_about() && !self.course.is_over() && !self.coolant_is_watched() {
            let seldom = Probe::ALL
                .iter()
                .any(|p| self.probes.reader().of(*p).cadence().too_seldom_s().is_some());
            let why = if seldom {
                "what is read of it comes too seldom to watch it; look where it runs out"
            } else {
                "neither its flow nor its outlet nor the vent is read; look where it runs out"
            };
            list.push(unknown("coolant", why));
        }
        if hearts && self.blind() {
            return list;
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

    /// When this run's plateau should be known. Minutes that do not count, as after a power cut, put
    /// it off.
    fn plateau_when(&self) -> String {
        let watch = self.course.steps.plateau();
        let hearts_s = self.spirit.drawn.hearts_since_s().map_or(0.0, |at_s| self.now_s - at_s);
        let left_s = watch.until_window_s().unwrap_or(0.0);
        if hearts_s - watch.passed_s() < PUT_OFF_S {
            return "this run's plateau is known after 20 min of hearts, not before".to_owned();
        }
        format!(
            "this run's plateau is known after 20 min of hearts in which the head stands in \
             vapour; {} of them are to come",
            minutes(left_s)
        )
    }

    /// That what was drawn is in doubt, where it ran unseen.
    fn drawn_unseen(&self) -> Option<Unknown> {
        let doubt = self.spirit.drawn.in_doubt();
        let why = if doubt.less_ml >= UNSEEN_ML {
            format!(
                "{:.0} mL of it were reckoned while nothing was read, and may not have run: \
                 measure the jar",
                doubt.less_ml
            )
        } else if doubt.more_ml >= UNSEEN_ML {
            format!(
                "up to {:.0} mL more may have run while nothing was read: measure the jar",
                doubt.more_ml
            )
        } else {
            return None;
        };
        Some(unknown("drawn", &why))
    }

    /// What would make it surer; nothing while no heat is on: then there is something else to do.
    /// A take-off that is closed is neither closed nor timed.
    pub(super) fn would_help(&self) -> Vec<Helps> {
        if !self.heater_on() {
            return Vec::new();
        }
        let list = self.fresh_outlook().map_or(&[][..], |outlook| &outlook.would_help);
        let runs = self.rate_ml_min() > 0.0;
        let done = |action: &str| !runs && matches!(action, "total_reflux" | "time_take_off");
        let able = list.iter().filter(|help| !done(&help.action));
        let worth = able.filter(|help| help.end_gain.max(help.litres_gain) >= GAIN_LEAST);
        let helps = worth.take(HELPS_MAX).map(|help| Helps {
            action: help.action.clone(),
            text: help.text.clone(),
            end_gain: help.end_gain,
            litres_gain: help.litres_gain,
        });
        helps.collect()
    }
}
