//! Casks: how full and how strong they should be after some years, what the angels take, and what a
//! regauge says of this cask.

use alcoholometry::{kernel, volume};
use quantities::Band;

use crate::check::Bound;
use crate::error::FinishingError;
use crate::table::{number, rows};

/// The cask of the published losses, L.
const PUBLISHED_LITRES: f64 = 200.0;
/// A cask loses through its surface: its loss goes with this power of its size against that one
/// (judgement, by geometry).
const SURFACE_POWER: f64 = -1.0 / 3.0;
/// Humidity at which water leaves as fast as alcohol, so that the strength stays, % (common practice,
/// no source: 60 to 70; in drier air the strength rises, in damper it falls).
pub const EVEN_HUMIDITY_PERCENT: f64 = 65.0;
/// How well the humidity of a store over years is known, % (judgement).
const HUMIDITY_SD_PERCENT: f64 = 5.0;
/// A loss found by this cask's own gauges holds on to a factor of so much, 4 in 5 (judgement).
const OWN_FACTOR: f64 = 1.25;
/// Longest forecast, years.
pub const YEARS_MAX: f64 = 30.0;

/// A kind of store.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climate {
    /// The word commands use.
    pub name: &'static str,
    /// As a person reads it.
    pub words: &'static str,
    /// Loss of volume a year, %: middle, and the range of 4 in 5.
    pub percent: [f64; 3],
    /// Whether that is a judgement.
    pub from_memory: bool,
    /// Where it comes from.
    pub source: &'static str,
}

/// All kinds of store.
pub fn climates() -> impl Iterator<Item = Climate> {
    rows(include_str!("../reference/climates.csv"), 7).filter_map(|row| {
        let percent = [number(row[2])?, number(row[3])?, number(row[4])?];
        let (name, words, from_memory) = (row[0], row[1], row[5] == "1");
        Some(Climate { name, words, percent, from_memory, source: row[6] })
    })
}

/// The store of that name.
///
/// # Errors
/// [`FinishingError::Unknown`] naming `climate`.
pub fn climate(name: &str) -> Result<Climate, FinishingError> {
    climates().find(|climate| climate.name == name).ok_or_else(|| FinishingError::Unknown {
        field: "climate",
        value: name.to_owned(),
        allowed: climates().map(|climate| climate.name).collect::<Vec<_>>().join(", "),
    })
}

/// A cask when it was filled or gauged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contents {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Strength, % vol.
    pub strength_vol: f64,
}

impl Contents {
    fn checked(self, of: &str) -> Result<Self, FinishingError> {
        Bound::LITRES.check(format!("{of} litres"), self.litres_20c)?;
        Bound::STRENGTH.check(format!("{of} strength"), self.strength_vol)?;
        Ok(self)
    }

    /// Litres of pure alcohol.
    #[must_use]
    pub fn pure_alcohol_l(self) -> f64 {
        self.litres_20c * self.strength_vol / 100.0
    }

    /// Kilograms of ethanol and of water.
    fn masses(self) -> (f64, f64) {
        let p = kernel::mass_fraction_from_vol20(self.strength_vol / 100.0);
        let all = volume::mass_kg(self.litres_20c, 20.0, p);
        (all * p, all * (1.0 - p))
    }

    fn of_masses(ethanol_kg: f64, water_kg: f64) -> Self {
        let [litres_20c, strength_vol, _] = crate::jar::bench([ethanol_kg + water_kg, ethanol_kg]);
        Self { litres_20c, strength_vol }
    }
}

/// What a cask loses: of its ethanol and of its water, share a year in the exponent.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rates {
    ethanol: f64,
    water: f64,
    /// Factor by which both may be off, as one standard deviation in the logarithm.
    log_sd: f64,
    /// The same of water against ethanol, added to its rate.
    water_sd: f64,
}

impl Rates {
    fn after(self, filled: Contents, years: f64, score: f64, water_score: f64) -> Contents {
        let (ethanol, water) = filled.masses();
        let factor = (self.log_sd * score).exp();
        let of_water = (self.water + self.water_sd * water_score).max(0.0);
        Contents::of_masses(
            ethanol * (-self.ethanol * factor * years).exp(),
            water * (-of_water * factor * years).exp(),
        )
    }
}

/// A cask and its store.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaskInput {
    /// What was filled.
    pub filled: Contents,
    /// What the cask holds, L.
    pub cask_litres: f64,
    /// The store.
    pub climate: Climate,
    /// Humidity of its air, %.
    pub humidity_percent: f64,
    /// A regauge, and how many years after the fill.
    pub regauged: Option<(f64, Contents)>,
    /// Years to look ahead, from the fill.
    pub years: f64,
}

/// A cask after some years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Year {
    /// Years from the fill.
    pub years: f64,
    /// Litres at 20 °C.
    pub litres_20c: Band,
    /// Strength, % vol.
    pub strength_vol: Band,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: Band,
    /// What the angels took, litres of pure alcohol.
    pub share_l: Band,
}

/// What a regauge says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regauged {
    /// Pure alcohol lost since the fill, L.
    pub lost_l: f64,
    /// The same, per cent a year.
    pub percent_a_year: f64,
    /// Change of strength a year, % vol.
    pub strength_a_year: f64,
    /// Whether the loss lies above what such a store should take: look for a leak.
    pub is_above_usual: bool,
    /// Whether there is more pure alcohol than was filled: a gauge is wrong.
    pub is_gain: bool,
}

/// A cask looked ahead.
#[derive(Debug, Clone, PartialEq)]
pub struct Cask {
    /// Year by year.
    pub years: Vec<Year>,
    /// What the regauge says, where there is one.
    pub regauged: Option<Regauged>,
    /// Empty room over the liquid at the fill, L.
    pub ullage_l: f64,
}

fn usual(input: &CaskInput) -> Rates {
    let size = (input.cask_litres / PUBLISHED_LITRES).powf(SURFACE_POWER);
    let rate = |percent: f64| -(1.0 - percent / 100.0).ln() * size;
    let [middle, low, high] = input.climate.percent.map(rate);
    let drier = |percent: f64| (100.0 - percent) / (100.0 - EVEN_HUMIDITY_PERCENT);
    Rates {
        ethanol: middle,
        water: middle * drier(input.humidity_percent),
        log_sd: (high / low).ln() / (2.0 * Band::SCORES[3]),
        water_sd: middle * HUMIDITY_SD_PERCENT / (100.0 - EVEN_HUMIDITY_PERCENT),
    }
}

/// The rates that lead from the fill to the regauge.
fn own(filled: Contents, years: f64, now: Contents) -> Rates {
    let ((e0, w0), (e1, w1)) = (filled.masses(), now.masses());
    let rate = |from: f64, to: f64| ((from / to).ln() / years).max(0.0);
    let ethanol = rate(e0, e1);
    Rates {
        ethanol,
        water: rate(w0, w1),
        log_sd: OWN_FACTOR.ln() / Band::SCORES[3],
        water_sd: ethanol * HUMIDITY_SD_PERCENT / (100.0 - EVEN_HUMIDITY_PERCENT),
    }
}

fn year(rates: Rates, filled: Contents, years: f64) -> Year {
    let mut all: [Vec<f64>; 3] = [Vec::new(), Vec::new(), Vec::new()];
    // A fine grid of both doubts instead of draws: the same bytes each time.
    let scores: Vec<f64> = (0..21).map(|k| inverse((f64::from(k) + 0.5) / 21.0)).collect();
    for &score in &scores {
        for &water in &scores {
            let then = rates.after(filled, years, score, water);
            all[0].push(then.litres_20c);
            all[1].push(then.strength_vol);
            all[2].push(then.pure_alcohol_l());
        }
    }
    let band = |draws: &[f64]| Band::of_draws(draws).unwrap_or(Band::point(0.0));
    let share: Vec<f64> = all[2].iter().map(|left| filled.pure_alcohol_l() - left).collect();
    Year {
        years,
        litres_20c: band(&all[0]),
        strength_vol: band(&all[1]),
        pure_alcohol_l: band(&all[2]),
        share_l: band(&share),
    }
}

/// Score below which a standard normal value lies with this chance, by halving.
fn inverse(chance: f64) -> f64 {
    let (mut low, mut high) = (-6.0, 6.0);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if crate::normal::below(middle) < chance { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Looks a cask ahead: by the store's usual loss, or by this cask's own where it was regauged.
///
/// # Errors
/// [`FinishingError`] naming what was filled or regauged, `cask`, `humidity` or `years`.
pub fn ahead(input: &CaskInput) -> Result<Cask, FinishingError> {
    let filled = input.filled.checked("filled")?;
    Bound::new(1.0, 1000.0, "L", "what the cask holds when full")
        .check("cask", input.cask_litres)?;
    Bound::new(1e-6, input.cask_litres, "L", "no more than the cask holds")
        .check("filled litres", filled.litres_20c)?;
    Bound::new(5.0, 100.0, "%", "relative humidity of the air in the store")
        .check("humidity", input.humidity_percent)?;
    Bound::new(0.05, YEARS_MAX, "years", "from the fill on").check("years", input.years)?;
    let mut rates = usual(input);
    let mut regauged = None;
    if let Some((years, now)) = input.regauged {
        let now = now.checked("regauged")?;
        Bound::new(0.02, YEARS_MAX, "years", "how long after the fill it was gauged again")
            .check("regauged after", years)?;
        Bound::new(1e-6, input.cask_litres, "L", "no more than the cask holds")
            .check("regauged litres", now.litres_20c)?;
        regauged = Some(found(filled, years, now, rates));
        rates = own(filled, years, now);
    }
    let whole = (1..=30).map(f64::from).filter(|y| *y < input.years);
    let years = whole.chain([input.years]).map(|y| year(rates, filled, y)).collect();
    Ok(Cask { years, regauged, ullage_l: input.cask_litres - filled.litres_20c })
}

fn found(filled: Contents, years: f64, now: Contents, usual: Rates) -> Regauged {
    let (before, after) = (filled.pure_alcohol_l(), now.pure_alcohol_l());
    let rate = (before / after).ln() / years;
    Regauged {
        lost_l: before - after,
        percent_a_year: 100.0 * (1.0 - (-rate).exp()),
        strength_a_year: (now.strength_vol - filled.strength_vol) / years,
        is_above_usual: rate > usual.ethanol * (usual.log_sd * Band::SCORES[4]).exp(),
        is_gain: after > before,
    }
}
