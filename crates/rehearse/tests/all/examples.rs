//! The plans of the example house, before heat and rehearsed with the stand-in.

use crate::common::example_plans;
use advise::{Event, EventKind, Knowledge, Live, LiveOptions};
use quantities::{Power, RunTime};
use sense::Action;
use sense::RecordedRun;
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};
use still::running::RunningStill;

struct Attended {
    said: Vec<Event>,
    rows: RecordedRun,
    last: Knowledge,
}

/// Attended to its end; without estimates ten times faster, where nobody looks at one.
fn attend(plan: &RunPlan, seed: u64, estimate: bool) -> Attended {
    let (mut said, mut rows, mut last) = (Vec::new(), RecordedRun::default(), None);
    let options = LiveOptions { estimate, ..LiveOptions::default() };
    rehearse::rehearse_as(
        plan,
        seed,
        options,
        &mut |event, live| {
            said.push(event.clone());
            last = Some(live.knowledge());
        },
        &mut |second| rows.append(second.clone()),
    )
    .expect("the plan can be rehearsed");
    Attended { said, rows, last: last.expect("a run says something") }
}

/// Estimates of a column cost most and are looked at for alarms in its whole run.
#[test]
fn attended_rehearsals_of_the_examples_are_quiet_true_and_over_at_the_stop() {
    for (name, plan) in example_plans() {
        for seed in 1..=5 {
            let run = attend(&plan, seed, seed == 1 && plan.still.kind == StillKind::Pot);
            let name = format!("{name}, seed {seed}");
            no_alarm_and_nobody_missed(&name, &run);
            strength_of_the_hearts_is_true(&name, &plan, &run);
            nothing_runs_after_the_stop(&name, &run.last);
        }
    }
}

fn no_alarm_and_nobody_missed(name: &str, run: &Attended) {
    let missed =
        |event: &&Event| event.kind == EventKind::Alarm || event.code == "attendant_absent";
    let bad: Vec<_> = run.said.iter().filter(missed).collect();
    assert!(bad.is_empty(), "{name}: {bad:?}");
}

fn strength_of_the_hearts_is_true(name: &str, plan: &RunPlan, run: &Attended) {
    let (litres, alcohol_l) = true_hearts(plan, &run.rows.actions);
    let is = 100.0 * alcohol_l / litres;
    let hearts = run.last.hearts.as_ref().expect("hearts were drawn");
    let said = hearts.strength.as_ref().expect("some were drawn").at.p50;
    assert!((said - is).abs() < 1.0, "{name}: {said:.2} for {is:.2} % vol");
}

/// Nothing is said of what runs, and no jar stands open.
fn nothing_runs_after_the_stop(name: &str, last: &Knowledge) {
    assert!(last.end.is_some(), "{name}");
    assert!(last.rise.is_none() && last.strength_now.is_none(), "{name}");
    assert!(last.ends.is_empty(), "{name}");
    assert!(last.jars.iter().all(|jar| jar.status == "filled"), "{name} {:?}", last.jars);
    let mut numbers: Vec<u32> = last.jars.iter().map(|jar| jar.number).collect();
    numbers.dedup();
    assert_eq!(numbers.len(), last.jars.len(), "{name}: one jar a number");
}

/// Litres and pure alcohol that the simulated still drew in hearts when these actions were done.
fn true_hearts(plan: &RunPlan, actions: &[(f64, Action)]) -> (f64, f64) {
    let mut still = RunningStill::new(plan).expect("the plan is sound");
    if plan.still.kind == StillKind::Pot {
        still.set_take_off(TakeOff::RefluxRatio(0.0)).expect("the still goes on");
    }
    let (mut start, mut hearts) = (None, (0.0, 0.0));
    for (time_s, action) in actions {
        let at = RunTime::from_seconds(*time_s).expect("it is recorded");
        still.advance_to(at).expect("the still goes on");
        match action {
            Action::Heater { watts } => {
                still
                    .set_heater(Power::from_watts(*watts).expect("a heater"))
                    .expect("the still goes on");
            }
            Action::TakeOff { take_off, .. } => {
                still.set_take_off(*take_off).expect("the still goes on");
            }
            Action::Coolant { l_per_min } => still.set_coolant_l_per_min(*l_per_min),
            Action::Step { kind } => {
                let state = still.state().expect("the still can be seen");
                let now = (state.drawn.litres_20c, state.drawn.pure_alcohol_l);
                match (kind, start) {
                    (StepKind::Hearts, None) => start = Some(now),
                    (StepKind::Tails, Some((litres, alcohol_l))) => {
                        hearts = (now.0 - litres, now.1 - alcohol_l);
                    }
                    _ => {}
                }
            }
            _ => {}
        }
    }
    hearts
}

#[test]
fn the_plan_before_heat_shows_every_jar_and_boundary() {
    for (name, plan) in example_plans() {
        let live = Live::new(plan.clone(), LiveOptions::default()).expect("the plan is sound");
        let forecast = live.forecast().expect("it boils").clone();
        let known = live.knowledge();
        assert_eq!(
            known.ends.iter().filter(|end| end.step_index.is_some()).count(),
            plan.steps.len() - 1,
            "{name}"
        );
        let ends = known.ends.iter().filter(|end| end.step_index.is_some());
        for (end, step) in ends.zip(&forecast.steps) {
            assert!(end.at.p10 <= end.at.p50, "{name}");
            assert!((end.at.p50 - step.end_s).abs() < 120.0, "{name} {end:?} {step:?}");
        }
        assert!(known.jars.iter().all(|jar| jar.status == "expected" && jar.end_s.is_some()));
        let litres: f64 = known.jars.iter().map(|jar| jar.volume_ml / 1000.0).sum();
        assert!((litres / forecast.totals.litres_20c - 1.0).abs() < 0.01, "{name} {litres}");
        let cuts = |kind| known.jars.iter().any(|jar| jar.cut == kind);
        assert!(cuts(StepKind::Foreshots) && cuts(StepKind::Hearts) && cuts(StepKind::Tails));
        assert!(known.prompts.is_empty() && known.instruction.is_some_and(|next| !next.now));
    }
}
