//! From heater on until stages and drum are full: heating the charge, the column metal, filling.

use crate::column::Apparatus;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::setup::ICE_POINT_K;

/// Panels of the heating quadrature; five-point Gauss in each leaves less than 1e-6 s.
const PANELS: usize = 8;
/// Rounds of the fill's fixed point; each gains about two digits.
const FILL_ROUNDS_MAX: usize = 200;
/// Newton rounds that find a temperature from a time; the error squares in each.
const NEWTON_ROUNDS: usize = 6;

/// The times and states of the heat-up.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatUp<const C: usize> {
    /// The charge boils, s.
    pub boil_s: f64,
    /// The head jumps, s.
    pub head_jump_s: f64,
    /// Stages and drum are full, s.
    pub ready_s: f64,
    /// Boiling point of the charge, K.
    pub boil_k: f64,
    /// Head after its jump, K.
    pub head_jump_k: f64,
    /// Moles left in the pot once all is full.
    pub pot_mol: [f64; C],
    /// Composition of every stage and the drum then.
    pub fill: [f64; C],
    heating: Heating<C>,
}

/// A charge and its boiler being heated.
#[derive(Debug, Clone, PartialEq)]
struct Heating<const C: usize> {
    start_k: f64,
    heater_w: f64,
    loss_w_k: f64,
    ambient_k: f64,
    /// Heat capacity over temperature, J/K: quadratic through three exact points (the liquids'
    /// polynomials are quadratic, so it is exact).
    capacity: [f64; 3],
}

impl<const C: usize> Heating<C> {
    fn new<E: Equilibrium<C>>(
        equilibrium: &E,
        apparatus: &Apparatus,
        moles: &[f64; C],
        start_k: f64,
        heater_w: f64,
    ) -> Self {
        let at = |temperature_k: f64| {
            let cp = equilibrium.heat_capacities(temperature_k);
            apparatus.boiler_metal_j_k + (0..C).map(|i| moles[i] * cp[i]).sum::<f64>()
        };
        let (low, middle, high) = (at(290.0), at(330.0), at(370.0));
        let capacity = [middle, (high - low) / 80.0, (high - 2.0 * middle + low) / 3200.0];
        let loss_w_k = apparatus.boiler_loss_w_k;
        Self { start_k, heater_w, loss_w_k, ambient_k: apparatus.ambient_k, capacity }
    }

    fn capacity_j_k(&self, temperature_k: f64) -> f64 {
        let d = temperature_k - 330.0;
        self.capacity[0] + d * (self.capacity[1] + d * self.capacity[2])
    }

    fn net_w(&self, temperature_k: f64) -> f64 {
        self.heater_w - self.loss_w_k * (temperature_k - self.ambient_k)
    }

    /// Seconds from the start until `temperature_k`.
    fn time_to(&self, temperature_k: f64) -> f64 {
        const NODES: [(f64, f64); 5] = [
            (0.0, 128.0 / 225.0),
            (-0.5384693101056831, 0.4786286704993665),
            (0.5384693101056831, 0.4786286704993665),
            (-0.9061798459386640, 0.2369268850561891),
            (0.9061798459386640, 0.2369268850561891),
        ];
        let half = (temperature_k - self.start_k) / (2.0 * PANELS as f64);
        let mut sum = 0.0;
        for panel in 0..PANELS {
            let middle = self.start_k + half * (2 * panel + 1) as f64;
            for (node, weight) in NODES {
                let t = middle + half * node;
                sum += weight * self.capacity_j_k(t) / self.net_w(t);
            }
        }
        sum * half
    }
}

impl<const C: usize> HeatUp<C> {
    /// Computes the heat-up of a charge.
    ///
    /// # Errors
    /// [`StillError::NeverBoils`], [`StillError::HoldupTooLarge`], or a boiling point not found.
    pub fn new<E: Equilibrium<C>>(
        equilibrium: &E,
        apparatus: &Apparatus,
        charge_mol: &[f64; C],
        start_k: f64,
        heater_w: f64,
    ) -> Result<Self, StillError> {
        let total: f64 = charge_mol.iter().sum();
        let failed = |source| StillError::Column { time_s: 0.0, source };
        let x = charge_mol.map(|n| n / total);
        let boiling =
            equilibrium.warm(&x, apparatus.pressure_pa(0), 360.0).map_err(|e| failed(e.into()))?;
        let boil_k = boiling.point.temperature_k;
        let heating = Heating::new(equilibrium, apparatus, charge_mol, start_k, heater_w);
        let net_w = heating.net_w(boil_k.max(start_k));
        if net_w <= 0.0 {
            return Err(StillError::NeverBoils {
                heater_w,
                lost_w: heater_w - net_w,
                temperature_c: boil_k - ICE_POINT_K,
            });
        }
        let boil_s = if start_k >= boil_k { 0.0 } else { heating.time_to(boil_k) };
        let first = boiling.point.y;
        let top = equilibrium
            .warm(&first, apparatus.top_pressure_pa, boil_k)
            .map_err(|e| failed(e.into()))?;
        let head_jump_k = top.point.temperature_k;
        let metal_j = apparatus.column_metal_j_k * (head_jump_k - apparatus.ambient_k);
        let head_jump_s = boil_s + metal_j.max(0.0) / net_w;
        let (pot_mol, fill) = fill(equilibrium, apparatus, charge_mol)?;
        let (latent, _) = boiling.latent_heat(&fill, boil_k);
        let ready_s = head_jump_s + apparatus.holdup_mol() * latent / net_w;
        Ok(Self { boil_s, head_jump_s, ready_s, boil_k, head_jump_k, pot_mol, fill, heating })
    }

    /// Pot temperature during the heat-up, K.
    #[must_use]
    pub fn pot_k(&self, time_s: f64) -> f64 {
        if time_s >= self.boil_s {
            return self.boil_k;
        }
        // Newton on the time, whose slope is capacity over net heat: smooth and monotone.
        let whole_k = self.boil_k - self.heating.start_k;
        let mut temperature_k = self.heating.start_k + whole_k * time_s / self.boil_s;
        for _ in 0..NEWTON_ROUNDS {
            let slope =
                self.heating.capacity_j_k(temperature_k) / self.heating.net_w(temperature_k);
            temperature_k -= (self.heating.time_to(temperature_k) - time_s) / slope;
            temperature_k = temperature_k.clamp(self.heating.start_k, self.boil_k);
        }
        temperature_k
    }

    /// Heat left over at the boil, W.
    #[must_use]
    pub fn net_w_at_boil(&self) -> f64 {
        self.heating.net_w(self.boil_k.max(self.heating.start_k))
    }

    /// Head temperature during the heat-up, K.
    #[must_use]
    pub fn head_k(&self, time_s: f64) -> f64 {
        if time_s >= self.head_jump_s { self.head_jump_k } else { self.heating.ambient_k }
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
