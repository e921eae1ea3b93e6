//! Which runs of a still it can be fitted to, and what is stated of it beforehand.

use estimate::{CalibrateError, FinishedRun, Residue, Said, can_calibrate};
use still::plan::{Measured, Still};
use store::folder::RunFolder;
use store::{CALIBRATED_KEYS, RunMode, RunState, RunSummary, Store, StoreError, take_over};

use crate::problem::ApiError;

/// Runs that are fitted together, as many as a calibration takes; the newest count.
const RUNS: (usize, usize) = (2, 12);
/// Most runs of a still that are looked at for it.
const LOOKS_MAX: usize = 40;
/// What to do where a run does not fit.
pub(crate) const HINT: &str =
    "leave that run out of the learning, in the list of runs, and fit again";

/// Runs that are over, and what is stated of their still.
#[derive(Debug)]
pub(crate) struct Fitted {
    runs: Vec<RunFolder>,
    residues: Vec<Option<Residue>>,
    /// The still as stated, not as a calibration put it: no run is counted twice.
    pub(crate) stated: Still,
    /// What follows from its walls.
    pub(crate) said: Said,
    /// When its hardware was last changed.
    pub(crate) changed_ms: Option<i64>,
    /// Runs over that have too few jars, or another still under the same name.
    unfit: usize,
}

impl Fitted {
    /// The runs of the real still of that name, the oldest first; none where nothing is stated of it.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub(crate) fn of(store: &Store, name: &str) -> Result<Option<Self>, StoreError> {
        let changed_ms = store.still(name, false)?.and_then(|known| known.changed_ms);
        let own = store.own_still()?.filter(|own| own.still.name == name);
        let own = store.stated_before(name)?.or(own);
        let mut over: Vec<RunSummary> = store.runs(false)?;
        over.retain(|run| run.still == name && counts(run, changed_ms));
        let mut runs: Vec<RunFolder> = Vec::new();
        let (mut unfit, mut stated) = (0, own.as_ref().map(|own| own.still.clone()));
        for run in over.iter().rev().take(LOOKS_MAX) {
            if runs.len() == RUNS.1 {
                break;
            }
            let folder = folder(&store.run(&run.id)?);
            let first = stated.get_or_insert_with(|| folder.plan.still.clone());
            if is_same(first, &folder.plan.still) && can_calibrate(&finished(&folder)).is_ok() {
                runs.push(folder);
            } else {
                unfit += 1;
            }
        }
        runs.reverse();
        let Some(stated) = stated else { return Ok(None) };
        for run in &mut runs {
            take_over(&stated, &mut run.plan.still, &CALIBRATED_KEYS);
        }
        let measured = own.map_or_else(Measured::default, |own| own.measured);
        let said = Said::of(&stated, &measured);
        let residues = runs.iter().map(|run| Residue::recorded(&run.rows)).collect();
        Ok(Some(Self { runs, residues, stated, said, changed_ms, unfit }))
    }

    /// Refuses fewer runs than can be fitted together.
    ///
    /// # Errors
    /// [`ApiError::Conflict`].
    pub(crate) fn must_be_enough(&self) -> Result<(), ApiError> {
        let there = self.runs.len();
        if there >= RUNS.0 {
            return Ok(());
        }
        let runs = if there == 1 { "1 run" } else { "no run" };
        let also = match self.unfit {
            0 => String::new(),
            1 => "; 1 other has too few jars".to_owned(),
            more => format!("; {more} others have too few jars"),
        };
        Err(ApiError::Conflict {
            code: "too_few_runs",
            what: format!("{runs} of this still can be fitted, {} are needed{also}", RUNS.0),
            hint: "real runs that are over count, with volume and times of three jars or more",
        })
    }

    /// The runs as a calibration takes them.
    pub(crate) fn finished(&self) -> Vec<FinishedRun<'_>> {
        let runs = self.runs.iter().zip(&self.residues);
        runs.map(|(run, residue)| FinishedRun { residue: *residue, ..finished(run) }).collect()
    }

    /// What the runs are called.
    pub(crate) fn titles(&self) -> Vec<String> {
        self.runs.iter().map(|run| run.plan.title.clone()).collect()
    }

    /// Title and start of each run.
    pub(crate) fn named(&self) -> Vec<(String, String)> {
        self.runs.iter().map(|run| (run.plan.title.clone(), run.plan.start.clone())).collect()
    }

    /// An error, with the run it is about by its title.
    pub(crate) fn named_in(&self, error: &CalibrateError) -> String {
        let (CalibrateError::NeverRan { run }
        | CalibrateError::Jars { run, .. }
        | CalibrateError::Residue { run, .. }) = error
        else {
            return error.to_string();
        };
        let title = self.runs.get(run.saturating_sub(1)).map_or("", |run| &run.plan.title);
        format!("{title}: {error}")
    }
}

fn finished(run: &RunFolder) -> FinishedRun<'_> {
    FinishedRun { plan: &run.plan, rows: &run.rows, residue: None }
}

/// The run as a folder, under the name a person gave it.
fn folder(state: &RunState) -> RunFolder {
    let mut folder = state.folder();
    folder.plan.title.clone_from(&state.summary.title);
    folder
}

/// Whether two stills of one name can be the same: of one kind and size.
fn is_same(one: &Still, other: &Still) -> bool {
    one.kind == other.kind && one.boiler_litres.to_bits() == other.boiler_litres.to_bits()
}

/// Whether a run tells of the real still as it is now: over, counted, not from before a change.
fn counts(run: &RunSummary, changed_ms: Option<i64>) -> bool {
    let over = run.ended.is_some() || run.mode == RunMode::Imported;
    let ended_ms = run.ended_ms.unwrap_or(run.created_ms);
    let after = changed_ms.is_none_or(|changed_ms| ended_ms > changed_ms);
    over && after && run.counts && run.abandoned.is_none() && run.rehearsed() != Some(true)
}
