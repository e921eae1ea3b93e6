//! A probe that comes off: colder than a still that was hot can be, under heat or so soon.
//!
//! While heat is off, or turned down to less than half, a fall is believed that hot metal can make;
//! so is one after a gap in the readings. What fell otherwise stays bad until it reads hot again, or
//! until heat has been off for long enough to cool down.

use crate::probe::Probe;
use crate::unseen::UNSEEN_S;

/// A fall by this much under heat is none of the vapour's, K (judgement).
const FALL_K: f64 = 30.0;
/// What is warmer than this may still be vapour, °C (judgement: no vapour over boiling
/// ethanol and water is under 70 °C above 700 hPa).
pub const HOT_C: f64 = 60.0;
/// A fall by [`FALL_K`] within this is none of hot metal's, whatever the heat, s (judgement:
/// thermometers in their pockets lag by 30 to 120 s, and what they stand in cools slower).
const AT_ONCE_S: f64 = 60.0;
/// The hottest of that time is kept by halves of it, s.
const HALF_S: f64 = 0.5 * AT_ONCE_S;
/// Heat below this share of what held it hot may not hold it (judgement).
const HELD_SHARE: f64 = 0.5;
/// Heat off for this long, and a still may be cold, s (judgement).
const COOL_DOWN_S: f64 = 1800.0;

/// Whether a thermometer stands where it should.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CameOff {
    /// Under heat a fall from here on counts, °C: liquid that is heated does not cool, while a head
    /// without vapour has nothing to hold it.
    from_c: f64,
    /// The hottest since heat held it, °C, and that heat, W.
    held: Option<(f64, f64)>,
    /// The last reading, and when, s.
    last_c: f64,
    last_s: f64,
    /// The hottest that two readings in a row reached, °C, and since when, s: in the half minute
    /// before, and in this one.
    lately: [(f64, f64); 2],
    /// How hot it must read to be back, while it is off, °C.
    back_c: Option<f64>,
    heat_off_s: Option<f64>,
}

impl CameOff {
    /// Nothing read yet.
    pub(crate) const fn new(probe: Probe) -> Self {
        Self {
            from_c: if matches!(probe, Probe::Pot) { f64::NEG_INFINITY } else { HOT_C },
            held: None,
            last_c: 0.0,
            last_s: 0.0,
            lately: [(0.0, 0.0); 2],
            back_c: None,
            heat_off_s: None,
        }
    }

    /// Takes a reading that is possible by itself, with the heat going in; says whether the probe
    /// is off.
    pub(crate) fn take(&mut self, time_s: f64, celsius: f64, heat_w: f64) -> bool {
        let unseen = time_s - self.last_s > UNSEEN_S;
        let lately_c = self.lately(time_s, celsius, unseen);
        (self.last_s, self.last_c) = (time_s, celsius);
        let held_w = self.held.map_or(0.0, |held| held.1);
        let heated = heat_w > crate::quality::HEATER_OFF_W && heat_w >= HELD_SHARE * held_w;
        self.heat_off_s = if heated { None } else { self.heat_off_s.or(Some(time_s)) };
        let cooled = self.heat_off_s.is_some_and(|at_s| time_s - at_s >= COOL_DOWN_S);
        if cooled || self.back_c.is_some_and(|back_c| celsius >= back_c) {
            self.back_c = None;
        }
        if self.back_c.is_some() {
            return true;
        }
        let held_c = self.held.map_or(celsius, |held| held.0);
        let fell = |stood_c: f64, from_c: f64| stood_c >= from_c && stood_c - celsius >= FALL_K;
        let fell = (heated && fell(held_c, self.from_c)) || fell(lately_c, HOT_C);
        if !unseen && celsius < HOT_C && fell {
            self.back_c = Some(HOT_C.min(held_c.max(lately_c)));
            return true;
        }
        self.held = match self.held {
            Some((held_c, held_w)) if heated && !unseen => Some(if celsius >= held_c {
                (celsius, heat_w)
            } else {
                (held_c, held_w.min(heat_w))
            }),
            held => Some((celsius, if heated { heat_w } else { held.map_or(heat_w, |h| h.1) })),
        };
        false
    }

    /// The hottest of the last minute or half of it, °C, that was no single spike.
    fn lately(&mut self, time_s: f64, celsius: f64, unseen: bool) -> f64 {
        if unseen {
            self.lately = [(celsius, time_s); 2];
            return celsius;
        }
        let twice_c = self.last_c.min(celsius);
        let [_, now] = self.lately;
        if time_s - now.1 >= HALF_S {
            self.lately = [now, (twice_c, time_s)];
        } else {
            self.lately[1].0 = now.0.max(twice_c);
        }
        let recent = |(hottest_c, since_s): (f64, f64)| {
            if time_s - since_s <= AT_ONCE_S { hottest_c } else { f64::NEG_INFINITY }
        };
        self.lately.into_iter().map(recent).fold(f64::NEG_INFINITY, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::CameOff;
    use crate::probe::Probe;

    /// Whether the last of these readings, ten seconds apart, is off.
    fn last(rows: &[(f64, f64)]) -> bool {
        let mut probe = CameOff::new(Probe::Head);
        let times = (0..).map(|row| 10.0 * f64::from(row));
        times.zip(rows).fold(false, |_, (time_s, row)| probe.take(time_s, row.0, row.1))
    }

    #[test]
    fn a_fall_of_sixty_kelvins_under_heat_is_a_probe_that_came_off() {
        assert!(last(&[(20.0, 3500.0), (80.0, 3500.0), (78.0, 1800.0), (18.0, 1800.0)]));
        let back = [(78.0, 1800.0), (18.0, 1800.0), (18.0, 1800.0), (77.0, 1800.0)];
        assert!(last(&back[..3]) && !last(&back));
        assert!(last(&[(78.0, 1800.0), (18.0, 1800.0), (18.0, 0.0)]), "no cool-down yet");
    }

    #[test]
    fn while_heat_is_off_or_far_down_a_fall_in_minutes_is_believed_and_one_at_once_is_not() {
        // 58 K in five minutes.
        let falls = |heat_w: f64| (0..30).map(move |row| (78.0 - 2.0 * f64::from(row), heat_w));
        for heat_w in [0.0, 300.0] {
            let rows: Vec<_> = [(78.0, 1800.0)].into_iter().chain(falls(heat_w)).collect();
            assert!(!last(&rows), "{heat_w} W");
            assert!(last(&[(78.0, 1800.0), (78.0, heat_w), (40.0, heat_w)]), "at once, {heat_w} W");
        }
        assert!(!last(&[(40.0, 0.0), (39.0, 0.0), (90.0, 0.0), (38.0, 0.0)]), "a spike");
        let cooled = [(78.0, 1800.0)].into_iter().chain(falls(0.0));
        let again: Vec<_> = cooled.chain([(20.0, 1800.0), (21.0, 1800.0)]).collect();
        assert!(!last(&again), "heat back on a still that cooled");
    }

    #[test]
    fn however_readings_fall_into_minutes_a_fall_at_once_is_seen() {
        for every_s in [1.0, 5.0, 10.0, 30.0] {
            for hot in 2..90 {
                let mut probe = CameOff::new(Probe::Head);
                let off = (0..=hot).any(|row| {
                    let celsius = if row < hot { 78.0 } else { 20.0 };
                    probe.take(every_s * f64::from(row), celsius, 0.0)
                });
                assert!(off, "{hot} readings every {every_s} s");
            }
        }
    }

    #[test]
    fn a_pot_thermometer_that_falls_thirty_kelvins_while_it_heats_up_came_off() {
        let mut pot = CameOff::new(Probe::Pot);
        let heats_up = (0..30).map(|row| 20.0 + f64::from(row));
        let rows = heats_up.chain([35.0, 19.0, 19.0]);
        let off: Vec<bool> =
            (0..).zip(rows).map(|(at, c)| pot.take(10.0 * f64::from(at), c, 3500.0)).collect();
        assert_eq!(off.iter().position(|off| *off), Some(31), "30 K under 49 °C");
        assert!(off[32] && !pot.take(330.0, 50.0, 3500.0), "put back");
        let mut head = CameOff::new(Probe::Head);
        assert!(!head.take(0.0, 50.0, 3500.0) && !head.take(10.0, 19.0, 3500.0), "no vapour yet");
    }

    #[test]
    fn a_still_that_cooled_while_nothing_was_read_is_believed() {
        let mut probe = CameOff::new(Probe::Head);
        assert!(!probe.take(0.0, 78.0, 1800.0));
        assert!(!probe.take(1500.0, 35.0, 1800.0));
        assert!(!probe.take(1510.0, 36.0, 1800.0));
    }
}
