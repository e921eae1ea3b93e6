//! What is assumed where a person said nothing: congeners by kind of charge, a whole still from
//! its kind, litres and heater.

use std::collections::BTreeMap;

use super::{Charge, ChargeKind, Still, StillKind};

/// The three things a person must say about a still of their own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnStill {
    /// Pot head or reflux column.
    pub kind: StillKind,
    /// Boiler volume, L.
    pub boiler_litres: f64,
    /// Each heating element, W.
    pub elements_watts: Vec<f64>,
}

/// The keys that [`OwnStill::complete`] assumes.
const DEFAULTED: [&str; 10] = [
    "element_cover_litres",
    "stages",
    "holdup_litres",
    "drum_fraction",
    "boiler_loss_w_per_k",
    "column_loss_w_per_k",
    "metal_kj_per_k",
    "column_metal_kj_per_k",
    "pressure_drop_pa_per_stage",
    "max_takeoff_ml_per_min",
];

// Assumptions about the usual build, from memory and common practice, no source. Each is a key of
// the still that its owner can set, so none of them is more than a first guess.

/// Boiler taken as an upright cylinder a little taller than wide: height over diameter.
const HEIGHT_PER_DIAMETER: f64 = 1.2;
/// Loss of bare warm metal in still air, W/m²K: about half natural convection, half radiation.
const BARE_LOSS_W_PER_M2_K: f64 = 9.0;
/// Loss of a column wrapped in a finger of foam or felt, W/m²K.
const WRAPPED_LOSS_W_PER_M2_K: f64 = 3.0;
/// 1.2 mm of stainless steel (7900 kg/m³, 0.5 kJ/kgK), half as much again for lid and fittings.
const BOILER_METAL_KJ_PER_M2_K: f64 = 0.0012 * 7900.0 * 0.5 * 1.5;
/// Liquid that stands over a low element: 5 cm of the boiler's floor.
const COVER_DEPTH_M: f64 = 0.05;
/// A 50 mm column carries about 2.2 kW of vapour; its cross-section grows with the power.
const COLUMN_DIAMETER_M: f64 = 0.050;
/// The power that goes with [`COLUMN_DIAMETER_M`].
const COLUMN_WATTS: f64 = 2200.0;
/// About 12 stages of packing with the head.
const COLUMN_HEIGHT_M: f64 = 1.2;
/// Stages of such a column.
const COLUMN_STAGES: f64 = 12.0;
/// Liquid held by 1 m of wetted packing and a small condenser: 13 % of the column's inside.
const HELD_SHARE: f64 = 0.13;
/// A small boiler with a big heater still has a column in proportion: share of the boiler.
const HELD_OF_BOILER_MAX: f64 = 0.03;
/// 1.5 mm of steel wall, kJ per m² and K.
const COLUMN_WALL_KJ_PER_M2_K: f64 = 0.0015 * 7900.0 * 0.5;
/// Packing of 10 % steel by volume, kJ per m³ and K.
const PACKING_KJ_PER_M3_K: f64 = 0.10 * 7900.0 * 0.5;
/// A pot's head and arm against its boiler, by surface.
const POT_HEAD_AREA_SHARE: f64 = 0.25;
/// Film and pool in a pot's condenser, litres per litre of boiler.
const POT_HELD_PER_LITRE: f64 = 0.004;
/// Condensed vapour of strong spirit, mL/min at 20 °C per watt: 60 s x 44.1 mL/mol / 39 kJ/mol.
const CONDENSATE_ML_PER_MIN_W: f64 = 60.0 * 44.1 / 39_000.0;
/// Share of the vapour a column gives at its fastest (reflux ratio 1.5).
const COLUMN_DRAWN_SHARE: f64 = 0.4;

impl OwnStill {
    /// The whole still, and the names of the keys that were assumed.
    #[must_use]
    pub fn complete(&self, name: &str) -> (Still, Vec<&'static str>) {
        let watts: f64 = self.elements_watts.iter().sum();
        let boiler = Cylinder::of_litres(self.boiler_litres);
        let head = match self.kind {
            StillKind::Pot => Head::pot(self.boiler_litres, boiler.surface_m2()),
            StillKind::Column => Head::column(self.boiler_litres, watts),
        };
        let still = Still {
            name: name.to_owned(),
            kind: self.kind,
            boiler_litres: self.boiler_litres,
            elements_watts: self.elements_watts.clone(),
            element_cover_litres: tidy(boiler.floor_m2() * COVER_DEPTH_M * 1000.0),
            stages: head.stages,
            efficiency: None,
            reflux_c: None,
            holdup_litres: tidy(head.holdup_litres),
            drum_fraction: 0.15,
            boiler_loss_w_per_k: tidy(boiler.surface_m2() * BARE_LOSS_W_PER_M2_K),
            column_loss_w_per_k: tidy(head.loss_w_per_k),
            metal_kj_per_k: tidy(boiler.surface_m2() * BOILER_METAL_KJ_PER_M2_K),
            column_metal_kj_per_k: tidy(head.metal_kj_per_k),
            pressure_drop_pa_per_stage: head.drop_pa,
            max_takeoff_ml_per_min: tidy(head.drawn_share * watts * CONDENSATE_ML_PER_MIN_W),
        };
        (still, DEFAULTED.to_vec())
    }
}

/// Two significant digits: a guess should look like one.
fn tidy(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    // The shortest decimal text of two digits is also the nearest float to what a person reads.
    format!("{value:.1e}").parse().unwrap_or(value)
}

/// The boiler's shape.
struct Cylinder {
    diameter_m: f64,
}

impl Cylinder {
    fn of_litres(litres: f64) -> Self {
        let volume_m3 = litres / 1000.0;
        let diameter_m = (4.0 * volume_m3 / (std::f64::consts::PI * HEIGHT_PER_DIAMETER)).cbrt();
        Self { diameter_m }
    }

    fn floor_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.diameter_m.powi(2)
    }

    fn surface_m2(&self) -> f64 {
        std::f64::consts::PI * HEIGHT_PER_DIAMETER * self.diameter_m.powi(2) + 2.0 * self.floor_m2()
    }
}

/// What stands on the boiler.
struct Head {
    stages: f64,
    holdup_litres: f64,
    loss_w_per_k: f64,
    metal_kj_per_k: f64,
    drop_pa: f64,
    drawn_share: f64,
}

impl Head {
    fn column(boiler_litres: f64, watts: f64) -> Self {
        let diameter_m = COLUMN_DIAMETER_M * (watts / COLUMN_WATTS).sqrt();
        let wall_m2 = std::f64::consts::PI * diameter_m * COLUMN_HEIGHT_M;
        let inside_m3 = std::f64::consts::FRAC_PI_4 * diameter_m.powi(2) * COLUMN_HEIGHT_M;
        Self {
            stages: COLUMN_STAGES,
            holdup_litres: (HELD_SHARE * inside_m3 * 1000.0)
                .min(HELD_OF_BOILER_MAX * boiler_litres),
            loss_w_per_k: wall_m2 * WRAPPED_LOSS_W_PER_M2_K,
            metal_kj_per_k: wall_m2 * COLUMN_WALL_KJ_PER_M2_K + inside_m3 * PACKING_KJ_PER_M3_K,
            drop_pa: 25.0,
            drawn_share: COLUMN_DRAWN_SHARE,
        }
    }

    fn pot(boiler_litres: f64, boiler_m2: f64) -> Self {
        let head_m2 = POT_HEAD_AREA_SHARE * boiler_m2;
        Self {
            stages: 1.0,
            holdup_litres: POT_HELD_PER_LITRE * boiler_litres,
            loss_w_per_k: head_m2 * BARE_LOSS_W_PER_M2_K,
            metal_kj_per_k: head_m2 * BOILER_METAL_KJ_PER_M2_K,
            drop_pa: 25.0,
            // A pot is never held back: what boils is drawn.
            drawn_share: 1.0,
        }
    }
}

/// Strongest charge that still passes for a sugar wash where the kind is not said, % vol.
const WASH_STRENGTH_MAX_VOL: f64 = 18.0;

/// Default congeners, mg per litre of charge, where the plan names none.
///
/// Orders of magnitude from memory, unsourced: they show where heads and fusel alcohols go, not
/// how much of them this charge really holds. Without a kind a charge of up to 18 % vol counts as
/// a sugar wash, a stronger one as low wines.
#[must_use]
pub fn default_congeners_mg_per_l(charge: &Charge) -> BTreeMap<String, f64> {
    let guessed = if charge.strength_vol <= WASH_STRENGTH_MAX_VOL {
        ChargeKind::SugarWash
    } else {
        ChargeKind::LowWines
    };
    let amounts = match charge.kind.unwrap_or(guessed) {
        ChargeKind::SugarWash => [10.0, 40.0, 30.0, 25.0, 40.0, 120.0, 300.0],
        ChargeKind::GrainWash => [10.0, 30.0, 25.0, 30.0, 60.0, 150.0, 250.0],
        ChargeKind::FruitWash => [300.0, 50.0, 80.0, 40.0, 60.0, 180.0, 400.0],
        ChargeKind::LowWines => [60.0, 80.0, 120.0, 90.0, 180.0, 500.0, 150.0],
    };
    let names = [
        "methanol",
        "acetaldehyde",
        "ethyl_acetate",
        "1-propanol",
        "2-methyl-1-propanol",
        "3-methyl-1-butanol",
        "acetic_acid",
    ];
    names.into_iter().map(str::to_owned).zip(amounts).collect()
}

#[cfg(test)]
mod tests {
    use thermo::Component;

    use super::super::{ChargeKind, StillKind, test_plan};
    use super::{OwnStill, default_congeners_mg_per_l};

    #[test]
    fn a_completed_still_passes_its_own_check() {
        for kind in [StillKind::Pot, StillKind::Column] {
            for (litres, watts) in [(5.0, 800.0), (5.0, 3000.0), (25.0, 2200.0), (200.0, 9000.0)] {
                let own =
                    OwnStill { kind, boiler_litres: litres, elements_watts: vec![watts * 0.5; 2] };
                let (still, assumed) = own.complete("Mine");
                assert_eq!(still.check(), Ok(()), "{still:?}");
                assert!(still.element_cover_litres < 0.5 * litres, "{still:?}");
                assert!(still.holdup_litres <= 0.031 * litres, "{still:?}");
                assert_eq!(assumed.len(), 10);
            }
        }
    }

    #[test]
    fn regress_a_common_small_column_is_guessed_as_its_owners_describe_it() {
        // Common practice, no source: a 25 L boiler with 2.2 kW holds about 0.3 L in 12 stages.
        let own = OwnStill {
            kind: StillKind::Column,
            boiler_litres: 25.0,
            elements_watts: vec![500.0, 1700.0],
        };
        let (still, _) = own.complete("Mine");
        assert!((still.holdup_litres - 0.3).abs() < 0.05, "{still:?}");
        assert!((3.0..6.0).contains(&still.boiler_loss_w_per_k), "{still:?}");
        assert!((40.0..80.0).contains(&still.max_takeoff_ml_per_min), "{still:?}");
        assert!((still.stages - 12.0).abs() < f64::EPSILON);
    }

    #[test]
    fn congeners_follow_the_kind_and_else_the_strength() {
        let mut charge = test_plan().charge;
        charge.kind = None;
        charge.strength_vol = 18.0;
        assert!((default_congeners_mg_per_l(&charge)["methanol"] - 10.0).abs() < 1e-12);
        charge.strength_vol = 18.1;
        assert!((default_congeners_mg_per_l(&charge)["methanol"] - 60.0).abs() < 1e-12);
        charge.kind = Some(ChargeKind::FruitWash);
        let fruit = default_congeners_mg_per_l(&charge);
        assert!((fruit["methanol"] - 300.0).abs() < 1e-12);
        assert!(fruit.keys().all(|name| Component::from_name(name).is_some()));
    }
}
