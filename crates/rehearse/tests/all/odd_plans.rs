//! Plans that are legal and not the usual ones: without hearts, on a mountain, a pot that boils hard.

use crate::common::{column, pot};
use advise::{Event, EventKind, Live, LiveOptions, RunEnd};
use estimate::Character;
use rehearse::{Attended, Manner};
use sense::{RecordedRun, SecondRows};
use still::forecast::{Options, forecast};
use still::outcome::EndedBy;
use still::plan::{HeatSource, RunPlan, StepKind};

/// A rehearsal without estimates: its end, what was said, and the alcohol that was to come, L.
fn rehearse(plan: &RunPlan) -> (RunEnd, Vec<Event>, f64) {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut said = Vec::new();
    let mut forecast_l = 0.0;
    let mut keep = |event: &Event, live: &Live| {
        said.push(event.clone());
        forecast_l = live.forecast().expect("it boils").totals.pure_alcohol_l;
    };
    let end =
        rehearse::rehearse_as(plan, 3, options, &mut keep, &mut |_| ()).expect("a legal plan");
    (end, said, forecast_l)
}

fn alarms(said: &[Event]) -> Vec<&str> {
    let of = said.iter().filter(|event| event.kind == EventKind::Alarm);
    of.map(|event| event.code).collect()
}

#[test]
fn a_column_whose_plan_has_no_hearts_ends_its_tails_by_strength() {
    let mut plan = column();
    plan.steps.retain(|step| step.kind != StepKind::Hearts);
    let tails = plan.steps.iter_mut().find(|step| step.kind == StepKind::Tails).expect("it has");
    (tails.until_strength_vol, tails.until_pot_c, tails.minutes) = (Some(60.0), None, None);
    let (end, said, forecast_l) = rehearse(&plan);
    assert_eq!(end.ended_by, EndedBy::Plan, "{:?}", alarms(&said));
    assert!(alarms(&said).is_empty(), "{:?}", alarms(&said));
    assert!(
        (end.pure_alcohol_l / forecast_l - 1.0).abs() < 0.06,
        "{} {forecast_l}",
        end.pure_alcohol_l
    );
}

#[test]
fn a_pot_high_in_the_mountains_believes_its_barometer() {
    let mut plan = pot();
    plan.site.pressure_hpa = still::plan::STATION_HPA.0;
    let (end, said, forecast_l) = rehearse(&plan);
    assert_eq!(end.ended_by, EndedBy::Plan);
    assert!(alarms(&said).is_empty(), "{:?}", alarms(&said));
    let left_out = said.iter().any(|event| event.code == "head_left_out");
    let off = end.pure_alcohol_l / forecast_l - 1.0;
    assert!(!left_out && off.abs() < 0.04, "{off}");
}

#[test]
fn a_head_that_still_warms_shows_no_strong_spirit_in_a_pot() {
    let mut plan = pot();
    plan.charge.strength_vol = 9.0;
    let (end, _, forecast_l) = rehearse(&plan);
    let off = end.pure_alcohol_l / forecast_l - 1.0;
    assert!(off.abs() < 0.04, "{off}");
}

#[test]
fn a_balance_without_a_jar_asks_for_no_jar() {
    let mut plan = column();
    plan.steps.retain(|step| matches!(step.kind, StepKind::Heat | StepKind::Stop));
    let mut rows = RecordedRun::default();
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let keep = &mut |second: &SecondRows| rows.append(second.clone());
    rehearse::rehearse_as(&plan, 3, options, &mut |_, _| (), keep).expect("a legal plan");
    assert!(rows.jars.is_empty());
    let found = estimate::balance(&plan, &rows, &Character::default()).expect("it is read");
    let ask = found.account.and_then(|account| account.tells_most);
    assert!(ask.as_ref().is_none_or(|ask| !ask.code.starts_with("jars")), "{ask:?}");
}

#[test]
fn a_fire_of_unknown_power_is_a_factor_off_and_no_band_is_beyond_what_can_be() {
    let mut plan = pot();
    plan.still.heat_source = HeatSource::Fire;
    plan.still.elements_watts.clear();
    plan.steps.iter_mut().for_each(|step| step.watts = None);
    let outset = |plan: &RunPlan| {
        let nominal = forecast(plan, &Options::default()).expect("a legal plan");
        advise::outset(plan, &Options::default(), &nominal).expect("it has hearts")
    };
    let end_s = outset(&plan).hearts_end_s;
    assert!(end_s.p025 > 0.2 * end_s.p50, "{end_s:?}");
    (plan.charge.litres_sd, plan.charge.strength_sd) = (Some(8.0), Some(14.0));
    let hearts_l = outset(&plan).hearts_l;
    assert!(hearts_l.p025 >= 0.0 && hearts_l.p975 <= plan.charge.litres, "{hearts_l:?}");
}

#[test]
fn a_slow_take_off_on_a_scale_does_not_move_the_end_to_and_fro() {
    let mut plan = column();
    plan.steps
        .retain(|step| matches!(step.kind, StepKind::Heat | StepKind::Foreshots | StepKind::Stop));
    (plan.steps[1].watts, plan.steps[1].takeoff_ml_per_min) = (Some(1800.0), Some(0.9));
    plan.steps[1].until_ml = Some(20.0);
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let how = Attended { seed: 5, manner: Manner::Careful, options, scale: true };
    let mut moves = 0;
    let mut count = |event: &Event, _: &Live| moves += usize::from(event.code == "forecast_moved");
    rehearse::rehearse_how(&plan, &how, &mut count, &mut |_| ()).expect("a legal plan");
    assert!(moves <= 15, "told {moves} times");
}

#[test]
fn a_still_of_few_contacts_climbs_by_plan_and_is_not_alarmed() {
    let mut plan = column();
    (plan.still.stages, plan.still.efficiency) = (1.5, None);
    for step in &mut plan.steps {
        step.until_rise_k = None;
    }
    let mut slow = false;
    plan.steps.retain(|step| {
        let second = step.kind == StepKind::Hearts && std::mem::replace(&mut slow, true);
        step.kind != StepKind::Hearts || !second
    });
    let hearts = plan.steps.iter_mut().find(|step| step.kind == StepKind::Hearts).expect("it has");
    (hearts.until_strength_vol, hearts.minutes) = (Some(60.0), None);
    let (end, said, _) = rehearse(&plan);
    assert_eq!(end.ended_by, EndedBy::Plan, "{:?}", alarms(&said));
    assert!(alarms(&said).is_empty(), "{:?}", alarms(&said));
    let knee = said.iter().find(|event| event.how_sure.contains("has left the plateau by"));
    assert!(knee.is_none(), "{knee:?}");
}
