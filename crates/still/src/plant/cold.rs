//! The plant before its column runs: charge and boiler warm, the column metal takes up heat, then
//! stages and drum fill.

use super::warming::Warming;
use crate::column::Apparatus;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::setup::ICE_POINT_K;

/// Least net heat that counts as boiling, W (judgement).
pub(crate) const BOILING_W: f64 = 5.0;
/// Rounds of the fill's fixed point; each gains about two digits.
const FILL_ROUNDS_MAX: usize = 200;

/// What it takes to bring a charge from cold to a full column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StartUp<const C: usize> {
    /// Boiling point of the charge, K.
    pub(crate) boil_k: f64,
    /// Head after its jump, K.
    pub(crate) head_jump_k: f64,
    /// Heat that the column metal takes up, and stages and drum, J.
    pub(crate) metal_j: f64,
    pub(crate) fill_j: f64,
    /// Moles left in the pot once all is full, and the composition of every stage and the drum.
    pub(crate) pot_mol: [f64; C],
    pub(crate) fill: [f64; C],
    warming: Warming,
}

/// How far it has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cold {
    /// Pot, K.
    pub(crate) pot_k: f64,
    /// Whether the charge boils.
    pub(crate) boils: bool,
    /// Heat taken up by metal and fill, J.
    pub(crate) taken_j: f64,
}

impl<const C: usize> StartUp<C> {
    /// The start of a charge.
    ///
    /// # Errors
    /// [`StillError::HoldupTooLarge`], or a boiling point not found.
    pub(crate) fn new<E: Equilibrium<C>>(
        equilibrium: &E,
        apparatus: &Apparatus,
        charge_mol: &[f64; C],
    ) -> Result<Self, StillError> {
        let total: f64 = charge_mol.iter().sum();
        let failed = |source| StillError::Column { time_s: 0.0, source };
        let x = charge_mol.map(|n| n / total);
        let boiling =
            equilibrium.warm(&x, apparatus.pressure_pa(0), 360.0).map_err(|e| failed(e.into()))?;
        let boil_k = boiling.point.temperature_k;
        let top = equilibrium
            .warm(&boiling.point.y, apparatus.top_pressure_pa, boil_k)
            .map_err(|e| failed(e.into()))?;
        let head_jump_k = top.point.temperature_k;
        let metal_j = apparatus.column_metal_j_k * (head_jump_k - apparatus.ambient_k);
        let (pot_mol, fill) = fill(equilibrium, apparatus, charge_mol)?;
        let (latent, _) = boiling.latent_heat(&fill, boil_k);
        Ok(Self {
            boil_k,
            head_jump_k,
            metal_j: metal_j.max(0.0),
            fill_j: apparatus.holdup_mol() * latent,
            pot_mol,
            fill,
            warming: Warming::of::<C, E>(equilibrium, apparatus, charge_mol),
        })
    }

    /// Heat that is not lost at the boil, W.
    pub(crate) fn net_w(&self, heater_w: f64) -> f64 {
        self.warming.net_w(heater_w, self.boil_k)
    }

    /// Whether that power ever brings the charge to the boil and a vapour up.
    ///
    /// # Errors
    /// [`StillError::NeverBoils`] where it does not.
    pub(crate) fn must_boil(&self, heater_w: f64) -> Result<(), StillError> {
        let net_w = self.net_w(heater_w);
        if net_w > BOILING_W {
            return Ok(());
        }
        let temperature_c = self.boil_k - ICE_POINT_K;
        Err(StillError::NeverBoils { heater_w, lost_w: heater_w - net_w, temperature_c })
    }

    /// Whether the head is at the vapour's temperature.
    pub(crate) fn head_is_hot(&self, cold: &Cold) -> bool {
        cold.boils && cold.taken_j >= self.metal_j
    }

    pub(crate) fn is_full(&self, cold: &Cold) -> bool {
        cold.taken_j >= self.metal_j + self.fill_j
    }

    /// Goes on from `from_s` to the next event (the boil, the head's jump, full) or to `until_s`.
    pub(crate) fn advance(
        &self,
        cold: &mut Cold,
        heater_w: f64,
        (from_s, until_s): (f64, f64),
    ) -> f64 {
        let spare_w = self.net_w(heater_w);
        if !cold.boils || spare_w <= BOILING_W {
            cold.boils = false;
            let (time_s, pot_k) =
                self.warming.go(heater_w, (from_s, until_s), (cold.pot_k, self.boil_k));
            cold.boils = pot_k >= self.boil_k && spare_w > BOILING_W;
            cold.pot_k = if cold.boils { self.boil_k } else { pot_k };
            // At the boil with no heat to spare only time passes.
            return if cold.boils { time_s } else { until_s };
        }
        let metal_left_j = self.metal_j - cold.taken_j;
        let left_j = if metal_left_j > 0.0 { metal_left_j } else { metal_left_j + self.fill_j };
        if spare_w * (until_s - from_s) < left_j {
            cold.taken_j += spare_w * (until_s - from_s);
            return until_s;
        }
        let whole_j = self.metal_j + self.fill_j;
        cold.taken_j = if metal_left_j > 0.0 { self.metal_j } else { whole_j };
        from_s + left_j / spare_w
    }
}

/// The fill: what condensed is in equilibrium with what stays. Fixed point on the K-values,
/// scaled to the total, so that no amount can become negative.
fn fill<const C: usize, E: Equilibrium<C>>(
    equilibrium: &E,
    apparatus: &Apparatus,
    charge_mol: &[f64; C],
) -> Result<([f64; C], [f64; C]), StillError> {
    let total: f64 = charge_mol.iter().sum();
    let held = apparatus.holdup_mol();
    if held >= 0.5 * total {
        return Err(StillError::HoldupTooLarge { holdup_mol: held, charge_mol: total });
    }
    let failed =
        |source: thermo::ThermoError| StillError::Column { time_s: 0.0, source: source.into() };
    let pressure = apparatus.pressure_pa(0);
    let mut pot = charge_mol.map(|n| n * (1.0 - held / total));
    let mut guess_k = 360.0;
    for _ in 0..FILL_ROUNDS_MAX {
        let x = pot.map(|n| n / (total - held));
        let warm = equilibrium.warm(&x, pressure, guess_k).map_err(failed)?;
        guess_k = warm.point.temperature_k;
        let mut next: [f64; C] = std::array::from_fn(|i| {
            let k_value = if x[i] > 0.0 { warm.point.y[i] / x[i] } else { 0.0 };
            charge_mol[i] / (1.0 + k_value * held / (total - held))
        });
        let scale = (total - held) / next.iter().sum::<f64>();
        next = next.map(|n| n * scale);
        let change = (0..C)
            .map(|i| ((next[i] - pot[i]) / pot[i].max(f64::MIN_POSITIVE)).abs())
            .fold(0.0, f64::max);
        pot = next;
        if change < 1e-13 {
            break;
        }
    }
    // What left the pot is in the column, to the last bit.
    let fill = std::array::from_fn(|i| (charge_mol[i] - pot[i]) / held);
    Ok((pot, fill))
}
