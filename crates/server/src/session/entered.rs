//! Units as they were entered: what a person typed is held against what is recorded, and kept beside
//! it; so is what the sources of the readings count in.

use alcoholometry::strength::vol_fraction;
use alcoholometry::us;
use feeds::FeedsOf;
use quantities::Unit;
use sense::{Action, Amount, Probe, SentRow};
use still::plan::TakeOff;
use store::{EnteredUnits, Entry, FedUnit, FedUnits, TypedUnits, TypedValue};

use super::state::RunSession;
use crate::problem::ApiError;
use crate::wire::record::{EnteredWire, JarAsk, JarSizeAsk};

/// Most numbers of one request that say how they were typed: one of each channel.
const ENTERED_MAX: usize = Probe::COUNT;
/// How far what was typed may be from what is recorded, in its unit (judgement: a page rounds to the
/// tenth), and as a share of it.
const APART: (f64, f64) = (0.1, 0.002);
/// The unit of what a glass reads.
const VOL: &str = "% vol";
/// The unit of strength that is no multiple of it: both volumes are at 60 °F.
const PROOF: &str = "US proof";

/// A number that is recorded, and its unit.
type Recorded = (f64, &'static str);

/// What was typed, where it is what is recorded.
///
/// # Errors
/// [`ApiError::Field`] for a number that is not recorded, a unit that is none of it, and one that is
/// another number.
fn checked(
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
            let mut names = Unit::names(of);
            names.extend((of == VOL).then_some([VOL, PROOF]).into_iter().flatten());
            let bound = format!("must be a unit of it: {}", names.join(", "));
            return Err(refused(i, "unit", unit, bound));
        };
        let far = (typed - is).abs();
        if !far.is_finite() || far > APART.0.max(APART.1 * is.abs()) {
            let bound = format!("must be what is recorded, {is} {of}; it is {typed:.3}");
            return Err(refused(i, "value", value, bound));
        }
        values.push(TypedValue { field: field.clone(), value: *value, unit: unit.clone() });
    }
    Ok(values)
}

/// A number in the unit it is recorded in.
fn in_unit(value: f64, unit: &str, of: &str) -> Option<f64> {
    match (of, unit) {
        (VOL, VOL) => Some(value),
        // A proof that is none is no number that was recorded.
        (VOL, PROOF) => {
            Some(us::mass_fraction(value).map_or(f64::NAN, |part| 100.0 * vol_fraction(part, 20.0)))
        }
        _ => Some(Unit::named(of, unit)?.convert(value)),
    }
}

/// The numbers of an action.
fn of_action(action: &Action, field: &str) -> Option<Recorded> {
    match (action, field) {
        (Action::Gauge { apparent_vol, .. }, "value") => Some((*apparent_vol, VOL)),
        (Action::Gauge { celsius, .. }, "celsius") => Some((*celsius, "°C")),
        (Action::Coolant { l_per_min }, "value") => Some((*l_per_min, "L/min")),
        (Action::Heater { watts }, "value") => Some((*watts, "W")),
        (Action::TakeOff { take_off: TakeOff::RefluxWatts(watts), .. }, "value") => {
            Some((*watts, "W"))
        }
        (Action::Vessel(record), "value") => Some(match record.amount {
            Amount::Litres(litres) => (litres, "L"),
            Amount::Kilograms(kg) => (kg, "kg"),
        }),
        (Action::Vessel(record), "apparent_vol") => Some((record.apparent_vol?, VOL)),
        (Action::Vessel(record), "celsius") => Some((record.celsius?, "°C")),
        _ => None,
    }
}

impl RunSession {
    /// Keeps how the numbers of an action were typed, for when it is written.
    pub(super) fn typed_action(
        &mut self,
        asked: &[EnteredWire],
        action: &Action,
    ) -> Result<(), ApiError> {
        self.typed = checked(asked, |field| of_action(action, field))?;
        Ok(())
    }

    /// Keeps how the numbers of a jar were typed, for when it is written.
    pub(super) fn typed_jar(&mut self, ask: &JarAsk) -> Result<(), ApiError> {
        self.typed = checked(&ask.entered, |field| {
            let (value, of) = match field {
                "volume_ml" => (ask.volume_ml, "mL"),
                "apparent_vol" => (ask.apparent_vol, VOL),
                "temperature_c" => (ask.temperature_c, "°C"),
                _ => (None, ""),
            };
            Some((value?, of))
        })?;
        Ok(())
    }

    /// Keeps how the size of a jar was typed, for when it is written.
    pub(super) fn typed_size(&mut self, ask: &JarSizeAsk) -> Result<(), ApiError> {
        self.typed = checked(&ask.entered, |field| (field == "ml").then_some((ask.ml, "mL")))?;
        Ok(())
    }

    /// Keeps how readings were typed, for when they are written: of one row only, which a person reads.
    pub(super) fn typed_row(
        &mut self,
        asked: &[EnteredWire],
        rows: &[SentRow],
    ) -> Result<(), ApiError> {
        self.typed = checked(asked, |field| {
            let probe = Probe::of_column(field)?;
            let [row] = rows else { return None };
            Some((row.cells.get(probe)?, probe.unit()))
        })?;
        Ok(())
    }

    /// The entry that says how the numbers of the entry so many before it were typed; none where they
    /// were typed as they are recorded.
    pub(super) fn typed_entry(&mut self, entries: u32) -> Option<(i64, Entry)> {
        let values = std::mem::take(&mut self.typed);
        let typed = EnteredUnits::Typed(TypedUnits { entries, values });
        let any = matches!(&typed, EnteredUnits::Typed(typed) if !typed.values.is_empty());
        any.then(|| (self.clock.now_ms(), Entry::Units(typed)))
    }

    /// Writes down what the sources of a run's readings count in, where that is new.
    pub(super) fn note_fed_units(&mut self, units: &[FedUnit]) -> Result<(), ApiError> {
        if self.fed_units == units {
            return Ok(());
        }
        let (time_s, values) = (self.now_s(), units.to_vec());
        let fed = EnteredUnits::Fed(FedUnits { time_s, values });
        self.write(vec![(self.moment_ms(time_s), Entry::Units(fed))])?;
        self.fed_units = units.to_vec();
        Ok(())
    }
}

/// What the sources of a still or wash count in, as far as their values are not taken as they come.
pub(crate) fn fed_units(still: &FeedsOf) -> Vec<FedUnit> {
    let values = still
        .sources
        .iter()
        .flat_map(|source| source.values.iter().map(move |wanted| (source.name.as_str(), wanted)));
    let converted = values
        .filter(|(_, wanted)| !wanted.unit.is_own() || wanted.scale != 1.0 || wanted.offset != 0.0);
    let unit = |(source, wanted): (&str, &feeds::Wanted)| FedUnit {
        source: source.to_owned(),
        channel: wanted.probe.column().to_owned(),
        unit: wanted.unit.name().to_owned(),
        scale: wanted.scale,
        offset: wanted.offset,
    };
    converted.map(unit).collect()
}

#[cfg(test)]
mod tests {
    use super::{EnteredWire, checked, in_unit};

    fn typed(field: &str, value: f64, unit: &str) -> EnteredWire {
        EnteredWire { field: field.to_owned(), value, unit: unit.to_owned() }
    }

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
}
