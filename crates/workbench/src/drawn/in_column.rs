//! A thermometer in the column, where the owner has one: where it sits, how it errs, what breaks.
//!
//! Its chance is its own, so that a run with it is the run without it and one column more.

use super::chance::{Chance, NOISE_K};
use super::plant::{Around, Build, Plant};

/// Its draws are not those of the run.
const OWN_SEED: u64 = 0x00c0_1a3b_0000_0000;
/// Where it really sits, shares of the column's height by its stages.
const PLACE: (f64, f64) = (0.35, 0.65);
/// How far what the owner measures is off, and how far packing is worth more in one place than in
/// another, shares of the height (standard deviations, judgement).
const RULE_SD: f64 = 0.03;
const UNEVEN_SD: f64 = 0.05;
/// Its offset, K (standard deviation, judgement): as sold, and a stem that reaches into the room.
const OFFSET_SD_K: f64 = 0.3;
/// How often it drifts, and by how much, K/h; how often it shows something else, and by how much, K
/// (judgement).
const DRIFTS: f64 = 0.08;
const DRIFT_K_PER_H: (f64, f64) = (0.2, 0.8);
const WRONG: f64 = 0.04;
const WRONG_K: (f64, f64) = (3.0, 6.0);

/// The thermometer.
#[derive(Debug, Clone)]
pub(super) struct InColumn {
    chance: Chance,
    place: f64,
    /// The height that its owner states.
    pub(super) stated: f64,
    /// How much of it is in the liquid that trickles, the rest in the vapour.
    wet: f64,
    lag_s: f64,
    offset_k: f64,
    drift_k_per_h: f64,
    shown_c: Option<f64>,
}

impl InColumn {
    /// That of the run at a place of the collection.
    pub(super) fn draw(seed: u64, place: usize) -> Self {
        let mut chance = Chance::new(seed ^ OWN_SEED, place);
        let sits = chance.between(PLACE);
        let stated = sits + chance.normal(RULE_SD) + chance.normal(UNEVEN_SD);
        let either = |chance: &mut Chance, size| chance.one_of(&[-1.0, 1.0]) * chance.between(size);
        let offset_k = chance.normal(OFFSET_SD_K);
        let wrong = chance.happens(WRONG);
        let offset_k = if wrong { either(&mut chance, WRONG_K) } else { offset_k };
        let drifts = chance.happens(DRIFTS) && !wrong;
        Self {
            place: sits,
            stated: (100.0 * stated.clamp(0.05, 0.95)).round() / 100.0,
            wet: chance.between((0.0, 1.0)),
            lag_s: chance.between((20.0, 120.0)),
            offset_k,
            drift_k_per_h: if drifts { either(&mut chance, DRIFT_K_PER_H) } else { 0.0 },
            shown_c: None,
            chance,
        }
    }

    /// What is the matter with it.
    pub(super) fn fault(&self) -> &'static str {
        if self.drift_k_per_h != 0.0 {
            "drift"
        } else if self.offset_k.abs() >= WRONG_K.0 {
            "wrong"
        } else {
            "none"
        }
    }

    /// It follows what it stands in for so long.
    pub(super) fn follow(&mut self, plant: &Plant, around: &Around, seconds: f64) {
        let celsius = plant.column_c(self.place, self.wet, around);
        let before = self.shown_c.unwrap_or(celsius);
        let share = 1.0 - (-seconds / self.lag_s).exp();
        self.shown_c = Some(before + share * (celsius - before));
    }

    /// What it shows, to sixteenths of a kelvin.
    pub(super) fn read(&mut self, time_s: f64, ambient_c: f64) -> f64 {
        let off_k = self.offset_k + self.drift_k_per_h * time_s / 3600.0;
        let celsius = self.shown_c.unwrap_or(ambient_c) + off_k + self.chance.normal(NOISE_K);
        (celsius * 16.0).round() / 16.0
    }
}

impl Plant {
    /// A thermometer at that share of the column's height, so much of it wet, °C.
    pub(super) fn column_c(&self, height: f64, wet: f64, around: &Around) -> f64 {
        let Build { stages, efficiency, drop_pa, .. } = self.build;
        if !self.is_boiling() || self.build.is_pot {
            return self.head_c(around);
        }
        let place = (height * stages as f64 - 0.5).clamp(0.0, (stages - 1) as f64);
        let (mut y, mut below) = (self.pot_y(around), None);
        for stage in 0..stages {
            let pa = around.top_pa + (stages - stage) as f64 * drop_pa;
            let at = self.boiling_at(stage, pa);
            y += efficiency * (at.y - y);
            if stage as f64 + 1.0 <= place {
                continue;
            }
            let celsius = self.mixed_c(wet, (at.kelvin, y), pa);
            match below {
                None if stage as f64 >= place => return celsius,
                None => below = Some(celsius),
                Some(low) => return low + place.fract() * (celsius - low),
            }
        }
        below.unwrap_or_else(|| self.head_c(around))
    }
}
