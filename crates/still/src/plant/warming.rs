//! A pot that warms or cools below the boil, under a steady heater.

use crate::column::Apparatus;
use crate::equilibrium::Equilibrium;

/// Panels of the heating quadrature; five-point Gauss in each leaves less than 1e-6 s.
const PANELS: usize = 8;
/// Longest Runge-Kutta step, s, and the most of them (longer ones then): some 1e-9 K.
const STEP_S: f64 = 120.0;
const STEPS_MAX: f64 = 64.0;

/// Heat capacity of liquid and boiler, and what the boiler loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Warming {
    loss_w_k: f64,
    ambient_k: f64,
    /// Heat capacity over temperature, J/K: quadratic through three exact points (the liquids'
    /// polynomials are quadratic, so it is exact).
    capacity: [f64; 3],
}

impl Warming {
    pub(super) fn of<const C: usize, E: Equilibrium<C>>(
        equilibrium: &E,
        apparatus: &Apparatus,
        moles: &[f64; C],
    ) -> Self {
        let at = |temperature_k: f64| {
            let cp = equilibrium.heat_capacities(temperature_k);
            apparatus.boiler_metal_j_k + (0..C).map(|i| moles[i] * cp[i]).sum::<f64>()
        };
        let (low, middle, high) = (at(290.0), at(330.0), at(370.0));
        let capacity = [middle, (high - low) / 80.0, (high - 2.0 * middle + low) / 3200.0];
        Self { loss_w_k: apparatus.boiler_loss_w_k, ambient_k: apparatus.ambient_k, capacity }
    }

    fn capacity_j_k(&self, temperature_k: f64) -> f64 {
        let d = temperature_k - 330.0;
        self.capacity[0] + d * (self.capacity[1] + d * self.capacity[2])
    }

    /// Heat that is not lost through the boiler's wall, W.
    pub(super) fn net_w(&self, heater_w: f64, temperature_k: f64) -> f64 {
        heater_w - self.loss_w_k * (temperature_k - self.ambient_k)
    }

    /// Warms or cools from `from_k`, until `until_s` or until it boils at `boil_k`: time and
    /// temperature there.
    pub(super) fn go(
        &self,
        heater_w: f64,
        (from_s, until_s): (f64, f64),
        (from_k, boil_k): (f64, f64),
    ) -> (f64, f64) {
        if from_k >= boil_k && self.net_w(heater_w, from_k) >= 0.0 {
            return (from_s, from_k);
        }
        if self.net_w(heater_w, boil_k) > 0.0 && from_k < boil_k {
            let boil_s = from_s + self.time_to(heater_w, from_k, boil_k);
            if boil_s <= until_s {
                return (boil_s, boil_k);
            }
        }
        let reached_k = self.after(heater_w, from_k, until_s - from_s);
        (until_s, reached_k.min(boil_k.max(from_k)))
    }

    /// Seconds from one temperature to a higher one, with heat to spare at both.
    fn time_to(&self, heater_w: f64, from_k: f64, to_k: f64) -> f64 {
        const NODES: [(f64, f64); 5] = [
            (0.0, 128.0 / 225.0),
            (-0.5384693101056831, 0.4786286704993665),
            (0.5384693101056831, 0.4786286704993665),
            (-0.9061798459386640, 0.2369268850561891),
            (0.9061798459386640, 0.2369268850561891),
        ];
        let half = (to_k - from_k) / (2.0 * PANELS as f64);
        let mut sum = 0.0;
        for panel in 0..PANELS {
            let middle = from_k + half * (2 * panel + 1) as f64;
            for (node, weight) in NODES {
                let t = middle + half * node;
                sum += weight * self.capacity_j_k(t) / self.net_w(heater_w, t);
            }
        }
        sum * half
    }

    /// Temperature after so many seconds, nothing boiling.
    pub(super) fn after(&self, heater_w: f64, from_k: f64, seconds: f64) -> f64 {
        let steps = (seconds / STEP_S).ceil().clamp(1.0, STEPS_MAX);
        let step_s = seconds / steps;
        let rate = |k: f64| self.net_w(heater_w, k) / self.capacity_j_k(k);
        let mut k = from_k;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 64")]
        for _ in 0..steps as usize {
            let a = rate(k);
            let b = rate(k + 0.5 * step_s * a);
            let c = rate(k + 0.5 * step_s * b);
            let d = rate(k + step_s * c);
            k += step_s / 6.0 * (a + 2.0 * b + 2.0 * c + d);
        }
        k
    }
}
