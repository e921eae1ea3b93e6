//! Several finished runs of one still fitted together: its losses, efficiency, hold-up and lost
//! vapour, and each run's charge within its doubt.
//!
//! A single run cannot tell a leaking boiler from a weak charge; runs at other powers and other
//! reflux can. What they still cannot tell is said.

mod believed;
mod descend;
mod drawn;
mod error;
mod evidence;
mod inputs;
mod model;
mod next;
mod outcome;
mod run;
mod told;
mod unknowns;

pub use believed::believed;
pub use error::CalibrateError;
pub use outcome::{
    CalibratedRun, Calibration, Compared, FinishedRun, FittedCharge, NextRun, Parameter, Residue,
    Said, Spread, Value, Worth,
};
use std::cell::Cell;

use still::plan::Still;
use still::{Cancel, StillError};

use descend::{End, Joint, ROUNDS, ROUNDS_BEST};
use model::{Bench, whole_stages};
use run::Run;
use unknowns::{Beliefs, EFFICIENCY, OWN, SHARED};

/// Runs that are fitted together.
const RUNS: (usize, usize) = (2, 12);
/// Where the descents begin, standard deviations: column loss, boiler loss, efficiency, hold-up,
/// vapour lost, charge. The losses are the ones that hide behind each other.
const STARTS: [[f64; SHARED]; 5] = [
    [0.0; SHARED],
    [1.5, -1.5, 0.0, 0.0, 0.0, 0.0],
    [-1.5, 1.5, 0.0, 0.0, 0.0, 0.0],
    [2.0, -1.0, -1.0, 0.0, 0.5, -0.5],
    [1.0, 1.0, 0.5, 0.0, -0.5, 0.5],
];
/// Half the chi-square within which two starts came to the same end.
const SAME_END: f64 = 0.1;
/// An efficiency this near to its bound wants another stage; more of them, and how often.
const AT_BOUND: f64 = 0.98;
const MORE_STAGES: f64 = 1.5;
const STAGES_MAX: f64 = 30.0;
const RESTAGED_MAX: usize = 2;

/// Fits all runs together.
///
/// # Errors
/// [`CalibrateError`]: fewer than two runs or more than twelve, a run with too few jars, a residue
/// that cannot be, a plan that breaks a rule, a still that cannot be simulated, or a fit that was
/// cancelled.
pub fn calibrate(
    given: &[FinishedRun<'_>],
    said: &Said,
    cancel: &Cancel,
) -> Result<Calibration, CalibrateError> {
    calibrate_telling(given, said, cancel, &|_, _| ())
}

/// As [`calibrate`]; `tell` hears how many parts of the work are done, and of how many. Where the
/// still wants more stages than it states, the work begins anew.
///
/// # Errors
/// As [`calibrate`].
pub fn calibrate_telling(
    given: &[FinishedRun<'_>],
    said: &Said,
    cancel: &Cancel,
    tell: Tell<'_>,
) -> Result<Calibration, CalibrateError> {
    if !(RUNS.0..=RUNS.1).contains(&given.len()) {
        let bound = format!("{} to {} runs are fitted together", RUNS.0, RUNS.1);
        return Err(CalibrateError::Runs { got: given.len(), bound });
    }
    let numbered = given.iter().enumerate();
    let runs = numbered.map(|(at, one)| Run::of(one, at + 1)).collect::<Result<Vec<_>, _>>()?;
    let bench = Bench::new(cancel)?;
    // Each start and the best once more, each run left out, and the further runs.
    let parts = Parts { done: Cell::new(0), of: STARTS.len() + 2 + runs.len(), tell };
    let first = given[0].plan;
    let charges: Vec<_> = given.iter().map(|one| &one.plan.charge).collect();
    let mut stages = whole_stages(first);
    for _ in 0..RESTAGED_MAX {
        let beliefs = Beliefs::of(&first.still, said, &charges, stages);
        parts.begin();
        let found = Found::of(&bench, &beliefs, runs.clone(), &parts)?;
        let full = beliefs.physical(&found.end.z).of[2] >= AT_BOUND * EFFICIENCY.1;
        if !full || stages < 1.0 || first.still.kind == still::plan::StillKind::Pot {
            return found.told(&bench, &beliefs, given, &parts);
        }
        stages = (MORE_STAGES * stages).ceil().min(STAGES_MAX);
    }
    let beliefs = Beliefs::of(&first.still, said, &charges, stages);
    parts.begin();
    Found::of(&bench, &beliefs, runs, &parts)?.told(&bench, &beliefs, given, &parts)
}

/// What hears how far the work has come: parts done, and of how many.
type Tell<'a> = &'a dyn Fn(usize, usize);

/// How far the work has come.
struct Parts<'a> {
    done: Cell<usize>,
    of: usize,
    tell: Tell<'a>,
}

impl Parts<'_> {
    fn begin(&self) {
        self.done.set(0);
        (self.tell)(0, self.of);
    }

    fn one_more(&self) {
        self.done.set(self.done.get() + 1);
        (self.tell)(self.done.get(), self.of);
    }
}

/// Whether a run could be fitted with others: a sound plan, and jars enough.
///
/// # Errors
/// As [`calibrate`], of this run alone.
pub fn can_calibrate(given: &FinishedRun<'_>) -> Result<(), CalibrateError> {
    Run::of(given, 1).map(drop)
}

/// How one run compares with a still and a charge that are known: a run that was not fitted.
///
/// # Errors
/// As [`calibrate`].
pub fn predict(given: &FinishedRun<'_>, cancel: &Cancel) -> Result<Compared, CalibrateError> {
    let run = Run::of(given, 1)?;
    let still = &given.plan.still;
    let beliefs =
        Beliefs::of(still, &Said::default(), &[&given.plan.charge], whole_stages(given.plan));
    let bench = Bench::new(cancel)?;
    let stated = stated(still, beliefs.stages);
    let simulated = bench.simulate(&run.simulation, beliefs.stages, &stated, (1.0, 1.0), true)?;
    run.compared(&simulated).ok_or(CalibrateError::NeverRan { run: 1 })
}

/// The values as a still states them.
fn stated(still: &Still, stages: f64) -> unknowns::Physical {
    let efficiency = still.stages * still.efficiency.unwrap_or(1.0) / stages.max(1.0);
    unknowns::Physical {
        of: [
            still.column_loss_w_per_k,
            still.boiler_loss_w_per_k,
            efficiency,
            still.holdup_litres,
            still.vapour_lost.unwrap_or(0.0),
            0.0,
        ],
    }
}

/// The best end of all starts.
struct Found<'a> {
    runs: Vec<Run<'a>>,
    end: End,
    agree: usize,
}

impl<'a> Found<'a> {
    /// Goes down from every start by the jars; then the probes are held against the best end, and
    /// it goes on with those that agree.
    fn of(
        bench: &Bench,
        beliefs: &Beliefs,
        mut runs: Vec<Run<'a>>,
        parts: &Parts<'_>,
    ) -> Result<Self, CalibrateError> {
        let mut ends = Vec::with_capacity(STARTS.len());
        let joint = Joint { bench, beliefs, runs: &runs };
        for start in STARTS {
            let mut start = start.to_vec();
            start.resize(beliefs.count(), 0.0);
            ends.extend(joint.descend(&start, ROUNDS)?);
            parts.one_more();
        }
        let best = ends.iter().min_by(|a, b| a.cost.total_cmp(&b.cost)).cloned();
        let Some(best) = best else { return Err(CalibrateError::NeverRan { run: 1 }) };
        let best = joint.descend(&best.z, ROUNDS_BEST)?.unwrap_or(best);
        let agree = ends.iter().filter(|end| end.cost - best.cost < SAME_END).count();
        for run in 0..runs.len() {
            let simulated = Joint { bench, beliefs, runs: &runs }.simulate(run, &best.z)?;
            runs[run].hold_probes(&simulated);
        }
        let joint = Joint { bench, beliefs, runs: &runs };
        let end = joint.descend(&best.z, ROUNDS_BEST)?.unwrap_or(best);
        parts.one_more();
        Ok(Self { runs, end, agree })
    }

    /// All that follows from it.
    fn told(
        self,
        bench: &Bench,
        beliefs: &Beliefs,
        given: &[FinishedRun<'_>],
        parts: &Parts<'_>,
    ) -> Result<Calibration, CalibrateError> {
        let Self { runs, end, agree } = self;
        let joint = Joint { bench, beliefs, runs: &runs };
        let Some((covariance, misfit)) = joint.covariance(&end.z)? else {
            return Err(CalibrateError::NeverRan { run: 1 });
        };
        let mut calibrated = Vec::with_capacity(runs.len());
        for (at, run) in runs.iter().enumerate() {
            let simulated = joint.simulate(at, &end.z)?;
            let fitted =
                run.compared(&simulated).ok_or(CalibrateError::NeverRan { run: at + 1 })?;
            let charge = &given[at].plan.charge;
            let stated = (charge.litres, charge.strength_vol);
            calibrated.push(CalibratedRun {
                jars: run.evidence.jars.len(),
                head: run.worth[0],
                pot: run.worth[1],
                coolant: run.worth[2],
                residue: run.worth[3],
                charge: told::charge(beliefs, &end.z, &covariance, at, stated),
                fitted,
                left_out: left_out(&joint, &end.z, at)?,
            });
            parts.one_more();
        }
        let next = next::next(&joint, &end.z, &covariance)?;
        parts.one_more();
        Ok(Calibration {
            still: put_in(&given[0].plan.still, beliefs, &end.z),
            values: told::values(beliefs, &end.z, &covariance),
            not_apart: told::not_apart(&covariance),
            runs: calibrated,
            next,
            misfit,
            starts_agree: (agree, STARTS.len()),
            simulations: bench.made(),
        })
    }
}

/// Run `out` as the others predict it: the still fitted without it, its own charge as stated but
/// for what all charges have in common.
fn left_out(
    joint: &Joint<'_, '_>,
    z: &[f64],
    out: usize,
) -> Result<Option<Compared>, CalibrateError> {
    let others: Vec<usize> = (0..joint.runs.len()).filter(|&run| run != out).collect();
    if others.is_empty() {
        return Ok(None);
    }
    let runs: Vec<Run<'_>> = others.iter().map(|&run| joint.runs[run].clone()).collect();
    let beliefs = joint.beliefs.of_runs(&others);
    let fewer = Joint { bench: joint.bench, beliefs: &beliefs, runs: &runs };
    let of_others = others.iter().flat_map(|&run| &z[SHARED + OWN * run..SHARED + OWN * run + OWN]);
    let start: Vec<f64> = z[..SHARED].iter().chain(of_others).copied().collect();
    let Some(end) = fewer.descend(&start, ROUNDS_BEST)? else { return Ok(None) };
    let mut at = vec![0.0; joint.beliefs.count()];
    at[..SHARED].copy_from_slice(&end.z[..SHARED]);
    match joint.simulate(out, &at) {
        Ok(simulated) => Ok(joint.runs[out].compared(&simulated)),
        Err(error @ StillError::Cancelled { .. }) => Err(error.into()),
        Err(_) => Ok(None),
    }
}

/// The still with the values found, as a run file states them.
fn put_in(still: &Still, beliefs: &Beliefs, z: &[f64]) -> Still {
    let [column, boiler, efficiency, held_l, lost, _] = beliefs.physical(z).of;
    let mut found = Still {
        column_loss_w_per_k: tidy(column),
        boiler_loss_w_per_k: tidy(boiler),
        holdup_litres: tidy(held_l),
        vapour_lost: Some(tidy(lost)),
        ..still.clone()
    };
    if beliefs.stages >= 1.0 {
        let share = still.stages.max(1.0) / beliefs.stages;
        found.pressure_drop_pa_per_stage = tidy(still.pressure_drop_pa_per_stage * share);
        (found.stages, found.efficiency) = (beliefs.stages, Some(tidy(efficiency)));
    }
    found
}

/// Three significant digits: no run tells more.
fn tidy(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}
