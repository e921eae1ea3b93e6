//! Maceration: what the botanicals soak up, and by how much sugar and extract make a glass read too
//! low.

use alcoholometry::gauge::{Scale, would_read};

use crate::check::Bound;
use crate::error::FinishingError;

/// Strength at which botanicals give most, % vol (common practice).
pub const STRENGTH: (f64, f64) = (40.0, 60.0);
/// How much less a glass reads per gram of sugar or extract in a litre, % vol (common practice, no
/// source: it raises the density by 0.38 kg/m³, and a % vol lowers that of spirit by 1.4 at 40).
const SUGAR_KG_M3_PER_G_L: f64 = 0.38;
/// Above so much extract the strength of a spirit is to be found by distilling a sample, g/L
/// (source: 27 CFR 30.41 and 30.71: 600 mg in 100 mL; to 400 mg a correction may do).
pub const DISTIL_ABOVE_G_PER_L: f64 = 6.0;

/// What is macerated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MacerationInput {
    /// Litres of spirit at 20 °C.
    pub litres: f64,
    /// Its strength, % vol.
    pub strength_vol: f64,
    /// Botanicals or fruit, kg.
    pub solids_kg: f64,
    /// Water in them, per cent of their weight: 10 for dry, 85 for fresh fruit.
    pub water_percent: f64,
    /// Liquid that stays in them after draining, L per kg.
    pub held_l_per_kg: f64,
    /// Sugar and extract in the finished liquid, g/L.
    pub extract_g_per_l: f64,
}

/// What maceration gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Macerated {
    /// Strength once the water of the solids is in it, % vol.
    pub strength_vol: f64,
    /// Litres drained off at 20 °C.
    pub litres: f64,
    /// Litres of pure alcohol in them.
    pub pure_alcohol_l: f64,
    /// Litres of pure alcohol that stay in the solids.
    pub lost_l: f64,
    /// What a glass shows in it at 20 °C, % vol; none where it floats off the scale.
    pub glass_reads_vol: Option<f64>,
    /// By how much that is too low, % vol.
    pub obscuration_vol: Option<f64>,
    /// Whether a sample must be distilled to tell the strength.
    pub distil_to_gauge: bool,
    /// What speaks against it.
    pub doubts: Vec<String>,
}

/// Reckons a maceration.
///
/// # Errors
/// [`FinishingError`] naming `litres`, `vol`, `solids`, `water`, `held` or `extract`.
pub fn macerate(input: MacerationInput) -> Result<Macerated, FinishingError> {
    Bound::LITRES.check("litres", input.litres)?;
    Bound::STRENGTH.check("vol", input.strength_vol)?;
    Bound::new(0.0, 2.0 * input.litres, "kg", "at most two kilograms for each litre of spirit")
        .check("solids", input.solids_kg)?;
    Bound::new(0.0, 98.0, "%", "10 for dry botanicals, about 85 for fresh fruit")
        .check("water", input.water_percent)?;
    Bound::new(0.0, 5.0, "L/kg", "liquid left in the solids after draining")
        .check("held", input.held_l_per_kg)?;
    Bound::new(0.0, 500.0, "g/L", "sugar and extract, as weighed or added")
        .check("extract", input.extract_g_per_l)?;
    let water_l = input.solids_kg * input.water_percent / 100.0;
    let (strength_vol, all_l) =
        alcoholometry::reduce::diluted_to(input.litres, input.strength_vol, water_l, 20.0)?;
    let held_l = (input.solids_kg * (input.water_percent / 100.0 + input.held_l_per_kg)).min(all_l);
    let litres = all_l - held_l;
    let glass_reads_vol = obscured(strength_vol, input.extract_g_per_l);
    let (low, high) = STRENGTH;
    let mut doubts = Vec::new();
    if input.strength_vol < low || input.strength_vol > high {
        doubts.push(format!(
            "botanicals give most at {low:.0} to {high:.0} % vol; this is {:.1}",
            input.strength_vol
        ));
    }
    if input.solids_kg > 0.0 {
        doubts.push("drain solids before heat: in the boiler they scorch, in a basket they can block the vapour".to_owned());
    }
    Ok(Macerated {
        strength_vol,
        litres,
        pure_alcohol_l: litres * strength_vol / 100.0,
        lost_l: held_l * strength_vol / 100.0,
        obscuration_vol: glass_reads_vol.map(|reads| strength_vol - reads),
        glass_reads_vol,
        distil_to_gauge: input.extract_g_per_l > DISTIL_ABOVE_G_PER_L,
        doubts,
    })
}

/// What a glass of 20 °C shows in a spirit of this strength with so much extract in it, % vol: the
/// strength of the clear spirit that is as heavy.
#[must_use]
pub fn obscured(strength_vol: f64, extract_g_per_l: f64) -> Option<f64> {
    let p = alcoholometry::kernel::mass_fraction_from_vol20(strength_vol / 100.0);
    let density = alcoholometry::kernel::density_kg_m3(p, 20.0);
    let heavier = density + SUGAR_KG_M3_PER_G_L * extract_g_per_l;
    let as_heavy = alcoholometry::strength::mass_fraction_from_density(heavier, 20.0).ok()?;
    let vol = 100.0 * alcoholometry::kernel::vol20_from_mass_fraction(as_heavy);
    would_read(vol, 20.0, Scale::Vol20).ok()
}
