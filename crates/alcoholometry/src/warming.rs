//! Warming when ethanol-water liquids are mixed, from measured excess enthalpy; no heat lost.
//!
//! Sources: `reference/excess_enthalpy_298k.csv` (298.15 and 323.15 K), `liquid_heat_capacity.csv`.
//! Good to about 5 % (a judgement); the vessel takes up part of it. Between the two temperatures
//! the excess enthalpy is taken as linear, and so it is carried on to 0 and 40 °C.

use std::sync::LazyLock;

use numerics::interpolate::MonotoneCubic;

/// Lowest temperature to which the measurements are carried on, °C.
pub const CELSIUS_LOW: f64 = 0.0;
/// Highest temperature at which the answer is given, °C.
pub const CELSIUS_HIGH: f64 = 40.0;

const ICE_POINT_K: f64 = 273.15;
const T_LOW_K: f64 = 298.15;
const T_HIGH_K: f64 = 323.15;

/// Molar heat capacity of a pure liquid, J/(mol K): a quadratic in `T - 298.15 K`.
const WATER_CP: [f64; 3] = [75.35217469, -0.005633323, 0.000183374];
const ETHANOL_CP: [f64; 3] = [112.169971789, 0.363931875, 0.001199448];

/// Rounds in which heat capacity and warming settle on each other; each gains two digits.
const ROUNDS: usize = 6;

static EXCESS_LOW: LazyLock<MonotoneCubic> = LazyLock::new(|| curve(T_LOW_K));
static EXCESS_HIGH: LazyLock<MonotoneCubic> = LazyLock::new(|| curve(T_HIGH_K));

/// The measured points of one temperature, with 0 for the pure liquids.
fn curve(temperature_k: f64) -> MonotoneCubic {
    let mut points = vec![(0.0, 0.0)];
    points.extend(
        include_str!("../reference/excess_enthalpy_298k.csv").lines().skip(1).filter_map(|line| {
            let mut cells = line.split(',').map_while(|cell| cell.parse::<f64>().ok());
            let (t, x, h) = (cells.next()?, cells.next()?, cells.next()?);
            ((t - temperature_k).abs() < 1e-9).then_some((x, h))
        }),
    );
    points.push((1.0, 0.0));
    let (xs, hs): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
    MonotoneCubic::new(&xs, &hs).expect("the file is part of the program and its rows rise in x")
}

/// Excess enthalpy in J/mol at a mole fraction of ethanol and a temperature in K.
#[must_use]
pub fn excess_enthalpy_j_mol(x_ethanol: f64, temperature_k: f64) -> f64 {
    EXCESS_LOW.at(x_ethanol) + (temperature_k - T_LOW_K) * excess_cp_j_mol_k(x_ethanol)
}

/// Excess heat capacity in J/(mol K): the slope between the two measured temperatures.
fn excess_cp_j_mol_k(x_ethanol: f64) -> f64 {
    (EXCESS_HIGH.at(x_ethanol) - EXCESS_LOW.at(x_ethanol)) / (T_HIGH_K - T_LOW_K)
}

/// Molar heat capacity in J/(mol K) of a mixture at a temperature in K.
#[must_use]
pub fn heat_capacity_j_mol_k(x_ethanol: f64, temperature_k: f64) -> f64 {
    let d = temperature_k - T_LOW_K;
    let pure = |c: [f64; 3]| c[0] + d * (c[1] + d * c[2]);
    x_ethanol * pure(ETHANOL_CP) + (1.0 - x_ethanol) * pure(WATER_CP) + excess_cp_j_mol_k(x_ethanol)
}

/// One liquid that goes into a mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Portion {
    /// Moles of ethanol and water together.
    pub mol: f64,
    /// Mole fraction of ethanol.
    pub x_ethanol: f64,
    /// Its temperature, °C.
    pub celsius: f64,
}

/// Warming in K above the mean temperature of the portions (weighted by heat capacity) when they
/// become one liquid. `None` where that mean lies outside 0..40 °C or nothing is mixed.
#[must_use]
pub fn warming_k(portions: &[Portion]) -> Option<f64> {
    let mol: f64 = portions.iter().map(|part| part.mol).sum();
    if mol <= 0.0 {
        return None;
    }
    let x = portions.iter().map(|part| part.mol * part.x_ethanol).sum::<f64>() / mol;
    let heat = |part: &Portion| {
        part.mol * heat_capacity_j_mol_k(part.x_ethanol, part.celsius + ICE_POINT_K)
    };
    let weighted: f64 = portions.iter().map(|part| heat(part) * part.celsius).sum();
    let celsius = weighted / portions.iter().map(heat).sum::<f64>();
    if !(CELSIUS_LOW..=CELSIUS_HIGH).contains(&celsius) {
        return None;
    }
    let start_k = celsius + ICE_POINT_K;
    let before: f64 =
        portions.iter().map(|part| part.mol * excess_enthalpy_j_mol(part.x_ethanol, start_k)).sum();
    let released = before / mol - excess_enthalpy_j_mol(x, start_k);
    // The heat capacity at half the warming carries a linear one exactly.
    let mut warming = 0.0;
    for _ in 0..ROUNDS {
        warming = released / heat_capacity_j_mol_k(x, start_k + 0.5 * warming);
    }
    Some(warming)
}

#[cfg(test)]
mod tests {
    use super::{Portion, excess_enthalpy_j_mol, heat_capacity_j_mol_k, warming_k};
    use crate::kernel;

    fn mole_fraction(vol_percent: f64) -> f64 {
        let p = kernel::mass_fraction_from_vol20(vol_percent / 100.0);
        kernel::mole_fraction_from_mass_fraction(p)
    }

    fn reduction(from: f64, to: f64) -> f64 {
        let (feed, product) = (mole_fraction(from), mole_fraction(to));
        let spirit = product / feed;
        warming_k(&[
            Portion { mol: spirit, x_ethanol: feed, celsius: 20.0 },
            Portion { mol: 1.0 - spirit, x_ethanol: 0.0, celsius: 20.0 },
        ])
        .unwrap()
    }

    #[test]
    fn val_every_measured_point_is_met() {
        for line in include_str!("../reference/excess_enthalpy_298k.csv").lines().skip(1) {
            let row: Vec<f64> = line.split(',').take(3).map(|cell| cell.parse().unwrap()).collect();
            let found = excess_enthalpy_j_mol(row[1], row[0]);
            assert!((found - row[2]).abs() <= 0.01 * row[2].abs(), "{row:?}: {found}");
        }
    }

    #[test]
    fn xval_warming_of_three_reductions() {
        // Worked out apart from this code from the same measurements: 8.26-8.35, 4.65-4.71 and
        // 6.29-6.37 K by the way the points are joined.
        for (from, to, low, high) in
            [(95.0, 40.0, 8.26, 8.35), (60.0, 40.0, 4.65, 4.71), (95.0, 60.0, 6.29, 6.37)]
        {
            let warming = reduction(from, to);
            assert!(warming >= low && warming <= high, "{from} to {to}: {warming}");
        }
    }

    #[test]
    fn val_heat_capacity_of_mixtures() {
        // Perry's Handbook, table 2-205 at 23 °C (interpolated): 4.26 and 3.83 J/(g K) at 40 and
        // 60 % vol; 1 % apart from measured excess enthalpies.
        for (vol, expected) in [(40.0, 4.26), (60.0, 3.83)] {
            let x = mole_fraction(vol);
            let molar =
                x * kernel::ETHANOL_MOLAR_MASS_G_MOL + (1.0 - x) * kernel::WATER_MOLAR_MASS_G_MOL;
            let found = heat_capacity_j_mol_k(x, 296.15) / molar;
            assert!((found / expected - 1.0).abs() < 0.012, "{vol}: {found}");
        }
    }

    #[test]
    fn prop_equal_liquids_do_not_warm_and_nothing_has_no_answer() {
        let part = Portion { mol: 2.0, x_ethanol: 0.3, celsius: 25.0 };
        assert!(warming_k(&[part, part]).unwrap().abs() < 1e-9);
        assert_eq!(warming_k(&[]), None);
        assert_eq!(warming_k(&[Portion { celsius: -10.0, ..part }]), None);
    }
}
