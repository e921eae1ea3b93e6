//! A heater meter that shows none while the still goes on as a heated one: its clamp came off, or
//! its wire. Whoever believed it would take the boil for over, and the coolant for done.
//!
//! Nothing is judged against a person: only while heat is said to be on, and by what is read beside
//! the meter. A still whose heat is really off shows it in each thermometer within minutes.

use crate::came_off::HOT_C;
use crate::coolant::TRICKLE_L_PER_MIN;
use crate::numbers::median;
use crate::probe::Probe;
use crate::quality::HEATER_OFF_W;
use crate::reading::Reading;
use crate::unseen::UNSEEN_S;

/// A still goes on boiling for this long at most when the heat is off, s (judgement).
const BOILS_ON_S: f64 = 300.0;
/// A head without vapour falls by more than this in that time, K; one that fell further shows that
/// the meter was right after all (judgement).
const HEAD_FALL_K: f64 = 2.0;
const HEAD_FELL_K: f64 = 5.0;
/// A pot without heat falls by this in that time, K, and by more later; one that warms so fast, K/s,
/// has heat (judgement: 20 L fall by 0.8 K, and warm in their hearts by 1 K in ten minutes).
const POT_FALL_K: f64 = 0.3;
const POT_FELL_K: f64 = 2.0;
const POT_RISE_K_PER_S: f64 = 0.001;
/// Coolant that takes up this share of what it took up carries the heat of vapour (judgement).
const CARRIES_SHARE: f64 = 0.5;
/// Coolant that warms by less than this tells nothing, K (judgement).
const WARMS_K: f64 = 2.0;

/// What shows heat: the head, °C, the pot, °C, and by how much the coolant warms, K.
const HEAD: usize = 0;
const POT: usize = 1;
const WARMS: usize = 2;
const SIGNS: usize = 3;

/// The last three values of a sign.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Lately {
    at_s: f64,
    last: [Option<f64>; 3],
}

impl Lately {
    fn take(&mut self, time_s: f64, value: f64) {
        let [_, before, latest] = self.last;
        *self = Self { at_s: time_s, last: [before, latest, Some(value)] };
    }

    /// Their median, where it is read.
    fn now(self, time_s: f64) -> Option<f64> {
        let read = time_s - self.at_s <= UNSEEN_S;
        median(&mut self.last.into_iter().flatten().collect::<Vec<_>>()).filter(|_| read)
    }
}

/// What is read beside the meter, and how it stood when the meter began to show none.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct NoHeat {
    lately: [Lately; SIGNS],
    last_s: f64,
    since: Option<(f64, [Option<f64>; SIGNS])>,
    wrong: bool,
}

impl NoHeat {
    /// Whether a meter that shows none is wrong, by the rows so far.
    pub(crate) const fn is_wrong(&self) -> bool {
        self.wrong
    }

    /// Takes what is believed of a row, with what the meter sent in it and what is said to go in, W.
    pub(crate) fn take(&mut self, time_s: f64, sent_w: Option<f64>, said_w: f64, good: &Reading) {
        if time_s - self.last_s > UNSEEN_S {
            *self = Self::default();
        }
        self.last_s = time_s;
        let before = self.lately.map(|lately| lately.now(time_s));
        self.remember(time_s, good);
        if said_w <= HEATER_OFF_W || sent_w.is_some_and(|sent_w| sent_w > HEATER_OFF_W) {
            (self.since, self.wrong) = (None, false);
        } else if sent_w.is_some() && self.since.is_none() {
            self.since = Some((time_s, before));
        }
        let Some((since_s, before)) = self.since else { return };
        let then_and_now = |sign: usize| before[sign].zip(self.lately[sign].now(time_s));
        let (head, pot) = (then_and_now(HEAD), then_and_now(POT));
        if self.wrong {
            self.wrong = !has_cooled(head, pot);
        } else if time_s - since_s >= BOILS_ON_S {
            let flows = good.get(Probe::CoolantFlow).is_none_or(|flow| flow > TRICKLE_L_PER_MIN);
            let warms = then_and_now(WARMS).filter(|(then, _)| flows && *then > WARMS_K);
            self.wrong = goes_on(time_s - since_s, head, pot, warms);
        }
    }

    fn remember(&mut self, time_s: f64, good: &Reading) {
        let ends = good.get(Probe::CoolantOut).zip(good.get(Probe::CoolantIn));
        let warms = ends.map(|(out_c, in_c)| out_c - in_c);
        let signs = [good.get(Probe::Head), good.get(Probe::Pot), warms];
        for (lately, sign) in self.lately.iter_mut().zip(signs) {
            if let Some(sign) = sign {
                lately.take(time_s, sign);
            }
        }
    }
}

/// Whether a sign says that there is heat, and none that there is not. Each stands as it was, and as
/// it is.
fn goes_on(
    passed_s: f64,
    head: Option<(f64, f64)>,
    pot: Option<(f64, f64)>,
    warms: Option<(f64, f64)>,
) -> bool {
    let signs = [
        head.map(|(then, now)| now >= HOT_C && then - now <= HEAD_FALL_K),
        warms.map(|(then, now)| now >= CARRIES_SHARE * then),
        pot.filter(|(then, now)| then - now > POT_FALL_K).map(|_| false),
        pot.filter(|(then, now)| now - then >= POT_RISE_K_PER_S * passed_s).map(|_| true),
    ];
    signs.contains(&Some(true)) && !signs.contains(&Some(false))
}

/// Whether the still did cool: the meter was right after all.
fn has_cooled(head: Option<(f64, f64)>, pot: Option<(f64, f64)>) -> bool {
    match head {
        Some((then, now)) => then - now > HEAD_FELL_K || now < HOT_C,
        None => pot.is_some_and(|(then, now)| then - now > POT_FELL_K),
    }
}

#[cfg(test)]
mod tests {
    use super::{NoHeat, Probe, Reading};

    /// A still whose meter shows none from 300 s on, each ten seconds for twenty minutes; whether
    /// the meter is wrong at the end.
    fn wrong(said_w: f64, row: impl Fn(f64) -> Reading) -> bool {
        let mut beside = NoHeat::default();
        for time_s in (0..120).map(|row| 10.0 * f64::from(row)) {
            let sent_w = if time_s < 300.0 { 1800.0 } else { 0.0 };
            // Time since the meter shows none.
            beside.take(time_s, Some(sent_w), said_w, &row((time_s - 300.0).max(0.0)));
        }
        beside.is_wrong()
    }

    fn head(celsius: f64) -> Reading {
        Reading::default().with(Probe::Head, celsius)
    }

    #[test]
    fn a_meter_that_shows_none_while_the_still_goes_on_is_wrong() {
        assert!(wrong(1800.0, |_| head(78.0)));
        let pot = |s: f64| Reading::default().with(Probe::Pot, 95.0 + s / 500.0);
        assert!(wrong(1800.0, pot), "a pot that warms");
        let coolant = |out_c: f64| {
            let row = Reading::default().with(Probe::CoolantIn, 13.0);
            row.with(Probe::CoolantOut, out_c)
        };
        assert!(wrong(1800.0, |_| coolant(25.0)), "coolant that carries the vapour's heat");
        let lost = |s: f64| {
            let row = coolant(if s < 900.0 { 25.0 } else { 14.0 });
            row.with(Probe::CoolantFlow, if s < 900.0 { 1.8 } else { 0.0 })
        };
        assert!(wrong(1800.0, lost), "coolant that was lost says nothing of the heat");
    }

    #[test]
    fn a_meter_is_right_where_the_still_cools_or_a_person_says_so() {
        assert!(!wrong(0.0, |_| head(78.0)), "recorded off");
        assert!(!wrong(1800.0, |s| head(78.0 - s / 60.0)));
        assert!(!wrong(1800.0, |s| head((78.0 - s / 5.0).max(20.0))));
        let pot = |s: f64| Reading::default().with(Probe::Pot, 95.0 - s / 400.0);
        assert!(!wrong(1800.0, pot));
        assert!(!wrong(1800.0, |s| pot(s).with(Probe::Head, 78.0)), "a lagged head");
        assert!(!wrong(1800.0, |_| Reading::default()), "nothing else is read");
        assert!(!wrong(1800.0, |s| if s < 150.0 { head(78.0) } else { pot(s) }), "a head lost");
    }
}
