//! Strength of the spirit where the head thermometer sits below a partial condenser: the vapour it
//! meets is weaker than what comes over.

use still::plan::HeadPlace;

use crate::engine::Live;
use crate::knowledge::Value;

/// How much stronger the spirit is than the vapour under a partial condenser, % vol: 5 to 12 in
/// five logged runs of a pilot still (data of doi 10.1109/ACCESS.2022.3197604).
const STRONGER_VOL: f64 = 8.0;
/// Half of the 95 % band of what is read so, and of a forecast alone, % vol (from that range;
/// judgement).
const HALF_VOL: f64 = 4.0;
/// Strongest spirit that is reckoned with, % vol: just under the azeotrope (handbook).
const STRONGEST_VOL: f64 = 96.5;

impl Live {
    /// Whether the head thermometer meets another vapour than the one that becomes the spirit.
    pub(crate) fn head_is_below(&self) -> bool {
        self.plan.still.head_place == HeadPlace::Below
    }

    /// Strength of the spirit by the vapour that enters the partial condenser, as the forecast has
    /// the two together; without a forecast by how far they were measured apart.
    pub(crate) fn strength_from_below(&self) -> Option<Value> {
        let read = self.head_c().and(self.probes.head().present());
        let Some(head_c) = read else {
            let vol = self.forecast_vol()?;
            return Some(self.reckoned_value(vol, HALF_VOL, "forecast: the head cannot be read"));
        };
        let entering_vol = self.probes.strength_at(head_c);
        let there = self.place().and_then(|row| {
            let below_vol = self.probes.strength_at(row.head_c - self.probes.site_shift_k());
            Some(row.distillate_vol? - below_vol)
        });
        let stronger_vol = there.map_or(STRONGER_VOL, |vol| vol.max(0.0));
        let vol = (entering_vol + stronger_vol).min(STRONGEST_VOL) + self.spirit.gauged.offset_vol;
        Some(self.reckoned_value(vol, HALF_VOL, "head temperature below the partial condenser"))
    }
}
