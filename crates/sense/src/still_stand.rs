//! A probe that stands still, or flickers by one digit only: so many such readings in a row, over so
//! long, gaps left out.
//!
//! How long a sound probe gives the same digits goes by its noise, its steps and what it stands in.
//! Where it moved often before, five minutes are enough; where it did not, only what is longer than any
//! healthy stretch.

use crate::probe::Probe;
use crate::quality::Context;

/// So many equal readings in a row at least: a few far apart can well be alike (judgement).
pub(crate) const EQUAL_LEAST: u32 = 25;
/// A probe colder than this is not in a still that boils, °C.
pub(crate) const BOILING_C: f64 = 50.0;
/// Equal for so long it is stuck, s, whatever it did before: head and pot thermometer of a pot still,
/// then of a column. The head of a column stands still by itself on its plateau, any other moves.
/// Judgement: the longest stretches of equal digits in 44 healthy recordings are shorter.
const STUCK_S: [[f64; 2]; 2] = [[660.0, 900.0], [2100.0, 1200.0]];
/// A stretch is too long after this, s, where it is so many times as long as the longest of the hour
/// before, and from so many readings on. In 135 recordings that do not stand still 3 heads and pots do
/// so for as long, and none flickers so.
const SOON_S: f64 = 300.0;
const TIMES_AS_LONG: f64 = 6.0;
const SOON_LEAST: u32 = 20;
/// So many readings must have been seen to move before, and are remembered by halves of this, s.
const MOVED_LEAST: u32 = 40;
const HALF_S: f64 = 1800.0;
/// A sentinel of a broken probe that a thermometer happens to pass: so many equal readings, over so
/// long, s, and so many times as long as before, are none of a probe that moves (judgement: in 146
/// recordings no sound one stands on 85 °C so; for itself one stands there for 220 s).
const SENTINEL_S: f64 = 60.0;
const SENTINEL_LEAST: u32 = 8;

/// How long a probe may give the same digits in a still that boils, s; none = for ever.
pub(crate) const fn stuck_after_s(probe: Probe, pot: bool) -> Option<f64> {
    let [head_s, pot_s] = STUCK_S[!pot as usize];
    match probe {
        Probe::Head => Some(head_s),
        Probe::Pot => Some(pot_s),
        _ => None,
    }
}

/// Whether a probe has noise of its own while a still boils. A power meter, a cold pipe and a sensor
/// that shows nothing may well give one figure for long; a scale has its own rule.
const fn has_noise(probe: Probe) -> bool {
    matches!(
        probe,
        Probe::Head
            | Probe::Pot
            | Probe::Column
            | Probe::CoolantIn
            | Probe::CoolantOut
            | Probe::CoolantFlow
            | Probe::Pressure
            | Probe::Vent
    )
}

/// The stretch of readings within a width that a probe is in, and the longest before.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Stretch {
    low: f64,
    high: f64,
    since_s: f64,
    /// Readings in it, and time between them, gaps left out, s.
    rows: u32,
    time_s: f64,
    /// The longest of the half hour before and of this one, s, and since when, s.
    longest: [(f64, f64); 2],
    /// Readings of stretches that are over.
    moved: u32,
}

impl Stretch {
    fn take(&mut self, time_s: f64, value: f64, passed_s: f64, width: f64) {
        if self.rows > 0 && value >= self.high - width && value <= self.low + width {
            (self.low, self.high) = (self.low.min(value), self.high.max(value));
            self.time_s += passed_s;
            self.rows = self.rows.saturating_add(1);
            return;
        }
        let [_, now] = self.longest;
        if time_s - now.1 >= HALF_S {
            self.longest = [now, (self.time_s, time_s)];
        } else {
            self.longest[1].0 = now.0.max(self.time_s);
        }
        self.moved = self.moved.saturating_add(self.rows);
        (self.low, self.high, self.since_s) = (value, value, time_s);
        (self.rows, self.time_s) = (1, 0.0);
    }

    /// The longest of the last half hour to hour, s.
    fn before_s(&self) -> f64 {
        self.longest[0].0.max(self.longest[1].0)
    }

    /// Whether it is far longer than what this probe was seen to do.
    fn too_long(&self) -> bool {
        self.rows >= SOON_LEAST
            && self.moved >= MOVED_LEAST
            && self.time_s >= SOON_S.max(TIMES_AS_LONG * self.before_s())
    }
}

/// The stretches of equal readings, and of readings one digit apart, that a probe is in.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct StillStand {
    value: Option<f64>,
    last_s: f64,
    equal: Stretch,
    flicker: Stretch,
    /// The least that it was seen to move by.
    digit: Option<f64>,
}

impl StillStand {
    /// Takes a reading; `gap` says that nothing is known of the time since the last, `rests` that the
    /// probe may well keep its digit: the pot of a column at total reflux does.
    pub(crate) fn take(&mut self, time_s: f64, value: f64, gap: bool, rests: bool) {
        let passed_s = if gap || self.value.is_none() { 0.0 } else { time_s - self.last_s };
        if gap {
            // What it did before may have been another probe.
            self.flicker.moved = 0;
            self.equal.moved = 0;
        }
        let step = self.value.map(|before| (before - value).abs()).filter(|step| *step > 1e-9);
        self.digit = step.into_iter().chain(self.digit).reduce(f64::min);
        self.equal.take(time_s, value, passed_s, 1e-9);
        if rests {
            // What keeps its digit there tells nothing of how it moves elsewhere.
            self.flicker = Stretch::default();
        } else {
            self.flicker.take(time_s, value, passed_s, 1.001 * self.digit.unwrap_or(0.0));
        }
        (self.value, self.last_s) = (Some(value), time_s);
    }

    /// When the stretch it is in began, and its last reading, s.
    pub(crate) const fn times(&self) -> (f64, f64) {
        (self.equal.since_s, self.last_s)
    }

    /// Time without the least movement, gaps left out, s.
    pub(crate) const fn time_s(&self) -> f64 {
        self.equal.time_s
    }

    /// Whether it stands still for far longer than before.
    pub(crate) fn far_too_long(&self) -> bool {
        self.equal.too_long()
    }

    /// Whether it has stood still for too long.
    pub(crate) fn stuck(&self, probe: Probe, pot: bool) -> bool {
        let hot = !probe.in_the_boil() || self.value.is_some_and(|value| value > BOILING_C);
        let long = stuck_after_s(probe, pot).is_some_and(|after_s| self.equal.time_s >= after_s);
        let nothing = self.value.is_none_or(|value| value == 0.0);
        let soon = has_noise(probe) && !nothing && self.equal.too_long();
        hot && ((long && self.equal.rows >= EQUAL_LEAST) || soon)
    }

    /// Whether it stood still for too long in a still that boils now.
    pub(crate) fn frozen(&self, probe: Probe, context: &Context) -> bool {
        in_vapour(context) && self.stuck(probe, context.pot)
    }

    /// Whether only its last digit has moved for too long in a still that boils now.
    pub(crate) fn flickers(&self, probe: Probe, context: &Context) -> bool {
        let hot = !probe.in_the_boil() || self.value.is_some_and(|value| value > BOILING_C);
        let two = self.flicker.high > self.flicker.low;
        in_vapour(context) && has_noise(probe) && hot && two && self.flicker.too_long()
    }

    /// Whether a value that broken probes send is one here: it stands on it, and moved before.
    pub(crate) fn stands_on(&self, value: f64) -> bool {
        self.value.is_some_and(|here| (here - value).abs() < 1e-9)
            && self.equal.rows >= SENTINEL_LEAST
            && self.equal.moved >= SENTINEL_LEAST
            && self.equal.time_s >= SENTINEL_S.max(TIMES_AS_LONG * self.equal.before_s())
    }
}

fn in_vapour(context: &Context) -> bool {
    context.vapour_s.is_some() && context.heat_on() && context.boils
}

#[cfg(test)]
mod tests {
    use super::{Context, Probe, StillStand};

    const BOILS: Context = Context {
        heat_w: 1800.0,
        said_w: 1800.0,
        vapour_s: Some(1000.0),
        boils: true,
        head_never_hot: false,
        pot: false,
        runs_kg_per_s: 0.0,
        heat_most_w: 0.0,
    };

    /// Readings each ten seconds: noise of two digits of 0.1 for so many, then `then`.
    fn after(noisy: u32, still: u32, then: impl Fn(u32) -> f64) -> StillStand {
        let mut same = StillStand::default();
        for row in 0..noisy + still {
            let noise = 0.1 * f64::from((row * 7) % 3);
            let value = if row < noisy { 78.0 + noise } else { then(row) };
            same.take(10.0 * f64::from(row), value, false, false);
        }
        same
    }

    #[test]
    fn a_probe_with_noise_that_freezes_is_found_in_five_minutes() {
        for probe in [Probe::Head, Probe::Pot, Probe::Column, Probe::CoolantFlow, Probe::Vent] {
            assert!(after(100, 32, |_| 78.1).frozen(probe, &BOILS), "{probe:?}");
            assert!(!after(100, 29, |_| 78.1).frozen(probe, &BOILS), "{probe:?}");
            assert!(!after(20, 32, |_| 78.1).frozen(probe, &BOILS), "it is not known yet");
        }
        assert!(!after(100, 32, |_| 78.1).frozen(Probe::Heater, &BOILS), "it may well be steady");
        assert!(!after(100, 90, |_| 0.0).frozen(Probe::CoolantFlow, &BOILS), "no flow is a flow");
        let heats_up = Context { boils: false, ..BOILS };
        assert!(!after(100, 32, |_| 78.1).frozen(Probe::Head, &heats_up));
    }

    #[test]
    fn a_probe_whose_last_digit_alone_moves_is_found_where_more_moved_before() {
        let flicker = |row: u32| 78.1 + 0.1 * f64::from(row % 2);
        assert!(after(100, 40, flicker).flickers(Probe::Head, &BOILS));
        assert!(!after(100, 29, flicker).flickers(Probe::Head, &BOILS));
        assert!(!after(0, 400, flicker).flickers(Probe::Head, &BOILS), "so it always was");
    }

    #[test]
    fn a_pot_at_total_reflux_says_nothing_of_how_it_moves_while_spirit_is_drawn() {
        let mut same = StillStand::default();
        for row in 0..240_u32 {
            let value = 94.3 + 0.1 * f64::from(row * 7 % 3 % 2);
            same.take(10.0 * f64::from(row), value, false, row < 200);
            assert!(!same.flickers(Probe::Pot, &BOILS), "{row}");
        }
    }

    #[test]
    fn a_thermometer_that_stops_at_85_is_broken_and_one_that_passes_it_is_not() {
        let rises = |row: u32| 84.0 + 0.05 * f64::from(row);
        let mut pot = StillStand::default();
        for row in 0..40_u32 {
            pot.take(10.0 * f64::from(row), rises(row).min(85.0), false, false);
        }
        assert!(pot.stands_on(85.0));
        let mut passes = StillStand::default();
        let broken = (0..60_u32).any(|row| {
            passes.take(10.0 * f64::from(row), rises(row), false, false);
            passes.stands_on(85.0)
        });
        assert!(!broken);
    }
}
