//! What a warm wall loses: natural convection and radiation, bare or wrapped.
//!
//! Convection of air at an upright wall by the short forms of the usual correlations (`McAdams`,
//! Heat Transmission, 3rd ed., ch. 7: 1.42 (dT/L)^(1/4) where it is laminar, 1.31 dT^(1/3) where it
//! is turbulent, W/m²K), radiation with a total emissivity.

use super::measured::Metal;

/// A still's wall while it runs, and the room, °C.
const WALL_C: f64 = 85.0;
const ROOM_C: f64 = 20.0;
/// Stefan-Boltzmann constant, W/m²K⁴ (definition).
const STEFAN_BOLTZMANN: f64 = 5.670_374e-8;
/// Total emissivity near 100 °C: steel as it is rolled and used 0.3 to 0.4, copper that has been
/// heated in air 0.5 to 0.8 (handbook tables of total emissivity).
const STEEL_EMISSIVITY: f64 = 0.35;
const COPPER_EMISSIVITY: f64 = 0.6;
/// A finger of foam or felt: 0.04 W/mK (handbook), 13 mm of it.
const WRAP_W_PER_M2_K: f64 = 0.04 / 0.013;
/// Share of a wrapped wall that stays bare: flanges, ports, the rim (judgement).
const LEFT_BARE: f64 = 0.1;

/// Loss of a wall of that height, W/m²K over the room.
pub(super) fn loss_w_per_m2_k(lagged: bool, metal: Option<Metal>, height_m: f64) -> f64 {
    let bare = convection(height_m) + radiation(metal);
    if !lagged {
        return bare;
    }
    let wrapped = 1.0 / (1.0 / bare + 1.0 / WRAP_W_PER_M2_K);
    (1.0 - LEFT_BARE) * wrapped + LEFT_BARE * bare
}

fn convection(height_m: f64) -> f64 {
    let over_k = WALL_C - ROOM_C;
    let laminar = 1.42 * (over_k / height_m.max(0.05)).powf(0.25);
    laminar.max(1.31 * over_k.cbrt())
}

fn radiation(metal: Option<Metal>) -> f64 {
    let emissivity = match metal.unwrap_or_default() {
        Metal::Steel => STEEL_EMISSIVITY,
        Metal::Copper => COPPER_EMISSIVITY,
    };
    let (wall, room) = (WALL_C + 273.15, ROOM_C + 273.15);
    emissivity * STEFAN_BOLTZMANN * (wall.powi(4) - room.powi(4)) / (wall - room)
}

#[cfg(test)]
mod tests {
    use super::super::measured::Metal;
    use super::loss_w_per_m2_k;

    #[test]
    fn val_a_bare_wall_loses_what_handbooks_say() {
        // Combined coefficients for bare warm surfaces in still air of a room at 60 to 70 K over it:
        // about 10 to 12 W/m²K for dull walls (emissivity 0.9), of which radiation is 7; bright
        // metal 5 to 6 (VDI Heat Atlas, from memory; the figures are rounded).
        let steel = loss_w_per_m2_k(false, Some(Metal::Steel), 1.0);
        let copper = loss_w_per_m2_k(false, Some(Metal::Copper), 1.0);
        assert!((6.0..10.0).contains(&steel), "{steel}");
        assert!((8.0..12.0).contains(&copper) && copper > steel, "{copper}");
    }

    #[test]
    fn prop_wrapping_saves_more_than_half_and_never_all() {
        for metal in [Metal::Steel, Metal::Copper] {
            for height_m in [0.1, 0.5, 2.0] {
                let bare = loss_w_per_m2_k(false, Some(metal), height_m);
                let wrapped = loss_w_per_m2_k(true, Some(metal), height_m);
                assert!(wrapped < 0.5 * bare && wrapped > 1.0, "{wrapped} of {bare}");
            }
        }
    }
}
