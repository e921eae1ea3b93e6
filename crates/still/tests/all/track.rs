//! A still followed through its past must be the still of the forecast.

use std::collections::BTreeMap;

use alcoholometry::kernel;
use still::forecast::{Options, forecast};
use still::outcome::Forecast;
use still::plan::{RunPlan, StepKind, TakeOff};
use still::track::{Ahead, Machine, Past, Span, Track, track};
use still::{Cancel, ChargeMoles, apparatus};
use thermo::Mixture;

/// Tolerance of the tracks that an estimate makes.
const RTOL: f64 = 2e-3;

/// A bundled plan with neither congeners nor triggers that need the head, so that its two
/// substances are all there is.
fn plan() -> RunPlan {
    let text = include_str!("../../reference/column/C8/run.toml");
    let mut plan: RunPlan = toml::from_str(text).expect("a bundled plan runs");
    plan.charge.congeners_mg_per_l = Some(BTreeMap::new());
    plan
}

fn machine(plan: &RunPlan, rtol: f64) -> Machine<2, Mixture<2>> {
    let charge = ChargeMoles::of(&plan.charge);
    Machine {
        equilibrium: Mixture::new(&charge.components).expect("water and ethanol"),
        apparatus: apparatus(plan, None),
        charge_mol: charge.padded(),
        start_k: plan.charge.temperature_c + 273.15,
        rtol,
    }
}

/// What the plan does, as a past that is over at `until_s`.
fn past(plan: &RunPlan, planned: &Forecast, until_s: f64) -> Past {
    let spans = planned.steps.iter().filter(|step| step.start_s < until_s).map(|step| Span {
        start_s: step.start_s,
        heater_w: step.watts,
        take_off: plan.steps[step.index].take_off(),
    });
    let hearts = planned.steps.iter().find(|step| step.kind == StepKind::Hearts);
    let hearts_s = hearts.map(|step| step.start_s).filter(|start_s| *start_s < until_s);
    Past { spans: spans.collect(), until_s, vapour_s: None, hearts_s }
}

fn planned(plan: &RunPlan) -> Forecast {
    forecast(plan, &Options::default()).expect("a bundled plan runs")
}

/// The last hearts of the plan: end in s, litres of all hearts.
fn hearts_of(planned: &Forecast) -> (f64, f64) {
    let hearts = || planned.steps.iter().filter(|step| step.kind == StepKind::Hearts);
    let end_s = hearts().next_back().expect("the plan has hearts").end_s;
    (end_s, hearts().map(|step| step.litres_20c).sum())
}

#[test]
fn prop_following_the_plan_and_going_on_ends_where_the_forecast_does() {
    let plan = plan();
    let planned = planned(&plan);
    let (end_s, litres) = hearts_of(&planned);
    // From the equalising, from heads, from the middle of the hearts.
    for (index, share) in [(1, 0.5), (3, 0.5), (4, 0.5), (4, 0.95), (5, 0.3)] {
        let step = &planned.steps[index];
        let now_s = step.start_s + share * (step.end_s - step.start_s);
        let ahead = Ahead {
            plan: &plan,
            step_index: step.index,
            step_start_s: step.start_s,
            heater_w: step.watts,
            take_off: plan.steps[step.index].take_off(),
            heater_factor: 1.0,
            valve: 1.0,
            late_s: 0.0,
            whole: true,
        };
        let past = past(&plan, &planned, now_s);
        let (track, ends) =
            track(&machine(&plan, RTOL), &past, Some(&ahead), &Cancel::never()).expect("it boils");
        let ends = ends.expect("there is something ahead");
        let found = ends.plan.expect("the plan has hearts");
        assert!(found.reached);
        // Triggers read straight lines between the integrator's steps: half a per cent of the
        // run, 2 % of the hearts.
        let off_s = found.time_s - end_s;
        assert!(off_s.abs() < 0.005 * end_s, "from step {index}: {off_s} s of {end_s}");
        let start_s = ends.hearts_s.expect("hearts begin");
        let start = track.at(start_s).expect("the column was full");
        let drawn = found.at.drawn_since(&start).litres_20c;
        assert!((drawn / litres - 1.0).abs() < 0.02, "from step {index}: {drawn} of {litres} L");
        let stop_s = ends.stop_s.expect("asked for the whole");
        assert!((stop_s / planned.end_s - 1.0).abs() < 0.01, "{stop_s} of {}", planned.end_s);
        let step_end_s = ends.step_s.expect("the step ends");
        assert!((step_end_s / step.end_s - 1.0).abs() < 0.005, "{step_end_s} of {}", step.end_s);
    }
}

#[test]
fn prop_a_finer_tolerance_comes_to_the_same() {
    let plan = plan();
    let planned = planned(&plan);
    let now_s = hearts_of(&planned).0;
    let at_end = |rtol| {
        let past = past(&plan, &planned, now_s);
        let (track, _) =
            track(&machine(&plan, rtol), &past, None, &Cancel::never()).expect("it boils");
        *track.points.last().expect("the column was full")
    };
    let (coarse, fine) = (at_end(RTOL), at_end(1e-6));
    // The forecast's own end of that step, to its tolerance.
    let collected_l: f64 = planned.steps.iter().map(|step| step.litres_20c).sum::<f64>()
        - planned.steps.last().expect("tails").litres_20c;
    let drawn_l = kernel::litres_20c(fine.drawn_mol[1], fine.drawn_mol[0]);
    assert!((drawn_l / collected_l - 1.0).abs() < 5e-3, "{drawn_l} of {collected_l} L");
    assert!((coarse.head_k - fine.head_k).abs() < 0.1, "{coarse:?} {fine:?}");
    assert!((coarse.pot_k - fine.pot_k).abs() < 0.02, "{coarse:?} {fine:?}");
    assert!((coarse.drawn_mol[1] / fine.drawn_mol[1] - 1.0).abs() < 2e-3);
}

/// Moles of water and ethanol that are in the pot or were drawn.
fn seen_mol(track: &Track) -> Vec<[f64; 2]> {
    let both = |i: usize, point: &still::track::Point| point.pot_mol[i] + point.drawn_mol[i];
    track.points.iter().map(|point| [both(0, point), both(1, point)]).collect()
}

#[test]
fn prop_moles_are_conserved_but_for_what_the_column_holds() {
    let plan = plan();
    let planned = planned(&plan);
    let machine = machine(&plan, RTOL);
    let past = past(&plan, &planned, planned.end_s);
    let (track, _) = track(&machine, &past, None, &Cancel::never()).expect("it boils");
    let held =
        machine.apparatus.stage_mol * machine.apparatus.stages as f64 + machine.apparatus.drum_mol;
    let charged: f64 = machine.charge_mol.iter().sum();
    for (point, seen) in track.points.iter().zip(seen_mol(&track)) {
        // Hold-up is constant in moles: what is neither in the pot nor drawn is exactly that.
        let missing = charged - seen[0] - seen[1];
        assert!((missing / held - 1.0).abs() < 0.01, "{missing} of {held} mol at {point:?}");
        for i in 0..2 {
            let own = machine.charge_mol[i] - seen[i];
            assert!(own > -1e-3 * charged && own < 1.01 * held, "substance {i}: {own} mol");
        }
    }
    let drawn = |i: usize| track.points.iter().map(move |point| point.drawn_mol[i]);
    assert!(drawn(0).is_sorted() && drawn(1).is_sorted(), "nothing runs back");
}

#[test]
fn prop_total_reflux_draws_nothing() {
    let plan = plan();
    let until_s = 3.0 * planned(&plan).ready_s;
    let span = Span { start_s: 0.0, heater_w: 1500.0, take_off: TakeOff::Closed };
    let past = Past { spans: vec![span], until_s, vapour_s: None, hearts_s: None };
    let (track, ends) =
        track(&machine(&plan, RTOL), &past, None, &Cancel::never()).expect("it boils");
    assert_eq!(ends, None);
    assert!(track.points.len() > 10);
    assert_eq!(track.points.last().map(|point| point.time_s), Some(until_s));
    for point in &track.points {
        assert_eq!(point.draw_mol_s, 0.0);
        assert!(point.drawn_mol.iter().all(|mol| mol.abs() < 1e-9), "{point:?}");
        assert!(point.vapour_mol_s > 0.0, "{point:?}");
    }
    // A column that only returns gets as strong as it can: never weaker, never over the azeotrope
    // (97.2 % vol at 1 atm, common handbook value, from memory).
    let vol: Vec<f64> = track.points.iter().map(still::track::Point::drum_vol).collect();
    let (first, last) = (vol[0], vol[vol.len() - 1]);
    assert!(last > first && last > 90.0 && vol.iter().all(|vol| *vol < 97.5), "{first} {last}");
}

#[test]
fn a_closed_take_off_is_no_plateau() {
    let plan = plan();
    let planned = planned(&plan);
    let hearts = planned.steps.iter().find(|step| step.kind == StepKind::Hearts);
    let hearts = hearts.expect("the plan has hearts");
    let (closed_s, open_s) = (hearts.start_s + 1800.0, hearts.start_s + 3600.0);
    let steady = Past { hearts_s: Some(hearts.start_s), ..past(&plan, &planned, closed_s) };
    let mut paused = Past { until_s: open_s + 900.0, ..steady.clone() };
    for (start_s, take_off) in
        [(closed_s, TakeOff::Closed), (open_s, plan.steps[hearts.index].take_off())]
    {
        paused.spans.push(Span { start_s, heater_w: hearts.watts, take_off });
    }
    let followed = |past: &Past| {
        track(&machine(&plan, RTOL), past, None, &Cancel::never()).expect("it boils").0
    };
    let (before, after) = (followed(&steady), followed(&paused));
    let lowest_k = |track: &Track| track.lowest_head_k.expect("ten minutes of hearts");
    let fallen_k = lowest_k(&before) - after.at(open_s).expect("full").head_k;
    assert!(fallen_k > 0.02, "total reflux makes the head {fallen_k} K colder");
    let moved_k = lowest_k(&before) - lowest_k(&after);
    assert!(moved_k < 0.3 * fallen_k, "plateau {moved_k} K colder, head {fallen_k} K");
}

#[test]
fn prop_a_pause_costs_its_time_and_ends_nothing() {
    let plan = plan();
    let planned = planned(&plan);
    let hearts = planned.steps.iter().find(|step| step.kind == StepKind::Hearts);
    let hearts = hearts.expect("the plan has hearts");
    let take_off = plan.steps[hearts.index].take_off();
    let (off_s, on_s) = (hearts.start_s + 1200.0, hearts.start_s + 2400.0);
    let until_s = on_s + 2400.0;
    let steady = past(&plan, &planned, off_s);
    let mut paused = Past { until_s, ..steady.clone() };
    let span = |start_s, heater_w, take_off| Span { start_s, heater_w, take_off };
    paused.spans.push(span(off_s, 0.0, TakeOff::Closed));
    paused.spans.push(span(on_s, hearts.watts, take_off));
    let machine = machine(&plan, RTOL);
    let (with, _) = track(&machine, &paused, None, &Cancel::never()).expect("it boils");
    let (without, _) =
        track(&machine, &Past { until_s, ..steady }, None, &Cancel::never()).expect("it boils");
    let drawn = |track: &Track, at_s: f64| track.at(at_s).expect("full").drawn_mol[1];
    let rest = drawn(&with, on_s) - drawn(&with, off_s);
    assert!(rest.abs() < 1e-3, "{rest} mol ran while it was off");
    let warming = with.points.iter().find(|point| point.time_s > on_s);
    let warming = warming.expect("it is followed on");
    assert_eq!((warming.vapour_mol_s, warming.draw_mol_s), (0.0, 0.0), "cooled, it must warm");
    let last = with.points.last().expect("full");
    assert_eq!(last.time_s, until_s);
    assert!(last.vapour_mol_s > 0.0 && last.draw_mol_s > 0.0, "it boils again: {last:?}");
    // After the pause it draws what it would have drawn so much earlier, less the warming.
    let after = drawn(&with, until_s) - drawn(&with, on_s);
    let whole = drawn(&without, off_s + 2400.0) - drawn(&without, off_s);
    assert!(after < whole && after > 0.6 * whole, "{after} of {whole} mol");
    // And going on by the plan from there still comes to the end of the hearts, later.
    let ahead = Ahead {
        plan: &plan,
        step_index: hearts.index,
        step_start_s: hearts.start_s,
        heater_w: hearts.watts,
        take_off,
        heater_factor: 1.0,
        valve: 1.0,
        late_s: 0.0,
        whole: false,
    };
    let (_, ends) = track(&machine, &paused, Some(&ahead), &Cancel::never()).expect("it boils");
    let end = ends.and_then(|ends| ends.plan).expect("the plan has hearts");
    let later_s = end.time_s - hearts_of(&planned).0;
    assert!(end.reached && (1200.0..2400.0).contains(&later_s), "{later_s} s later");
}

/// Where the head stands a kelvin over its plateau, with a person who goes over to the slow hearts
/// so late.
fn kelvin_end(late_s: f64) -> still::track::End {
    let mut plan = plan();
    plan.steps[4].until_rise_k = Some(0.5);
    plan.steps[5].until_rise_k = Some(2.0);
    let planned = planned(&plan);
    let step = &planned.steps[4];
    let now_s = step.start_s + 0.5 * (step.end_s - step.start_s);
    let ahead = Ahead {
        plan: &plan,
        step_index: 4,
        step_start_s: step.start_s,
        heater_w: step.watts,
        take_off: plan.steps[4].take_off(),
        heater_factor: 1.0,
        valve: 1.0,
        late_s,
        whole: false,
    };
    let past = past(&plan, &planned, now_s);
    let (_, ends) =
        track(&machine(&plan, RTOL), &past, Some(&ahead), &Cancel::never()).expect("it boils");
    ends.and_then(|ends| ends.hearts).expect("the plan has hearts")
}

#[test]
fn an_end_is_drawn_by_the_step_that_runs_there() {
    let (prompt, late) = (kelvin_end(0.0), kelvin_end(1800.0));
    assert!(prompt.reached && late.reached);
    assert_eq!((prompt.step, late.step), (5, 4), "slowed down in time, and not");
    assert!(late.time_s + 600.0 < prompt.time_s, "{late:?} against {prompt:?}");
}
