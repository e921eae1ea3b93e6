//! The units that people and devices mix, and how each becomes the one that is reckoned with.

use serde::{Deserialize, Serialize};

use crate::parse::{ParseNumber, parse_typed};

/// A unit by its name: `value = (raw - zero) * factor`, in the unit it is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    name: &'static str,
    of: &'static str,
    zero: f64,
    factor: f64,
}

const fn unit(name: &'static str, of: &'static str, zero: f64, factor: f64) -> Unit {
    Unit { name, of, zero, factor }
}

/// Lower explosive limit of ethanol in air, % vol (NIOSH Pocket Guide to Chemical Hazards; from
/// memory).
const LEL_VOL: f64 = 3.3;
/// Litres of a US gallon, exact by definition (231 cubic inches).
const US_GALLON_L: f64 = 3.785411784;
/// Litres of an imperial gallon, exact by definition (Weights and Measures Act 1985; from memory).
const IMPERIAL_GALLON_L: f64 = 4.54609;

/// All of them, by the unit they are of. Definitions: °F, K, the gallons; a US fluid ounce is 1/128, an
/// imperial one 1/160 of its gallon. The conventional inch and millimetre of mercury, the millimetre of
/// water and the pound of force per square inch are NIST SP 811, appendix B.8 (from memory). Points of
/// gravity are thousandths above water (common practice, no source).
const UNITS: [Unit; 39] = [
    unit("C", "°C", 0.0, 1.0),
    unit("F", "°C", 32.0, 5.0 / 9.0),
    unit("K", "°C", 273.15, 1.0),
    unit("hPa", "hPa", 0.0, 1.0),
    unit("mbar", "hPa", 0.0, 1.0),
    unit("Pa", "hPa", 0.0, 0.01),
    unit("kPa", "hPa", 0.0, 10.0),
    unit("inHg", "hPa", 0.0, 33.86389),
    unit("mmHg", "hPa", 0.0, 1.333224),
    unit("L/min", "L/min", 0.0, 1.0),
    unit("mL/min", "L/min", 0.0, 0.001),
    unit("L/h", "L/min", 0.0, 1.0 / 60.0),
    unit("US gal/min", "L/min", 0.0, US_GALLON_L),
    unit("imp gal/min", "L/min", 0.0, IMPERIAL_GALLON_L),
    unit("L", "L", 0.0, 1.0),
    unit("US gal", "L", 0.0, US_GALLON_L),
    unit("imp gal", "L", 0.0, IMPERIAL_GALLON_L),
    unit("mL", "mL", 0.0, 1.0),
    unit("US fl oz", "mL", 0.0, 1000.0 * US_GALLON_L / 128.0),
    unit("imp fl oz", "mL", 0.0, 1000.0 * IMPERIAL_GALLON_L / 160.0),
    unit("W", "W", 0.0, 1.0),
    unit("kW", "W", 0.0, 1000.0),
    unit("kg", "kg", 0.0, 1.0),
    unit("g", "kg", 0.0, 0.001),
    unit("lb", "kg", 0.0, 0.45359237),
    unit("oz", "kg", 0.0, 0.45359237 / 16.0),
    unit("kPa", "kPa", 0.0, 1.0),
    unit("Pa", "kPa", 0.0, 0.001),
    unit("mbar", "kPa", 0.0, 0.1),
    unit("mmH2O", "kPa", 0.0, 0.00980665),
    unit("psi", "kPa", 0.0, 6.894757),
    unit("% LEL", "% LEL", 0.0, 1.0),
    unit("ppm", "% LEL", 0.0, 0.01 / LEL_VOL),
    unit("% vol", "% LEL", 0.0, 100.0 / LEL_VOL),
    unit("ppm", "ppm", 0.0, 1.0),
    unit("% vol", "ppm", 0.0, 10_000.0),
    unit("SG", "SG", 0.0, 1.0),
    unit("points", "SG", -1000.0, 0.001),
    unit("pH", "pH", 0.0, 1.0),
];

impl Unit {
    /// A unit that is reckoned with, itself.
    #[must_use]
    pub const fn own(of: &'static str) -> Self {
        unit(of, of, 0.0, 1.0)
    }

    /// The unit of that name, where it is one of `of`.
    #[must_use]
    pub fn named(of: &str, name: &str) -> Option<Self> {
        UNITS.into_iter().find(|unit| unit.of == of && unit.name == name)
    }

    /// Names of the units of `of`.
    #[must_use]
    pub fn names(of: &str) -> Vec<&'static str> {
        UNITS.iter().filter(|unit| unit.of == of).map(|unit| unit.name).collect()
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.name
    }

    /// Whether a number in it is the number that is reckoned with.
    #[must_use]
    pub fn is_own(self) -> bool {
        self.zero == 0.0 && self.factor == 1.0
    }

    /// In the unit it is of.
    #[must_use]
    pub fn convert(self, raw: f64) -> f64 {
        (raw - self.zero) * self.factor
    }
}

/// One number as it was typed, beside what it was converted to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypedValue {
    /// Which number: a column of its file, its keys with points between, or `value`.
    pub field: String,
    /// What was typed.
    pub value: f64,
    /// In which unit.
    pub unit: String,
}

/// What was typed as its number and the name of the unit behind it; that is empty where none stands
/// there: `68 °F` is `68` and `F`.
#[must_use]
pub fn split_typed(text: &str) -> (&str, &str) {
    let plain = text.trim();
    let end = plain.find(|sign: char| !sign.is_ascii_digit() && !"+-.,".contains(sign));
    let (number, name) = plain.split_at(end.unwrap_or(plain.len()));
    (number, name.trim().trim_start_matches('°').trim())
}

/// Reads a number that a person typed, in `of` where no unit stands behind it: `20`, `68 F`, `68°F`.
///
/// # Errors
/// As [`parse_typed`]; a unit that is none of `of` is no number.
pub fn parse_typed_in(text: &str, of: &'static str) -> Result<f64, ParseNumber> {
    let (number, name) = split_typed(text);
    match Unit::named(of, name) {
        Some(unit) if !number.is_empty() => Ok(unit.convert(parse_typed(number)?)),
        _ => parse_typed(text),
    }
}

#[cfg(test)]
mod tests {
    use super::{UNITS, Unit, parse_typed_in};

    #[test]
    fn val_units_become_the_ones_that_are_reckoned_with() {
        // The boiling point of water; one standard atmosphere (29.92125 inHg, 760 mmHg); the gallons
        // and their ounces by definition; the pound by definition.
        let table = [
            ("°C", "F", 212.0, 100.0),
            ("°C", "F", -40.0, -40.0),
            ("°C", "K", 373.15, 100.0),
            ("hPa", "inHg", 29.92125, 1013.25),
            ("hPa", "mmHg", 760.0, 1013.25),
            ("hPa", "kPa", 101.325, 1013.25),
            ("L/min", "US gal/min", 1.0, 3.785411784),
            ("L/min", "imp gal/min", 1.0, 4.54609),
            ("L/min", "L/h", 90.0, 1.5),
            ("L", "US gal", 2.0, 7.570823568),
            ("L", "imp gal", 2.0, 9.09218),
            ("mL", "US fl oz", 1.0, 29.5735),
            ("mL", "imp fl oz", 1.0, 28.4131),
            ("W", "kW", 2.2, 2200.0),
            ("kg", "g", 812.0, 0.812),
            ("kg", "lb", 2.0, 0.90718474),
            ("kg", "oz", 16.0, 0.45359237),
            ("kPa", "psi", 1.0, 6.894757),
            ("kPa", "mbar", 15.0, 1.5),
            ("kPa", "mmH2O", 100.0, 0.980665),
            ("% LEL", "ppm", 3300.0, 10.0),
            ("% LEL", "% vol", 3.3, 100.0),
            ("ppm", "% vol", 0.5, 5000.0),
            ("SG", "points", 52.0, 1.052),
        ];
        for (of, name, raw, value) in table {
            let is = Unit::named(of, name).expect(name).convert(raw);
            assert!((is - value).abs() < 1e-3, "{raw} {name}: {is}");
        }
        assert!(Unit::named("°C", "inHg").is_none());
        assert!(UNITS.iter().all(|unit| Unit::named(unit.of, unit.name) == Some(*unit)), "twice");
    }

    #[test]
    fn a_number_is_typed_with_a_unit_or_without() {
        for text in ["68F", "68 F", "68 °F", "68,0 F"] {
            assert!((parse_typed_in(text, "°C").unwrap() - 20.0).abs() < 1e-12, "{text}");
        }
        assert_eq!(parse_typed_in("-5.5", "°C"), Ok(-5.5));
        assert_eq!(parse_typed_in("20 °C", "°C"), Ok(20.0));
        assert!((parse_typed_in("2 US gal", "L").unwrap() - 7.570823568).abs() < 1e-12);
        for text in ["68 inHg", "F", "", "1.2.3 F", "1e3x"] {
            assert!(parse_typed_in(text, "°C").is_err(), "{text}");
        }
        assert_eq!(parse_typed_in("1e3", "L"), Ok(1000.0));
    }
}
