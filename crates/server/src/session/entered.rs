//! Units as they were entered in a run: what a person typed of acts, jars and readings, and what the
//! sources of the readings count in.

use alcoholometry::typed::VOL;
use feeds::FeedsOf;
use sense::{Action, Amount, Probe, SentRow};
use still::plan::TakeOff;
use store::{EnteredUnits, Entry, FedUnit, FedUnits, TypedUnits};

use super::state::RunSession;
use crate::problem::ApiError;
use crate::typed::{Recorded, checked};
use crate::wire::record::{EnteredWire, JarAsk, JarSizeAsk};

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
