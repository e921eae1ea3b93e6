//! Reducing in steps by weight: how much water at each, how warm it gets, what the glass shows while
//! it is warm, when to gauge, and the last trim.

use alcoholometry::gauge::{Scale, would_read};
use alcoholometry::kernel::mass_fraction_from_vol20;
use alcoholometry::reduce::{ReduceInput, Reduced, reduce};
use alcoholometry::{volume, weighing};

use crate::check::Bound;
use crate::error::FinishingError;

/// Most steps.
pub const STEPS_MAX: usize = 12;
/// How far above the strength wanted the water of a step first stops, % vol: gauge and trim from
/// there (common practice, no source: 1 to 2 % vol).
pub const STOP_ABOVE_VOL: f64 = 1.0;
/// A gauge at rest between two steps: glass and thermometer together, % vol (judgement).
pub const GAUGE_SD_VOL: f64 = 0.15;
/// A balance under a tank or a jar, share of what is on it (judgement).
pub const BALANCE_SHARE_SD: f64 = 0.0005;
/// Below this strength esters come out of solution and the spirit can turn hazy, % vol (literature).
pub const HAZE_BELOW_VOL: f64 = 46.0;

/// A spirit to be brought down.
#[derive(Debug, Clone, PartialEq)]
pub struct StepsInput {
    /// Litres as measured at its temperature.
    pub litres: f64,
    /// Its strength, % vol at 20 °C.
    pub from: f64,
    /// Standard deviation of that strength, % vol.
    pub from_sd: f64,
    /// Strength wanted, % vol at 20 °C.
    pub to: f64,
    /// Temperature of spirit and water, °C.
    pub celsius: f64,
    /// In how many steps.
    pub steps: usize,
    /// Hours of rest after each.
    pub rest_hours: f64,
    /// What the gauge said after the steps that are done, true % vol.
    pub gauged: Vec<f64>,
}

/// One step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Counted from 1.
    pub number: usize,
    /// Strength before it, % vol.
    pub from: f64,
    /// Strength aimed at, % vol.
    pub to: f64,
    /// First pour: water to stop short of the aim, kg.
    pub pour_kg: f64,
    /// Strength after the first pour, % vol.
    pub poured_to: f64,
    /// Water left for the trim, kg, by the strength assumed; the gauge decides.
    pub trim_kg: f64,
    /// Standard deviation of that trim from gauge and balance, kg.
    pub trim_kg_sd: f64,
    /// Litres at 20 °C after it.
    pub litres_20c: f64,
    /// What a balance shows of the spirit after it, kg, without the vessel.
    pub shown_kg: f64,
    /// Volume lost by mixing, per cent.
    pub contraction_percent: f64,
    /// Warming without loss of heat, K; none where that is not known.
    pub warming_k: Option<f64>,
    /// What a glass at 20 °C would show right after the pour while it is that warm, % vol.
    pub warm_reading_vol: Option<f64>,
    /// Hours of rest before it is gauged.
    pub rest_hours: f64,
    /// Standard deviation of the strength after the trim, % vol.
    pub strength_sd: f64,
    /// The gauge after it, where it is done.
    pub gauged: Option<f64>,
}

/// A whole reduction.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// Its steps in order.
    pub steps: Vec<Step>,
    /// All the water, kg: what went in and what is to go in.
    pub water_kg: f64,
    /// Litres of pure alcohol at the start.
    pub pure_alcohol_l: f64,
    /// The same by the last gauge: what differs is an error of a gauge, or a loss.
    pub pure_alcohol_now_l: f64,
    /// Standard deviation of their difference, L.
    pub difference_sd_l: f64,
    /// Whether it may turn hazy.
    pub may_haze: bool,
    /// Hours of rest in all.
    pub hours: f64,
}

fn checked(input: &StepsInput) -> Result<(), FinishingError> {
    Bound::LITRES.check("litres", input.litres)?;
    Bound::STRENGTH.check("from", input.from)?;
    Bound::new(0.0, 5.0, "% vol", "a standard deviation is not negative; 0 means exact")
        .check("from-sd", input.from_sd)?;
    Bound::new(0.5, input.from, "% vol", "water only weakens; aim below what there is")
        .check("to", input.to)?;
    Bound::new(0.0, 40.0, "°C", "spirit and water both have this temperature")
        .check("at", input.celsius)?;
    Bound::new(1.0, STEPS_MAX as f64, "steps", "a few steps are enough for any spirit")
        .check("steps", input.steps as f64)?;
    Bound::new(0.0, 2000.0, "h", "hours between two steps, 0 for none")
        .check("rest", input.rest_hours)?;
    let most = input.steps as f64;
    Bound::new(0.0, most, "gauges", "one gauge after each step that is done")
        .check("gauged", input.gauged.len() as f64)?;
    let mut above = input.from;
    for (i, &vol) in input.gauged.iter().enumerate() {
        Bound::new(0.5, above, "% vol", "after water a spirit is weaker; gauge it again at rest")
            .check(format!("gauged {}", i + 1), vol)?;
        above = vol;
    }
    Ok(())
}

/// What stands in the vessel between two steps.
#[derive(Debug, Clone, Copy)]
struct Standing {
    litres: f64,
    strength: f64,
    strength_sd: f64,
}

fn reduced(now: Standing, to: f64, celsius: f64) -> Result<Reduced, FinishingError> {
    let exact = ReduceInput::exact(now.litres, now.strength, to, celsius);
    Ok(reduce(ReduceInput { from_sd: now.strength_sd, ..exact })?)
}

/// The first pour of a step: to stop short of the aim, or nothing where the aim is that near.
fn pour(now: Standing, aim: f64, celsius: f64) -> Result<(f64, Option<Reduced>), FinishingError> {
    let stop = aim + STOP_ABOVE_VOL;
    if stop >= now.strength {
        return Ok((now.strength, None));
    }
    Ok((stop, Some(reduced(now, stop, celsius)?)))
}

fn step(
    input: &StepsInput,
    number: usize,
    now: Standing,
    aim: f64,
) -> Result<(Step, Standing), FinishingError> {
    let celsius = input.celsius;
    let whole = reduced(now, aim, celsius)?;
    let (poured_to, first) = pour(now, aim, celsius)?;
    let pour_kg = first.map_or(0.0, |first| first.water_kg);
    let warming_k = first.map_or(whole.warming_k, |first| first.warming_k);
    let warm_c = warming_k.map(|k| celsius + k).filter(|c| *c <= 40.0);
    let warm_reading_vol = warm_c.and_then(|c| {
        would_read(if first.is_some() { poured_to } else { aim }, c, Scale::Vol20).ok()
    });
    let trim_kg = whole.water_kg - pour_kg;
    // The gauge before the trim says how much it is: water for one deviation of it.
    let weighed_kg =
        volume::mass_kg(whole.product_l_20c, 20.0, mass_fraction_from_vol20(aim / 100.0));
    let p = |vol: f64| mass_fraction_from_vol20(vol / 100.0);
    let by_gauge = weighed_kg * (p(aim + GAUGE_SD_VOL) / p(aim) - 1.0);
    let trim_kg_sd = f64::hypot(by_gauge, BALANCE_SHARE_SD * weighed_kg);
    let density = alcoholometry::kernel::density_kg_m3(p(aim), 20.0);
    let gauged = input.gauged.get(number - 1).copied();
    let strength = gauged.unwrap_or(aim);
    // The vessel was weighed: what is in it is its mass, whatever the gauge says of it.
    let litres = volume::litres(weighed_kg, celsius, p(strength));
    let done = Step {
        number,
        from: now.strength,
        to: aim,
        pour_kg,
        poured_to,
        trim_kg,
        trim_kg_sd,
        litres_20c: volume::litres(weighed_kg, 20.0, p(strength)),
        shown_kg: weighing::shown_kg(weighed_kg, density),
        contraction_percent: whole.contraction_percent,
        warming_k,
        warm_reading_vol,
        rest_hours: input.rest_hours,
        strength_sd: GAUGE_SD_VOL,
        gauged,
    };
    Ok((done, Standing { litres, strength, strength_sd: GAUGE_SD_VOL }))
}

/// Plans a reduction, or plans it anew from what was gauged on the way.
///
/// The steps still to go share what is left evenly in % vol.
///
/// # Errors
/// [`FinishingError`] naming `litres`, `from`, `to`, `at`, `steps`, `rest` or a gauge.
pub fn plan(input: &StepsInput) -> Result<Steps, FinishingError> {
    checked(input)?;
    let p = |vol: f64| mass_fraction_from_vol20(vol / 100.0);
    let alcohol = |now: Standing| {
        volume::litres_20c(now.litres, input.celsius, p(now.strength)) * now.strength / 100.0
    };
    let mut now =
        Standing { litres: input.litres, strength: input.from, strength_sd: input.from_sd };
    let pure_alcohol_l = alcohol(now);
    let (mut steps, mut water_kg, mut gauged_l) = (Vec::new(), 0.0, pure_alcohol_l);
    for number in 1..=input.steps {
        let left = (input.steps - number + 1) as f64;
        let aim = (now.strength - (now.strength - input.to) / left).min(now.strength);
        let aim = if number == input.steps { input.to.min(now.strength) } else { aim };
        let (done, then) = step(input, number, now, aim)?;
        water_kg += done.pour_kg + done.trim_kg;
        if done.gauged.is_some() {
            gauged_l = alcohol(then);
        }
        now = then;
        steps.push(done);
    }
    let relative = f64::hypot(input.from_sd / input.from, GAUGE_SD_VOL / input.to);
    Ok(Steps {
        difference_sd_l: pure_alcohol_l * f64::hypot(relative, BALANCE_SHARE_SD),
        hours: input.rest_hours * input.steps as f64,
        may_haze: input.to < HAZE_BELOW_VOL,
        steps,
        water_kg,
        pure_alcohol_l,
        pure_alcohol_now_l: gauged_l,
    })
}
