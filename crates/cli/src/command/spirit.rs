//! An amount of spirit as it was measured, by volume or on a balance.

use alcoholometry::typed::Typed;
use alcoholometry::{kernel, volume, weighing};
use serde::Serialize;

use crate::error::CliError;
use crate::print::Sheet;

/// Litres of a spirit of known strength.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Spirit {
    /// At its own temperature.
    pub(super) litres: f64,
    litres_20c: f64,
    pure_alcohol_l: f64,
}

impl Spirit {
    /// From litres at its temperature, or else from kilograms as a balance shows them; nothing
    /// where neither is given.
    pub(super) fn new(
        litres: Option<f64>,
        kg: Option<f64>,
        strength_vol: f64,
        celsius: f64,
    ) -> Result<Option<Self>, CliError> {
        let litres = match (litres, kg) {
            (Some(litres), _) => litres,
            (None, Some(kg)) => weighing::weighed_litres(kg, strength_vol, celsius)?,
            (None, None) => return Ok(None),
        };
        let p = kernel::mass_fraction_from_vol20(strength_vol / 100.0);
        let litres_20c = volume::litres_20c(litres, celsius, p);
        Ok(Some(Self { litres, litres_20c, pure_alcohol_l: litres_20c * strength_vol / 100.0 }))
    }

    /// As [`Spirit::new`], of numbers that are kept as they were typed.
    pub(super) fn of(
        litres: Option<&Typed>,
        kg: Option<&Typed>,
        strength_vol: f64,
        celsius: f64,
    ) -> Result<Option<Self>, CliError> {
        let value = |typed: Option<&Typed>| typed.map(|typed| typed.value);
        Self::new(value(litres), value(kg), strength_vol, celsius)
    }

    /// Adds what there is of it to a sheet.
    pub(super) fn rows(&self, sheet: &mut Sheet) {
        sheet.row("so much of it is", self.litres_20c, 3, "L at 20 °C");
        sheet.row("pure alcohol", self.pure_alcohol_l, 3, "L");
    }
}
