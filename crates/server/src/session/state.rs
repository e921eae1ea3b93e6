//! One open run: what it holds, and how what the engine says gets stored and heard.

use std::sync::Arc;

use advise::{AlarmNow, AlarmReview, Event, Knowledge, LiveOptions, RunEnd};
use quantities::TypedValue;
use still::plan::RunPlan;
use store::{EnteredUnits, Entry, FedUnit, RunId, RunMode, StoredEnd};
use tokio::sync::broadcast;

use super::command::Said;
use super::device_clock::DeviceClocks;
use super::engine_rows::EngineRows;
use super::estimate_thread::EstimateThread;
use super::log::{Log, json, number};
use super::run_time::RunTime;
use super::simulated::Simulated;
use crate::alerts::Alerts;
use crate::clock::Clock;
use crate::forecasts::ForecastCache;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::teacher::Teacher;
use crate::wire::forecast::ForecastWire;
use crate::wire::knowledge::{JarWire, KnowledgeWire, RunEndWire};
use crate::wire::plan::RunPlanWire;
use crate::wire::run::{BeforeHeatWire, ModeWire, RecordedWire, RunWire};

/// Most messages that wait for a slow follower; one who lags further reloads.
const FEED_MAX: usize = 256;

/// What moves a run's time on.
#[derive(Debug)]
pub(super) enum Drive {
    /// The clock, from heater on.
    Real,
    /// A simulated still.
    Rehearsal(Box<Simulated>),
    /// Nothing: the run is over, or was read from a folder.
    Nothing,
}

/// What all sessions of a record share.
#[derive(Debug)]
pub(crate) struct SessionDeps {
    /// The record of the run.
    pub(crate) keeper: Keeper,
    pub(crate) clock: Clock,
    /// What learns from the run when it is over.
    pub(crate) teacher: Arc<Teacher>,
    /// Forecasts of plans.
    pub(crate) forecasts: Arc<ForecastCache>,
    /// The door for alarms.
    pub(crate) alerts: Arc<Alerts>,
    /// Whether estimates are worked out.
    pub(crate) estimates: bool,
}

/// An open run.
#[derive(Debug)]
pub(crate) struct RunSession {
    pub(super) id: RunId,
    pub(super) keeper: Keeper,
    pub(super) clock: Clock,
    pub(super) teacher: Arc<Teacher>,
    pub(super) feed: broadcast::Sender<Said>,
    pub(super) plan: RunPlan,
    pub(super) mode: RunMode,
    pub(super) example: bool,
    pub(super) created_ms: i64,
    /// Run time, once it counts.
    pub(super) time: Option<RunTime>,
    pub(super) engine: EngineRows,
    /// How the engine works.
    pub(super) options: LiveOptions,
    pub(super) forecasts: Arc<ForecastCache>,
    pub(super) drive: Drive,
    pub(super) log: Log,
    pub(super) ended: Option<RunEnd>,
    /// Who acts, while they do: the name they were let in under, and what they say.
    pub(super) acting: Option<String>,
    /// How the numbers of what is being recorded were typed.
    pub(super) typed: Vec<TypedValue>,
    /// What the sources of its readings count in, as the record has it.
    pub(super) fed_units: Vec<FedUnit>,
    /// Last time that somebody read or did something, by the steady clock, ms.
    pub(super) touched_steady_ms: i64,
    /// What works out the answers to the engine's questions.
    pub(super) estimating: EstimateThread,
    /// Number of the newest entry that others than feeders and the engine made.
    pub(super) recorded: u64,
    /// The clocks of the devices that stamp their rows.
    pub(super) devices: DeviceClocks,
    /// Run time of the last row that feeds read, s.
    pub(super) fed_s: f64,
    /// What of the still is past its date, for the list before heat.
    pub(super) overdue: Vec<still::before_heat::Item>,
    /// Whether followers have not heard of the latest.
    pub(super) news: bool,
    /// The door for alarms, and how they stood when they were last told through it.
    pub(super) alerts: Arc<Alerts>,
    pub(super) told: Vec<(AlarmNow, Event)>,
}

/// A feed with room for a slow follower.
pub(super) fn feed() -> broadcast::Sender<Said> {
    broadcast::channel(FEED_MAX).0
}

/// Whether every browser should show it anew: not what comes by the second, nor what is said.
fn is_an_act(entry: &Entry) -> bool {
    !matches!(
        entry,
        Entry::Readings(_)
            | Entry::Event(_)
            | Entry::Clock { .. }
            | Entry::Keyed(_)
            | Entry::Units(EnteredUnits::Fed(_))
    )
}

impl RunSession {
    /// Writes entries, each with the moment it tells of; gives the number of the last.
    pub(super) fn write(&mut self, entries: Vec<(i64, Entry)>) -> Result<u64, ApiError> {
        let (id, now_ms) = (self.id.clone(), self.clock.now_ms());
        let recorded = entries.iter().any(|(_, entry)| is_an_act(entry));
        let work = move |store: &store::Store| store.append_all(&id, &entries, now_ms);
        self.log.last_entry = number(self.keeper.write_and_wait(work)?);
        if recorded {
            self.recorded = self.log.last_entry;
            let said = Said::Recorded(json(&RecordedWire { entry: self.recorded }));
            // Nobody there to hear it is no fault.
            let _ = self.feed.send(said);
        }
        Ok(self.log.last_entry)
    }

    /// The moment of a run time, ms UTC. A rehearsal's moments are those in which it was told.
    pub(super) fn moment_ms(&self, time_s: f64) -> i64 {
        match (self.mode, &self.time) {
            (RunMode::Real, Some(time)) => time.utc_ms(time_s),
            _ => self.clock.now_ms(),
        }
    }

    /// Run time of a moment that somebody read off a clock, s.
    pub(super) fn run_time_of(&self, utc_ms: i64) -> Option<f64> {
        self.time.as_ref()?.of_utc_ms(utc_ms, self.clock.moment())
    }

    /// Run time 0 by the clock as it goes now, ms UTC; none before heat.
    pub(super) fn started_ms(&self) -> Option<i64> {
        self.time.as_ref().map(RunTime::zero_utc_ms)
    }

    /// Somebody read or did something.
    pub(super) fn touch(&mut self) {
        self.touched_steady_ms = self.clock.moment().steady_ms;
    }

    /// Stores what the engine said, then lets everybody hear it.
    pub(super) fn say(&mut self, events: &[Event]) {
        if events.is_empty() {
            return;
        }
        let entries = events.iter().map(|e| (self.moment_ms(e.time_s), Entry::Event(e.into())));
        let entries: Vec<(i64, Entry)> = entries.collect();
        match self.write(entries) {
            Ok(last) => self.announce(events, last + 1 - events.len() as u64),
            Err(error) => {
                tracing::error!("run {}: what was said could not be stored: {error}", self.id);
                self.announce(events, self.log.last_entry);
            }
        }
    }

    /// Lets everybody hear events that are stored from that entry on.
    pub(super) fn announce(&mut self, events: &[Event], first_entry: u64) {
        self.call_for(events);
        for (event, entry) in events.iter().zip(first_entry..) {
            let said = self.log.event(entry, event);
            // Nobody there to hear it is no fault.
            let _ = self.feed.send(said);
        }
        self.news |= !events.is_empty();
    }

    /// Writes the end down once the engine has one.
    pub(super) fn settle(&mut self) {
        if self.ended.is_some() {
            return;
        }
        let Some(end) = self.engine.end() else { return };
        let entry = Entry::Ended(StoredEnd::from(&end));
        if let Err(error) = self.write(vec![(self.moment_ms(end.time_s), entry)]) {
            tracing::error!("run {}: its end could not be stored: {error}", self.id);
            return;
        }
        self.ended = Some(end);
        self.drive = Drive::Nothing;
        self.news = true;
        self.teacher.ended(&self.id, self.example);
    }

    /// The look back at its alarms.
    pub(crate) fn alarm_review(&self) -> AlarmReview {
        self.engine.live().alarm_review()
    }

    /// What is known now; over a run that has ended no alarm stands.
    pub(super) fn knowledge(&self) -> Knowledge {
        let known = self.engine.knowledge();
        if self.ended.is_none() {
            return known;
        }
        let (alarms, seen, alarm_list) = (Vec::new(), Vec::new(), Vec::new());
        let (alarms_in_10_min, alarm_flood) = (0, false);
        Knowledge { alarms, seen, alarm_list, alarms_in_10_min, alarm_flood, ..known }
    }

    /// The whole run, as it is shown.
    pub(crate) fn show(&self) -> RunWire {
        let knowledge = self.knowledge();
        let jars = || knowledge.jars.iter().map(JarWire::from).collect();
        let (mode, attendant) = match self.mode {
            RunMode::Rehearsal { attendant, .. } => (ModeWire::Rehearsal, Some(attendant)),
            RunMode::Real | RunMode::Imported => (ModeWire::Real, None),
        };
        let speed = match &self.drive {
            Drive::Rehearsal(simulated) => Some(simulated.speed()),
            _ => attendant.map(|_| 0.0),
        };
        let zone = store::time::parse_start(&self.plan.start).map_or(0, |(_, minutes)| minutes);
        RunWire {
            id: self.id.to_string(),
            plan: RunPlanWire::from(self.plan.clone()),
            mode,
            speed,
            attendant,
            example: self.example,
            started_ms: self.started_ms().unwrap_or(self.created_ms),
            started: self.time.is_some(),
            zone_offset_minutes: zone,
            forecast: self
                .engine
                .live()
                .forecast()
                .map(|held| ForecastWire::new(&self.plan, held, jars())),
            readings: self.engine.columns(),
            gauges: self.log.gauges(),
            title: self.log.title.clone(),
            abandoned: self.log.abandoned.clone(),
            checks: self.log.checks(),
            before_heat: still::before_heat::list(&self.plan, self.engine.live().forecast())
                .into_iter()
                .chain(self.overdue.iter().cloned())
                .map(BeforeHeatWire::from)
                .collect(),
            jar_size_ml: self.log.jar_size_ml(),
            actions: self.log.actions(),
            read_by_hand: self.log.read_by_hand(),
            events: self.log.events.iter().map(|(_, event)| event.clone()).collect(),
            last_entry: self.log.last_entry,
            ended: self.ended.as_ref().map(RunEndWire::from),
            knowledge: KnowledgeWire::from(&knowledge),
        }
    }
}
