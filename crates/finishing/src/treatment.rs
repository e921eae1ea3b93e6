//! A spirit treated with carbon, in a bed or stirred in: one answer for both.

use crate::carbon::{BedInput, bed, stirred};
use crate::error::FinishingError;

/// What the carbon does.
#[derive(Debug, Clone, PartialEq)]
pub struct Treated {
    /// Carbon in it, g.
    pub carbon_g: f64,
    /// Carbon that the spirit asks for, g.
    pub wanted_g: f64,
    /// Contact of each drop, min.
    pub contact_min: f64,
    /// Liquid it holds, L.
    pub held_litres: f64,
    /// Standard deviation of that; none where it was stirred in.
    pub held_litres_sd: Option<f64>,
    /// How long it takes, h.
    pub hours: f64,
    /// Pure alcohol that a bed keeps without any rinse, L.
    pub held_alcohol_l: Option<f64>,
    /// Pure alcohol that stays, L.
    pub lost_l: f64,
    /// Standard deviation of that.
    pub lost_l_sd: f64,
    /// Litres at 20 °C that come out.
    pub out_litres_20c: f64,
    /// Their strength, % vol.
    pub out_strength_vol: f64,
    /// What speaks against it.
    pub doubts: Vec<String>,
}

/// A spirit through a bed.
///
/// # Errors
/// As [`bed`].
pub fn through_bed(input: BedInput) -> Result<Treated, FinishingError> {
    let of = bed(input)?;
    Ok(Treated {
        carbon_g: of.carbon_g,
        wanted_g: of.wanted_g,
        contact_min: of.contact_min,
        held_litres: of.held_litres,
        held_litres_sd: Some(of.held_litres_sd),
        hours: of.hours,
        held_alcohol_l: Some(of.held_alcohol_l),
        lost_l: of.lost_l,
        lost_l_sd: of.lost_l_sd,
        out_litres_20c: of.out_litres_20c,
        out_strength_vol: of.out_strength_vol,
        doubts: of.doubts,
    })
}

/// Carbon stirred into the vessel: what its grains keep when they are strained off.
///
/// # Errors
/// As [`stirred`].
pub fn stirred_in(litres: f64, strength_vol: f64) -> Result<Treated, FinishingError> {
    let is = stirred(litres, strength_vol)?;
    Ok(Treated {
        carbon_g: is.carbon_g,
        wanted_g: is.carbon_g,
        contact_min: 60.0 * is.hours,
        held_litres: is.held_litres,
        held_litres_sd: None,
        hours: is.hours,
        held_alcohol_l: None,
        lost_l: is.lost_l,
        lost_l_sd: is.lost_l_sd,
        out_litres_20c: litres - is.held_litres,
        out_strength_vol: strength_vol,
        doubts: Vec::new(),
    })
}
