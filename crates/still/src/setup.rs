//! From the plan's litres and degrees to the equations' moles and kelvins.

use alcoholometry::kernel;
use quantities::Pressure;
use thermo::{Component, PureSubstance};

use crate::column::{Apparatus, Draw};
use crate::plan::{Charge, HeadPlace, RunPlan, TakeOff, default_congeners_mg_per_l};

/// 0 °C in kelvin (definition).
pub(crate) const ICE_POINT_K: f64 = 273.15;
/// Molar volume by which hold-up litres become moles, L/mol: R 22 at x = 0.669, 88.5 % vol.
const HOLDUP_MOLAR_VOLUME_L: f64 = 0.0441;

/// The substances of a charge and their moles, water and ethanol first.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargeMoles {
    /// The substances.
    pub components: Vec<Component>,
    /// Moles of each.
    pub moles: Vec<f64>,
}

impl ChargeMoles {
    /// Moles from litres at 20 °C, strength and congeners. Congeners are added: they count in
    /// no volume and no strength.
    #[must_use]
    pub fn of(charge: &Charge) -> Self {
        let p = kernel::mass_fraction_from_vol20(charge.strength_vol / 100.0);
        let mass_g = 1000.0 * (charge.litres / 1000.0) * kernel::density_kg_m3(p, 20.0);
        let mut components = vec![Component::Water, Component::Ethanol];
        let mut moles = vec![
            mass_g * (1.0 - p) / kernel::WATER_MOLAR_MASS_G_MOL,
            mass_g * p / kernel::ETHANOL_MOLAR_MASS_G_MOL,
        ];
        let given = charge.congeners_mg_per_l.clone();
        let congeners = given.unwrap_or_else(|| default_congeners_mg_per_l(charge));
        for component in Component::ALL.into_iter().filter(|c| c.is_congener()) {
            let mg_per_l = congeners.get(component.name()).copied().unwrap_or(0.0);
            if mg_per_l > 0.0 {
                let molar_mass = PureSubstance::of(component).molar_mass_g_mol();
                components.push(component);
                moles.push(mg_per_l * 1e-3 * charge.litres / molar_mass);
            }
        }
        Self { components, moles }
    }

    /// Moles laid out for a mixture of `C` places.
    #[must_use]
    pub fn padded<const C: usize>(&self) -> [f64; C] {
        std::array::from_fn(|i| self.moles.get(i).copied().unwrap_or(0.0))
    }
}

/// The apparatus of a plan; `pressure` overrides the site's.
#[must_use]
pub fn apparatus(plan: &RunPlan, pressure: Option<Pressure>) -> Apparatus {
    let still = &plan.still;
    let stages = still.stages.ceil().max(0.0);
    let efficiency = if stages == 0.0 { 1.0 } else { still.stages / stages };
    let holdup_mol = still.holdup_litres / HOLDUP_MOLAR_VOLUME_L;
    // A bare pot has no stages to hold liquid: all of it is in the drum.
    let drum_fraction = if stages == 0.0 { 1.0 } else { still.drum_fraction };
    let drum_mol = holdup_mol * drum_fraction;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 30")]
    let stages = stages as usize;
    Apparatus {
        stages,
        efficiency: still.efficiency.unwrap_or(efficiency),
        stage_mol: if stages == 0 { 0.0 } else { (holdup_mol - drum_mol) / stages as f64 },
        drum_mol,
        top_pressure_pa: pressure.map_or(100.0 * plan.site.pressure_hpa, Pressure::pascals),
        pressure_drop_pa: still.pressure_drop_pa_per_stage,
        boiler_loss_w_k: still.boiler_loss_w_per_k,
        column_loss_w_k: still.column_loss_w_per_k,
        ambient_k: plan.site.ambient_c + ICE_POINT_K,
        boiler_metal_j_k: 1000.0 * still.metal_kj_per_k,
        column_metal_j_k: 1000.0 * still.column_metal_kj_per_k,
        reflux_k: still.reflux_c.map(|c| c + ICE_POINT_K),
        vapour_lost: still.vapour_lost.unwrap_or(0.0),
        head_below: still.head_place == HeadPlace::Below,
        column_probe: still.column_probe().0,
        constant_overflow_mol_s: None,
    }
}

/// Drawn litres a second times this are mL/min (definition).
pub(crate) const ML_PER_MIN: f64 = 60_000.0;

/// A take-off as the equations have it.
pub(crate) fn draw(take_off: TakeOff) -> Draw {
    match take_off {
        TakeOff::Closed => Draw::Closed,
        TakeOff::MlPerMin(rate) if rate <= 0.0 => Draw::Closed,
        TakeOff::RefluxRatio(ratio) => Draw::Ratio(ratio.max(0.0)),
        TakeOff::RefluxWatts(watts) => Draw::Duty(watts.max(0.0)),
        TakeOff::MlPerMin(rate) => Draw::Rate(rate / ML_PER_MIN),
    }
}

/// Largest change of a stage's or the drum's mole fraction in one integrator step.
const FRACTION_CHANGE_MAX: f64 = 0.2;

/// Limits of change for a column's state: fractions on stages and in the drum are held, moles in
/// pot and receiver are not.
pub(crate) fn change_limits<const C: usize>(stages: usize) -> Vec<f64> {
    let limit = |row: usize| {
        if (1..=stages + 1).contains(&row) { FRACTION_CHANGE_MAX } else { f64::INFINITY }
    };
    (0..(stages + 3) * C).map(|i| limit(i / C)).collect()
}
