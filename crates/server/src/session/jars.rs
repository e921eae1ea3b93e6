//! Jars as they are measured, also after the run, and what one holds.

use std::fmt::Debug;

use advise::Live;
use sense::JarRecord;
use still::plan::StepKind;
use store::Entry;
use store::rows::JarRow;

use super::keys::Key;
use super::log::{Held, Noted};
use super::record::conflict;
use super::row::Row;
use super::run_time::AHEAD_MAX_S;
use super::state::RunSession;
use crate::problem::ApiError;
use crate::wire::record::{EntryWire, JarAsk, JarSizeAsk};

/// Sizes of jar that the engine takes, mL.
const JAR_ML: (f64, f64) = (10.0, 100_000.0);

impl RunSession {
    /// A jar was filled. Jars are gauged when they have cooled: also after the run.
    pub(super) fn jar(&mut self, ask: JarAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), asked_jar(&ask))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.must_have_room(1)?;
        if self.time.is_none() {
            let hint = "record the heater first";
            return Err(conflict("not_started", "nothing is collected before heat", hint));
        }
        self.advance();
        let sure = ask.sure;
        self.typed_jar(&ask)?;
        let told = ask.end_s.is_some();
        let jar = self.jar_row(ask)?.record()?;
        self.must_be_closed_by_now(&jar, told)?;
        if !sure {
            self.must_be_likely(|against| against.jar(&jar))?;
        }
        let entries = vec![(self.clock.now_ms(), Entry::Jar(jar.clone()))];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.noted.push(Noted { entry, what: Held::Jar(jar.clone()) });
        let said = self.engine.put(Row::Jar(entry, jar));
        self.follow_up(&said);
        Ok(EntryWire::new(entry))
    }

    /// Refuses a jar that closes later than now, or was said to close after the run.
    pub(super) fn must_be_closed_by_now(
        &self,
        jar: &JarRecord,
        told: bool,
    ) -> Result<(), ApiError> {
        if !self.is_over() {
            return self.told("end_s", Some(jar.end_s)).map(drop);
        }
        let end_s = self.end_s();
        if !told || jar.end_s <= end_s + AHEAD_MAX_S {
            return Ok(());
        }
        let bound = format!("must lie within the run, which ended at {end_s:.0} s");
        let hint = "leave end_s out where the jar closed as it is known";
        Err(ApiError::field("end_s", jar.end_s, bound, hint))
    }

    /// The record of a jar. What is not said of it is as it was last measured, or as reckoned.
    pub(super) fn jar_row(&self, ask: JarAsk) -> Result<JarRow, ApiError> {
        let held = self.log.noted.iter().rev().find_map(|noted| match &noted.what {
            Held::Jar(jar) if jar.number == ask.jar => Some(JarRow::new(jar)),
            _ => None,
        });
        let reckoned = || {
            let jars = self.engine.knowledge().jars;
            let jar = jars.into_iter().find(|jar| jar.number == ask.jar);
            let jar = jar.filter(|jar| jar.status != "expected")?;
            let cut = jar.cut.name().to_owned();
            let (start_s, end_s) = (jar.start_s, jar.end_s.filter(|_| jar.status == "filled"));
            let (volume_ml, end_s) = (jar.volume_ml, end_s.unwrap_or_else(|| self.now_s()));
            Some(JarRow { jar: ask.jar, start_s, end_s, volume_ml, cut, ..JarRow::default() })
        };
        let known = held.or_else(reckoned);
        let of = |field: &'static str, said: Option<f64>, known: Option<f64>| {
            said.or(known).ok_or_else(|| {
                let bound = "must be given for a jar that is not known yet";
                ApiError::field(field, "absent", bound, "check the number of the jar")
            })
        };
        let start_s = of("start_s", ask.start_s, known.as_ref().map(|jar| jar.start_s))?;
        let end_s = of("end_s", ask.end_s, known.as_ref().map(|jar| jar.end_s))?;
        let volume_ml = of("volume_ml", ask.volume_ml, known.as_ref().map(|jar| jar.volume_ml))?;
        let known = known.unwrap_or_default();
        let (instrument, overdue) = match ask.instrument {
            Some(name) => {
                // As it stands now, when the jar is gauged: a later calibration changes nothing.
                let dated = self.keeper.reader().dated_instrument(name.trim())?;
                (dated.id.clone(), dated.is_overdue(self.clock.now_ms()))
            }
            None => (known.instrument, known.overdue),
        };
        let cut = ask.cut.map(|cut| StepKind::from(cut).name().to_owned()).unwrap_or(known.cut);
        Ok(JarRow {
            jar: ask.jar,
            start_s,
            end_s,
            volume_ml,
            temperature_c: ask.temperature_c.or(known.temperature_c),
            apparent_vol: ask.apparent_vol.or(known.apparent_vol),
            cut,
            note: ask.note.unwrap_or(known.note),
            instrument,
            overdue,
        })
    }

    /// The jars of this run hold so much.
    pub(super) fn jar_size(&mut self, ask: &JarSizeAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("jar_size", ask.ml))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        checked_ml(ask.ml)?;
        self.typed_size(ask)?;
        let time_s = if self.is_over() { self.end_s() } else { self.told("ml", None)? };
        let entries = vec![(self.moment_ms(time_s), Entry::JarSize { time_s, ml: ask.ml })];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.noted.push(Noted { entry, what: Held::JarSize(ask.ml) });
        self.resize_jars()?;
        Ok(EntryWire::new(entry))
    }

    /// Tells the engine what one jar holds. It reckons the whole run with it; what it would have
    /// said before is not said now.
    pub(super) fn resize_jars(&mut self) -> Result<(), ApiError> {
        self.options.jar_ml = self.log.jar_size_ml();
        let forecasts = self.forecasts.of(&self.plan).map_err(|error| error.to_string());
        let options = self.options.clone();
        let live = Live::with_forecasts(self.plan.clone(), options, Some(forecasts))?;
        self.engine.reckon_with(live);
        Ok(())
    }
}

/// What is asked of a jar.
pub(super) fn asked_jar(ask: &JarAsk) -> impl Debug + '_ {
    let JarAsk { jar, start_s, end_s, volume_ml, temperature_c, apparent_vol, .. } = ask;
    let words = (ask.cut, &ask.note, &ask.instrument);
    (jar, start_s, end_s, volume_ml, temperature_c, apparent_vol, words)
}

/// A size that a jar can have, mL.
pub(super) fn checked_ml(ml: f64) -> Result<f64, ApiError> {
    if (JAR_ML.0..=JAR_ML.1).contains(&ml) {
        return Ok(ml);
    }
    let bound = format!("must lie from {} to {} mL", JAR_ML.0, JAR_ML.1);
    Err(ApiError::field("ml", ml, bound, "what one jar holds"))
}
