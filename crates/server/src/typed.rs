//! Numbers as they were typed: each is held against what is recorded before it is kept beside it.

use alcoholometry::typed::{GRAVITY, VOL, in_unit, names};
use quantities::TypedValue;
use sense::Probe;
use serde::Serialize;

use crate::problem::ApiError;
use crate::wire::record::EnteredWire;

/// Most numbers of one request that say how they were typed: one of each channel.
const ENTERED_MAX: usize = Probe::COUNT;
/// How far what was typed may be from what is recorded, in its unit (judgement: a page rounds to the
/// tenth), and as a share of it.
const APART: (f64, f64) = (0.1, 0.002);
/// The same of a gravity (judgement: half a step of a fine glass).
const GRAVITY_APART: f64 = 0.0005;
/// A number that is recorded, and its unit.
pub(crate) type Recorded = (f64, &'static str);

/// What was typed, where it is what is recorded.
///
/// # Errors
/// [`ApiError::Field`] for a number that is not recorded, a unit that is none of it, and one that is
/// another number.
pub(crate) fn checked(
    asked: &[EnteredWire],
    recorded: impl Fn(&str) -> Option<Recorded>,
) -> Result<Vec<TypedValue>, ApiError> {
    let refused = |i: usize, part: &str, value: &dyn std::fmt::Display, bound: String| {
        let hint = "leave entered out where nothing was converted";
        ApiError::field(format!("entered[{i}].{part}"), value, bound, hint)
    };
    if asked.len() > ENTERED_MAX {
        let bound = format!("must have {ENTERED_MAX} numbers at most");
        return Err(refused(ENTERED_MAX, "field", &asked.len(), bound));
    }
    let mut values = Vec::with_capacity(asked.len());
    for (i, EnteredWire { field, value, unit }) in asked.iter().enumerate() {
        let Some((is, of)) = recorded(field) else {
            return Err(refused(i, "field", field, "must be a number of this request".to_owned()));
        };
        let Some(typed) = in_unit(*value, unit, of) else {
            let bound = format!("must be a unit of it: {}", names(of).join(", "));
            return Err(refused(i, "unit", unit, bound));
        };
        let far = (typed - is).abs();
        let apart = if of == GRAVITY { GRAVITY_APART } else { APART.0.max(APART.1 * is.abs()) };
        if !far.is_finite() || far > apart {
            let bound = format!("must be what is recorded, {is} {of}; it is {typed:.3}");
            return Err(refused(i, "value", value, bound));
        }
        values.push(TypedValue { field: field.clone(), value: *value, unit: unit.clone() });
    }
    Ok(values)
}

/// What was typed of a thing that is recorded as its keys stand: a plan, a recipe, a calibration. A number
/// is named by its keys with points between, places counted from 0: `charge.litres`,
/// `fermentable[0].kg`. Its unit is that of its last name, or what `own` says of that.
///
/// # Errors
/// As [`checked`].
pub(crate) fn checked_in(
    asked: &[EnteredWire],
    recorded: &impl Serialize,
    own: impl Fn(&str) -> Option<&'static str>,
) -> Result<Vec<TypedValue>, ApiError> {
    if asked.is_empty() {
        return Ok(Vec::new());
    }
    let tree = serde_json::to_value(recorded)
        .map_err(|error| ApiError::Inside { what: format!("entered: {error}") })?;
    checked(asked, |field| {
        let pointer = format!("/{}", field.replace(['.', '['], "/").replace(']', ""));
        let value = tree.pointer(&pointer)?.as_f64()?;
        let key = pointer.rsplit('/').find(|key| key.parse::<usize>().is_err())?;
        Some((value, unit_of(key).or_else(|| own(key))?))
    })
}

/// For things whose every number has its unit in its name.
pub(crate) fn no_unit(_: &str) -> Option<&'static str> {
    None
}

/// The unit of a key that is a plain amount of it: no difference and no doubt.
fn unit_of(key: &str) -> Option<&'static str> {
    const ENDS: [(&str, &str); 8] = [
        ("_l_per_min", "L/min"),
        ("_vol", VOL),
        ("_c", "°C"),
        ("_hpa", "hPa"),
        ("_ml", "mL"),
        ("litres", "L"),
        ("kg", "kg"),
        ("gravity", GRAVITY),
    ];
    ENDS.into_iter().find(|(end, _)| key.ends_with(end)).map(|(_, unit)| unit)
}

#[cfg(test)]
mod tests {
    use super::{EnteredWire, checked, checked_in, no_unit};

    fn typed(field: &str, value: f64, unit: &str) -> EnteredWire {
        EnteredWire { field: field.to_owned(), value, unit: unit.to_owned() }
    }

    #[test]
    fn what_was_typed_is_refused_where_it_is_not_what_is_recorded() {
        let recorded = |field: &str| match field {
            "head_c" => Some((78.5, "°C")),
            "value" => Some((40.0, "% vol")),
            _ => None,
        };
        let ok = [typed("head_c", 173.3, "F"), typed("value", 80.0, "US proof")];
        assert_eq!(checked(&ok, recorded).unwrap().len(), 2);
        for wrong in [
            typed("head_c", 78.5, "F"),
            typed("head_c", 29.9, "inHg"),
            typed("pot_c", 200.0, "F"),
            typed("value", 900.0, "US proof"),
            typed("head_c", f64::NAN, "C"),
        ] {
            assert!(checked(std::slice::from_ref(&wrong), recorded).is_err(), "{wrong:?}");
        }
        assert!(checked(&vec![typed("head_c", 173.3, "F"); 16], recorded).is_err());
    }

    #[test]
    fn degrees_plato_are_the_gravity_that_was_recorded() {
        let of = |gravity: f64| move |_: &str| Some((gravity, "SG 20/20"));
        assert!(checked(&[typed("gravity", 12.5, "Plato")], of(1.0505)).is_ok());
        assert!(checked(&[typed("gravity", 12.5, "Plato")], of(1.0520)).is_err());
        assert!(checked(&[typed("gravity", 125.0, "Plato")], of(1.0505)).is_err());
    }

    #[test]
    fn what_was_typed_of_a_plan_or_recipe_is_found_by_its_keys() {
        let tree = serde_json::json!({
            "charge": { "litres": 37.854, "strength_vol": 40.07, "litres_sd": 0.4 },
            "step": [{ "until_ml": 1 }, { "until_ml": 591.47, "until_rise_k": 0.4 }],
            "points": [{ "shown": 100.0, "pressure_hpa": 1013.25 }],
        });
        let ok = [
            typed("charge.litres", 10.0, "US gal"),
            typed("charge.strength_vol", 80.0, "US proof"),
            typed("step[1].until_ml", 20.0, "US fl oz"),
            typed("points[0].pressure_hpa", 29.92125, "inHg"),
        ];
        assert_eq!(checked_in(&ok, &tree, no_unit).unwrap().len(), 4);
        let shown = [typed("points[0].shown", 212.0, "F")];
        assert!(checked_in(&shown, &tree, no_unit).is_err(), "a key without a unit");
        assert!(checked_in(&shown, &tree, |_| Some("°C")).is_ok());
        for wrong in [
            ("charge.litres_sd", "US gal"),
            ("step[1].until_rise_k", "F"),
            ("step[9].until_ml", "mL"),
            ("", "L"),
        ] {
            assert!(
                checked_in(&[typed(wrong.0, 1.0, wrong.1)], &tree, no_unit).is_err(),
                "{wrong:?}"
            );
        }
    }
}
