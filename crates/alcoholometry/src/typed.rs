//! Numbers as they are typed with their unit: those of [`Unit`], and the strength and gravity whose
//! units are no multiples of each other.

use quantities::{ParseNumber, TypedValue, Unit, parse_typed, split_typed};

use crate::strength::vol_fraction;
use crate::us;
use crate::wash::gravity;

/// The unit of what a glass reads, and of a strength at 20 °C.
pub const VOL: &str = "% vol";
/// The unit of strength that is no multiple of it: both volumes are at 60 °F.
pub const PROOF: &str = "US proof";
/// The unit of a gravity.
pub const GRAVITY: &str = "SG 20/20";
/// The degrees that are no multiple of it.
pub const PLATO: &str = "Plato";

/// A number in the unit `of` that it is recorded in; none where its unit is none of that, NaN where
/// no liquid has it.
#[must_use]
pub fn in_unit(value: f64, unit: &str, of: &str) -> Option<f64> {
    match (of, unit) {
        (VOL, VOL) | (GRAVITY, GRAVITY) => Some(value),
        (GRAVITY, PLATO) => Some(gravity::of_plato("gravity", value).unwrap_or(f64::NAN)),
        (VOL, PROOF) => {
            Some(us::mass_fraction(value).map_or(f64::NAN, |part| 100.0 * vol_fraction(part, 20.0)))
        }
        _ => Some(Unit::named(of, unit)?.convert(value)),
    }
}

/// Names of the units of `of`.
#[must_use]
pub fn names(of: &str) -> Vec<&'static str> {
    let mut names = Unit::names(of);
    names.extend((of == VOL).then_some([VOL, PROOF]).into_iter().flatten());
    names.extend((of == GRAVITY).then_some([GRAVITY, PLATO]).into_iter().flatten());
    names
}

/// A number that was typed, in the unit it is reckoned in.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// The number.
    pub value: f64,
    /// What was typed and in which unit, where that is another one.
    was: Option<(f64, String)>,
}

impl Typed {
    /// A number in the unit it is reckoned in.
    #[must_use]
    pub const fn own(value: f64) -> Self {
        Self { value, was: None }
    }

    /// Reads a number in `of`, or with another unit of that behind it: `20`, `68F`, `5 US gal`,
    /// `80 US proof`, `80proof`.
    ///
    /// # Errors
    /// [`ParseNumber`]; a unit that is none of `of`, and what no liquid has, is no number.
    pub fn read(text: &str, of: &str) -> Result<Self, ParseNumber> {
        let (number, name) = split_typed(text);
        let name = if of == VOL && name == "proof" { PROOF } else { name };
        let found = (!number.is_empty() && !name.is_empty())
            .then(|| {
                let typed = parse_typed(number).ok()?;
                let value = in_unit(typed, name, of).filter(|value| value.is_finite())?;
                let is_own = of.trim_start_matches('°') == name
                    || Unit::named(of, name).is_some_and(Unit::is_own);
                Some(Self { value, was: (!is_own).then(|| (typed, name.to_owned())) })
            })
            .flatten();
        found.map_or_else(|| parse_typed(text).map(Self::own), Ok)
    }

    /// What of it is kept beside the number: nothing where it was typed in the unit it is reckoned in.
    #[must_use]
    pub fn noted(&self, field: impl Into<String>) -> Option<TypedValue> {
        let (value, unit) = self.was.clone()?;
        Some(TypedValue { field: field.into(), value, unit })
    }
}

#[cfg(test)]
mod tests {
    use super::{Typed, in_unit};

    #[test]
    fn val_a_proof_is_the_strength_that_was_recorded() {
        // Proof is twice the % vol with both volumes at 60 °F (27 CFR 30.11); 100 and 80 proof are
        // 50.06 and 40.07 % vol at 20 °C by the formula of OIML R 22 at both temperatures.
        for (proof, expected) in [(100.0, 50.06), (80.0, 40.07)] {
            let vol = in_unit(proof, "US proof", "% vol").unwrap();
            assert!((vol - expected).abs() < 0.01, "{vol}");
        }
        assert!(in_unit(201.0, "US proof", "% vol").unwrap().is_nan());
    }

    #[test]
    fn val_degrees_plato_are_a_gravity() {
        // 10 °P is SG 1.0400, 20 °P is 1.0830 (the table of Plato, as brewers print it; from memory).
        for (plato, gravity) in [(0.0, 1.0), (10.0, 1.0400), (20.0, 1.0830)] {
            let is = in_unit(plato, "Plato", "SG 20/20").unwrap();
            assert!((is - gravity).abs() < 2e-4, "{plato}: {is}");
        }
    }

    #[test]
    fn what_was_typed_is_kept_where_it_is_another_unit() {
        // 5 US gallons are 18.927 L by definition; 68 °F are 20 °C.
        for (text, of, value, unit) in [
            ("5 US gal", "L", 18.92705892, "US gal"),
            ("68 °F", "°C", 20.0, "F"),
            ("80proof", "% vol", 40.07, "US proof"),
            ("10lb", "kg", 4.5359237, "lb"),
        ] {
            let typed = Typed::read(text, of).expect(text);
            assert!((typed.value - value).abs() < 0.01, "{text}: {}", typed.value);
            assert_eq!(typed.noted("field").expect(text).unit, unit);
        }
        for (text, of) in [("5", "L"), ("5,5 L", "L"), ("20 °C", "°C"), ("40 % vol", "% vol")] {
            assert_eq!(Typed::read(text, of).expect(text).noted("field"), None, "{text}");
        }
        for (text, of) in [("5 US gal", "°C"), ("201 US proof", "% vol"), ("gal", "L"), ("", "L")]
        {
            assert!(Typed::read(text, of).is_err(), "{text}");
        }
    }
}
