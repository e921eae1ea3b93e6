//! The prompt before the end of hearts beside made-up runs whose truth is known.

use still::plan::{RunPlan, StepKind, StillKind, TakeOff};

use super::{Check, PromptMark, PromptTable, Truth};
use sense::Action;
use sense::RecordedRun;

/// Hearts of 8000 s: a quarter of them is less than 45 min.
const END_S: f64 = 10_000.0;

fn plan(kind: StillKind) -> RunPlan {
    let text = include_str!("../../../examples/hollowbank/perry/run.toml");
    let mut plan: RunPlan = toml::from_str(text).unwrap();
    plan.still.kind = kind;
    plan
}

fn truth(hearts_start_s: f64, fault: &str) -> Truth {
    let text = format!(
        "hearts_start_s = {hearts_start_s:.1}\nend_of_hearts_s = {END_S:.1}\nhearts_l_20c = 2.0\n\
         family = \"col_weak\"\nfault = \"{fault}\"\n"
    );
    toml::from_str(&text).unwrap()
}

fn set(ml_per_min: f64) -> Action {
    Action::TakeOff { take_off: TakeOff::MlPerMin(ml_per_min), measured: false }
}

fn timed(ml_per_min: f64) -> Action {
    Action::TakeOff { take_off: TakeOff::MlPerMin(ml_per_min), measured: true }
}

fn reflux(ratio: f64) -> Action {
    Action::TakeOff { take_off: TakeOff::RefluxRatio(ratio), measured: false }
}

fn closed() -> Action {
    Action::TakeOff { take_off: TakeOff::Closed, measured: false }
}

fn heater(watts: f64) -> Action {
    Action::Heater { watts }
}

fn hearts() -> Action {
    Action::Step { kind: StepKind::Hearts }
}

/// A healthy column whose prompt came 1000 s before the end, with these actions.
fn column(actions: &[(f64, Action)]) -> PromptMark {
    marked(actions, "none", Some(END_S - 1000.0))
}

fn marked(actions: &[(f64, Action)], fault: &str, prompt_s: Option<f64>) -> PromptMark {
    let before = [(0.0, heater(2000.0)), (2000.0, hearts()), (2005.0, set(20.0))];
    let actions = [&before[..], actions].concat();
    let rows = RecordedRun { actions, ..RecordedRun::default() };
    let truth = truth(2000.0, fault);
    PromptMark::new("001", &plan(StillKind::Column), &rows, &truth, prompt_s).unwrap()
}

#[test]
fn a_prompt_is_late_below_ten_minutes_and_early_above_its_limit() {
    let came = |lead_s: f64| marked(&[], "none", Some(END_S - lead_s));
    let how = |mark: &PromptMark| (mark.late, mark.early);
    assert_eq!(how(&came(600.0)), (false, false));
    assert_eq!(how(&came(599.0)), (true, false));
    assert_eq!(how(&came(-30.0)), (true, false));
    assert_eq!(how(&came(2700.0)), (false, false));
    assert_eq!(how(&came(2701.0)), (false, true));
    let none = marked(&[], "none", None);
    assert_eq!((none.lead_s, how(&none), none.left_plan), (None, (true, false), false));
    assert_eq!(none.early_limit_s, 2700.0);
    // Of long hearts a quarter is the limit.
    let (rows, long) = (RecordedRun::default(), truth(-6000.0, "none"));
    let of = |lead_s: f64| {
        let at_s = Some(END_S - lead_s);
        PromptMark::new("001", &plan(StillKind::Column), &rows, &long, at_s).unwrap()
    };
    assert_eq!(
        (of(4000.0).early_limit_s, of(4000.0).early, of(4001.0).early),
        (4000.0, false, true)
    );
}

#[test]
fn a_pot_is_left_out() {
    let rows = RecordedRun::default();
    let pot = PromptMark::new("001", &plan(StillKind::Pot), &rows, &truth(2000.0, "none"), None);
    assert_eq!(pot, None);
}

#[test]
fn stopping_or_slowing_after_the_prompt_leaves_the_plan() {
    let at = END_S - 500.0;
    assert!(column(&[(at, closed())]).left_plan);
    assert!(column(&[(at, set(15.0))]).left_plan);
    assert!(column(&[(at, heater(999.0))]).left_plan);
    assert!(column(&[(at, heater(0.0))]).left_plan);
    // Ratios are compared by what they let through: a quarter of 1 in 5 less is 1 in 6.67.
    let ratios = |then: f64| column(&[(2010.0, reflux(4.0)), (at, reflux(then))]).left_plan;
    assert!(ratios(5.7) && !ratios(5.6));
    // The rows may come in any order of the file.
    assert!(column(&[(at, set(14.0)), (END_S - 2000.0, set(20.0))]).left_plan);
}

#[test]
fn what_is_no_stop_or_slowing_stays_in_the_plan() {
    let at = END_S - 500.0;
    assert!(!column(&[]).left_plan);
    assert!(!column(&[(at, set(15.1))]).left_plan);
    assert!(!column(&[(at, set(30.0))]).left_plan);
    assert!(!column(&[(at, heater(1000.0))]).left_plan);
    // What is timed into a jug is looked at, not done.
    assert!(!column(&[(at, timed(10.0))]).left_plan);
    // Nor is a stop before the prompt or after the end counted.
    assert!(!column(&[(END_S - 1500.0, closed()), (END_S - 1100.0, set(20.0))]).left_plan);
    assert!(!column(&[(END_S + 10.0, closed()), (END_S + 10.0, heater(0.0))]).left_plan);
    // A ratio and millilitres are not compared.
    assert!(!column(&[(at, reflux(9.0))]).left_plan);
}

#[test]
fn a_planned_slow_phase_is_no_slowing_outside_the_plan() {
    let at = END_S - 500.0;
    let slow =
        |step_s: f64| column(&[(at, set(5.0)), (at, heater(500.0)), (step_s, hearts())]).left_plan;
    assert!(!slow(at) && !slow(at + 120.0) && !slow(at - 120.0));
    assert!(slow(at + 121.0) && slow(at - 121.0));
}

fn value<'a>(checks: &'a [Check], ending: &str) -> &'a Check {
    checks.iter().find(|check| check.what.ends_with(ending)).unwrap()
}

#[test]
fn bounds_count_healthy_columns_and_no_early_prompt_of_a_run_that_left_its_plan() {
    let early = Some(END_S - 5000.0);
    let mut marks = vec![
        marked(&[], "drift", None),
        marked(&[(END_S - 500.0, closed())], "none", early),
        marked(&[], "none", None),
    ];
    marks.extend((0..8).map(|_| column(&[])));
    let mut table = PromptTable { marks };
    // Of ten healthy columns one late; of nine run as planned none early.
    let checks = table.checks();
    let (in_time, too_early) =
        (value(&checks, "true end of hearts"), value(&checks, "prompt too early"));
    assert_eq!((in_time.value, in_time.kept), (0.9, true));
    assert_eq!((too_early.value, too_early.kept), (0.0, true));
    // One early of ten keeps the bound, two of eleven do not; a second late one breaks the other.
    table.marks.push(marked(&[], "none", early));
    assert_eq!(value(&table.checks(), "prompt too early").value, 0.1);
    assert!(value(&table.checks(), "prompt too early").kept);
    table.marks.push(marked(&[], "none", early));
    assert!(!value(&table.checks(), "prompt too early").kept);
    table.marks.push(marked(&[], "none", Some(END_S)));
    assert!(!value(&table.checks(), "true end of hearts").kept);
    assert!(PromptTable { marks: vec![marked(&[], "drift", None)] }.checks().is_empty());
}
