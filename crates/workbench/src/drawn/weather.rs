//! What nobody at the still decides: mains, air, the barometer, the coolant and a valve that creeps.

use still::plan::Site;

use super::chance::{Chance, Wander};

/// A change of the weather.
#[derive(Debug, Clone, Copy)]
pub(super) struct Front {
    since_s: f64,
    over_s: f64,
    hpa: f64,
}

/// All that wanders.
#[derive(Debug, Clone)]
pub(super) struct Weather {
    /// Pressure at the start, hPa.
    pub(super) pressure_hpa: f64,
    pub(super) front: Option<Front>,
    pub(super) label: f64,
    barometer_hpa: Wander,
    mains: Wander,
    draught: Wander,
    ambient_k: Wander,
    coolant_k: Wander,
    valve: Wander,
    creep_per_h: f64,
    time_s: f64,
}

impl Weather {
    pub(super) fn draw(chance: &mut Chance, site: &Site, heated_s: f64) -> Self {
        let front = chance.happens(0.2).then(|| Front {
            since_s: heated_s * chance.between((0.5, 2.5)),
            over_s: chance.between((3600.0, 10_800.0)),
            hpa: chance.one_of(&[-1.0, 1.0]) * chance.between((4.0, 10.0)),
        });
        Self {
            // The owner reads the barometer to a whole hPa or two.
            pressure_hpa: site.pressure_hpa + chance.normal(1.0),
            front,
            label: chance.factor(0.015),
            barometer_hpa: Wander { off: 0.0, sd: 1.0, memory_s: 14_400.0 },
            mains: Wander::new(chance, 0.012, 1800.0),
            draught: Wander::new(chance, 0.06, 1200.0),
            ambient_k: Wander::new(chance, 1.0, 7200.0),
            coolant_k: Wander::new(chance, 0.3, 3600.0),
            valve: Wander::new(chance, 0.03, 7200.0),
            creep_per_h: chance.normal(0.01),
            time_s: 0.0,
        }
    }

    pub(super) fn go_on(&mut self, chance: &mut Chance, seconds: f64) {
        self.time_s += seconds;
        let all = [
            &mut self.barometer_hpa,
            &mut self.mains,
            &mut self.draught,
            &mut self.ambient_k,
            &mut self.coolant_k,
            &mut self.valve,
        ];
        for one in all {
            one.go_on(chance, seconds);
        }
    }

    /// Station pressure now, hPa.
    pub(super) fn hpa(&self) -> f64 {
        let front = self.front.map_or(0.0, |front| {
            front.hpa * ((self.time_s - front.since_s) / front.over_s).clamp(0.0, 1.0)
        });
        self.pressure_hpa + self.barometer_hpa.off + front
    }

    /// What the heater gives of what its label says.
    pub(super) fn heater(&self) -> f64 {
        self.label * (1.0 + self.mains.off)
    }

    /// Loss of the walls over that in calm air.
    pub(super) fn draught(&self) -> f64 {
        (1.0 + self.draught.off).max(0.5)
    }

    /// What a valve gives of what it was set to.
    pub(super) fn valve(&self) -> f64 {
        1.0 + self.valve.off - self.creep_per_h * self.time_s / 3600.0
    }

    pub(super) fn ambient_c(&self, site: &Site) -> f64 {
        site.ambient_c + self.ambient_k.off
    }

    pub(super) fn coolant_in_c(&self, site: &Site) -> f64 {
        site.coolant_in_c + self.coolant_k.off
    }
}
