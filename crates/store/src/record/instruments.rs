//! The instruments of each still as the log of the house has them, and what runs learned of them.

use std::collections::BTreeSet;

use estimate::{Character, Trait};
use quantities::TypedValue;
use sense::Probe;

use super::entry::Entry;
use super::instrument::{
    Instrument, InstrumentCalibrated, InstrumentDropped, KnownInstrument, probe_of,
};
use super::lesson::check_name;
use super::open::Store;
use super::run_id::EntryNumber;
use super::units::EnteredUnits;
use crate::error::StoreError;
use crate::rows::shown;

/// A clock beside this one may be ahead by so much, ms (judgement).
const AHEAD_MAX_MS: i64 = 5 * 60_000;

/// What of a still's character is the offset of which thermometer.
const OFFSETS: [(Trait, Probe); 2] =
    [(Trait::HeadOffset, Probe::Head), (Trait::PotOffset, Probe::Pot)];

/// What runs learned that a thermometer shows too much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfferedOffset {
    /// Column of the readings.
    pub channel: &'static str,
    /// So much, K.
    pub too_high: f64,
    /// Standard deviation of that, K.
    pub sd: f64,
    /// From how many runs.
    pub runs: usize,
}

impl Store {
    /// The stills of which an instrument was ever stated, in the order of their names.
    ///
    /// # Errors
    /// As [`Store::entries`].
    pub fn stills_with_instruments(&self) -> Result<Vec<String>, StoreError> {
        let mut stills = BTreeSet::new();
        self.for_each_of_house(&["instrument"], |logged| {
            if let Entry::Instrument(stated) = logged.entry {
                stills.insert(stated.still);
            }
            Ok(())
        })?;
        Ok(stills.into_iter().collect())
    }

    /// The instruments of a still, in the order of the channels.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a name that is none, [`StoreError::Unreadable`] for a damaged or
    /// newer entry.
    pub fn instruments(&self, still: &str) -> Result<Vec<KnownInstrument>, StoreError> {
        check_name(still)?;
        let mut known: Vec<KnownInstrument> = Vec::new();
        let kinds = ["instrument", "instrument_calibrated", "instrument_dropped", "units"];
        self.for_each_of_house(&kinds, |logged| {
            match logged.entry {
                Entry::Instrument(stated) if stated.still == still => {
                    let of = |one: &KnownInstrument| one.instrument.channel == stated.channel;
                    let before = known.iter().position(of).map(|place| known.remove(place));
                    let same = before.filter(|one| one.instrument.name == stated.name);
                    let (calibrated, history, typed) = same.map_or_else(Default::default, |one| {
                        (one.calibrated, one.history, one.typed)
                    });
                    let instrument = *stated;
                    known.push(KnownInstrument { instrument, calibrated, history, typed });
                }
                Entry::InstrumentCalibrated(one) if one.still == still => {
                    let of = |it: &&mut KnownInstrument| {
                        it.instrument.channel == one.channel && it.instrument.name == one.name
                    };
                    if let Some(it) = known.iter_mut().find(of) {
                        it.history.push((logged.number, logged.stored_ms, (*one).clone()));
                        it.calibrated = Some(*one);
                    }
                }
                Entry::Units(EnteredUnits::Typed(list)) => {
                    let of = logged.number - EntryNumber::from(list.entries);
                    let has = |it: &&mut KnownInstrument| it.history.iter().any(|one| one.0 == of);
                    if let Some(it) = known.iter_mut().find(has) {
                        it.typed.insert(of, list.values);
                    }
                }
                Entry::InstrumentDropped(gone) if gone.still == still => {
                    known.retain(|one| one.instrument.channel != gone.channel);
                }
                _ => {}
            }
            Ok(())
        })?;
        known.sort_by_key(|one| Probe::of_column(&one.instrument.channel));
        Ok(known)
    }

    /// States the instrument that reads a channel.
    ///
    /// # Errors
    /// [`StoreError::Entry`] naming what cannot be; else as [`Store::append`].
    pub fn state_instrument(&self, one: Instrument, now_ms: i64) -> Result<(), StoreError> {
        self.say_in_house(Entry::Instrument(Box::new(one)), now_ms).map(drop)
    }

    /// Keeps a calibration of the instrument that reads a channel.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where no instrument of that name reads it, or for what cannot be; else as
    /// [`Store::append`].
    pub fn calibrate_instrument(
        &self,
        one: InstrumentCalibrated,
        typed: Vec<TypedValue>,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        self.must_have_instrument(&one.still, &one.channel, Some(&one.name))?;
        if one.at_ms > now_ms.saturating_add(AHEAD_MAX_MS) {
            return Err(StoreError::Entry {
                field: "at",
                value: "ahead".into(),
                bound: "must not be ahead of now",
            });
        }
        self.say_in_house_typed(Entry::InstrumentCalibrated(Box::new(one)), typed, now_ms)
    }

    /// The instrument of a channel reads it no more; what stands in the log stays there.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where there is none; else as [`Store::append`].
    pub fn drop_instrument(
        &self,
        still: &str,
        channel: &str,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        self.must_have_instrument(still, channel, None)?;
        let gone = InstrumentDropped { still: still.to_owned(), channel: channel.to_owned() };
        self.say_in_house(Entry::InstrumentDropped(gone), now_ms).map(drop)
    }

    /// What runs since the last calibration of each thermometer learned that it shows too much.
    ///
    /// # Errors
    /// As [`Store::instruments`].
    pub fn offered_offsets(&self, still: &str) -> Result<Vec<OfferedOffset>, StoreError> {
        let Some(character) = self.character(still)? else { return Ok(Vec::new()) };
        let offer = |(of, probe): &(Trait, Probe)| {
            let belief = character.belief(*of)?;
            let (channel, runs) = (probe.column(), character.runs());
            Some(OfferedOffset { channel, too_high: belief.mean, sd: belief.sd, runs })
        };
        Ok(OFFSETS.iter().filter_map(offer).collect())
    }

    /// What is believed of a thermometer's offset is of before its last calibration: whoever put its
    /// readings right since does not take it off twice.
    pub(super) fn without_calibrated(
        &self,
        still: &str,
        mut character: Character,
        taught_ms: Option<i64>,
    ) -> Result<Character, StoreError> {
        let known = self.instruments(still)?;
        for (of, probe) in OFFSETS {
            let one = known.iter().find(|one| one.instrument.channel == probe.column());
            let last_ms = one.and_then(|one| one.history.last()).map(|last| last.1);
            if last_ms.is_some_and(|last_ms| taught_ms.is_none_or(|taught| taught <= last_ms)) {
                character.beliefs.retain(|belief| belief.of != of);
            }
        }
        Ok(character)
    }

    fn must_have_instrument(
        &self,
        still: &str,
        channel: &str,
        name: Option<&str>,
    ) -> Result<(), StoreError> {
        probe_of(channel)?;
        let there = self.instruments(still)?.into_iter().any(|one| {
            one.instrument.channel == channel && name.is_none_or(|name| one.instrument.name == name)
        });
        if there {
            return Ok(());
        }
        let bound = "must be a channel whose instrument was stated";
        Err(StoreError::Entry { field: "channel", value: shown(channel), bound })
    }
}
