//! Treatment with activated carbon: how much, how large a bed, how long in contact, what the bed
//! holds back.

use alcoholometry::kernel::{self, mass_fraction_from_vol20};
use alcoholometry::volume;

use crate::check::Bound;
use crate::error::FinishingError;

/// Carbon per litre of spirit, g (source: Pielech-Przybylska et al. 2017: 1 g in 100 mL at 50 % vol
/// did most of what carbon does; more did little).
pub const GRAMS_PER_LITRE: f64 = 10.0;
/// Contact with carbon stirred in, h (the same source).
pub const STIRRED_HOURS: f64 = 1.0;
/// A litre of granular carbon as poured, g (common practice, no source: 400 to 550).
pub const BULK_G_PER_LITRE: f64 = 480.0;
/// Share of a bed that holds liquid, between the grains and in their pores (common practice, no
/// source: 0.7 to 0.85).
pub const HELD_SHARE: f64 = 0.78;
/// The half width of that share (judgement).
pub const HELD_SHARE_SD: f64 = 0.05;
/// Least height of a bed, m, and width, mm, for one slow pass (common practice).
pub const BED_LEAST: (f64, f64) = (1.5, 38.0);
/// Strength at which carbon takes most, % vol (common practice, and the source above to 50).
pub const STRENGTH: (f64, f64) = (38.0, 50.0);
/// Shortest contact in a bed, min (common practice, no source).
pub const CONTACT_LEAST_MIN: f64 = 20.0;

/// What carbon does and does not, said wherever it is shown (source: `GRAMS_PER_LITRE`'s).
pub const WORDS: &str = "Carbon takes up little acetaldehyde and hardly any methanol, and it does not mend bad cuts. Boil it, soak it, keep it flooded; return the first runnings.";

/// A bed, and what is to go through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedInput {
    /// Spirit to treat, L at 20 °C.
    pub litres: f64,
    /// Its strength, % vol.
    pub strength_vol: f64,
    /// Inner width of the tube, mm.
    pub diameter_mm: f64,
    /// Height of carbon in it, m.
    pub height_m: f64,
    /// How fast spirit runs through, L/h.
    pub litres_per_hour: f64,
    /// Water pushed through after the spirit, L.
    pub rinse_litres: f64,
}

/// What a bed does.
#[derive(Debug, Clone, PartialEq)]
pub struct Bed {
    /// Carbon in it, g.
    pub carbon_g: f64,
    /// Carbon that the spirit asks for, g.
    pub wanted_g: f64,
    /// Liquid it holds, L.
    pub held_litres: f64,
    /// Standard deviation of that.
    pub held_litres_sd: f64,
    /// Contact of each drop, min.
    pub contact_min: f64,
    /// How long the spirit takes to run through, h.
    pub hours: f64,
    /// Pure alcohol left in the bed after the rinse, L: the loss if it is not rinsed again.
    pub lost_l: f64,
    /// Standard deviation of that.
    pub lost_l_sd: f64,
    /// The same without any rinse, L.
    pub held_alcohol_l: f64,
    /// Litres at 20 °C that come out with the rinse, the bed's own water apart.
    pub out_litres_20c: f64,
    /// Its strength, % vol.
    pub out_strength_vol: f64,
    /// What speaks against it.
    pub doubts: Vec<String>,
}

/// Carbon stirred into a vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stirred {
    /// Carbon, g.
    pub carbon_g: f64,
    /// Hours of contact.
    pub hours: f64,
    /// Liquid that stays in it when it is strained off, L.
    pub held_litres: f64,
    /// Pure alcohol in that, L.
    pub lost_l: f64,
    /// Standard deviation of that.
    pub lost_l_sd: f64,
}

/// Carbon to stir into a vessel, and what it keeps.
///
/// # Errors
/// [`FinishingError`] naming `litres` or `vol`.
pub fn stirred(litres: f64, strength_vol: f64) -> Result<Stirred, FinishingError> {
    Bound::LITRES.check("litres", litres)?;
    Bound::STRENGTH.check("vol", strength_vol)?;
    let carbon_g = GRAMS_PER_LITRE * litres;
    let held_litres = HELD_SHARE * carbon_g / BULK_G_PER_LITRE;
    let lost_l = held_litres * strength_vol / 100.0;
    let lost_l_sd = lost_l * HELD_SHARE_SD / HELD_SHARE;
    Ok(Stirred { carbon_g, hours: STIRRED_HOURS, held_litres, lost_l, lost_l_sd })
}

/// Share of what a bed held that stays after a rinse: taken as one stirred vessel, which rinses
/// worst (judgement).
fn stays(rinse_litres: f64, held_litres: f64) -> f64 {
    (-rinse_litres / held_litres).exp()
}

/// What a bed does to a spirit.
///
/// # Errors
/// [`FinishingError`] naming `litres`, `vol`, `diameter`, `height`, `flow` or `rinse`.
pub fn bed(input: BedInput) -> Result<Bed, FinishingError> {
    Bound::LITRES.check("litres", input.litres)?;
    Bound::STRENGTH.check("vol", input.strength_vol)?;
    Bound::new(10.0, 1000.0, "mm", "the inner width of the tube")
        .check("diameter", input.diameter_mm)?;
    Bound::new(0.05, 10.0, "m", "the height of the carbon, not of the tube")
        .check("height", input.height_m)?;
    Bound::new(0.001, 10_000.0, "L/h", "how fast the spirit runs through")
        .check("flow", input.litres_per_hour)?;
    Bound::new(0.0, 10_000.0, "L", "water after the spirit; 0 for none")
        .check("rinse", input.rinse_litres)?;
    let area_m2 = std::f64::consts::PI * (input.diameter_mm / 2000.0).powi(2);
    let bed_litres = 1000.0 * area_m2 * input.height_m;
    let held_litres = HELD_SHARE * bed_litres;
    let carbon_g = BULK_G_PER_LITRE * bed_litres;
    let contact_min = 60.0 * held_litres / input.litres_per_hour;
    let alcohol_l = input.litres * input.strength_vol / 100.0;
    if held_litres >= input.litres {
        return Err(FinishingError::Unfit {
            field: "litres",
            what: format!(
                "{} L are less than the {held_litres:.2} L that this bed holds",
                input.litres
            ),
            hint: "take a smaller bed, or stir carbon into the vessel",
        });
    }
    let held_alcohol_l = held_litres * input.strength_vol / 100.0;
    let lost_l = held_alcohol_l * stays(input.rinse_litres, held_litres);
    let (strength, litres) = come_out(&input, alcohol_l - lost_l, held_litres);
    Ok(Bed {
        carbon_g,
        wanted_g: GRAMS_PER_LITRE * input.litres,
        held_litres,
        held_litres_sd: held_litres * HELD_SHARE_SD / HELD_SHARE,
        contact_min,
        hours: input.litres / input.litres_per_hour,
        lost_l,
        lost_l_sd: lost_l * (1.0 + input.rinse_litres / held_litres) * HELD_SHARE_SD / HELD_SHARE,
        held_alcohol_l,
        out_litres_20c: litres,
        out_strength_vol: strength,
        doubts: doubts(&input, carbon_g, contact_min, held_litres),
    })
}

/// Strength and litres of what comes out, when so much pure alcohol does: spirit and rinse, less what
/// fills the bed at the end. The water that filled it at first is thrown away.
fn come_out(input: &BedInput, alcohol_l: f64, held_litres: f64) -> (f64, f64) {
    let fraction = |vol: f64| mass_fraction_from_vol20(vol / 100.0);
    let mass = |litres: f64, vol: f64| volume::mass_kg(litres, 20.0, fraction(vol));
    let kept_l = input.litres * input.strength_vol / 100.0 - alcohol_l;
    let kept_vol = (100.0 * kept_l / held_litres).clamp(0.0, input.strength_vol);
    let brought_kg = mass(input.litres, input.strength_vol) + mass(input.rinse_litres, 0.0);
    let out_kg = brought_kg - mass(held_litres, kept_vol);
    let ethanol_kg = mass(alcohol_l, 100.0);
    let p = (ethanol_kg / out_kg).clamp(0.0, fraction(input.strength_vol));
    let strength = 100.0 * kernel::vol20_from_mass_fraction(p);
    (strength, 100.0 * alcohol_l / strength)
}

fn doubts(input: &BedInput, carbon_g: f64, contact_min: f64, held_litres: f64) -> Vec<String> {
    let (low, high) = STRENGTH;
    let all = [
        (input.strength_vol < low || input.strength_vol > high).then(|| {
            format!("carbon takes most at {low:.0} to {high:.0} % vol; this is {:.1}", input.strength_vol)
        }),
        (carbon_g < GRAMS_PER_LITRE * input.litres).then(|| {
            format!("{carbon_g:.0} g are less than the {:.0} g this spirit asks for", GRAMS_PER_LITRE * input.litres)
        }),
        (contact_min < CONTACT_LEAST_MIN).then(|| {
            format!("each drop is {contact_min:.0} min in the bed; let it run slower, {CONTACT_LEAST_MIN:.0} min at least")
        }),
        (input.height_m < BED_LEAST.0 || input.diameter_mm < BED_LEAST.1).then(|| {
            format!("a bed for one pass is {:.1} m high and {:.0} mm wide at least", BED_LEAST.0, BED_LEAST.1)
        }),
        (input.litres < 2.0 * held_litres).then(|| {
            format!("the bed holds {held_litres:.1} L of the {:.1} L: stir carbon in instead", input.litres)
        }),
    ];
    all.into_iter().flatten().collect()
}
