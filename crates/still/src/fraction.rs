//! Volume, strength and congeners of an amount of spirit: one density per fraction, volumes never
//! add.

use alcoholometry::kernel;
use thermo::{Component, PureSubstance};

/// An amount of spirit in moles, measured as the bench would.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fraction {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// % vol; none where there is nothing.
    pub strength_vol: Option<f64>,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
}

impl Fraction {
    /// The fraction of these moles (water first, ethanol second).
    pub(crate) fn of(moles: &[f64]) -> Self {
        let (water, ethanol) = (moles[0].max(0.0), moles[1].max(0.0));
        if water + ethanol <= 0.0 {
            return Self { litres_20c: 0.0, strength_vol: None, pure_alcohol_l: 0.0 };
        }
        let litres_20c = kernel::litres_20c(ethanol, water);
        let strength = kernel::strength_percent_20c(ethanol, water);
        Self {
            litres_20c,
            strength_vol: Some(strength),
            pure_alcohol_l: litres_20c * strength / 100.0,
        }
    }

    /// Strength, % vol; 0 where there is nothing.
    #[must_use]
    pub fn strength(self) -> f64 {
        self.strength_vol.unwrap_or(0.0)
    }

    /// Each congener in these moles, g per hL of pure alcohol; none without alcohol.
    pub(crate) fn congeners_g_per_hl_pa(
        self,
        components: &[Component],
        moles: &[f64],
    ) -> Option<Vec<(Component, f64)>> {
        if self.pure_alcohol_l <= 0.0 {
            return None;
        }
        let hectolitres = self.pure_alcohol_l / 100.0;
        Some(
            congeners_mg(components, moles)
                .map(|(component, mg)| (component, mg * 1e-3 / hectolitres))
                .collect(),
        )
    }
}

/// Each congener in these moles, mg.
pub(crate) fn congeners_mg<'a>(
    components: &'a [Component],
    moles: &'a [f64],
) -> impl Iterator<Item = (Component, f64)> + 'a {
    components.iter().zip(moles).filter(|(component, _)| component.is_congener()).map(
        |(&component, mol)| {
            (component, mol * 1000.0 * PureSubstance::of(component).molar_mass_g_mol())
        },
    )
}
