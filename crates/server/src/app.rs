//! What every route can reach: the two records, the clock, the open sessions.

use std::sync::Arc;

use store::{RunId, RunMode};
use tokio::sync::{Semaphore, watch};

use crate::access::Access;
use crate::alerts::Alerts;
use crate::backups::Backups;
use crate::calibrator::{self, Calibrator};
use crate::clock::Clock;
use crate::feeding::Feeding;
use crate::forecasts::ForecastCache;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::session::{Handle, Kind, Sessions};
use crate::standing::Standing;
use crate::teacher::{self, Teacher};
use crate::tls::Trust;
use crate::wash_forecasts::WashForecasts;
use crate::wash_list::WashList;
use crate::wash_posts::WashPosts;

/// Most who wait for a forecast; one more is refused as busy.
const FORECASTS_MAX: usize = 16;
/// Most followers of live events.
const FOLLOWERS_MAX: usize = 64;

/// Of how many of the newest runs it is looked up whether they have taught.
const UNTAUGHT_MAX: usize = 8;

/// Most rehearsals of a record that go on by themselves when the program starts.
const REHEARSALS_MAX: usize = crate::session::SESSIONS_MAX / 4;

/// The record's own logs of the house and of the book, which are no runs.
const OWN_LOGS: [&str; 2] = ["house", "book"];
/// Most characters of an unknown id that an answer repeats.
const ID_SHOWN_MAX: usize = 60;

/// Who may come in, and where.
#[derive(Debug)]
pub(crate) struct AtDoor {
    /// Who may come in.
    pub(crate) access: Arc<Access>,
    /// Where the server can be reached from other machines.
    pub(crate) places: Vec<String>,
    /// What browsers are asked to trust, where connections are enciphered.
    pub(crate) trust: Option<Arc<Trust>>,
}

/// The state of the server.
#[derive(Debug)]
pub(crate) struct App {
    /// The person's own record.
    pub(crate) own: Keeper,
    /// Rehearsals of the example house: a record of their own, in a folder of their own.
    pub(crate) example: Keeper,
    /// Why the last nightly backup failed.
    pub(crate) backups: Backups,
    /// How the person's own record stands.
    pub(crate) standing: Standing,
    pub(crate) clock: Clock,
    /// Who may come in, and where.
    pub(crate) at_door: AtDoor,
    pub(crate) sessions: Sessions,
    /// What fits a still to several of its runs.
    pub(crate) calibrator: Arc<Calibrator>,
    /// What is read of probes that the program looks at by itself.
    pub(crate) feeding: Feeding,
    /// The door through which alarms are told further, and the outputs.
    pub(crate) alerts: Arc<Alerts>,
    /// Forecasts of plans.
    pub(crate) forecasts: Arc<ForecastCache>,
    /// Forecasts of washes.
    pub(crate) wash_forecasts: WashForecasts,
    /// The list of washes, as far as it was told before.
    pub(crate) wash_list: Arc<WashList>,
    /// Devices that send readings of washes.
    pub(crate) wash_posts: WashPosts,
    /// Places for those who wait for one.
    pub(crate) forecast_places: Semaphore,
    pub(crate) followers: Arc<Semaphore>,
    /// Turns true when the program stops.
    pub(crate) stopping: watch::Receiver<bool>,
}

impl App {
    pub(crate) fn new(
        [own, example]: [Keeper; 2],
        clock: Clock,
        feeding: Feeding,
        at_door: AtDoor,
        alerts: Arc<Alerts>,
        estimates: bool,
        stopping: watch::Receiver<bool>,
    ) -> std::io::Result<Self> {
        let teacher = Teacher::start(&own, &example, &clock, teacher::FIT)?;
        let calibrator = Calibrator::new(&own, teacher.fits(), &clock, calibrator::FIT);
        let forecasts = ForecastCache::new();
        let standing = Standing::of(&own)?;
        Ok(Self {
            own,
            example,
            backups: Backups::default(),
            standing,
            clock,
            at_door,
            sessions: Sessions::new(
                teacher,
                Arc::clone(&forecasts),
                Arc::clone(&alerts),
                estimates,
            ),
            calibrator,
            feeding,
            alerts,
            forecasts,
            wash_forecasts: WashForecasts::new(),
            wash_list: Arc::default(),
            wash_posts: WashPosts::default(),
            forecast_places: Semaphore::new(FORECASTS_MAX),
            followers: Arc::new(Semaphore::new(FOLLOWERS_MAX)),
            stopping,
        })
    }

    /// The record of the example house, or the person's own.
    pub(crate) fn record(&self, example: bool) -> &Keeper {
        if example { &self.example } else { &self.own }
    }

    /// The same, with what the bundle has for the example house put into it where it is missing: at
    /// the first look, so that a house that nobody opens costs nothing.
    pub(crate) async fn house(&self, example: bool) -> &Keeper {
        let (keeper, now_ms) = (self.record(example), self.clock.now_ms());
        if example {
            let missing = keeper.read(move |store| crate::example::missing(store, now_ms)).await;
            if matches!(missing, Ok((wash, book)) if wash || book) {
                let filled = keeper.write(move |store| crate::example::fill(store, now_ms)).await;
                if let Err(error) = filled {
                    tracing::warn!("the example house lacks its wash or its book: {error}");
                }
            }
        }
        keeper
    }

    /// What learns from runs that are over.
    pub(crate) fn teacher(&self) -> &Teacher {
        self.sessions.teacher()
    }

    /// The record that holds the run.
    pub(crate) async fn keeper_of(&self, id: &RunId) -> Result<&Keeper, ApiError> {
        Ok(self.record(self.is_example(id).await?))
    }

    /// Whether the record of the example house holds the run.
    pub(crate) async fn is_example(&self, id: &RunId) -> Result<bool, ApiError> {
        let nobody = || ApiError::NoRun { id: id.as_str().chars().take(ID_SHOWN_MAX).collect() };
        if OWN_LOGS.contains(&id.as_str()) || id.is_wash() {
            return Err(nobody());
        }
        for example in [false, true] {
            let asked = id.clone();
            match self.record(example).read(move |store| store.length(&asked)).await {
                Ok(_) => return Ok(example),
                Err(ApiError::NoRun { .. }) => {}
                Err(other) => return Err(other),
            }
        }
        Err(nobody())
    }

    /// The session of a run.
    pub(crate) async fn session(&self, id: &str) -> Result<Handle, ApiError> {
        let id = RunId::new(id);
        let keeper = self.keeper_of(&id).await?;
        self.sessions.open(&id, keeper, &self.clock)
    }

    /// Opens every run that was going on when the program last stopped.
    pub(crate) fn resume(&self) -> Result<(), ApiError> {
        let now_ms = self.clock.now_ms();
        // A record that takes nothing says so elsewhere.
        if let Err(error) = self.own.write_and_wait(move |store| store.note_losses(now_ms)) {
            tracing::error!("what the record lost was not noted in its runs: {error}");
        }
        for (keeper, example) in [(&self.own, false), (&self.example, true)] {
            let runs = keeper.reader().runs(example)?;
            // What a run taught is lost where the program was stopped right after it.
            for run in runs.iter().rev().take(UNTAUGHT_MAX).rev() {
                if run.mode == RunMode::Real && run.ended.is_some() && !run.balanced {
                    self.teacher().ended(&run.id, example);
                }
            }
            // What was imported is over, whatever its last entry is.
            let on = runs.iter().filter(|run| {
                run.status == store::RunStatus::Running && run.mode != RunMode::Imported
            });
            let (real, rehearsed): (Vec<_>, Vec<_>) =
                on.rev().partition(|run| run.mode == RunMode::Real);
            // Real runs first, however many: nothing must keep one from going on.
            for run in real {
                self.sessions.begin(&run.id, Kind::Real, keeper, &self.clock)?;
            }
            for run in rehearsed.into_iter().take(REHEARSALS_MAX) {
                match self.sessions.begin(&run.id, Kind::Simulated, keeper, &self.clock) {
                    Err(ApiError::Busy) => break,
                    other => drop(other?),
                }
            }
        }
        Ok(())
    }
}
