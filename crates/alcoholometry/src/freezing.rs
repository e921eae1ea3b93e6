//! Where ethanol-water liquids begin to freeze, the lower end of the density formula's range.
//!
//! Source: Lange's Handbook, table 5.13 (`reference/freezing_point.csv`), 0 to -28.7 °C.

use std::sync::LazyLock;

use numerics::interpolate::MonotoneCubic;

/// Mass fraction and freezing point in °C: pure water, then the rows of the table.
const POINTS: [(f64, f64); 10] = [
    (0.0, 0.0),
    (0.025, -1.0),
    (0.068, -3.0),
    (0.113, -5.0),
    (0.175, -8.7),
    (0.203, -10.6),
    (0.267, -16.0),
    (0.299, -18.9),
    (0.338, -23.6),
    (0.390, -28.7),
];

static MASS_FRACTION_BY_COLD: LazyLock<MonotoneCubic> = LazyLock::new(|| {
    MonotoneCubic::new(&POINTS.map(|(_, t)| -t), &POINTS.map(|(p, _)| p))
        .expect("the table is constant and falls from row to row")
});

/// Mass fraction of the weakest liquid without ice at a temperature in °C; 0 from 0 °C up.
#[must_use]
pub fn mass_fraction_low(celsius: f64) -> f64 {
    if celsius >= 0.0 { 0.0 } else { MASS_FRACTION_BY_COLD.at(-celsius) }
}

#[cfg(test)]
mod tests {
    use super::{POINTS, mass_fraction_low};
    use crate::density::{Isotherm, SIXTY_FAHRENHEIT_C};
    use crate::strength;

    /// Columns 0 to 5 of the table: SG 20/4, % mass, % vol, °C, and two tolerances.
    fn rows() -> Vec<Vec<f64>> {
        include_str!("../reference/freezing_point.csv")
            .lines()
            .skip(1)
            .map(|line| line.split(',').take(6).map(|cell| cell.parse().unwrap()).collect())
            .collect()
    }

    #[test]
    fn val_the_table_held_is_the_handbook_table() {
        let rows = rows();
        assert_eq!(rows.len() + 1, POINTS.len());
        for (row, (p, t)) in rows.iter().zip(&POINTS[1..]) {
            assert!((row[1] / 100.0 - p).abs() < 1e-12 && (row[3] - t).abs() < 1e-12);
            assert!((mass_fraction_low(*t) - p).abs() < 1e-12);
        }
    }

    #[test]
    fn val_density_mass_and_volume_of_each_row_agree_with_r22() {
        for row in rows() {
            // SG 20/4 compares with water of 4 °C, 999.972 kg/m³.
            let p = strength::mass_fraction_from_density(row[0] * 999.972, 20.0).unwrap();
            assert!((100.0 * p - row[1]).abs() <= row[4], "{row:?}: {p}");
            let by_volume = 100.0 * strength::vol_fraction(row[1] / 100.0, SIXTY_FAHRENHEIT_C);
            assert!((by_volume - row[2]).abs() <= row[5], "{row:?}: {by_volume}");
        }
    }

    #[test]
    fn prop_density_falls_and_strength_rises_with_mass_fraction_above_the_limit() {
        for tenth in -200..=400_i32 {
            let celsius = f64::from(tenth) / 10.0;
            let isotherm = Isotherm::at(celsius);
            let low = mass_fraction_low(celsius);
            for i in 0..=1000_u32 {
                let p = low + (1.0 - low) * f64::from(i) / 1000.0;
                let (density, slope) = isotherm.density_and_slope(p);
                assert!(slope < 0.0 && density + p * slope > 0.0, "p {p} at {celsius} °C");
            }
        }
    }
}
