//! Strength read off the head thermometer as it stands, without any estimate, for comparison.

use alcoholometry::kernel;
use still::plan::RunPlan;
use thermo::ethanol_water::{azeotrope, boiling_point};

use sense::{Probe, RecordedRun};

/// Strength of vapour that is as warm as the head probe last read, % vol at 20 °C.
///
/// Ethanol and water at the pressure last read, or the site's. Colder than the azeotrope counts
/// as the azeotrope. None where the head was not read, or is no temperature of such a vapour.
#[must_use]
pub fn naive_strength_vol(plan: &RunPlan, rows: &RecordedRun) -> Option<f64> {
    let head_c = rows.readings.iter().rev().find_map(|row| row.1.get(Probe::Head))?;
    let pressure = rows.readings.iter().rev().find_map(|row| row.1.get(Probe::Pressure));
    let pressure_pa = 100.0
        * pressure.filter(|hpa| (800.0..1100.0).contains(hpa)).unwrap_or(plan.site.pressure_hpa);
    let (coldest_x, coldest_k) = azeotrope(pressure_pa).ok()?;
    let head_k = head_c + 273.15;
    let warmest_k = boiling_point(0.0, pressure_pa).ok()?.0;
    if !(coldest_k - 10.0..=warmest_k).contains(&head_k) {
        return None;
    }
    // Below the azeotrope more ethanol boils colder: 50 halvings reach the last digits.
    let (mut low, mut high) = (0.0, coldest_x);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if boiling_point(middle, pressure_pa).ok()?.0 > head_k {
            low = middle;
        } else {
            high = middle;
        }
    }
    let vapour = boiling_point(0.5 * (low + high), pressure_pa).ok()?.1;
    Some(kernel::strength_percent_20c(vapour, 1.0 - vapour))
}
