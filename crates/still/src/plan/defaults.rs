//! What is assumed where a person said nothing: congeners by kind of charge, a whole still from
//! its kind, litres and heater.

use std::collections::BTreeMap;

use quantities::Power;

use super::measured::{Derived, Measured, Metal};
use super::probe::MID_COLUMN;
use super::surface::loss_w_per_m2_k;
use super::{Charge, ChargeKind, HeadPlace, HeatSource, Still, StillKind};

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
/// What is hot above the packing, m: head, bend and the pipe to where the vapour condenses (judgement).
const HEAD_M: f64 = 0.8;
/// Outside of a tube with its flanges and clamps over the inside (judgement).
const OUTSIDE_SHARE: f64 = 1.25;
/// 1.2 mm of stainless steel (handbook: 7900 kg/m³, 0.5 kJ/kgK), half as much again for lid and
/// fittings.
const BOILER_METAL_KJ_PER_M2_K: f64 = 0.0012 * 7900.0 * 0.5 * 1.5;
/// Liquid that stands over a low element: 5 cm of the boiler's floor.
const COVER_DEPTH_M: f64 = 0.05;
/// A small boiler with a big heater still has a column in proportion: share of the boiler.
const HELD_OF_BOILER_MAX: f64 = 0.03;
/// 1.5 mm of steel wall, kJ per m² and K.
const COLUMN_WALL_KJ_PER_M2_K: f64 = 0.0015 * 7900.0 * 0.5;
/// Copper against steel of the same build (handbook): 8960 kg/m³ x 0.385 kJ/kgK over 7900 x 0.5,
/// walls alike.
const COPPER_SHARE: f64 = 8960.0 * 0.385 / (7900.0 * 0.5);
/// Share of the elements that a run usually takes (judgement).
const RUN_OF_ELEMENTS: f64 = 0.5;
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
        let (still, derived) = self.derive(name, &Measured::default());
        (still, derived.into_iter().map(|one| one.key).collect())
    }

    /// Heater powers that a plan begins with: to heat up, all elements; to run, what the column
    /// carries with something to spare, or half of the elements where that is not known (judgement).
    #[must_use]
    pub fn heater_powers(&self, measured: &Measured) -> (Power, Power) {
        let watts: f64 = self.elements_watts.iter().sum();
        let run = match measured.diameter_mm {
            Some(_) if self.kind == StillKind::Column => measured.run_watts(watts),
            _ => RUN_OF_ELEMENTS * watts,
        };
        (Power::nearest_watts(watts), Power::nearest_watts(run))
    }

    /// The whole still from what was measured, and each key that follows with what it follows from.
    #[must_use]
    pub fn derive(&self, name: &str, measured: &Measured) -> (Still, Vec<Derived>) {
        let watts: f64 = self.elements_watts.iter().sum();
        let boiler = Cylinder::of_litres(self.boiler_litres);
        let head = match self.kind {
            StillKind::Pot => Head::pot(self.boiler_litres, watts, &boiler, measured),
            StillKind::Column => Head::column(self.boiler_litres, watts, measured),
        };
        let wall = Wall::of(measured.metal);
        let still = Still {
            name: name.to_owned(),
            kind: self.kind,
            boiler_litres: self.boiler_litres,
            heat_source: HeatSource::default(),
            elements_watts: self.elements_watts.clone(),
            element_cover_litres: tidy(boiler.floor_m2() * COVER_DEPTH_M * 1000.0),
            stages: head.stages,
            efficiency: None,
            head_place: HeadPlace::default(),
            reflux_c: None,
            vapour_lost: None,
            column_probe_fraction: match self.kind {
                StillKind::Column => head.probe_fraction,
                // Refused by the still's check: a pot has no column.
                StillKind::Pot => measured.column_probe_mm.map(|_| MID_COLUMN),
            },
            holdup_litres: tidy(head.holdup_litres),
            drum_fraction: 0.15,
            boiler_loss_w_per_k: tidy(boiler.surface_m2() * boiler_loss(measured, &boiler)),
            column_loss_w_per_k: tidy(head.loss_w_per_k),
            metal_kj_per_k: tidy(boiler.surface_m2() * wall.boiler_kj_per_m2_k),
            column_metal_kj_per_k: tidy(head.metal_kj_per_k),
            pressure_drop_pa_per_stage: head.drop_pa,
            max_takeoff_ml_per_min: tidy(
                head.drawn_share * head.carries_w * CONDENSATE_ML_PER_MIN_W,
            ),
        };
        let derived = DEFAULTED.iter().map(|&key| {
            let of_head = head.derived.iter().find(|one| one.key == key).cloned();
            of_head.unwrap_or_else(|| Derived { key, from: self.reason(key, measured) })
        });
        (still, derived.collect())
    }

    /// From what a key follows that the column's size does not decide.
    fn reason(&self, key: &str, measured: &Measured) -> String {
        let litres = self.boiler_litres;
        let wrapped = |is: Option<bool>, usual: bool| match (is, usual) {
            (Some(true), _) => "wrapped",
            (Some(false), _) => "bare",
            (None, true) => "wrapped (assumed)",
            (None, false) => "bare (assumed)",
        };
        let column = self.kind == StillKind::Column;
        match key {
            "element_cover_litres" => format!("5 cm over the floor of a {litres} L boiler"),
            "boiler_loss_w_per_k" => {
                let of = wrapped(measured.boiler_lagged, false);
                format!("surface of a {litres} L boiler, {of}, {}", metal(measured.metal))
            }
            "column_loss_w_per_k" => {
                let hot = if column { "column, head and pipe" } else { "head and arm" };
                let of = wrapped(measured.column_lagged, column);
                format!("surface of {hot}, {of}, {}", metal(measured.metal))
            }
            "metal_kj_per_k" => format!("walls of a {litres} L boiler, {}", metal(measured.metal)),
            "max_takeoff_ml_per_min" => "all that the heater boils".to_owned(),
            "stages" => "a pot head counts as one".to_owned(),
            "holdup_litres" | "column_metal_kj_per_k" => format!("size of a {litres} L boiler"),
            _ => "usual, common practice".to_owned(),
        }
    }
}

const fn metal(given: Option<Metal>) -> &'static str {
    match given {
        Some(Metal::Steel) => "steel",
        Some(Metal::Copper) => "copper",
        None => "steel (assumed)",
    }
}

/// Loss of the boiler's wall, W/m²K.
fn boiler_loss(measured: &Measured, boiler: &Cylinder) -> f64 {
    let height_m = HEIGHT_PER_DIAMETER * boiler.diameter_m;
    loss_w_per_m2_k(measured.boiler_lagged.unwrap_or(false), measured.metal, height_m)
}

/// What the walls take up.
struct Wall {
    boiler_kj_per_m2_k: f64,
    column_kj_per_m2_k: f64,
}

impl Wall {
    fn of(given: Option<Metal>) -> Self {
        let share = match given.unwrap_or_default() {
            Metal::Steel => 1.0,
            Metal::Copper => COPPER_SHARE,
        };
        Self {
            boiler_kj_per_m2_k: share * BOILER_METAL_KJ_PER_M2_K,
            column_kj_per_m2_k: share * COLUMN_WALL_KJ_PER_M2_K,
        }
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
    carries_w: f64,
    /// Where the thermometer in the column sits, where that was measured.
    probe_fraction: Option<f64>,
    derived: Vec<Derived>,
}

impl Head {
    fn column(boiler_litres: f64, watts: f64, measured: &Measured) -> Self {
        let column = measured.column(watts);
        let wall_m2 = std::f64::consts::PI * column.diameter_m * column.height_m;
        let hot_m = column.height_m + HEAD_M;
        let hot_m2 = OUTSIDE_SHARE * std::f64::consts::PI * column.diameter_m * hot_m;
        let inside_m3 = std::f64::consts::FRAC_PI_4 * column.diameter_m.powi(2) * column.height_m;
        // A small boiler with a big heater still has a column in proportion, unless it was measured.
        let most_l = if measured.diameter_mm.is_some() { f64::INFINITY } else { boiler_litres };
        Self {
            stages: column.stages,
            holdup_litres: column.held_l.min(HELD_OF_BOILER_MAX * most_l),
            loss_w_per_k: hot_m2
                * loss_w_per_m2_k(measured.column_lagged.unwrap_or(true), measured.metal, hot_m),
            metal_kj_per_k: wall_m2 * Wall::of(measured.metal).column_kj_per_m2_k
                + inside_m3 * PACKING_KJ_PER_M3_K,
            drop_pa: 25.0,
            drawn_share: COLUMN_DRAWN_SHARE,
            carries_w: column.carries_w,
            probe_fraction: measured.column_probe_mm.map(|mm| mm / (1000.0 * column.height_m)),
            derived: column.derived,
        }
    }

    fn pot(boiler_litres: f64, watts: f64, boiler: &Cylinder, measured: &Measured) -> Self {
        let head_m2 = POT_HEAD_AREA_SHARE * boiler.surface_m2();
        let height_m = HEIGHT_PER_DIAMETER * boiler.diameter_m;
        let lagged = measured.column_lagged.unwrap_or(false);
        Self {
            stages: 1.0,
            holdup_litres: POT_HELD_PER_LITRE * boiler_litres,
            loss_w_per_k: head_m2 * loss_w_per_m2_k(lagged, measured.metal, height_m),
            metal_kj_per_k: head_m2 * Wall::of(measured.metal).boiler_kj_per_m2_k,
            drop_pa: 25.0,
            // A pot is never held back: what boils is drawn.
            drawn_share: 1.0,
            carries_w: watts,
            probe_fraction: None,
            derived: Vec::new(),
        }
    }
}

/// Strongest charge that still passes for a sugar wash where the kind is not said, % vol.
const WASH_STRENGTH_MAX_VOL: f64 = 18.0;

/// The kind of a charge: as named, else one of up to 18 % vol counts as a sugar wash, a stronger one
/// as low wines (common practice, no source).
#[must_use]
pub fn likely_kind(charge: &Charge) -> ChargeKind {
    let strong = strength_without_feints(charge) > WASH_STRENGTH_MAX_VOL;
    charge.kind.unwrap_or(if strong { ChargeKind::LowWines } else { ChargeKind::SugarWash })
}

/// Strength of what the feints were poured into, % vol: litres as if they did not shrink.
fn strength_without_feints(charge: &Charge) -> f64 {
    let Some(feints) = charge.feints else { return charge.strength_vol };
    let litres = charge.litres - feints.litres;
    let pure_l = charge.litres * charge.strength_vol / 100.0 - feints.pure_alcohol_l();
    if litres > 0.0 { 100.0 * pure_l / litres } else { charge.strength_vol }
}

/// Default congeners, mg per litre of charge, where the plan names none.
///
/// Orders of magnitude from memory, unsourced: they show where heads and fusel alcohols go, not
/// how much of them this charge really holds.
#[must_use]
pub fn default_congeners_mg_per_l(charge: &Charge) -> BTreeMap<String, f64> {
    let amounts = match likely_kind(charge) {
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

    use super::super::{ChargeKind, FeintsPart, StillKind, test_plan};
    use super::{OwnStill, default_congeners_mg_per_l, likely_kind};

    #[test]
    fn a_wash_with_feints_in_it_is_still_a_wash() {
        let mut charge = test_plan().charge;
        (charge.kind, charge.litres, charge.strength_vol) = (None, 20.0, 22.0);
        assert_eq!(likely_kind(&charge), ChargeKind::LowWines);
        charge.feints = Some(FeintsPart { litres: 6.0, strength_vol: 55.0 });
        assert_eq!(likely_kind(&charge), ChargeKind::SugarWash);
        charge.feints = Some(FeintsPart { litres: 20.0, strength_vol: 22.0 });
        assert_eq!(likely_kind(&charge), ChargeKind::LowWines, "nothing but feints");
    }

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
