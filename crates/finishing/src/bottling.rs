//! Bottling: whether a lot is what its label says, by the doubt of the glass that gauged it; the
//! figures for the label; how many bottles the tank gives, and what is missing.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};

use crate::check::Bound;
use crate::error::FinishingError;
use crate::fill::WANTED_CHANCE;
use crate::normal::{below, within};
use crate::profile::Rule;

/// The glasses and thermometers that gauged a tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauges {
    /// One division of the glass, % vol: its scale may be off by as much, evenly (source: US rule
    /// text: out of use when wrong by more than one subdivision).
    pub step_vol: f64,
    /// How far off a thermometer may be, K, evenly.
    pub thermometer_k: f64,
    /// How many glasses and thermometers of their own gauged it.
    pub glasses: u32,
    /// How often each was read.
    pub readings: u32,
}

/// Standard deviation of an error that lies evenly within a half width (JCGM 100:2008, 4.3.7).
fn even(half_width: f64) -> f64 {
    half_width / 3.0_f64.sqrt()
}

/// The strength of a tank as its gauges know it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tank {
    /// True strength, % vol.
    pub strength_vol: f64,
    /// Standard deviation, % vol: the same for every bottle of the lot.
    pub strength_sd: f64,
}

/// Gauges a tank: the mean of all readings, with what all of them may have wrong alike.
///
/// # Errors
/// [`FinishingError`] naming `reading`, `at`, `step`, `thermometer`, `glasses` or `readings`.
pub fn gauged(reading: f64, celsius: f64, with: Gauges) -> Result<Tank, FinishingError> {
    Bound::new(0.01, 5.0, "% vol", "one division of the glass").check("step", with.step_vol)?;
    Bound::new(0.0, 5.0, "K", "how far off the thermometer may be")
        .check("thermometer", with.thermometer_k)?;
    let few = |hint| Bound::new(1.0, 20.0, "", hint);
    few("glasses that gauged it, each on its own").check("glasses", f64::from(with.glasses))?;
    few("how often each glass was read").check("readings", f64::from(with.readings))?;
    let glasses = f64::from(with.glasses);
    let scale_sd = even(with.step_vol) / glasses.sqrt();
    let reading_sd = even(0.5 * with.step_vol) / (glasses * f64::from(with.readings)).sqrt();
    let is = gauge(GaugeInput {
        reading,
        celsius,
        scale: Scale::Vol20,
        reading_sd: f64::hypot(scale_sd, reading_sd),
        celsius_sd: even(with.thermometer_k) / glasses.sqrt(),
    })?;
    Ok(Tank { strength_vol: is.strength_vol_20c, strength_sd: is.strength_sd })
}

/// A lot against its label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Labelled {
    /// What the label says, % vol.
    pub label_vol: f64,
    /// Chance that the lot is within the tolerance: one truth for every bottle.
    pub chance: f64,
    /// Chance that it is weaker than the tolerance allows, and stronger.
    pub chance_under_over: (f64, f64),
    /// Label to one decimal that fits best.
    pub best_label_vol: f64,
    /// How far the gauge may be off the label for a chance of [`WANTED_CHANCE`], % vol; none where
    /// these instruments can never tell it.
    pub room_vol: Option<f64>,
    /// US proof for the label: twice the % vol on it.
    pub label_proof: f64,
}

/// Holds a lot against its label.
///
/// # Errors
/// [`FinishingError`] naming `label`.
pub fn labelled(tank: Tank, label_vol: f64, rule: Rule) -> Result<Labelled, FinishingError> {
    Bound::STRENGTH.check("label", label_vol)?;
    let Tank { strength_vol, strength_sd } = tank;
    let chance = |off: f64| within(off, strength_sd, -rule.tolerance, rule.tolerance);
    let off = strength_vol - label_vol;
    let side = |edge: f64| {
        if strength_sd > 0.0 { below(edge / strength_sd) } else { f64::from(u8::from(edge > 0.0)) }
    };
    Ok(Labelled {
        label_vol,
        chance: chance(off),
        chance_under_over: (side(-rule.tolerance - off), side(off - rule.tolerance)),
        best_label_vol: (10.0 * strength_vol).round() / 10.0,
        room_vol: room(rule.tolerance, chance),
        label_proof: 2.0 * label_vol,
    })
}

/// The largest distance from the label that still has the wanted chance, by halving.
fn room(tolerance: f64, chance: impl Fn(f64) -> f64) -> Option<f64> {
    if chance(0.0) < WANTED_CHANCE {
        return None;
    }
    let (mut low, mut high) = (0.0, tolerance);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if chance(middle) >= WANTED_CHANCE { low = middle } else { high = middle }
    }
    Some(low)
}

/// A tank against the bottles that came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CountInput {
    /// Litres in the tank at 20 °C.
    pub tank_litres: f64,
    /// Standard deviation of them.
    pub tank_litres_sd: f64,
    /// Strength, % vol.
    pub strength_vol: f64,
    /// Mean content of a bottle, mL at 20 °C.
    pub mean_ml: f64,
    /// Standard deviation of that mean, mL: what all fills have wrong alike.
    pub mean_sd_ml: f64,
    /// Litres that stay in tank and filter.
    pub heel_litres: f64,
    /// Bottles counted; none before they are.
    pub counted: Option<u32>,
}

/// What the count says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// Whole bottles that the tank gives.
    pub bottles: u32,
    /// Litres left over once they are full.
    pub left_over_l: f64,
    /// Litres of pure alcohol in the bottles: those counted, or those to come.
    pub pure_alcohol_l: f64,
    /// Litres that neither bottles nor heel hold; negative: more came out than went in.
    pub unexplained_l: Option<f64>,
    /// Standard deviation of it, L.
    pub unexplained_sd_l: f64,
    /// Whether it is more than the gauges could have wrong (two deviations).
    pub is_seen: bool,
}

/// Counts bottles against the tank.
///
/// # Errors
/// [`FinishingError`] naming `litres`, `litres-sd`, `heel` or `counted`.
pub fn count(input: &CountInput) -> Result<Counted, FinishingError> {
    Bound::LITRES.check("litres", input.tank_litres)?;
    Bound::new(0.0, input.tank_litres, "L", "a standard deviation, 0 for exact")
        .check("litres-sd", input.tank_litres_sd)?;
    Bound::new(0.0, input.tank_litres, "L", "what stays in tank and filter")
        .check("heel", input.heel_litres)?;
    let each_l = Bound::new(5.0, 11_000.0, "mL", "the mean content of a bottle")
        .check("size", input.mean_ml)?
        / 1000.0;
    let out_l = input.tank_litres - input.heel_litres;
    let whole = (out_l / each_l + 1e-9).floor();
    Bound::new(0.0, 1e6, "bottles", "a smaller tank, or larger bottles").check("bottles", whole)?;
    if let Some(counted) = input.counted {
        Bound::new(
            0.0,
            2.0 * whole + 1.0,
            "bottles",
            "compare the count, the size and the tank's litres",
        )
        .check("counted", f64::from(counted))?;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to a million"
    )]
    let bottles = whole as u32;
    let filled = f64::from(input.counted.unwrap_or(bottles));
    let in_bottles_l = filled * each_l;
    let unexplained_l = input.counted.map(|_| out_l - in_bottles_l);
    let unexplained_sd_l = f64::hypot(input.tank_litres_sd, filled * input.mean_sd_ml / 1000.0);
    Ok(Counted {
        bottles,
        left_over_l: out_l - whole * each_l,
        pure_alcohol_l: in_bottles_l * input.strength_vol / 100.0,
        unexplained_l,
        unexplained_sd_l,
        is_seen: unexplained_l.is_some_and(|litres| litres.abs() > 2.0 * unexplained_sd_l),
    })
}
