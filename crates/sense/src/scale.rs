//! The scale under the jar: how much ran, whatever is done to the jar meanwhile.
//!
//! A weight that only grows as spirit runs counts. One that moves otherwise is a hand, another jar, a
//! bottle or the tare key: nothing counts until it stands again, and then where it stands tells what
//! was done. What ran into a jar that was lifted and put back counts; with another jar or a new zero
//! counting begins anew. A weight that stands still to the digit while spirit should run, and one
//! that is not read, tell nothing: who reckons goes on reckoning.

use std::collections::VecDeque;

use alcoholometry::kernel;
use still::plan::TakeOff;

use crate::cadence::Cadence;
use crate::numbers::slope;
use crate::quality::{Quality, Reason};
use crate::still_stand::StillStand;

/// A weight may move by this without anything being done to it, kg (judgement: noise and steps of a
/// kitchen scale are a fifth of it, a glass of tasting is more).
const STEP_KG: f64 = 0.025;
/// And grow by so many times what is expected to run: judgement.
const FASTER: f64 = 5.0;
/// What ran while nothing was weighed is at most so many times what was expected: judgement.
const AT_MOST: f64 = 2.0;
/// A weight stands after so many readings that lie on one line, over so long, s: judgement.
const STANDS_READINGS: u32 = 3;
const STANDS_S: f64 = 15.0;
/// Lighter by this than the jar when it was put there, kg: no jar stands there (judgement: empty
/// jars of a kind differ by less). After this long, s, with spirit running in, it is a lighter jar.
const AWAY_KG: f64 = 0.05;
const AWAY_S: f64 = 120.0;
/// A jar that was lifted and holds still more than this share of what it held is the same, of which
/// some was poured out, from so much on, kg: judgement, another jar is nearly empty.
const SAME_SHARE: f64 = 0.7;
const HELD_KG: f64 = 0.1;
/// A zero, kg, and what must run in to tell a tared jar from an empty pan, kg: judgement.
const ZERO_KG: f64 = 0.004;
const RUNS_IN_KG: f64 = 0.005;
/// The rate is that of the last so many seconds, from so many on, s: judgement.
const RATE_S: f64 = 180.0;
const RATE_LEAST_S: f64 = 60.0;
/// Frozen after so long to the same digit, s, where so much should have run, kg: judgement.
const FROZEN_S: f64 = 300.0;
const FROZEN_KG: f64 = 0.010;
/// Slower than this, with a take-off that is shut, is the scale's own drift, kg/s (judgement: 70 g in
/// an hour).
const DRIFT_KG_PER_S: f64 = 2.0e-5;
/// What a kilogram of spirit costs in heat, J: latent heat of strong spirit, rounded up for losses
/// (handbook values from 0.9 to 1.2 MJ).
const HEAT_J_PER_KG: f64 = 1.2e6;
/// Mass of a litre of spirit where it only sets bounds, kg.
const KG_PER_L: f64 = 0.83;

/// What is expected to run by what was set, kg/s; it tells only what a scale can show by itself.
#[must_use]
pub fn expected_kg_per_s(take_off: TakeOff, heat_w: f64) -> f64 {
    let all = heat_w.max(0.0) / HEAT_J_PER_KG;
    match take_off {
        TakeOff::Closed => 0.0,
        TakeOff::MlPerMin(rate) => (KG_PER_L * rate / 60_000.0).min(all).max(0.0),
        TakeOff::RefluxRatio(ratio) => all / (1.0 + ratio.max(0.0)),
        TakeOff::RefluxWatts(watts) => (all - watts / HEAT_J_PER_KG).max(0.0),
    }
}

/// Litres at 20 °C of so many kilograms of spirit of that strength, % vol.
#[must_use]
pub fn litres_of_kg(kg: f64, strength_vol: f64) -> f64 {
    let p = kernel::mass_fraction_from_vol20((strength_vol / 100.0).clamp(0.0, 1.0));
    1000.0 * kg / kernel::density_kg_m3(p, 20.0)
}

/// Why counting begins anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anew {
    /// It was read for the first time.
    First,
    /// Another jar stands there.
    Changed,
    /// Something heavy was put on it beside the jar, or taken away again.
    Beside,
    /// The same jar, of which some was poured out.
    Poured,
    /// Its zero was set.
    Tared,
    /// It was not read, or stood still, and what it shows now does not follow from before.
    Back,
}

/// What a reading of the scale tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weighed {
    /// So much ran since the last reading that counted, kg.
    Ran(f64),
    /// Nothing runs and nothing should.
    Rests,
    /// It counts from here on.
    Anew(Anew),
}

/// A weight that moved as no spirit does, and how it stands since.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Moved {
    /// First and last two readings on one line.
    first: (f64, f64),
    before: (f64, f64),
    last: (f64, f64),
    readings: u32,
    /// Whether no jar stood there meanwhile.
    away: bool,
}

impl Moved {
    const fn new(at: (f64, f64)) -> Self {
        Self { first: at, before: at, last: at, readings: 1, away: false }
    }

    fn take(&mut self, at: (f64, f64)) {
        let apart = |from: (f64, f64), to: (f64, f64)| (to.1 - from.1) / (to.0 - from.0).max(1e-9);
        let bent = self.readings > 1
            && (apart(self.last, at) - apart(self.before, self.last)).abs() * (at.0 - self.last.0)
                > STEP_KG;
        let fell = self.readings == 1 && at.1 < self.last.1 - STEP_KG;
        if bent || fell {
            *self = Self { away: self.away, ..Self::new(at) };
            return;
        }
        (self.before, self.last) = (self.last, at);
        self.readings += 1;
    }

    fn stands(&self) -> bool {
        self.readings >= STANDS_READINGS && self.last.0 - self.first.0 >= STANDS_S
    }

    /// How fast it grows since it stands, kg/s.
    fn grows(&self) -> f64 {
        ((self.last.1 - self.first.1) / (self.last.0 - self.first.0).max(1.0)).max(0.0)
    }
}

/// Follows the scale.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Scale {
    cadence: Cadence,
    /// The last reading that counted: time in s, kg.
    last: Option<(f64, f64)>,
    /// What stood there when the jar was put there, and what stands beside it, kg.
    jar_kg: f64,
    beside_kg: f64,
    /// Readings that counted since it counts.
    stretch: VecDeque<(f64, f64)>,
    moved: Option<Moved>,
    same: StillStand,
    frozen_s: Option<f64>,
    told: Option<(f64, Weighed)>,
}

impl Scale {
    /// Takes a reading, with what is expected to run.
    pub(crate) fn take(&mut self, time_s: f64, kg: f64, expected_kg_per_s: f64) {
        let Some(gap) = self.cadence.take(time_s) else { return };
        self.told = None;
        self.same.take(time_s, kg, gap, false);
        let at = (time_s, kg);
        let Some(last) = self.last else {
            self.jar_kg = kg;
            return self.anew(at, Anew::First);
        };
        let was_frozen = self.frozen_s.is_some();
        let should_kg = expected_kg_per_s * self.same.time_s();
        self.frozen_s =
            (self.moved.is_none() && self.same.time_s() >= FROZEN_S && should_kg >= FROZEN_KG)
                .then_some(self.same.times().0);
        if self.frozen_s.is_some() {
            return;
        }
        let expected = expected_kg_per_s.max(self.rate_kg_per_s().unwrap_or(0.0));
        let (passed_s, step_kg) = (time_s - last.0, kg - last.1);
        let grows = |times: f64| -STEP_KG..=STEP_KG + times * expected * passed_s;
        if let Some(mut moved) = self.moved {
            moved.take(at);
            self.moved = Some(moved);
            if moved.stands() {
                self.settle(last, at, moved, expected_kg_per_s);
            }
        } else if gap || was_frozen {
            if grows(AT_MOST).contains(&step_kg) {
                self.counts(at, step_kg, expected);
            } else {
                self.anew(at, Anew::Back);
            }
        } else if grows(FASTER).contains(&step_kg) {
            self.counts(at, step_kg, expected_kg_per_s);
        } else {
            self.moved = Some(Moved::new(at));
        }
    }

    fn counts(&mut self, at: (f64, f64), step_kg: f64, expected_kg_per_s: f64) {
        self.moved = None;
        self.last = Some(at);
        self.stretch.push_back(at);
        let old = |first: &(f64, f64)| first.0 < at.0 - RATE_S;
        while self.stretch.len() > 3 && self.stretch.front().is_some_and(old) {
            self.stretch.pop_front();
        }
        let rests = expected_kg_per_s <= 0.0
            && self.rate_kg_per_s().is_none_or(|rate| rate < DRIFT_KG_PER_S);
        self.told = Some((at.0, if rests { Weighed::Rests } else { Weighed::Ran(step_kg) }));
    }

    fn anew(&mut self, at: (f64, f64), why: Anew) {
        self.moved = None;
        self.last = Some(at);
        self.stretch.clear();
        self.stretch.push_back(at);
        self.told = Some((at.0, Weighed::Anew(why)));
    }

    /// The weight stands again: by where it does, what was done.
    fn settle(&mut self, last: (f64, f64), at: (f64, f64), moved: Moved, expected_kg_per_s: f64) {
        let expected_kg = expected_kg_per_s.max(moved.grows()) * (at.0 - last.0);
        let (step_kg, room_kg) = (at.1 - last.1, STEP_KG + expected_kg);
        let as_before = |step_kg: f64| (step_kg - expected_kg).abs() <= room_kg;
        if as_before(step_kg) {
            self.stretch.clear();
            return self.counts(at, step_kg, expected_kg_per_s);
        }
        let runs_in = at.1 - moved.first.1 >= RUNS_IN_KG;
        if at.1 < self.jar_kg + self.beside_kg - AWAY_KG {
            if !moved.away && runs_in && moved.first.1.abs() <= ZERO_KG + expected_kg {
                self.jar_kg -= last.1;
                self.beside_kg = 0.0;
                self.anew(at, Anew::Tared);
            } else if runs_in && at.0 - moved.first.0 >= AWAY_S {
                self.changed(at, moved);
            } else {
                self.moved = Some(Moved { away: true, ..moved });
            }
        } else if self.beside_kg > 0.0 && as_before(step_kg + self.beside_kg) {
            self.beside_kg = 0.0;
            self.anew(at, Anew::Beside);
        } else if step_kg > 0.0 && !moved.away {
            self.beside_kg += step_kg - expected_kg;
            self.anew(at, Anew::Beside);
        } else if self.holds(at.1) >= SAME_SHARE * self.holds(last.1).max(HELD_KG) {
            self.anew(at, Anew::Poured);
        } else {
            self.changed(at, moved);
        }
    }

    /// What is in the jar where this stands on the scale, kg.
    fn holds(&self, kg: f64) -> f64 {
        kg - self.jar_kg - self.beside_kg
    }

    fn changed(&mut self, at: (f64, f64), moved: Moved) {
        self.jar_kg = moved.first.1;
        self.beside_kg = 0.0;
        self.anew(at, Anew::Changed);
    }

    /// What the reading of that moment told; nothing while something is done to the scale.
    #[must_use]
    pub fn told(&self, time_s: f64) -> Option<Weighed> {
        self.told.filter(|(at_s, _)| *at_s >= time_s).map(|(_, weighed)| weighed)
    }

    /// How fast it grows, kg/s; none for the first minute.
    #[must_use]
    pub fn rate_kg_per_s(&self) -> Option<f64> {
        let (first, last) = (self.stretch.front()?, self.stretch.back()?);
        if last.0 - first.0 < RATE_LEAST_S {
            return None;
        }
        let (older, newer) = self.stretch.as_slices();
        slope(&[older, newer].concat())
    }

    /// Whether nothing runs and nothing should, as the last reading told.
    #[must_use]
    pub fn rests(&self) -> bool {
        matches!(self.told, Some((_, Weighed::Rests)))
    }

    /// Whether it tells what runs: it is read, stands free and is not frozen.
    #[must_use]
    pub fn speaks(&self, now_s: f64) -> bool {
        self.last.is_some()
            && self.moved.is_none()
            && self.frozen_s.is_none()
            && !self.cadence.stale(now_s)
    }

    /// Since when something is done to it, s.
    #[must_use]
    pub fn moved_since_s(&self) -> Option<f64> {
        self.moved.and(self.counted_s())
    }

    /// Since when it stands still to the digit while spirit should run, s.
    #[must_use]
    pub const fn frozen_since_s(&self) -> Option<f64> {
        self.frozen_s
    }

    /// How far it can be trusted, where it is read.
    pub(crate) const fn quality(&self) -> Quality {
        if self.frozen_s.is_some() {
            Quality::Doubtful(Reason::Frozen)
        } else if self.moved.is_some() {
            Quality::Doubtful(Reason::Handled)
        } else {
            Quality::Good
        }
    }

    /// The last reading that counted, s.
    #[must_use]
    pub fn counted_s(&self) -> Option<f64> {
        self.last.map(|last| last.0)
    }
}

#[cfg(test)]
#[path = "scale_tests.rs"]
mod tests;
