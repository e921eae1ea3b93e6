//! A probe that stands still: so many equal readings in a row, over so long, gaps left out.

use crate::probe::Probe;
use crate::quality::Context;

/// So many equal readings in a row at least: a few far apart can well be alike (judgement).
pub(crate) const EQUAL_LEAST: u32 = 25;
/// A probe colder than this is not in a still that boils, °C.
pub(crate) const BOILING_C: f64 = 50.0;
/// Equal for so long it is stuck, s: head and pot thermometer of a pot still, then of a column. The
/// head of a column stands still by itself on its plateau, any other moves. Judgement: the longest
/// stretches of equal digits in 44 healthy recordings are shorter.
const STUCK_S: [[f64; 2]; 2] = [[660.0, 900.0], [2100.0, 1200.0]];

/// How long a probe may give the same digits in a still that boils, s; none = for ever.
pub(crate) const fn stuck_after_s(probe: Probe, pot: bool) -> Option<f64> {
    let [head_s, pot_s] = STUCK_S[!pot as usize];
    match probe {
        Probe::Head => Some(head_s),
        Probe::Pot => Some(pot_s),
        _ => None,
    }
}

/// The stretch of equal readings that a probe is in.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct StillStand {
    pub(crate) value: Option<f64>,
    pub(crate) since_s: f64,
    pub(crate) last_s: f64,
    /// Equal readings.
    pub(crate) rows: u32,
    /// Time between them, gaps left out, s.
    pub(crate) time_s: f64,
}

impl StillStand {
    /// Takes a reading; `gap` says that nothing is known of the time since the last.
    pub(crate) fn take(&mut self, time_s: f64, value: f64, gap: bool) {
        if self.value.is_some_and(|before| (before - value).abs() <= 1e-9) {
            self.time_s += if gap { 0.0 } else { time_s - self.last_s };
            self.rows = self.rows.saturating_add(1);
        } else {
            *self = Self { value: Some(value), since_s: time_s, rows: 1, ..Self::default() };
        }
        self.last_s = time_s;
    }

    /// Whether it has stood still for too long.
    pub(crate) fn stuck(&self, probe: Probe, pot: bool) -> bool {
        let hot = self.value.is_some_and(|value| value > BOILING_C);
        let long = stuck_after_s(probe, pot).is_some_and(|after_s| self.time_s >= after_s);
        hot && long && self.rows >= EQUAL_LEAST
    }

    /// Whether it stood still for too long in a still that boils now.
    pub(crate) fn frozen(&self, probe: Probe, context: &Context) -> bool {
        let in_vapour = context.vapour_s.is_some() && context.heat_on() && context.boils;
        in_vapour && self.stuck(probe, context.pot)
    }
}
