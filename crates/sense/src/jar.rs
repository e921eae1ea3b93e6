//! What a jar and a glass alcoholometer say: litres at 20 °C and true strength.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use alcoholometry::{kernel, volume};
use quantities::ApparentStrength;

use crate::input::JarRecord;

/// Temperature of a jar that none was written for, °C (judgement: spirit from a condenser stands a
/// little over the room).
const PRESUMED_C: f64 = 25.0;
/// Strength by which a jar is brought to 20 °C that nothing else is known of, % vol (judgement: the
/// volume of any spirit between 60 and 96 changes alike to 1 part in 1000 over 10 K).
const PRESUMED_VOL: f64 = 85.0;
/// Temperatures at which liquid is gauged, °C.
const GAUGED_C: (f64, f64) = (-20.0, 40.0);

/// A kitchen jug, all its readings one way, relative sd (judgement: its marks are 2 % wide, and the
/// error of a jug is in every jar alike).
pub const JUG_SD: f64 = 0.01;
/// A glass alcoholometer, all its readings one way, sd in % vol (judgement: half a division of 0.5).
pub const GLASS_SD_VOL: f64 = 0.25;

/// A jar as gauged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauged {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// True strength, % vol at 20 °C; none where the glass was not read, or without a temperature:
    /// 10 K are 3 % vol.
    pub strength_vol: Option<f64>,
}

/// True strength by a glass alcoholometer of 20 °C, % vol; none out of the tables.
#[must_use]
pub fn true_strength(apparent: ApparentStrength, celsius: f64) -> Option<f64> {
    let input = GaugeInput::new(apparent.reading(), celsius, Scale::Vol20);
    gauge(input).ok().map(|gauged| gauged.strength_vol_20c)
}

/// A jar as gauged; `reckoned_vol` is its strength where the glass was not read.
#[must_use]
pub fn gauged(jar: &JarRecord, reckoned_vol: Option<f64>) -> Gauged {
    let apparent = jar.apparent_vol.and_then(|vol| ApparentStrength::from_reading(vol).ok());
    let read = apparent.zip(jar.temperature_c);
    let strength_vol = read.and_then(|(apparent, celsius)| true_strength(apparent, celsius));
    let by_vol = strength_vol.or(reckoned_vol).unwrap_or(PRESUMED_VOL).clamp(0.0, 99.0);
    let celsius = jar.temperature_c.unwrap_or(PRESUMED_C).clamp(GAUGED_C.0, GAUGED_C.1);
    let mass_fraction = kernel::mass_fraction_from_vol20(by_vol / 100.0);
    let litres_20c = volume::litres_20c(jar.volume_ml / 1000.0, celsius, mass_fraction);
    Gauged { litres_20c, strength_vol }
}

/// The jars as they stand: of one that was measured again, the last record.
pub fn standing(jars: &[JarRecord]) -> impl Iterator<Item = &JarRecord> {
    let again = |at: usize| jars[at + 1..].iter().any(|later| later.number == jars[at].number);
    jars.iter().enumerate().filter(move |(at, _)| !again(*at)).map(|(_, jar)| jar)
}

#[cfg(test)]
mod tests {
    use quantities::ApparentStrength;

    use super::{JarRecord, gauged, standing, true_strength};

    fn jar(temperature_c: Option<f64>, apparent_vol: Option<f64>) -> JarRecord {
        JarRecord {
            number: 1,
            start_s: 0.0,
            end_s: 600.0,
            volume_ml: 1000.0,
            temperature_c,
            apparent_vol,
            cut: None,
            note: String::new(),
            gauged_with: None,
        }
    }

    #[test]
    fn prop_a_jar_at_twenty_degrees_is_as_it_reads_and_a_warm_one_is_less() {
        let at_20 = gauged(&jar(Some(20.0), Some(90.0)), None);
        assert!((at_20.litres_20c - 1.0).abs() < 1e-6);
        assert!((at_20.strength_vol.unwrap() - 90.0).abs() < 0.01);
        let warm = gauged(&jar(Some(30.0), Some(90.0)), None);
        assert!(warm.litres_20c < 0.992 && warm.litres_20c > 0.985);
        assert!(warm.strength_vol.unwrap() < 88.5);
        let read = ApparentStrength::from_reading(90.0).expect("the glass shows it");
        assert_eq!(warm.strength_vol, true_strength(read, 30.0));
    }

    #[test]
    fn a_glass_read_without_a_temperature_tells_no_strength() {
        assert_eq!(gauged(&jar(None, Some(90.0)), None).strength_vol, None);
        let strong = gauged(&jar(Some(30.0), None), Some(95.0)).litres_20c;
        assert!((strong - gauged(&jar(Some(30.0), None), None).litres_20c).abs() < 1e-3);
    }

    #[test]
    fn a_jar_that_was_measured_again_stands_once() {
        let first = jar(None, None);
        let again = JarRecord { volume_ml: 900.0, ..first.clone() };
        let other = JarRecord { number: 2, ..first.clone() };
        let jars = [first, other, again];
        let ml: Vec<f64> = standing(&jars).map(|jar| jar.volume_ml).collect();
        assert_eq!(ml, [1000.0, 900.0]);
    }
}
