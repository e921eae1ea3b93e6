//! The heat-up under a heater that changes: warming the pot, then the column metal, then filling.

use crate::column::Apparatus;
use crate::equilibrium::Equilibrium;

/// Longest step while the pot warms, s.
const STEP_S: f64 = 30.0;

/// Heat capacity of liquid and metal of the pot, J/K.
pub(super) fn capacity_j_k<const C: usize, E: Equilibrium<C>>(
    equilibrium: &E,
    apparatus: &Apparatus,
    moles: &[f64],
    temperature_k: f64,
) -> f64 {
    let cp = equilibrium.heat_capacities(temperature_k);
    apparatus.boiler_metal_j_k + (0..C).map(|i| moles[i] * cp[i]).sum::<f64>()
}

/// Warms (or cools) the pot from `temperature_k` until it boils at `boil_k` or `until_s` is
/// reached; gives time and temperature there.
pub(super) fn warm<const C: usize, E: Equilibrium<C>>(
    equilibrium: &E,
    apparatus: &Apparatus,
    moles: &[f64],
    heater_w: f64,
    (from_s, until_s): (f64, f64),
    (temperature_k, boil_k): (f64, f64),
) -> (f64, f64) {
    let (mut time_s, mut warm_k) = (from_s, temperature_k);
    while time_s < until_s {
        let step_s = STEP_S.min(until_s - time_s);
        let rate = |k: f64| {
            let net_w = heater_w - apparatus.boiler_loss_w_k * (k - apparatus.ambient_k);
            net_w / capacity_j_k(equilibrium, apparatus, moles, k)
        };
        let half = warm_k + 0.5 * step_s * rate(warm_k);
        let slope = rate(half);
        let next = warm_k + step_s * slope;
        if next >= boil_k {
            let used_s = if slope > 0.0 { (boil_k - warm_k) / slope } else { 0.0 };
            return (time_s + used_s.clamp(0.0, step_s), boil_k);
        }
        warm_k = next;
        time_s += step_s;
    }
    (time_s, warm_k)
}
