//! Weighing in air: what a balance shows of a liquid, and the true mass behind it.
//!
//! Air is taken as 1.2 kg/m³ and balances as adjusted with weights of 8000 kg/m³, the conventional
//! values of OIML D 28; older tables used brass of 8400 kg/m³.

use crate::check::{self, Bound};
use crate::error::{AlcoholometryError, Field};
use crate::{kernel, volume};

/// Conventional density of air, kg/m³.
pub const AIR_DENSITY_KG_M3: f64 = 1.2;
/// Conventional density of the weights a balance is adjusted with, kg/m³.
pub const WEIGHTS_DENSITY_KG_M3: f64 = 8000.0;
/// Density of the brass weights behind the US tables of gallons and pounds, kg/m³.
pub const BRASS_DENSITY_KG_M3: f64 = 8400.0;

/// Density as a weighing in air gives it, in kg/m³, for weights of the density given.
#[must_use]
pub fn density_in_air_kg_m3(density_kg_m3: f64, weights_kg_m3: f64) -> f64 {
    (density_kg_m3 - AIR_DENSITY_KG_M3) / (1.0 - AIR_DENSITY_KG_M3 / weights_kg_m3)
}

/// True density behind a density in air, kg/m³.
#[must_use]
pub fn density_from_air_kg_m3(density_in_air_kg_m3: f64, weights_kg_m3: f64) -> f64 {
    density_in_air_kg_m3 * (1.0 - AIR_DENSITY_KG_M3 / weights_kg_m3) + AIR_DENSITY_KG_M3
}

/// What a balance shows, in kg, of a true mass of liquid with this true density.
#[must_use]
pub fn shown_kg(mass_kg: f64, density_kg_m3: f64) -> f64 {
    mass_kg * density_in_air_kg_m3(density_kg_m3, WEIGHTS_DENSITY_KG_M3) / density_kg_m3
}

/// True mass in kg behind what a balance shows of liquid with this true density.
#[must_use]
pub fn mass_kg(shown_kg: f64, density_kg_m3: f64) -> f64 {
    shown_kg * density_kg_m3 / density_in_air_kg_m3(density_kg_m3, WEIGHTS_DENSITY_KG_M3)
}

/// Litres, at its temperature, of a liquid of which a balance shows so many kilograms.
///
/// # Errors
/// [`AlcoholometryError`] naming `kg`, `strength` or `at`, and for a liquid that is partly ice.
pub fn weighed_litres(
    shown_kg: f64,
    strength_vol_20c: f64,
    celsius: f64,
) -> Result<f64, AlcoholometryError> {
    Bound {
        low: 0.0,
        high: 100_000.0,
        unit: "kg",
        hint: "what the balance shows, without the jar",
    }
    .named("kg", shown_kg)?;
    Bound::STRENGTH_VOL.named("strength", strength_vol_20c)?;
    Bound::CELSIUS.named("at", celsius)?;
    let p = kernel::mass_fraction_from_vol20(strength_vol_20c / 100.0);
    check::liquid(Field::named("strength"), p, celsius)?;
    let true_kg = mass_kg(shown_kg, kernel::density_kg_m3(p, celsius));
    Ok(volume::litres(true_kg, celsius, p))
}

#[cfg(test)]
mod tests {
    use super::{
        BRASS_DENSITY_KG_M3, WEIGHTS_DENSITY_KG_M3, density_from_air_kg_m3, density_in_air_kg_m3,
        mass_kg, shown_kg, weighed_litres,
    };
    use crate::density::ETHANOL_DENSITY_20C_KG_M3;

    #[test]
    fn val_density_in_air_of_pure_ethanol() {
        // Canadian Alcoholometric Laboratory Table 1996, introduction (single_values.csv).
        let row = include_str!("../reference/single_values.csv").lines().nth(1).unwrap();
        let cells: Vec<&str> = row.split(',').collect();
        let (value, tolerance): (f64, f64) = (cells[1].parse().unwrap(), cells[3].parse().unwrap());
        let in_air = density_in_air_kg_m3(ETHANOL_DENSITY_20C_KG_M3, WEIGHTS_DENSITY_KG_M3);
        assert!((in_air - value).abs() <= tolerance, "{in_air}");
    }

    #[test]
    fn prop_weighing_in_air_returns_home() {
        for density in [789.2, 900.0, 998.2] {
            let in_air = density_in_air_kg_m3(density, BRASS_DENSITY_KG_M3);
            assert!((density_from_air_kg_m3(in_air, BRASS_DENSITY_KG_M3) - density).abs() < 1e-12);
            assert!((mass_kg(shown_kg(2.0, density), density) - 2.0).abs() < 1e-12);
            assert!(shown_kg(2.0, density) < 2.0);
        }
    }

    #[test]
    fn val_kilograms_of_forty_per_cent_are_litres_by_the_table_of_oiml_r_22() {
        // OIML R 22, table of density at 20 °C: 40 % vol is 948.05 kg/m³. In air, by the
        // conventional values of OIML D 28: (948.05 - 1.2) / (1 - 1.2 / 8000) = 946.99.
        let litres = weighed_litres(0.94699, 40.0, 20.0).unwrap();
        assert!((litres - 1.0).abs() < 1e-5, "{litres}");
        assert!(weighed_litres(-1.0, 40.0, 20.0).is_err());
    }
}
