//! The channels of readings: how old each is, and whether what it shows can be true.
//!
//! A value out of physics or a sentinel of a broken probe (85, -127) never passes. A jump is held
//! back until two further readings confirm it; a jump that goes back was a spike. A channel is
//! stale after three missed readings, ten seconds at least; one that a person types (readings more
//! than 90 s apart) is stale after ten minutes and raises no alarm. Frozen means that not one digit
//! has moved for longer than noise and weather allow.

use std::collections::VecDeque;

use super::numbers::median;
use super::probe::{Fault, Probe};
use crate::knowledge::{Channel, ChannelState};
use sense::Reading;

/// Values that broken probes send: power-on value and lost probe of a common digital sensor family.
const SENTINELS: [f64; 2] = [85.0, -127.0];
/// Readings further apart than this are typed by a person, s.
const TYPED_GAP_S: f64 = 90.0;
/// A typed reading is stale after this, s.
const TYPED_STALE_S: f64 = 600.0;
/// Missed readings that make a channel stale, and the least time, s.
const STALE_READINGS: f64 = 3.0;
const STALE_LEAST_S: f64 = 10.0;
/// Intervals remembered.
const GAPS_MAX: usize = 8;
/// Faults remembered.
const FAULTS_MAX: usize = 8;

/// One channel.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Track {
    last_s: Option<f64>,
    good: Option<(f64, f64)>,
    refused: bool,
    held: Option<(f64, u8)>,
    gaps: VecDeque<f64>,
    same_since_s: f64,
    faults: VecDeque<(f64, Fault)>,
}

impl Track {
    /// Takes a reading and returns it where it can be believed.
    fn take(&mut self, probe: Probe, time_s: f64, value: f64) -> Option<f64> {
        if let Some(last) = self.last_s {
            if time_s <= last {
                return None;
            }
            self.gaps.push_back(time_s - last);
            if self.gaps.len() > GAPS_MAX {
                self.gaps.pop_front();
            }
        }
        self.last_s = Some(time_s);
        if let Some(fault) = self.impossible(probe, value) {
            self.fault(time_s, fault);
            self.refused = true;
            return None;
        }
        if !self.believable(probe, time_s, value) {
            return None;
        }
        self.refused = false;
        if self.good.is_none_or(|(_, before)| (before - value).abs() > 1e-9) {
            self.same_since_s = time_s;
        }
        self.good = Some((time_s, value));
        Some(value)
    }

    fn impossible(&self, probe: Probe, value: f64) -> Option<Fault> {
        if !value.is_finite() {
            return Some(Fault::NotANumber);
        }
        let sentinel = probe.is_thermometer()
            && SENTINELS.iter().any(|sentinel| (sentinel - value).abs() < 1e-9);
        let far = self.good.is_none_or(|(_, before)| (before - value).abs() > 3.0);
        let (low, high) = probe.possible();
        if sentinel && far {
            Some(Fault::Sentinel(value))
        } else if value < low || value > high {
            Some(Fault::OutOfRange(value))
        } else {
            None
        }
    }

    /// Whether a possible value follows from the last one; a jump is believed at its third reading.
    fn believable(&mut self, probe: Probe, time_s: f64, value: f64) -> bool {
        let Some((good_s, before)) = self.good else { return true };
        let Some(reach) = probe.reach(before, time_s - good_s) else { return true };
        if (value - before).abs() <= reach {
            if let Some((held, _)) = self.held.take() {
                self.fault(time_s, Fault::Spike(held));
            }
            return true;
        }
        match self.held {
            Some((held, count)) if (value - held).abs() <= reach => {
                if count >= 2 {
                    self.held = None;
                    return true;
                }
                self.held = Some((value, count + 1));
            }
            Some((held, _)) => {
                self.fault(time_s, Fault::Spike(held));
                self.held = Some((value, 1));
            }
            None => self.held = Some((value, 1)),
        }
        false
    }

    fn fault(&mut self, time_s: f64, fault: Fault) {
        self.faults.push_back((time_s, fault));
        if self.faults.len() > FAULTS_MAX {
            self.faults.pop_front();
        }
    }

    fn gap_s(&self) -> Option<f64> {
        let mut gaps: Vec<f64> = self.gaps.iter().copied().collect();
        median(&mut gaps)
    }

    /// Whether a person types it.
    pub(super) fn typed(&self) -> bool {
        self.gap_s().is_none_or(|gap| gap > TYPED_GAP_S)
    }

    /// Age at which it is stale, s.
    pub(super) fn stale_after_s(&self) -> f64 {
        match self.gap_s() {
            Some(gap) if gap <= TYPED_GAP_S => (STALE_READINGS * gap).max(STALE_LEAST_S),
            _ => TYPED_STALE_S,
        }
    }

    /// Age of the last reading of any worth, s.
    pub(super) fn age_s(&self, now_s: f64) -> Option<f64> {
        self.last_s.map(|last| (now_s - last).max(0.0))
    }

    /// Whether too old.
    pub(super) fn stale(&self, now_s: f64) -> bool {
        self.age_s(now_s).is_some_and(|age| age > self.stale_after_s())
    }

    /// Whether readings come but nothing good among them for as long as would make it stale.
    pub(super) fn impossible_now(&self, now_s: f64) -> bool {
        let good_s = self.good.map(|(time_s, _)| time_s);
        !self.stale(now_s)
            && self.last_s.is_some()
            && self.refused
            && good_s.is_none_or(|at| now_s - at >= 1.0)
    }

    /// The last good value, where it is still to be trusted.
    pub(super) fn fresh(&self, now_s: f64) -> Option<f64> {
        let (at, value) = self.good?;
        (now_s - at <= self.stale_after_s().max(1.0)).then_some(value)
    }

    /// The last good value where it is still to be trusted and not older than `since_s`.
    pub(super) fn fresh_since(&self, now_s: f64, since_s: f64) -> Option<f64> {
        self.good.filter(|(at, _)| *at > since_s)?;
        self.fresh(now_s)
    }

    /// Seconds without the least movement, while readings come.
    pub(super) fn same_for_s(&self, now_s: f64) -> f64 {
        if self.good.is_none() || self.stale(now_s) || self.typed() {
            return 0.0;
        }
        now_s - self.same_since_s
    }

    /// Faults since `since_s`: how many, and the last.
    pub(super) fn faults_since(&self, since_s: f64) -> (usize, Option<Fault>) {
        let recent = self.faults.iter().rev().take_while(|(at, _)| *at >= since_s);
        (recent.count(), self.faults.back().filter(|(at, _)| *at >= since_s).map(|f| f.1))
    }

    /// Whether it was ever read.
    pub(super) const fn ever(&self) -> bool {
        self.last_s.is_some()
    }
}

/// All channels.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Channels {
    tracks: [Track; 10],
}

impl Channels {
    /// Takes a row and returns what of it can be believed.
    pub(super) fn take(&mut self, time_s: f64, row: &Reading) -> Reading {
        let mut take = |probe: Probe, cell: Option<f64>| {
            cell.and_then(|value| self.tracks[probe as usize].take(probe, time_s, value))
        };
        Reading {
            head_c: take(Probe::Head, row.head_c),
            pot_c: take(Probe::Pot, row.pot_c),
            coolant_in_c: take(Probe::CoolantIn, row.coolant_in_c),
            coolant_out_c: take(Probe::CoolantOut, row.coolant_out_c),
            coolant_l_per_min: take(Probe::CoolantFlow, row.coolant_l_per_min),
            heater_w: take(Probe::Heater, row.heater_w),
            pressure_hpa: take(Probe::Pressure, row.pressure_hpa),
            ambient_c: take(Probe::Ambient, row.ambient_c),
            vent_c: take(Probe::Vent, row.vent_c),
            product_c: take(Probe::Product, row.product_c),
        }
    }

    /// One of them.
    pub(super) const fn of(&self, probe: Probe) -> &Track {
        &self.tracks[probe as usize]
    }

    /// The last good value, where it is still to be trusted.
    pub(super) fn fresh(&self, probe: Probe, now_s: f64) -> Option<f64> {
        self.of(probe).fresh(now_s)
    }

    /// As a screen shows them; `frozen` says which do not move.
    pub(super) fn shown(&self, now_s: f64, frozen: impl Fn(Probe) -> bool) -> Vec<Channel> {
        let shown = |probe: Probe| {
            let track = self.of(probe);
            let fault = || track.faults_since(0.0).1.map(Fault::words);
            let (quality, reason) = if !track.ever() {
                (ChannelState::Absent, None)
            } else if track.stale(now_s) {
                (ChannelState::Stale, Some("no reading comes in".to_owned()))
            } else if track.impossible_now(now_s) {
                (ChannelState::Bad, fault())
            } else if frozen(probe) {
                (ChannelState::Doubtful, Some("it has not moved for too long".to_owned()))
            } else {
                (ChannelState::Good, None)
            };
            let trusted = matches!(quality, ChannelState::Good | ChannelState::Doubtful);
            let value = if trusted { track.fresh(now_s) } else { None };
            let (name, words) = (probe.column(), probe.words());
            Channel { name, words, value, age_s: track.age_s(now_s), quality, reason }
        };
        Probe::ALL.into_iter().map(shown).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{Channels, Fault, Probe, Reading};

    fn head(celsius: f64) -> Reading {
        Reading { head_c: Some(celsius), ..Reading::default() }
    }

    #[test]
    fn sentinels_and_nonsense_do_not_pass() {
        let mut channels = Channels::default();
        for step in 0..10 {
            assert!(channels.take(f64::from(step) * 10.0, &head(78.0)).head_c.is_some());
        }
        for (time_s, bad) in [(100.0, 85.0), (110.0, -127.0), (120.0, f64::NAN), (130.0, 500.0)] {
            assert_eq!(channels.take(time_s, &head(bad)).head_c, None, "{bad}");
        }
        assert_eq!(channels.of(Probe::Head).faults_since(0.0), (4, Some(Fault::OutOfRange(500.0))));
        assert!(channels.of(Probe::Head).impossible_now(131.0));
    }

    #[test]
    fn eighty_five_on_the_way_up_is_a_temperature() {
        let mut channels = Channels::default();
        channels.take(0.0, &head(84.5));
        assert_eq!(channels.take(10.0, &head(85.0)).head_c, Some(85.0));
    }

    #[test]
    fn a_spike_is_dropped_and_a_lasting_jump_is_believed_at_its_third_reading() {
        let mut channels = Channels::default();
        channels.take(0.0, &head(78.0));
        assert_eq!(channels.take(10.0, &head(95.0)).head_c, None);
        assert_eq!(channels.take(20.0, &head(78.1)).head_c, Some(78.1));
        assert_eq!(channels.of(Probe::Head).faults_since(0.0).0, 1);
        let taken: Vec<_> =
            (3..7).map(|i| channels.take(f64::from(i) * 10.0, &head(95.0)).head_c).collect();
        assert_eq!(taken, [None, None, Some(95.0), Some(95.0)]);
    }

    #[test]
    fn three_missed_readings_are_stale_and_typed_ones_last_ten_minutes() {
        let mut channels = Channels::default();
        for step in 0..5 {
            channels.take(f64::from(step) * 10.0, &head(78.0));
        }
        assert_eq!(channels.fresh(Probe::Head, 69.0), Some(78.0));
        assert!(!channels.of(Probe::Head).stale(70.0) && channels.of(Probe::Head).stale(71.0));
        assert_eq!(channels.fresh(Probe::Head, 71.0), None);
        let mut typed = Channels::default();
        for step in 0..5 {
            typed.take(f64::from(step) * 200.0, &head(78.0));
        }
        assert!(typed.of(Probe::Head).typed() && !typed.of(Probe::Head).stale(1300.0));
    }
}
