//! Filling bottles by weight or by volume, and the chance that a lot is filled as its country asks.

use alcoholometry::kernel::{density_kg_m3, mass_fraction_from_vol20};
use alcoholometry::{volume, weighing};

use crate::check::Bound;
use crate::error::FinishingError;
use crate::normal::{below, grid, within};
use crate::profile::{Rule, Scheme};

/// Share of a lot that may be short by more than the tolerance where the mean is judged (from
/// memory, Directive 76/211/EEC, Annex II: 2.5 %).
const SHORT_SHARE: f64 = 0.025;
/// Expansion of bottle glass, 1/K by volume: soda-lime, handbook.
const GLASS_EXPANSION_PER_K: f64 = 27e-6;
/// The chance a lot should have to be filled as asked (judgement).
pub const WANTED_CHANCE: f64 = 0.975;

/// How bottles are filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// On a balance: how far off it may be, all bottles alike, g.
    Weight {
        /// Standard deviation, g.
        balance_sd_g: f64,
    },
    /// To a level or by a filler: how far off its volume may be, all bottles alike, mL.
    Volume {
        /// Standard deviation, mL.
        measure_sd_ml: f64,
    },
}

/// A lot to fill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillInput {
    /// Nominal content, mL at 20 °C.
    pub nominal_ml: f64,
    /// How much more than that is aimed at, mL at 20 °C.
    pub over_ml: f64,
    /// Strength of the spirit, % vol.
    pub strength_vol: f64,
    /// Its temperature at the filling, °C.
    pub celsius: f64,
    /// Standard deviation of that temperature, K.
    pub celsius_sd: f64,
    /// How it is filled.
    pub way: Way,
    /// Standard deviation from bottle to bottle, mL.
    pub each_sd_ml: f64,
    /// How many bottles.
    pub bottles: u32,
    /// What the country asks.
    pub rule: Rule,
}

/// What a lot of fills comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filled {
    /// What the balance must show of the spirit in one bottle, g.
    pub shown_g: f64,
    /// What fills a bottle at this temperature, mL.
    pub ml_at_celsius: f64,
    /// Mean content aimed at, mL at 20 °C.
    pub mean_ml: f64,
    /// Standard deviation that all bottles share, mL.
    pub shared_sd_ml: f64,
    /// Chance that one bottle is within the tolerance.
    pub chance_each: f64,
    /// Chance that the lot is as its country asks.
    pub chance_lot: f64,
    /// Least mean that gives [`WANTED_CHANCE`], mL; none where no mean does.
    pub mean_wanted_ml: Option<f64>,
    /// Room that the spirit needs more at 30 °C than at the filling, mL.
    pub grows_to_30c_ml: f64,
}

/// Chance of a lot of this mean.
fn chance(input: &FillInput, mean_ml: f64, shared_sd_ml: f64) -> f64 {
    let (nominal, tolerance) = (input.nominal_ml, input.rule.tolerance);
    let n = f64::from(input.bottles);
    let given = |mean: f64| match input.rule.scheme {
        Scheme::Each => {
            within(mean, input.each_sd_ml, nominal - tolerance, nominal + tolerance).powf(n)
        }
        Scheme::Average => {
            let mean_holds = within(mean, input.each_sd_ml / n.sqrt(), nominal, f64::MAX);
            let short = within(mean, input.each_sd_ml, f64::MIN, nominal - tolerance);
            let never_twice =
                within(mean, input.each_sd_ml, nominal - 2.0 * tolerance, f64::MAX).powf(n);
            mean_holds * at_most(SHORT_SHARE * n, n, short) * never_twice
        }
    };
    if shared_sd_ml <= 0.0 {
        return given(mean_ml);
    }
    grid().map(|(score, weight)| weight * given(mean_ml + score * shared_sd_ml)).sum()
}

/// Chance that at most `most` of `n` are short, each with the chance `short`: the binomial
/// distribution, summed where `n` is small, else the normal one of the same mean and spread.
fn at_most(most: f64, n: f64, short: f64) -> f64 {
    /// Above so many the sum is left.
    const SUMMED: f64 = 500.0;
    if short <= 0.0 {
        return 1.0;
    }
    if short >= 1.0 {
        return if most >= n { 1.0 } else { 0.0 };
    }
    if n > SUMMED {
        let sd = (n * short * (1.0 - short)).sqrt();
        return below((most.floor() + 0.5 - n * short) / sd);
    }
    let mut term = (n * (1.0 - short).ln()).exp();
    let (mut sum, mut k) = (term, 0.0);
    while k < most.floor() {
        term *= (n - k) / (k + 1.0) * short / (1.0 - short);
        sum += term;
        k += 1.0;
    }
    sum.min(1.0)
}

fn checked(input: &FillInput) -> Result<(), FinishingError> {
    Bound::new(5.0, 10_000.0, "mL", "the nominal content, as 500")
        .check("size", input.nominal_ml)?;
    Bound::new(
        -0.1 * input.nominal_ml,
        0.1 * input.nominal_ml,
        "mL",
        "a little over the nominal content",
    )
    .check("over", input.over_ml)?;
    Bound::STRENGTH.check("vol", input.strength_vol)?;
    Bound::new(0.0, 40.0, "°C", "the temperature of the spirit when it is filled")
        .check("at", input.celsius)?;
    let deviation =
        |high: f64, unit| Bound::new(0.0, high, unit, "a standard deviation, 0 for exact");
    deviation(10.0, "K").check("at-sd", input.celsius_sd)?;
    deviation(0.1 * input.nominal_ml, "mL").check("each-sd", input.each_sd_ml)?;
    match input.way {
        Way::Weight { balance_sd_g } => deviation(1000.0, "g").check("balance-sd", balance_sd_g)?,
        Way::Volume { measure_sd_ml } => {
            deviation(1000.0, "mL").check("measure-sd", measure_sd_ml)?
        }
    };
    Bound::new(1.0, 1_000_000.0, "bottles", "how many bottles are filled")
        .check("bottles", f64::from(input.bottles))?;
    Ok(())
}

/// What to fill, and the chance that the lot is as asked.
///
/// # Errors
/// [`FinishingError`] naming `size`, `over`, `vol`, `at`, a deviation or `bottles`.
pub fn fill(input: &FillInput) -> Result<Filled, FinishingError> {
    checked(input)?;
    let p = mass_fraction_from_vol20(input.strength_vol / 100.0);
    let mean_ml = input.nominal_ml + input.over_ml;
    let kg = volume::mass_kg(mean_ml / 1000.0, 20.0, p);
    let ml_at_celsius = 1000.0 * volume::litres(kg, input.celsius, p);
    // A degree of error at the thermometer is a volume at 20 °C that is off by the expansion.
    let per_k = 1000.0 * volume::litres(kg, input.celsius + 0.5, p)
        - 1000.0 * volume::litres(kg, input.celsius - 0.5, p);
    let shared_sd_ml = match input.way {
        Way::Weight { balance_sd_g } => balance_sd_g / (density_kg_m3(p, 20.0) / 1000.0),
        Way::Volume { measure_sd_ml } => f64::hypot(measure_sd_ml, per_k * input.celsius_sd),
    };
    let tolerance = input.rule.tolerance;
    let (low, high) = match input.rule.scheme {
        Scheme::Each => (input.nominal_ml - tolerance, input.nominal_ml + tolerance),
        Scheme::Average => (input.nominal_ml - tolerance, f64::MAX),
    };
    let each_sd = f64::hypot(shared_sd_ml, input.each_sd_ml);
    let grown_ml = 1000.0 * volume::litres(kg, 30.0, p) - ml_at_celsius;
    let bottle_ml = mean_ml * GLASS_EXPANSION_PER_K * (30.0 - input.celsius);
    Ok(Filled {
        shown_g: 1000.0 * weighing::shown_kg(kg, density_kg_m3(p, input.celsius)),
        ml_at_celsius,
        mean_ml,
        shared_sd_ml,
        chance_each: within(mean_ml, each_sd, low, high),
        chance_lot: chance(input, mean_ml, shared_sd_ml),
        mean_wanted_ml: wanted(input, shared_sd_ml),
        grows_to_30c_ml: grown_ml - bottle_ml,
    })
}

/// The least mean from the nominal content upward that gives the wanted chance.
fn wanted(input: &FillInput, shared_sd_ml: f64) -> Option<f64> {
    const TRIES: u32 = 60;
    let reach = match input.rule.scheme {
        Scheme::Each => 0.0,
        Scheme::Average => 4.0 * f64::hypot(shared_sd_ml, input.each_sd_ml),
    };
    let means = (0..=TRIES).map(|i| input.nominal_ml + reach * f64::from(i) / f64::from(TRIES));
    let mut means = means.filter(|mean| chance(input, *mean, shared_sd_ml) >= WANTED_CHANCE);
    means.next()
}

#[cfg(test)]
mod tests {
    use super::at_most;

    #[test]
    fn val_the_binomial_by_hand() {
        // 10 throws of 1 in 2: at most 3 is (1 + 10 + 45 + 120) / 1024.
        assert!((at_most(3.0, 10.0, 0.5) - 176.0 / 1024.0).abs() < 1e-12);
        assert_eq!((at_most(0.0, 10.0, 0.0), at_most(0.0, 10.0, 1.0)), (1.0, 0.0));
        // A large lot by the normal distribution is near the sum of a lot just small enough.
        let (sum, normal) = (at_most(12.5, 500.0, 0.02), at_most(12.5, 501.0, 0.02));
        assert!((sum - normal).abs() < 0.02, "{sum} {normal}");
    }
}
