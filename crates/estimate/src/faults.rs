//! What is wrong with probes, heater, coolant or the stated charge, and which answers suffer.

use still::plan::StillKind;

use super::believe::{DRIFT, HEAD_OFFSET, HEATER, LITRES, STRENGTH, UNKNOWNS};
use super::coolant_loss::{CoolantLoss, Shows};
use super::hypotheses::Hypothesis;
use super::outlook::{Fault, FaultKind, Untrusted};
use super::present::Present;
use sense::Series;
use sense::numbers::median;

/// A spike or two happen; this many on one probe are a fault.
const SPIKES_LEAST: usize = 3;
const DROPOUTS_LEAST: usize = 3;
/// Power read against power set that means a failing element, and how long.
const WEAK_SHARE: f64 = 0.9;
const WEAK_S: f64 = 300.0;
/// A drift or a wrong strength smaller than this is none.
const DRIFT_K_PER_H: f64 = 0.06;
const STRENGTH_OFF: f64 = 0.07;
/// A head further off than this is called so; probes as sold are good to a third of it.
const HEAD_OFF_K: f64 = 0.52;
/// So many measurements, at least, before a head is said to be off.
const HEAD_LEAST: f64 = 12.0;
/// Further off than this it is not called faulty, but no strength should be read off it alone.
const HEAD_DOUBTFUL_K: f64 = 0.33;
/// A head and three gauged jars that disagree: one of the two is wrong, the head nine times in ten
/// (judgement).
const HEAD_OUT: f64 = 0.9;
/// A thermometer in the column that disagrees with all else: it or the model of the column is wrong
/// (judgement).
const COLUMN_OUT: f64 = 0.7;
/// By so much more must a hypothesis explain the thermometer in the column for it to be named, half
/// a sum of squares (judgement: the odds of one to three).
const COLUMN_SAYS: f64 = 1.0;
/// A charge found this many of its stated standard deviations away is doubtful.
const FAR_SD: f64 = 2.6;
/// A hypothesis believed this far makes its answers doubtful, though it is not named yet.
const DOUBT: f64 = 0.2;

fn fault(kind: FaultKind, channel: &str, probability: f64, since_s: f64, why: String) -> Fault {
    Fault { kind, channel: channel.to_owned(), probability, since_s, why }
}

fn untrusted(answer: &str, why: &str) -> Untrusted {
    Untrusted { answer: answer.to_owned(), why: why.to_owned() }
}

impl Present<'_> {
    /// Faults that the readings speak for, likeliest first.
    pub(super) fn faults(&self) -> Vec<Fault> {
        let mut list = Vec::new();
        let seen = self.seen;
        list.extend(probe(&seen.head, "head_c", FaultKind::StuckHead));
        list.extend(probe(&seen.pot, "pot_c", FaultKind::StuckPot));
        list.extend(probe(&seen.column, "column_c", FaultKind::ColumnLeftOut));
        list.extend(self.measured.column_out.map(|out| {
            let why = out.words();
            fault(FaultKind::ColumnLeftOut, "column_c", COLUMN_OUT, out.since_s, why)
        }));
        if seen.head.swapped {
            let why = "the pot reads colder than the head while the still boils".to_owned();
            list.push(fault(FaultKind::Swapped, "head_c", 0.97, 0.0, why));
        }
        list.extend(seen.coolant_loss.map(|loss| coolant_loss(&loss)));
        list.extend(self.weak_heater());
        list.extend(seen.head_out.map(|out| {
            fault(FaultKind::HeadAgainstJars, "head_c", HEAD_OUT, out.since_s, out.words())
        }));
        if self.settings.update {
            list.extend(self.wrong_strength());
            list.extend(self.drift());
            list.extend(self.head_offset());
        }
        list.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        list
    }

    /// Answers that should not be trusted now.
    pub(super) fn untrusted(&self, faults: &[Fault]) -> Vec<Untrusted> {
        let mut list = Vec::new();
        let has = |kind| faults.iter().any(|f| f.kind == kind && f.probability >= 0.5);
        let column = self.all[0].model.plan.still.kind == StillKind::Column;
        if self.seen.head.rows.is_empty() || self.seen.head.is_off() || has(FaultKind::StuckHead) {
            list.push(untrusted("rise", "the head is not read, stands still or has come off"));
            if column {
                list.push(untrusted(
                    "end",
                    "the rise that ends the hearts cannot be seen without the head",
                ));
            }
        }
        if has(FaultKind::Drift) {
            list.push(untrusted("rise", "the head thermometer seems to drift"));
        }
        if let Some(out) = self.seen.head_out {
            list.push(untrusted("strength", &out.words()));
        } else if self.head_doubtful() || has(FaultKind::HeadOffset) {
            list.push(untrusted("strength", "strength from the head's temperature is off with it"));
        }
        if has(FaultKind::StuckPot) {
            list.push(untrusted("pot", "the pot thermometer stands still"));
        }
        let without = self.seen.coolant_loss.is_some_and(|loss| loss.stands(self.seen.now_s));
        if has(FaultKind::ElementFailing) || without {
            list.push(untrusted("end", "power or coolant is not what the plan counts on"));
        }
        if self.seen.of_no_column {
            list.push(untrusted("column", "a pot has no column: column_c is kept and not used"));
        } else if let Some(out) = self.measured.column_out {
            list.push(untrusted("column", &out.words()));
        }
        let doubt = self.weight(Hypothesis::WrongStrength);
        let z = &self.all[0].fit.z;
        if doubt >= DOUBT || has(FaultKind::WrongStrength) || z[LITRES].hypot(z[STRENGTH]) > FAR_SD
        {
            list.push(untrusted(
                "charge",
                "the run does not go as a charge of that strength should",
            ));
        }
        list
    }

    fn weight(&self, of: Hypothesis) -> f64 {
        self.all.iter().filter(|w| w.hypothesis == of).map(|w| w.weight).sum()
    }

    /// What the thermometer in the column says of a hypothesis, as the end of its words: nothing
    /// where it does not count or tells neither way.
    fn column_says(&self, of: Hypothesis) -> &'static str {
        let half = |of: Hypothesis| {
            let weighed = self.all.iter().find(|w| w.hypothesis == of)?;
            Some(weighed.fit.half_square_of(self.measured.of_column()))
        };
        match half(Hypothesis::Sound).zip(half(of)) {
            Some((sound, own)) if sound - own > COLUMN_SAYS => {
                "; the thermometer in the column bears it out"
            }
            _ => "",
        }
    }

    /// The value an unknown has under a hypothesis, and its standard deviation.
    fn value(&self, of: Hypothesis, place: usize) -> Option<(f64, f64)> {
        let weighed = self.all.iter().find(|w| w.hypothesis == of)?;
        let own = weighed.model.beliefs.of[place];
        let sd = own.sd * weighed.fit.covariance[place * UNKNOWNS + place].max(0.0).sqrt();
        Some((own.mean + own.sd * weighed.fit.z[place], sd))
    }

    fn wrong_strength(&self) -> Option<Fault> {
        let (off, sd) = self.value(Hypothesis::WrongStrength, STRENGTH)?;
        let weight = self.weight(Hypothesis::WrongStrength);
        if off.abs() < STRENGTH_OFF || weight < DOUBT {
            return None;
        }
        let stated = self.all[0].model.plan.charge.strength_vol;
        let why = format!(
            "the run goes like {:.1} % vol (give or take {:.1}), stated are {stated:.1}{}",
            stated * off.exp(),
            stated * 2.0 * sd,
            self.column_says(Hypothesis::WrongStrength),
        );
        Some(fault(FaultKind::WrongStrength, "charge", weight, 0.0, why))
    }

    fn drift(&self) -> Option<Fault> {
        let (per_h, _) = self.value(Hypothesis::Drift, DRIFT)?;
        let weight = self.weight(Hypothesis::Drift);
        if per_h.abs() < DRIFT_K_PER_H || weight < 0.1 {
            return None;
        }
        let says = self.column_says(Hypothesis::Drift);
        let why = format!("the head creeps by {per_h:+.2} K/h and nothing else says so{says}");
        Some(fault(FaultKind::Drift, "head_c", weight, self.measured.drift_from_s, why))
    }

    fn head_offset(&self) -> Option<Fault> {
        let best = &self.all[0];
        let (off_k, sd) = self.value(best.hypothesis, HEAD_OFFSET)?;
        // How much of the belief lies beyond the limit, as a normal tail (logistic stand-in).
        let beyond = (off_k.abs() - HEAD_OFF_K) / sd.max(0.05);
        let probability = 1.0 / (1.0 + (-1.7 * beyond).exp());
        if probability < 0.3 || best.fit.effective < HEAD_LEAST {
            return None;
        }
        let why = format!("it reads {off_k:+.2} K against the jars, the pressure and the pot");
        Some(fault(FaultKind::HeadOffset, "head_c", probability, 0.0, why))
    }

    /// Whether the head is further off than was known before the run: what earlier runs taught is
    /// put right already.
    fn head_doubtful(&self) -> bool {
        let best = &self.all[0];
        let off_k = best.model.beliefs.of[HEAD_OFFSET].sd * best.fit.z[HEAD_OFFSET];
        let told = self.settings.update && best.fit.effective >= HEAD_LEAST;
        told && off_k.abs() > HEAD_DOUBTFUL_K
    }

    /// By the meter, or by rates that fell from some moment on.
    fn weak_heater(&self) -> Option<Fault> {
        self.weak_by_meter().or_else(|| self.weak_by_rates())
    }

    fn weak_by_rates(&self) -> Option<Fault> {
        let (left, sd) = self.value(Hypothesis::WeakHeater, HEATER)?;
        let weakened = self.all.iter().find_map(|weighed| weighed.model.weakened)?;
        let weight = self.weight(Hypothesis::WeakHeater);
        let less = 1.0 - left.exp();
        if less < 1.0 - WEAK_SHARE || weight < DOUBT {
            return None;
        }
        let why = format!(
            "take-off and jars go like {:.0} % less heat (give or take {:.0}) than before{}",
            100.0 * less,
            100.0 * 2.0 * sd * left.exp(),
            self.column_says(Hypothesis::WeakHeater),
        );
        Some(fault(FaultKind::ElementFailing, "heater_w", weight, weakened.from_s, why))
    }

    fn weak_by_meter(&self) -> Option<Fault> {
        let seen = self.seen;
        let since_s = seen.heaters.last().map_or(0.0, |row| row.0);
        let set_w = seen.heaters.last().map_or(0.0, |row| row.1);
        let recent = |row: &&(f64, f64)| row.0 >= (seen.now_s - WEAK_S).max(since_s + 60.0);
        let mut read: Vec<f64> = seen.meter.iter().filter(recent).map(|row| row.1).collect();
        if set_w > 50.0 && read.len() >= 5 {
            let share = median(&mut read)? / set_w;
            if share < WEAK_SHARE {
                let why = format!("the meter reads {:.0} % of what is set", 100.0 * share);
                let at_s = (seen.now_s - WEAK_S).max(since_s);
                return Some(fault(FaultKind::ElementFailing, "heater_w", 0.95, at_s, why));
            }
        }
        None
    }
}

/// A loss of coolant, believed by how it shows (judgement): heat that goes off in the middle of a
/// run and coolant that is set anew before it comes back is what a person does about a loss.
fn coolant_loss(loss: &CoolantLoss) -> Fault {
    let (probability, why) = match loss.shows {
        Shows::Metered => (0.9, "the flow that was read is gone"),
        Shows::Closed => (0.9, "the coolant was closed in the boil"),
        Shows::SetAnew => (0.7, "the heat went off, and the coolant was set anew"),
    };
    fault(FaultKind::CoolantLoss, "coolant_l_per_min", probability, loss.lost_s, why.to_owned())
}

fn probe(series: &Series, channel: &str, stuck: FaultKind) -> Vec<Fault> {
    let mut list = Vec::new();
    let since_s = series.first_bad_s.unwrap_or(0.0);
    if let Some(stuck_s) = series.stuck_s {
        let why = "the same digits for a long time while the still boils".to_owned();
        list.push(fault(stuck, channel, 0.95, stuck_s, why));
    }
    if series.dropouts >= DROPOUTS_LEAST {
        let why = format!("{} readings are empty or a sensor's error code", series.dropouts);
        list.push(fault(FaultKind::Dropouts, channel, 0.96, since_s, why));
    } else if series.spikes >= SPIKES_LEAST {
        let why = format!("{} single readings far from their neighbours", series.spikes);
        list.push(fault(FaultKind::Spikes, channel, 0.93, since_s, why));
    }
    list
}
