//! A scale under the jar of the simulated still, where one is asked for: empty jars of a kind, a
//! gram's step, half a gram's noise. Its chance is its own, so that all else is as without it.

use alcoholometry::kernel;
use still::running::RunningState;

use super::chance::Chance;

/// An empty jar, kg, and how much two of a kind differ (standard deviation), kg: judgement.
const JAR_KG: f64 = 0.42;
const JAR_SD_KG: f64 = 0.006;
/// Noise (standard deviation) and step of the scale, kg: judgement, a kitchen scale's.
const NOISE_KG: f64 = 0.0005;
const STEPS_PER_KG: f64 = 1000.0;
/// Its draws are not those of the other probes.
const OWN_SEED: u64 = 0x5ca1_e000_0000_0000;

/// The scale and the jar on it.
#[derive(Debug, Clone)]
pub(super) struct JarScale {
    chance: Chance,
    jar_kg: f64,
    /// Drawn when the jar was put there: litres at 20 °C, of pure alcohol.
    from: (f64, f64),
}

impl JarScale {
    pub(super) fn new(seed: u64) -> Self {
        Self { chance: Chance::new(seed ^ OWN_SEED), jar_kg: JAR_KG, from: (0.0, 0.0) }
    }

    /// Another jar is put there.
    pub(super) fn change(&mut self, state: &RunningState) {
        self.jar_kg = JAR_KG + JAR_SD_KG * self.chance.normal();
        self.from = (state.drawn.litres_20c, state.drawn.pure_alcohol_l);
    }

    /// What it shows, kg.
    pub(super) fn read(&mut self, state: &RunningState) -> f64 {
        let litres = (state.drawn.litres_20c - self.from.0).max(0.0);
        let alcohol_l = (state.drawn.pure_alcohol_l - self.from.1).max(0.0);
        let share = if litres > 0.0 { (alcohol_l / litres).min(1.0) } else { 0.0 };
        let p = kernel::mass_fraction_from_vol20(share);
        let spirit_kg = litres * kernel::density_kg_m3(p, 20.0) / 1000.0;
        let kg = self.jar_kg + spirit_kg + NOISE_KG * self.chance.normal();
        (kg * STEPS_PER_KG).round() / STEPS_PER_KG
    }
}
