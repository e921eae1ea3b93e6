//! Scores against an independent scorer, laws of the scores, tables of faults.

use proptest::prelude::*;

use super::{
    FaultTable, Forecast, Other, Scored, Standing, Truth, checks, compare, crps, gain_checks,
    naive_strength_vol, place, places, summaries, trait_marks, worst, worst_runs,
};
use estimate::{Belief, Character, Trait};
use quantities::Band;
use sense::RecordedRun;
use sense::{Probe, Reading};

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9 * expected.abs().max(1.0), "{found} is not {expected}");
}

fn truth(
    start: f64,
    end: f64,
    litres: f64,
    family: &str,
    fault: &str,
    track: &[[f64; 2]],
) -> Truth {
    Truth {
        hearts_start_s: start,
        end_of_hearts_s: end,
        hearts_l_20c: litres,
        family: Some(family.to_owned()),
        sensors: Some("head".to_owned()),
        fault: Some(fault.to_owned()),
        fault_start_s: None,
        column_fault: None,
        strength_track: track.to_vec(),
        charge_strength_vol: None,
        stages: None,
        efficiency: None,
        holdup_litres: None,
        head_offset_k: None,
        pot_offset_k: None,
    }
}

fn forecast(
    run: &str,
    end: [f64; 5],
    litres: [f64; 5],
    strength: [f64; 3],
    made_at_s: f64,
) -> Forecast {
    Forecast {
        run: run.to_owned(),
        at_fraction: 0.25,
        made_at_s,
        end: Band::from_array(end),
        litres: Band::from_array(litres),
        strength_now: Some(strength[0]),
        strength_80: Some([strength[1], strength[2]]),
        charge_strength_vol: None,
        charge_litres: None,
        fault: Some("none".to_owned()),
        drawn_l: None,
        naive_strength_vol: None,
        untrusted: Vec::new(),
    }
}

/// Three runs of two families, one with a fault.
fn three() -> Vec<Scored> {
    let runs = [
        (
            truth(1000.0, 2000.0, 2.0, "pot", "none", &[[900.0, 70.0], [2100.0, 58.0]]),
            forecast(
                "001",
                [1900.0, 1950.0, 2010.0, 2050.0, 2100.0],
                [1.8, 1.9, 2.1, 2.2, 2.3],
                [65.0, 64.0, 67.0],
                1250.0,
            ),
        ),
        (
            truth(
                5000.0,
                9000.0,
                5.0,
                "col_weak",
                "drift",
                &[[4000.0, 95.0], [6000.0, 94.5], [9100.0, 91.0]],
            ),
            forecast(
                "002",
                [6500.0, 7000.0, 7600.0, 8100.0, 8500.0],
                [2.5, 3.5, 4.2, 4.6, 4.9],
                [94.8, 94.6, 95.0],
                6000.0,
            ),
        ),
        (
            truth(3000.0, 12_000.0, 9.0, "pot", "none", &[[2000.0, 80.0], [13_000.0, 55.0]]),
            forecast(
                "003",
                [9000.0, 10_000.0, 11_800.0, 13_000.0, 16_000.0],
                [7.0, 8.0, 9.3, 9.9, 10.5],
                [72.9, 72.0, 74.0],
                5250.0,
            ),
        ),
    ];
    let standing = |run: &str| Standing { unit: run.to_owned(), series_run: None };
    runs.iter()
        .map(|(truth, forecast)| Scored::new(forecast, truth, &standing(&forecast.run)))
        .collect()
}

#[test]
fn xval_crps_of_five_quantiles() {
    // Computed with the scoring script that comes with the recordings (Python, its own normal
    // distribution), 2026-11.
    for (five, observed, expected) in [
        ([1.0, 2.0, 4.0, 7.0, 9.0], 5.5, 0.8280683883265043),
        ([1.0, 2.0, 4.0, 7.0, 9.0], 12.0, 6.534011619601018),
        ([100.0, 130.0, 150.0, 180.0, 260.0], 90.0, 50.162484836380266),
        ([3.0; 5], 5.0, 2.0),
        ([-1.0, 0.0, 0.5, 0.5, 2.0], 0.5, 0.05402289942982292),
    ] {
        close(crps(&Band::from_array(five), observed), expected);
    }
}

#[test]
fn val_crps_of_a_standard_normal() {
    // Gneiting and Raftery 2007, Strictly proper scoring rules, eq. 21: at the centre
    // 2 phi(0) - 1/sqrt(pi). The grid leaves out the outermost 1/800 on each side.
    let normal = Band::from_array([-1.959_964, -1.281_552, 0.0, 1.281_552, 1.959_964]);
    let expected = 2.0 / (2.0 * std::f64::consts::PI).sqrt() - 1.0 / std::f64::consts::PI.sqrt();
    assert!((crps(&normal, 0.0) - expected).abs() < 1e-3);
    for (z, p) in [(-1.0, 0.158_655), (0.0, 0.5), (0.5, 0.691_462), (2.5, 0.993_790)] {
        assert!((place(&normal, z) - p).abs() < 1e-5);
    }
}

#[test]
fn xval_summary_of_three_runs() {
    // As above: means, medians, percentiles and coverage of the script for the same three.
    let lines = summaries(&three());
    let line = |group: &str| {
        lines.iter().find(|line| line.group == group && line.at_fraction.is_none()).unwrap()
    };
    let (all, pot, faulty) = (line("all"), line("pot"), line("faulty"));
    close(all.end.crps, 11.216343042739771);
    close(all.litres.crps, 5.958236597725862);
    close(all.end.median_error, 2.2222222222222223);
    close(all.end.p90_error, 28.444444444444446);
    close(all.litres.p90_error, 13.8);
    close(all.end.bias, -2.2222222222222223);
    close(all.end.width_80, 23.611111111111114);
    close(all.litres.width_80, 19.370370370370374);
    close(all.end.cover_80, 2.0 / 3.0);
    close(all.strength.unwrap().median_error, 0.3);
    close(all.strength.unwrap().p90_error, 1.26);
    close(all.strength.unwrap().cover_80.unwrap(), 2.0 / 3.0);
    close(pot.end.crps, 2.171726624763688);
    close(pot.litres.crps, 2.475888141471507);
    close(pot.strength.unwrap().p90_error, 1.3786363636363645);
    close(faulty.end.crps, 29.30557587869194);
    close(faulty.litres.crps, 12.922933510234571);
    assert_eq!((faulty.count, faulty.end.cover_95), (1, 0.0));
}

#[test]
fn the_worst_is_the_one_that_misses_furthest() {
    let scored = three();
    assert_eq!(worst(&scored, 1)[0].run, "002");
    assert_eq!(worst_runs(&scored, 2), ["002", "003"]);
    // 500 s outside a band of 2000 s: half of its half-width.
    close(worst(&scored, 1)[0].end.beyond_95, 0.5);
    let far = checks(&scored)
        .into_iter()
        .find(|check| check.what.starts_with("faulty, end: share outside"))
        .unwrap();
    assert!(far.kept && far.value == 0.0);
    let narrow = checks(&scored)
        .into_iter()
        .find(|check| check.what.starts_with("faulty, end: truth in the 80"))
        .unwrap();
    assert!(!narrow.kept);
}

#[test]
fn a_forecast_twice_as_good_is_half_better_however_runs_are_drawn() {
    let theirs = three();
    let mut ours = theirs.clone();
    for one in &mut ours {
        one.end.crps *= 0.5;
        one.litres.crps *= 0.75;
    }
    let all = compare(&ours, &theirs, 7)
        .into_iter()
        .find(|line| line.group == "all" && line.moments == "all")
        .unwrap();
    for (gain, expected) in [(all.end, 50.0), (all.litres, 25.0), (all.both, 37.5)] {
        close(gain.percent, expected);
        close(gain.low, expected);
        close(gain.high, expected);
    }
    assert_eq!((all.count, all.units), (3, 3));
    let bounds = gain_checks("x", Other::Balance, &compare(&ours, &theirs, 7));
    assert!(bounds.is_empty(), "nothing was forecast at 50 or 5 % of the hearts");
    let at_half = |set: &[Scored]| {
        let mut set = set.to_vec();
        for one in &mut set {
            one.at_fraction = 0.5;
        }
        set
    };
    let bounds = gain_checks("x", Other::Balance, &compare(&at_half(&ours), &at_half(&theirs), 7));
    let kept = |what: &str| bounds.iter().find(|check| check.what.starts_with(what)).unwrap().kept;
    assert!(kept("pot, end") && !kept("pot, litres") && kept("columns, end"));
    let none = compare(&theirs, &theirs, 7);
    assert!(none.iter().all(|line| line.end.percent == 0.0));
    assert_eq!(compare(&ours, &theirs, 7), compare(&ours, &theirs, 7));
}

#[test]
fn a_series_is_drawn_as_one() {
    let mut theirs = three();
    for (at, one) in theirs.iter_mut().enumerate() {
        one.unit = "series".to_owned();
        one.series_run = Some(at + 1);
    }
    let mut ours = theirs.clone();
    ours[1].end.crps *= 0.1;
    ours[0].end.crps *= 9.0;
    // A further run beside the series: two units, four runs.
    for set in [&mut ours, &mut theirs] {
        let mut further = set[0].clone();
        (further.run, further.unit, further.series_run) = ("004".into(), "004".into(), None);
        set.push(further);
    }
    let lines = compare(&ours, &theirs, 1);
    let all = lines.iter().find(|line| line.group == "all" && line.moments == "all").unwrap();
    assert_eq!((all.count, all.units), (4, 2));
    // The first run of a series has nobody to learn from: it counts for nothing here.
    let taught = lines.iter().find(|line| line.group == "taught runs").unwrap();
    assert_eq!(taught.count, 2);
    assert!(
        taught.end.percent > 0.0 && lines.iter().any(|line| line.group == "taught runs of series")
    );
}

#[test]
fn places_fill_the_tenths() {
    let scored = three();
    let all: Vec<&Scored> = scored.iter().collect();
    let bars = places(&all, |one| &one.end);
    assert_eq!(bars.iter().sum::<usize>(), 3);
    assert_eq!(bars[9], 1, "the run that ended far later than forecast lies in the last tenth");
}

proptest! {
    #[test]
    fn prop_no_forecast_beats_the_point_that_came_true(
        five in prop::array::uniform5(-100.0_f64..100.0),
        observed in -200.0_f64..200.0,
        shift in -50.0_f64..50.0,
    ) {
        let mut five = five;
        five.sort_by(f64::total_cmp);
        let forecast = Band::from_array(five);
        let score = crps(&forecast, observed);
        prop_assert!(score >= -1e-9);
        prop_assert!(crps(&Band::point(observed), observed).abs() < 1e-12);
        // A score knows no origin.
        let moved = crps(&forecast.map(|value| value + shift), observed + shift);
        prop_assert!((moved - score).abs() < 1e-9);
        let taken = place(&forecast, observed);
        prop_assert!((0.0..=1.0).contains(&taken));
        prop_assert!(place(&forecast, observed + 1.0) >= taken);
    }
}

/// Five forecasts of one run that say these faults in turn.
fn saying(faults: [&str; 5]) -> Vec<Forecast> {
    let say = |(at, fault): (usize, &&str)| Forecast {
        at_fraction: super::FRACTIONS[at],
        made_at_s: 1000.0 * (at + 1) as f64,
        fault: Some((*fault).to_owned()),
        ..forecast("005", [1.0; 5], [1.0; 5], [90.0; 3], 0.0)
    };
    faults.iter().enumerate().map(say).collect()
}

#[test]
fn a_fault_counts_as_named_from_when_it_is_named_for_good() {
    let mut drift = truth(0.0, 6000.0, 1.0, "pot", "drift", &[]);
    drift.fault_start_s = Some(1500.0);
    let mut table = FaultTable::default();
    table.add(
        &saying(["drift:head_c", "none", "spikes:head_c", "drift:head_c", "drift:head_c"]),
        &drift,
    );
    table.add(&saying(["none", "drift:head_c", "none", "none", "none"]), &drift);
    let [named, lost] = &table.faulty[..] else { panic!("two runs with a fault") };
    assert_eq!((named.named_from, named.delay_s), (Some(0.75), Some(2500.0)));
    assert_eq!(named.named, "drift:head_c");
    assert_eq!((lost.named_from, lost.named.as_str()), (None, "none"));
    assert_eq!(table.met(), 1);

    let mut distrusting = saying(["none"; 5]);
    distrusting[2].untrusted = vec!["end".to_owned()];
    table.add(&distrusting, &drift);
    assert_eq!((table.faulty[2].distrusted_from, table.met()), (Some(0.5), 2));

    let healthy = truth(0.0, 6000.0, 1.0, "pot", "none", &[]);
    table.add(&saying(["none"; 5]), &healthy);
    table.add(&saying(["none", "spikes:head_c", "none", "none", "none"]), &healthy);
    assert_eq!((table.healthy_runs, table.accused.len(), table.accused[0].moments), (2, 1, 1));
    assert!(table.doubted.is_empty(), "nobody doubted a healthy run");
}

#[test]
fn a_healthy_run_with_an_answer_not_trusted_is_doubted_and_not_accused() {
    let healthy = truth(0.0, 6000.0, 1.0, "pot", "none", &[]);
    let answers = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<Vec<_>>();
    let mut forecasts = saying(["none", "none", "spikes:head_c", "none", "none"]);
    // At the third moment the fault is named: that is the accusation, and no doubt beside it.
    for (at, names) in [(0, &["strength"][..]), (2, &["end"]), (4, &["litres", "strength"])] {
        forecasts[at].untrusted = answers(names);
    }
    let mut table = FaultTable::default();
    table.add(&forecasts, &healthy);
    let [doubted] = &table.doubted[..] else { panic!("one run is doubted") };
    assert_eq!((doubted.moments, &doubted.of), (2, &answers(&["litres", "strength"])));
    assert_eq!((table.accused.len(), table.accused[0].moments), (1, 1));
    // A run with a fault that is distrusted is met, neither accused nor doubted.
    forecasts[2].fault = Some("none".to_owned());
    table.add(&forecasts, &truth(0.0, 6000.0, 1.0, "pot", "drift", &[]));
    assert_eq!((table.doubted.len(), table.accused.len(), table.met()), (1, 1, 1));
}

#[test]
fn learned_traits_stand_beside_the_truth_of_what_is_stated() {
    let text = include_str!("../../../examples/hollowbank/perry/run.toml");
    let plan: still::plan::RunPlan = toml::from_str(text).unwrap();
    let mut real = truth(0.0, 6000.0, 1.0, "col_weak", "none", &[]);
    (real.stages, real.efficiency, real.head_offset_k) = (Some(12.0), Some(0.75), Some(0.2));
    let belief = |of, mean, sd| Belief { of, mean, sd };
    let beliefs = vec![
        belief(Trait::Separation, 0.0, 0.1),
        belief(Trait::HeadOffset, 0.1, 0.05),
        belief(Trait::Valve, 0.1, 0.1),
    ];
    let marks = trait_marks("1", &plan, &real, &Character { beliefs, history: Vec::new() });
    // Ten stages are stated, nine stages' worth are there; nobody knows the valve's truth.
    assert_eq!(
        marks.iter().map(|mark| mark.of).collect::<Vec<_>>(),
        [Trait::Separation, Trait::HeadOffset]
    );
    close(marks[0].truth, 0.9_f64.ln());
    close(marks[1].off_sd, -2.0);
}

#[test]
fn val_a_raw_probe_reads_the_strength_of_its_vapour() {
    let text = include_str!("../../../examples/hollowbank/perry/run.toml");
    let mut plan: still::plan::RunPlan = toml::from_str(text).unwrap();
    plan.site.pressure_hpa = 1013.25;
    let at = |head_c: f64| {
        let reading = Reading::default().with(Probe::Head, head_c);
        let rows = RecordedRun { readings: vec![(0.0, reading)], ..RecordedRun::default() };
        naive_strength_vol(&plan, &rows)
    };
    // Boiling temperature and vapour of ethanol and water at one atmosphere: Carey and Lewis 1932,
    // as Perry's Chemical Engineers' Handbook prints it (from memory). Their vapours scatter by
    // 0.02 about later measurements: 2 % vol where the vapour is weak.
    for (celsius, vapour) in [(79.8, 0.6564), (82.3, 0.5580), (84.1, 0.5089), (89.0, 0.3891)] {
        let expected = alcoholometry::kernel::strength_percent_20c(vapour, 1.0 - vapour);
        let found = at(celsius).unwrap();
        assert!((found - expected).abs() < 2.5, "{celsius}: {found} is not {expected}");
    }
    // Colder than any such vapour: no strength beyond the azeotrope's.
    assert_eq!(at(77.0), at(77.5));
    assert!(at(90.0).unwrap() < at(85.0).unwrap() && at(85.0).unwrap() < at(79.0).unwrap());
    assert_eq!((at(20.0), at(120.0)), (None, None));
}
