//! The reader of a run as it goes on: takes row after row and says what of it can be believed.
//!
//! A value out of physics or a sentinel of a broken probe never passes. A jump is held back until
//! two further readings confirm it; a jump that goes back was a spike.

use std::collections::VecDeque;

use crate::cadence::Cadence;
use crate::came_off::{CameOff, HOT_C};
use crate::exchange::Exchange;
use crate::lateness::Lateness;
use crate::no_heat::NoHeat;
use crate::probe::Probe;
use crate::quality::{Context, HEATER_OFF_W, Quality, Reason, Seen};
use crate::reading::Reading;
use crate::refuse::{LastGood, impossible, is_sentinel};
use crate::scale::Scale;
use crate::step::Steps;
use crate::still_stand::StillStand;

/// Faults remembered.
const FAULTS_MAX: usize = 8;
/// Readings that must confirm a jump besides the first.
const CONFIRMING: u8 = 2;

/// Pairs that can carry each other's name: in the boil the first is never the hotter.
const PAIRS: [(Probe, Probe); 3] =
    [(Probe::Head, Probe::Pot), (Probe::CoolantIn, Probe::CoolantOut), (Probe::Vent, Probe::Head)];

/// All channels of a run. Rows come in the order of their time; one that is not later than the last
/// of its channel is left out, as [`crate::Cursor`] never gives one.
#[derive(Debug, Clone, PartialEq)]
pub struct Reader {
    channels: [Channel; Probe::COUNT],
    exchanges: [Exchange; PAIRS.len()],
    no_heat: NoHeat,
    scale: Scale,
}

impl Default for Reader {
    fn default() -> Self {
        Self {
            channels: Probe::ALL.map(Channel::new),
            exchanges: Default::default(),
            no_heat: NoHeat::default(),
            scale: Scale::default(),
        }
    }
}

impl Reader {
    /// Takes a row and returns what of it can be believed.
    pub fn take(&mut self, time_s: f64, row: &Reading, context: &Context) -> Reading {
        let mut good = Reading::default();
        // The row's own power is newer than what was known before it.
        let heater = row.get(Probe::Heater);
        let meter = heater.and_then(|w| self.take_heater(time_s, w, context));
        good.set(Probe::Heater, meter);
        let heat_w = meter.unwrap_or(context.heat_w);
        for (probe, value) in row.iter().filter(|cell| cell.0 != Probe::Heater) {
            let channel = &mut self.channels[probe as usize];
            let cold = probe == Probe::Head && context.head_never_hot && value < HOT_C;
            let taken = if cold && heat_w > HEATER_OFF_W {
                channel
                    .cadence
                    .take(time_s)
                    .and_then(|_| channel.refuse(time_s, Reason::NotInVapour(value)))
            } else {
                channel.take(time_s, value, heat_w, context)
            };
            good.set(probe, taken);
        }
        let sent_w = heater.filter(|watts| watts.is_finite());
        self.no_heat.take(time_s, sent_w, context.said_w, &good);
        if context.vapour_s.is_some() && context.heat_on() {
            for (exchange, (cold, hot)) in self.exchanges.iter_mut().zip(PAIRS) {
                // A head under the vent's name reads cold and is refused: what was sent tells it.
                let of = if cold == Probe::Vent { row } else { &good };
                if let Some((cold_c, hot_c)) = of.get(cold).zip(of.get(hot)) {
                    exchange.take(cold_c, hot_c);
                }
            }
        }
        if let Some(kg) = good.get(Probe::Receiver) {
            self.scale.take(time_s, kg, context.runs_kg_per_s);
        }
        good
    }

    /// The scale under the jar.
    #[must_use]
    pub const fn scale(&self) -> &Scale {
        &self.scale
    }

    /// The readings of a row came so late, s.
    pub fn came_late(&mut self, row: &Reading, late_s: f64) {
        for (probe, _) in row.iter() {
            self.channels[probe as usize].cadence.came_late(late_s);
        }
    }

    /// How late the readings of each channel are sent again and again.
    pub fn expect_late(&mut self, lateness: &Lateness) {
        for channel in &mut self.channels {
            channel.cadence.expect_late(lateness.expected_s(channel.probe));
        }
    }

    /// Takes what the heater's meter shows.
    fn take_heater(&mut self, time_s: f64, watts: f64, context: &Context) -> Option<f64> {
        let channel = &mut self.channels[Probe::Heater as usize];
        if context.heat_most_w > 0.0 && watts > context.heat_most_w {
            return channel
                .cadence
                .take(time_s)
                .and_then(|_| channel.refuse(time_s, Reason::OutOfRange(watts)));
        }
        if watts > HEATER_OFF_W || !self.no_heat.is_wrong() {
            return channel.take(time_s, watts, 0.0, context);
        }
        channel.cadence.take(time_s).and_then(|_| channel.refuse(time_s, Reason::ShowsNone))
    }

    /// One channel.
    #[must_use]
    pub const fn of(&self, probe: Probe) -> &Channel {
        &self.channels[probe as usize]
    }

    /// The last good value, where it is still to be trusted.
    #[must_use]
    pub fn fresh(&self, probe: Probe, now_s: f64) -> Option<f64> {
        self.of(probe).fresh(now_s)
    }

    /// Whether head and pot thermometer seem to carry each other's name.
    #[must_use]
    pub fn swapped(&self) -> bool {
        self.exchanges[0].lately()
    }

    /// Which one a thermometer seems to be swapped with.
    #[must_use]
    pub fn swapped_with(&self, probe: Probe) -> Option<Probe> {
        let told = self.exchanges.iter().zip(PAIRS).filter(|(exchange, _)| exchange.lately());
        told.map(|(_, pair)| pair).find_map(|(cold, hot)| match probe {
            _ if probe == cold => Some(hot),
            _ if probe == hot => Some(cold),
            _ => None,
        })
    }

    /// A channel as it stands: its value, its age, how far it can be trusted and why.
    #[must_use]
    pub fn channel(&self, probe: Probe, now_s: f64, context: &Context) -> Seen {
        let seen = self.of(probe).seen(now_s, context);
        let other = self.swapped_with(probe).map(Reason::Swapped);
        match (seen.quality, other) {
            (Quality::Good, Some(swapped)) => Seen { quality: Quality::Doubtful(swapped), ..seen },
            (Quality::Bad(Reason::NotInVapour(_)), Some(swapped)) => {
                Seen { quality: Quality::Bad(swapped), ..seen }
            }
            (Quality::Good, _) if probe == Probe::Receiver => {
                Seen { quality: self.scale.quality(), ..seen }
            }
            _ => seen,
        }
    }
}

/// One channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    probe: Probe,
    cadence: Cadence,
    good: Option<LastGood>,
    refused: Option<Reason>,
    held: Option<(f64, u8)>,
    same: StillStand,
    steps: Steps,
    place: CameOff,
    faults: VecDeque<(f64, Reason)>,
}

impl Channel {
    fn new(probe: Probe) -> Self {
        Self {
            probe,
            cadence: Cadence::of(probe),
            good: None,
            refused: None,
            held: None,
            same: StillStand::default(),
            steps: Steps::default(),
            place: CameOff::new(probe),
            faults: VecDeque::new(),
        }
    }

    /// Takes a reading and returns it where it can be believed.
    fn take(&mut self, time_s: f64, value: f64, heat_w: f64, context: &Context) -> Option<f64> {
        let gap = self.cadence.take(time_s)?;
        if let Some(reason) = impossible(self.probe, time_s, value, self.good) {
            return self.refuse(time_s, reason);
        }
        let stands = matches!(self.probe, Probe::Head | Probe::Pot);
        if stands && self.place.take(time_s, value, heat_w) {
            return self.refuse(time_s, Reason::CameOff(value));
        }
        if !self.believable(time_s, value) {
            return None;
        }
        let stood = self.same.far_too_long();
        let rests = self.probe == Probe::Pot && context.runs_kg_per_s <= 0.0;
        self.same.take(time_s, value, gap, rests);
        if is_sentinel(self.probe, value) && self.same.stands_on(value) {
            return self.refuse(time_s, Reason::Sentinel(value));
        }
        self.refused = None;
        self.follow_steps(time_s, value, context.boils && context.heat_on() && !stood);
        self.good = Some(LastGood::after(self.good, time_s, value));
        Some(value)
    }

    fn follow_steps(&mut self, time_s: f64, value: f64, counts: bool) {
        if !self.probe.in_the_boil() {
            return;
        }
        if !counts {
            self.steps.forget();
        }
        if let Some(by_k) = self.steps.take(time_s, value) {
            self.fault(time_s, Reason::Stepped(by_k));
        }
    }

    fn refuse(&mut self, time_s: f64, reason: Reason) -> Option<f64> {
        self.fault(time_s, reason);
        self.refused = Some(reason);
        None
    }

    /// Whether a possible value follows from the last one; a jump is believed at its third reading.
    fn believable(&mut self, time_s: f64, value: f64) -> bool {
        let Some(LastGood { time_s: good_s, value: before, rate_per_s }) = self.good else {
            return true;
        };
        let reach = self.probe.reach(before, time_s - good_s, rate_per_s);
        let Some(reach) = reach else { return true };
        if (value - before).abs() <= reach {
            if let Some((held, _)) = self.held.take() {
                self.fault(time_s, Reason::Spike(held));
            }
            return true;
        }
        match self.held {
            Some((held, count)) if (value - held).abs() <= reach => {
                if count >= CONFIRMING {
                    self.held = None;
                    self.steps.jump(value);
                    return true;
                }
                self.held = Some((value, count + 1));
            }
            Some((held, _)) => {
                self.fault(time_s, Reason::Spike(held));
                self.held = Some((value, 1));
            }
            None => self.held = Some((value, 1)),
        }
        false
    }

    fn fault(&mut self, time_s: f64, reason: Reason) {
        self.faults.push_back((time_s, reason));
        if self.faults.len() > FAULTS_MAX {
            self.faults.pop_front();
        }
    }

    /// Whether it is read as seldom as a person types.
    #[must_use]
    pub fn typed(&self) -> bool {
        self.cadence.typed()
    }

    /// How often it is read.
    #[must_use]
    pub const fn cadence(&self) -> &Cadence {
        &self.cadence
    }

    /// Age of the last reading of any worth, s.
    #[must_use]
    pub fn age_s(&self, now_s: f64) -> Option<f64> {
        self.cadence.age_s(now_s)
    }

    /// Age at which it is too old, s: by how often it is read.
    #[must_use]
    pub fn stale_after_s(&self) -> f64 {
        self.cadence.stale_after_s()
    }

    /// Whether too old.
    #[must_use]
    pub fn stale(&self, now_s: f64) -> bool {
        self.cadence.stale(now_s)
    }

    /// Whether readings come but the last of them was refused.
    #[must_use]
    pub fn impossible_now(&self, now_s: f64) -> bool {
        let since_s = self.good.map(|good| good.time_s);
        !self.stale(now_s)
            && self.refused.is_some()
            && since_s.is_none_or(|at_s| now_s - at_s >= 1.0)
    }

    /// The last good value, where it is still to be trusted.
    #[must_use]
    pub fn fresh(&self, now_s: f64) -> Option<f64> {
        let LastGood { time_s: at_s, value, .. } = self.good?;
        let off = matches!(
            self.refused,
            Some(Reason::CameOff(_) | Reason::NotInVapour(_) | Reason::ShowsNone)
        );
        (!off && now_s - at_s <= self.stale_after_s()).then_some(value)
    }

    /// The last good value where it is still to be trusted and newer than `since_s`.
    #[must_use]
    pub fn fresh_since(&self, now_s: f64, since_s: f64) -> Option<f64> {
        self.good.filter(|good| good.time_s > since_s)?;
        self.fresh(now_s)
    }

    /// Seconds without the least movement while readings came, gaps left out.
    #[must_use]
    pub const fn same_for_s(&self) -> f64 {
        self.same.time_s()
    }

    /// Whether it has not moved for longer than noise and weather allow.
    #[must_use]
    pub fn frozen(&self, now_s: f64, context: &Context) -> bool {
        !self.stale(now_s) && !self.typed() && self.same.frozen(self.probe, context)
    }

    /// Whether it left its level at once and has not come back: nothing is to be reckoned from it.
    #[must_use]
    pub fn left_its_level(&self) -> bool {
        self.steps.off_k().or(self.steps.jumped_to()).is_some()
    }

    /// Faults since `since_s`: how many, and the last.
    #[must_use]
    pub fn faults_since(&self, since_s: f64) -> (usize, Option<Reason>) {
        let recent = self.faults.iter().rev().take_while(|(at, _)| *at >= since_s);
        (recent.count(), self.faults.back().filter(|(at, _)| *at >= since_s).map(|f| f.1))
    }

    /// Whether it was ever read.
    #[must_use]
    pub const fn ever(&self) -> bool {
        self.cadence.last_s().is_some()
    }

    /// The last good value, its age and how far it can be trusted.
    #[must_use]
    pub fn seen(&self, now_s: f64, context: &Context) -> Seen {
        let quality = if !self.ever() {
            Quality::Absent
        } else if self.stale(now_s) {
            Quality::Bad(Reason::Stale)
        } else if let Some(reason) = self.refused.filter(|_| self.impossible_now(now_s)) {
            Quality::Bad(reason)
        } else if self.frozen(now_s, context) {
            Quality::Doubtful(Reason::Frozen)
        } else if !self.typed() && self.same.flickers(self.probe, context) {
            Quality::Doubtful(Reason::Flickers)
        } else if let Some(by_k) = self.steps.off_k() {
            Quality::Doubtful(Reason::Stepped(by_k))
        } else if let Some(to_c) = self.steps.jumped_to() {
            Quality::Doubtful(Reason::Jump(to_c))
        } else if let Some((held, _)) = self.held {
            Quality::Doubtful(Reason::Jump(held))
        } else {
            Quality::Good
        };
        let value = if quality.shown() { self.fresh(now_s) } else { None };
        Seen { value, age_s: self.age_s(now_s), quality }
    }
}

#[cfg(test)]
#[path = "reader_tests.rs"]
mod tests;
