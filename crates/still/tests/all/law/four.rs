//! Four ways through a plan.

use quantities::RunTime;
use still::forecast::{Options, forecast};
use still::outcome::EndedBy;
use still::plan::RunPlan;
use still::running::RunningStill;
use still::track::{Ahead, Ends, Machine, Past, Span, StepEnd, Track, track};
use still::walk::{PlanWalk, RUN_MAX_S};
use still::{Cancel, ChargeMoles, StillError, apparatus};
use thermo::Mixture;

/// Width over which the slope of a margin is taken, s.
const SLOPE_S: f64 = 30.0;
/// Integrator tolerance of all ways, and of pots.
const RTOL: f64 = 1e-3;
const POT_RTOL: f64 = 2e-4;

/// One step as it ended.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ended {
    pub(crate) index: usize,
    pub(crate) by: EndedBy,
    pub(crate) end_s: f64,
    /// What it was compared with.
    pub(crate) limit: f64,
}

fn limit_of(plan: &RunPlan, index: usize, by: EndedBy) -> f64 {
    let step = &plan.steps[index];
    match by {
        EndedBy::UntilMl => step.until_ml.unwrap_or(0.0),
        EndedBy::UntilTotalMl => step.until_total_ml.unwrap_or(0.0),
        EndedBy::ElementCover => plan.still.element_cover_litres,
        _ => 0.0,
    }
}

pub(crate) fn forecasted(plan: &RunPlan) -> Result<Vec<Ended>, StillError> {
    let planned = forecast(plan, &Options { row_every_s: None, ..Options::default() })?;
    let ended = planned.steps.iter().map(|step| Ended {
        index: step.index,
        by: step.ended_by,
        end_s: step.end_s,
        limit: limit_of(plan, step.index, step.ended_by),
    });
    Ok(ended.collect())
}

/// The track gone on from heater on.
pub(crate) fn tracked(plan: &RunPlan) -> Vec<Ended> {
    let ended = |step: StepEnd| {
        let StepEnd { index, by, end_s } = step;
        Ended { index, by, end_s, limit: limit_of(plan, index, by) }
    };
    gone_on(plan, true).0.steps.into_iter().map(ended).collect()
}

/// The track from heater on to the stop, or only to the end of the hearts.
pub(crate) fn gone_on(plan: &RunPlan, whole: bool) -> (Track, Option<Ends>) {
    let charge = ChargeMoles::of(&plan.charge);
    match charge.components.len() {
        0..=2 => gone_on_of::<2>(plan, &charge, whole),
        3..=8 => gone_on_of::<8>(plan, &charge, whole),
        9..=10 => gone_on_of::<10>(plan, &charge, whole),
        _ => gone_on_of::<14>(plan, &charge, whole),
    }
}

fn gone_on_of<const C: usize>(
    plan: &RunPlan,
    charge: &ChargeMoles,
    whole: bool,
) -> (Track, Option<Ends>) {
    let of = apparatus(plan, None);
    let machine = Machine::<C, _> {
        equilibrium: Mixture::new(&charge.components).expect("known substances"),
        rtol: if of.stages <= 1 { POT_RTOL } else { RTOL },
        apparatus: of,
        charge_mol: charge.padded(),
        start_k: plan.charge.temperature_c + 273.15,
    };
    let (heater_w, take_off) = (plan.step_power(0).watts(), plan.steps[0].take_off());
    let spans = vec![Span { start_s: 0.0, heater_w, take_off }];
    let past = Past { spans, until_s: 0.0, vapour_s: None, hearts_s: None };
    let ahead = Ahead {
        plan,
        step_index: 0,
        step_start_s: 0.0,
        heater_w,
        take_off,
        heater_factor: 1.0,
        valve: 1.0,
        late_s: 0.0,
        whole,
    };
    track(&machine, &past, Some(&ahead), &Cancel::never()).expect("it runs")
}

/// A moment of the run.
fn at(seconds: f64) -> RunTime {
    RunTime::from_seconds(seconds).expect("a run has such a time")
}

fn begin(plan: &RunPlan, still: &mut RunningStill, walk: &mut PlanWalk, index: usize, at_s: f64) {
    walk.begin(plan, index, at(at_s));
    still.set_heater(walk.power()).expect("it can be set");
    still.set_take_off(walk.take_off()).expect("it can be set");
    still.begin_step().expect("it can begin");
}

/// The driven still with a person who does each step at the instant the walk says so.
pub(crate) fn driven(plan: &RunPlan) -> Vec<Ended> {
    let mut still = RunningStill::new(plan).expect("it boils");
    let mut walk = PlanWalk::new(plan);
    let mut list = Vec::new();
    begin(plan, &mut still, &mut walk, 0, 0.0);
    while !walk.is_over() {
        let met = still.follow(&mut walk, at(RUN_MAX_S)).expect("it runs");
        let end_s = still.state().expect("it can be seen").time.seconds();
        let by = met.map_or(EndedBy::Minutes, |met| met.by);
        let index = walk.index();
        list.push(Ended { index, by, end_s, limit: limit_of(plan, index, by) });
        if end_s >= RUN_MAX_S {
            break;
        }
        let next = walk.next_index(by);
        begin(plan, &mut still, &mut walk, next, end_s);
    }
    list
}

/// The driven still with a walk that is told each second what exact probes and jars show; also
/// the slope with which each margin came to zero, in its own unit a second.
pub(crate) fn per_second(plan: &RunPlan) -> (Vec<Ended>, Vec<f64>) {
    let mut still = RunningStill::new(plan).expect("it boils");
    let mut walk = PlanWalk::new(plan);
    let (mut list, mut slopes) = (Vec::new(), Vec::new());
    begin(plan, &mut still, &mut walk, 0, 0.0);
    let mut recent = std::collections::VecDeque::new();
    let mut now_s = 0.0;
    while !walk.is_over() && now_s < RUN_MAX_S {
        still.advance_to(at(now_s)).expect("it runs");
        let seen = still.state().expect("it can be seen").observation();
        let met = walk.observe(&seen);
        if let Some(met) = met {
            let index = walk.index();
            let (by, end_s) = (met.by, now_s);
            list.push(Ended { index, by, end_s, limit: limit_of(plan, index, by) });
            let before = recent.front().and_then(|seen| walk.stands(by, seen));
            let passed_s = recent.len() as f64;
            slopes.push(before.map_or(0.0, |before| {
                (met.margin() - before.margin()).max(0.0) / passed_s.max(1.0)
            }));
            recent.clear();
            let next = walk.next_index(by);
            begin(plan, &mut still, &mut walk, next, now_s);
            continue;
        }
        recent.push_back(seen);
        if recent.len() as f64 > SLOPE_S {
            recent.pop_front();
        }
        now_s += 1.0;
    }
    if !walk.is_over() {
        let (index, by) = (walk.index(), EndedBy::Minutes);
        list.push(Ended { index, by, end_s: RUN_MAX_S, limit: 0.0 });
    }
    (list, slopes)
}
