//! A thermometer in the column of the simulated still, where its plan says where one sits: lag,
//! noise, steps, an offset of its own. Its chance is its own, so that all else is as without it.

use still::plan::RunPlan;
use still::running::RunningState;

use super::chance::Chance;
use super::probes::{LAG_S, NOISE_K, STEP_K, rounded};

/// How far off such probes are as sold (standard deviation), K: judgement.
const OFFSET_SD_K: f64 = 0.2;
/// Its draws are not those of the other probes.
const OWN_SEED: u64 = 0xc01a_3000_0000_0000;

/// The thermometer.
#[derive(Debug, Clone)]
pub(super) struct InColumn {
    chance: Chance,
    offset_k: f64,
    /// When it was read last, s, and what it shows without noise and offset, °C.
    last: Option<(f64, f64)>,
}

impl InColumn {
    /// The one of that plan; none where none is stated.
    pub(super) fn of(plan: &RunPlan, seed: u64) -> Option<Self> {
        plan.still.column_probe_fraction?;
        let mut chance = Chance::new(seed ^ OWN_SEED);
        let offset_k = OFFSET_SD_K * chance.normal();
        Some(Self { chance, offset_k, last: None })
    }

    /// What it shows, °C.
    pub(super) fn read(&mut self, now_s: f64, state: &RunningState) -> f64 {
        let shown_c = self.last.map_or(state.column_c, |(before_s, before_c)| {
            let share = 1.0 - (-(now_s - before_s) / LAG_S).exp();
            before_c + share * (state.column_c - before_c)
        });
        self.last = Some((now_s, shown_c));
        rounded(shown_c + self.offset_k + NOISE_K * self.chance.normal(), STEP_K)
    }
}
