//! A jar as it stands on the bench: from volume or weight, temperature and the glass to litres,
//! strength and pure alcohol, with the doubt that its instruments put on every jar alike.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use alcoholometry::{kernel, volume, weighing};
use sense::jar::{GLASS_SD_VOL, JUG_SD};
use sense::{GaugedWith, JarRecord};
use still::plan::StepKind;

use crate::check::Bound;
use crate::error::FinishingError;

/// Reading the marks of a jug, each time anew, relative sd (judgement).
const JUG_READING_SD: f64 = 0.005;
/// Reading the glass, each time anew, % vol (judgement: a fifth of a division of 0.5).
const GLASS_READING_SD_VOL: f64 = 0.1;
/// A kitchen balance, all readings one way, kg (judgement).
const BALANCE_SD_KG: f64 = 0.001;
/// A thermometer at the bench, all readings one way, K (judgement).
const THERMOMETER_SD_K: f64 = 0.3;

/// How much is in a jar, as it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Litres at the jar's temperature.
    Litres(f64),
    /// Kilograms, without the jar, as a balance shows them.
    Kilograms(f64),
}

/// A jar as it was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct JarReading {
    /// Its number.
    pub number: u32,
    /// How much is in it.
    pub amount: Amount,
    /// Its temperature, °C.
    pub celsius: f64,
    /// What a glass of % vol at 20 °C reads in it.
    pub apparent_vol: f64,
    /// The fraction it was filled as.
    pub cut: Option<StepKind>,
    /// What the nose said.
    pub note: String,
    /// What it was measured with, where that was said.
    pub gauged_with: Option<GaugedWith>,
}

impl JarReading {
    /// A jar of a run; nothing where the glass was not read, or without a temperature.
    #[must_use]
    pub fn of(record: &JarRecord) -> Option<Self> {
        Some(Self {
            number: record.number,
            amount: Amount::Litres(record.volume_ml / 1000.0),
            celsius: record.temperature_c?,
            apparent_vol: record.apparent_vol?,
            cut: record.cut,
            note: record.note.clone(),
            gauged_with: record.gauged_with.clone(),
        })
    }
}

/// Mass of all and mass of ethanol, kg.
pub(crate) type Masses = [f64; 2];

/// A jar as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Jar {
    /// Its number.
    pub number: u32,
    /// The fraction it was filled as.
    pub cut: Option<StepKind>,
    /// What the nose said.
    pub note: String,
    /// What it was measured with, where that was said.
    pub gauged_with: Option<GaugedWith>,
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Litres of pure alcohol at 20 °C.
    pub pure_alcohol_l: f64,
    /// Standard deviation of the litres.
    pub litres_20c_sd: f64,
    /// Standard deviation of the strength, % vol.
    pub strength_sd: f64,
    /// Standard deviation of the pure alcohol, L.
    pub pure_alcohol_l_sd: f64,
    pub(crate) masses: Masses,
    /// What one deviation of jug or balance, glass and thermometer does to the masses.
    pub(crate) shared: [Masses; 4],
    /// What one deviation of this jar's own readings does to them.
    pub(crate) own: [Masses; 2],
}

/// Masses in a jar whose readings are off by these errors: of measure, glass and thermometer.
fn masses(reading: &JarReading, off: [f64; 3]) -> Result<Masses, FinishingError> {
    let celsius = reading.celsius + off[2];
    let apparent = (reading.apparent_vol + off[1]).clamp(0.0, 100.0);
    let is = gauge(GaugeInput::new(apparent, celsius, Scale::Vol20))?;
    let p = kernel::mass_fraction_from_vol20(is.strength_vol_20c / 100.0);
    let litres = match reading.amount {
        Amount::Litres(litres) => litres + off[0],
        Amount::Kilograms(kg) => {
            weighing::weighed_litres((kg + off[0]).max(0.0), is.strength_vol_20c, celsius)?
        }
    };
    let all = volume::mass_kg(litres, celsius, p);
    Ok([all, all * p])
}

/// Litres at 20 °C, % vol and litres of pure alcohol of these masses.
pub(crate) fn bench(masses: Masses) -> [f64; 3] {
    let p = if masses[0] > 0.0 { (masses[1] / masses[0]).clamp(0.0, 1.0) } else { 0.0 };
    let litres = volume::litres(masses[0], 20.0, p);
    let fraction = kernel::vol20_from_mass_fraction(p);
    [litres, 100.0 * fraction, litres * fraction]
}

/// Standard deviations of litres, % vol and pure alcohol, from what each error does to the masses.
pub(crate) fn deviations(at: Masses, errors: impl Iterator<Item = Masses>) -> [f64; 3] {
    /// Share of the mass over which a slope is taken.
    const STEP: f64 = 1e-6;
    let h = STEP * at[0].max(1e-9);
    let slope = |by: Masses| {
        let side = |sign: f64| bench([at[0] + sign * h * by[0], at[1] + sign * h * by[1]]);
        let (up, down) = (side(1.0), side(-1.0));
        [0, 1, 2].map(|i| (up[i] - down[i]) / (2.0 * h))
    };
    let (by_all, by_ethanol) = (slope([1.0, 0.0]), slope([0.0, 1.0]));
    let mut variances = [0.0; 3];
    for error in errors {
        for (i, variance) in variances.iter_mut().enumerate() {
            *variance += (by_all[i] * error[0] + by_ethanol[i] * error[1]).powi(2);
        }
    }
    variances.map(f64::sqrt)
}

impl Jar {
    /// The jar behind its readings.
    ///
    /// # Errors
    /// [`FinishingError`] naming the jar and its volume, weight, temperature or reading.
    pub fn gauged(reading: &JarReading) -> Result<Self, FinishingError> {
        let number = reading.number;
        let named = |what: &str| format!("jar {number}: {what}");
        let (measure_sd, own_sd, is_weighed) = match reading.amount {
            Amount::Litres(litres) => {
                Bound::LITRES.check(named("litres"), litres)?;
                (JUG_SD * litres, JUG_READING_SD * litres, false)
            }
            Amount::Kilograms(kg) => {
                Bound::new(1e-6, 100_000.0, "kg", "what the balance shows, without the jar")
                    .check(named("kg"), kg)?;
                (BALANCE_SD_KG, 0.0, true)
            }
        };
        Bound::new(0.1, 100.0, "% vol", "the glass reads per cent by volume at 20 °C")
            .check(named("reading"), reading.apparent_vol)?;
        let at = masses(reading, [0.0; 3])?;
        let moved = |off: [f64; 3]| {
            let there = masses(reading, off).or_else(|_| masses(reading, off.map(|o| -o)));
            there.map_or([0.0; 2], |there| [there[0] - at[0], there[1] - at[1]])
        };
        let measure = moved([measure_sd, 0.0, 0.0]);
        let none = [0.0; 2];
        let shared = [
            if is_weighed { none } else { measure },
            if is_weighed { measure } else { none },
            moved([0.0, GLASS_SD_VOL, 0.0]),
            moved([0.0, 0.0, THERMOMETER_SD_K]),
        ];
        let own = [moved([own_sd, 0.0, 0.0]), moved([0.0, GLASS_READING_SD_VOL, 0.0])];
        let [litres_20c, strength_vol_20c, pure_alcohol_l] = bench(at);
        let [litres_20c_sd, strength_sd, pure_alcohol_l_sd] =
            deviations(at, shared.into_iter().chain(own));
        Ok(Self {
            number,
            cut: reading.cut,
            note: reading.note.clone(),
            gauged_with: reading.gauged_with.clone(),
            litres_20c,
            strength_vol_20c,
            pure_alcohol_l,
            litres_20c_sd,
            strength_sd,
            pure_alcohol_l_sd,
            masses: at,
            shared,
            own,
        })
    }
}
