//! The probes of the simulated still: lag, noise, and the steps of a digital thermometer.

use still::plan::RunPlan;
use still::running::RunningState;

use super::chance::Chance;
use sense::{Probe, Reading};

/// Lag of the thermometers of head, pot and coolant outlet, s: standing water warms that fast too.
pub(super) const LAG_S: f64 = 45.0;
/// Noise of a thermometer (standard deviation) and its step, K.
pub(super) const NOISE_K: f64 = 0.03;
pub(super) const STEP_K: f64 = 0.0625;
/// Noise of the coolant thermometers, K; of the flow, L/min; of the power, relative; of the
/// barometer, hPa.
const COOLANT_NOISE_K: f64 = 0.08;
const FLOW_NOISE_L_PER_MIN: f64 = 0.01;
const POWER_NOISE: f64 = 0.004;
const PRESSURE_NOISE_HPA: f64 = 0.1;

/// What the lagging probes show without noise.
#[derive(Debug, Clone, Default)]
pub(super) struct Probes {
    last: Option<(f64, [f64; 3])>,
}

pub(super) fn rounded(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

/// Rounded to so many decimals, through the division that reading the decimals back makes.
fn decimals(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit
}

impl Probes {
    /// One row of readings.
    pub(super) fn read(
        &mut self,
        now_s: f64,
        state: &RunningState,
        plan: &RunPlan,
        coolant_l_per_min: f64,
        chance: &mut Chance,
    ) -> Reading {
        let true_c = [state.head_c, state.pot_c, state.coolant_out_c];
        let shown_c = self.last.map_or(true_c, |(before_s, before_c)| {
            let share = 1.0 - (-(now_s - before_s) / LAG_S).exp();
            std::array::from_fn(|i| before_c[i] + share * (true_c[i] - before_c[i]))
        });
        self.last = Some((now_s, shown_c));
        let [head_c, pot_c, out_c] = shown_c;
        let in_c = plan.site.coolant_in_c;
        let flows = coolant_l_per_min > 0.0;
        let mut noisy = |value: f64, noise: f64| value + noise * chance.normal();
        // The order of the lines is the order of the draws: one seed, one run.
        Reading::default()
            .with(Probe::Head, rounded(noisy(head_c, NOISE_K), STEP_K))
            .with(Probe::Pot, rounded(noisy(pot_c, NOISE_K), STEP_K))
            .with(Probe::CoolantIn, rounded(noisy(in_c, COOLANT_NOISE_K), STEP_K))
            .with(Probe::CoolantOut, rounded(noisy(out_c, COOLANT_NOISE_K), STEP_K))
            .with(
                Probe::CoolantFlow,
                if flows {
                    decimals(noisy(coolant_l_per_min, FLOW_NOISE_L_PER_MIN).max(0.0), 100.0)
                } else {
                    0.0
                },
            )
            .with(Probe::Heater, (state.heater.watts() * noisy(1.0, POWER_NOISE)).max(0.0).round())
            .with(
                Probe::Pressure,
                decimals(noisy(state.pressure.hectopascals(), PRESSURE_NOISE_HPA), 10.0),
            )
    }
}
