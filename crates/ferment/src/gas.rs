//! The carbon dioxide of a wash, and what it comes to in the air of its room.

use alcoholometry::density::ETHANOL_DENSITY_20C_KG_M3;
use alcoholometry::wash::sugar::CO2_PER_ETHANOL;

use crate::forecast::Forecast;
use crate::liquid::planned_gravity;
use crate::recipe::Recipe;

/// Grams of carbon dioxide in a litre of it at 20 °C and 1013 hPa (44.01 g/mol, 24.06 L/mol).
const CO2_G_PER_L: f64 = 1.83;
/// Share of it in the air outside, ppm (from memory: about what is measured far from towns).
const OUTSIDE_PPM: f64 = 420.0;

/// Most over eight hours at a work place, ppm: OSHA's limit as NIOSH's papers on such limits have it.
pub(crate) const DAY_PPM: f64 = 5000.0;
/// Most over a quarter of an hour, ppm: ACGIH and NIOSH.
pub(crate) const SHORT_PPM: f64 = 30_000.0;
/// At once dangerous to life, ppm: NIOSH, by a secondary source.
pub(crate) const DEADLY_PPM: f64 = 40_000.0;

/// The gas of a wash.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// Litres in all, at 20 °C.
    pub in_all_l: f64,
    /// Litres that are still to come.
    pub to_come_l: f64,
    /// The most it is expected to give in an hour from now on, L.
    pub fastest_l_per_h: f64,
    /// In its room; none where nobody said how large that is.
    pub room: Option<RoomGas>,
}

/// The gas in the air of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomGas {
    /// Air in the room, m³.
    pub volume_m3: f64,
    /// What all that is to come would make of the air, were none let out, ppm.
    pub closed_ppm: f64,
    /// Hours at the fastest until the air of a closed room holds [`DAY_PPM`]; none where all of it
    /// is too little for that.
    pub hours_to_day_limit: Option<f64>,
    /// Fresh air that keeps the room at [`DAY_PPM`] at the fastest, m³/h.
    pub fresh_air_m3_per_h: f64,
}

impl Gas {
    /// Of a wash and its forecast, by the middle of what is expected.
    #[must_use]
    pub fn of(recipe: &Recipe, forecast: &Forecast) -> Self {
        let ethanol_g = forecast.pure_alcohol_l.p50 * ETHANOL_DENSITY_20C_KG_M3;
        let in_all_l = ethanol_g * CO2_PER_ETHANOL / CO2_G_PER_L;
        // Gravity falls nearly straight with the alcohol that is made.
        let way = (planned_gravity(recipe) - forecast.final_gravity.p50).max(1e-3);
        let left = (forecast.gravity_now.p50 - forecast.final_gravity.p50).max(0.0);
        let falls = forecast.ahead.windows(2).map(|two| {
            (two[0].gravity.p50 - two[1].gravity.p50) / (two[1].time_h - two[0].time_h).max(1e-6)
        });
        let fastest_l_per_h = in_all_l * falls.fold(0.0, f64::max) / way;
        let to_come_l = in_all_l * (left / way).min(1.0);
        let room = recipe.room.volume_m3.map(|volume_m3| {
            let share = 1e-6 * (DAY_PPM - OUTSIDE_PPM);
            let litres = 1000.0 * volume_m3;
            RoomGas {
                volume_m3,
                closed_ppm: (1e6 * to_come_l / litres + OUTSIDE_PPM).min(1e6),
                hours_to_day_limit: (to_come_l >= share * litres && fastest_l_per_h > 0.0)
                    .then(|| share * litres / fastest_l_per_h),
                fresh_air_m3_per_h: fastest_l_per_h / 1000.0 / share,
            }
        });
        Self { in_all_l, to_come_l, fastest_l_per_h, room }
    }
}

#[cfg(test)]
mod tests {
    use super::Gas;
    use crate::forecast::sample_recipe;
    use crate::{Log, forecast};

    /// A kilogram of sucrose is 1.053 kg of hexose, of which 48.9 % by mass leaves as gas: 0.514 kg,
    /// 281 L at 20 °C, where none becomes yeast (stoichiometry). A closed room of 30 m³ comes to 5000
    /// ppm by 0.49 kg of it.
    #[test]
    fn val_a_kilogram_of_sugar_gives_some_280_litres() {
        let mut recipe = sample_recipe();
        recipe.room.volume_m3 = Some(30.0);
        let found = forecast(&recipe, &Log::default(), 0.0).unwrap();
        let gas = Gas::of(&recipe, &found);
        let sugar_kg = found.pure_alcohol_l.p50 * 0.78924 / 0.5111 / 1.0526;
        let per_kg = gas.in_all_l / sugar_kg;
        // Sucrose takes up water: 1.0526 kg of hexose of each kg.
        assert!((270.0..285.0).contains(&per_kg), "{per_kg}");
        let room = gas.room.unwrap();
        let to_limit_kg = (room.hours_to_day_limit.unwrap() * gas.fastest_l_per_h) / per_kg;
        assert!((0.45..0.65).contains(&to_limit_kg), "{to_limit_kg}");
        let kept = room.fresh_air_m3_per_h * (5000.0 - 420.0) / 1000.0;
        assert!((kept - gas.fastest_l_per_h).abs() < 1e-6, "what comes in goes out");
    }
}
