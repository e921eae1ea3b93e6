//! The account of what was drawn against what jars hold.

use super::{Drawn, Source, TakeOff};

/// More than anything here draws, mL.
const CHARGE: (f64, f64) = (1e9, 1e9);

#[test]
fn prop_no_more_is_drawn_than_was_charged_but_what_jars_measured() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(20.0), (1000.0, 400.0));
    (1..=7200).for_each(|s| drawn.add(f64::from(s), 1.0, 20.0, 90.0));
    assert!((drawn.ml() - 1000.0).abs() < 1e-9 && (drawn.alcohol_ml() - 400.0).abs() < 1e-9);
    drawn.jar((0.0, 1800.0), 650.0, Some(92.0), None);
    assert!((drawn.alcohol_ml() - 0.92 * 650.0).abs() < 1e-6, "it was in the jar");
    assert!((drawn.ml() - 1000.0).abs() < 1e-9);
}

/// Seven litres of tails of 8 % vol hold 560 mL of alcohol and the charge held 545: a glass that is
/// read a quarter per cent too strong says so.
#[test]
fn jars_over_the_charge_within_the_doubt_of_the_glass_are_held_to_it() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(60.0), (10_000.0, 545.0));
    (1..=7200).for_each(|s| drawn.add(f64::from(s), 1.0, 60.0, 7.8));
    drawn.jar((0.0, 7200.0), 7000.0, Some(8.0), None);
    assert!((drawn.alcohol_ml() - 545.0).abs() < 1e-6);
    let mut over = Drawn::new(TakeOff::MlPerMin(60.0), (10_000.0, 500.0));
    (1..=7200).for_each(|s| over.add(f64::from(s), 1.0, 60.0, 7.0));
    over.jar((0.0, 7200.0), 7000.0, Some(8.0), None);
    assert!((over.alcohol_ml() - 560.0).abs() < 1e-6, "that much is no misreading");
}

/// The jug was read, the glass was not: the strength is the reckoning's, and more than the charge held.
#[test]
fn a_jar_that_was_measured_and_not_gauged_holds_no_more_alcohol_than_was_charged() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(20.0), (10_000.0, 530.0));
    (1..=1800).for_each(|s| drawn.add(f64::from(s), 1.0, 20.0, 90.0));
    drawn.jar((0.0, 1800.0), 660.0, None, None);
    assert!((drawn.alcohol_ml() - 530.0).abs() < 1e-6, "{}", drawn.alcohol_ml());
}

/// Jars that were only measured make the glass of the others no more doubtful.
#[test]
fn what_the_glass_says_clearly_is_not_hidden_by_jars_that_were_only_measured() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(60.0), (60_000.0, 500.0));
    (1..=7200).for_each(|s| drawn.add(f64::from(s), 1.0, 60.0, 7.0));
    drawn.jar((0.0, 3600.0), 650.0, Some(92.0), None);
    assert!((drawn.alcohol_ml() - 598.0).abs() < 1e-6, "{}", drawn.alcohol_ml());
    drawn.jar((3600.0, 7200.0), 20_000.0, None, None);
    assert!((drawn.alcohol_ml() - 598.0).abs() < 1e-6, "{}", drawn.alcohol_ml());
}

fn hour(rate: f64) -> Drawn {
    let mut drawn = Drawn::new(TakeOff::Closed, CHARGE);
    drawn.change(0.0, TakeOff::MlPerMin(rate), Source::Set);
    for second in 1..=3600 {
        drawn.add(f64::from(second), 1.0, rate, 90.0);
    }
    drawn
}

#[test]
fn prop_a_measured_jar_takes_the_place_of_its_reckoning() {
    let mut drawn = hour(20.0);
    assert!((drawn.ml() - 1200.0).abs() < 1e-6);
    let wide = drawn.band_ml();
    let share = drawn.jar((1.0, 1801.0), 660.0, Some(92.0), None);
    assert!((drawn.ml() - 1260.0).abs() < 0.1);
    assert!((drawn.alcohol_ml() - (660.0 * 0.92 + 540.0)).abs() < 0.1);
    assert!((drawn.valve() - 1.05).abs() < 1e-3 && drawn.band_ml() < wide);
    drawn.jar((1.0, 1801.0), 600.0, Some(90.0), Some(share));
    assert!((drawn.ml() - 1200.0).abs() < 0.1 && (drawn.alcohol_ml() - 1080.0).abs() < 0.1);
}

#[test]
fn a_jar_of_the_step_before_does_not_count_in_this_one() {
    let mut drawn = hour(20.0);
    drawn.step_begins(3600.0, true);
    drawn.jar((1.0, 3601.0), 1300.0, None, None);
    assert!(drawn.step_ml() < 0.1 && drawn.hearts_ml().unwrap().0 < 0.1);
    assert!((drawn.ml() - 1300.0).abs() < 0.1);
}

#[test]
fn tails_are_no_hearts_and_the_last_jar_of_hearts_still_counts_as_such() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(20.0), CHARGE);
    let run = |drawn: &mut Drawn, from: u32, strength: f64| {
        (from + 1..=from + 1800).for_each(|s| drawn.add(f64::from(s), 1.0, 20.0, strength));
    };
    drawn.step_begins(0.0, true);
    run(&mut drawn, 0, 94.0);
    drawn.step_begins(1800.0, false);
    drawn.jar((1.0, 1801.0), 620.0, Some(93.0), None);
    run(&mut drawn, 1800, 60.0);
    drawn.jar((1801.0, 3601.0), 500.0, Some(50.0), None);
    let (ml, alcohol_ml) = drawn.hearts_ml().unwrap();
    assert!((ml - 620.0).abs() < 0.1 && (alcohol_ml - 0.93 * 620.0).abs() < 0.1);
    drawn.step_begins(3600.0, true);
    run(&mut drawn, 3600, 90.0);
    assert!((drawn.hearts_ml().unwrap().0 - 1220.0).abs() < 0.1);
}

#[test]
fn what_jars_end_to_end_hold_is_all_that_was_drawn_also_where_the_take_off_changed() {
    let mut drawn = Drawn::new(TakeOff::Closed, CHARGE);
    let rate = |second: u32| match second {
        0..=3235 => 0.0,
        3236..=3734 => 5.0,
        3735..=4501 => 12.0,
        _ => 22.0,
    };
    let mut in_jars = 0.0;
    for second in 1..=4600 {
        // A jar is changed before the second in which it happens is over.
        match second {
            3735 => in_jars += drawn.between(3236.0, 3735.0).0,
            4502 => in_jars += drawn.between(3735.0, 4502.0).0,
            _ => {}
        }
        drawn.add(f64::from(second), 1.0, rate(second), 90.0);
    }
    in_jars += drawn.since(4502.0).0;
    assert!((in_jars - drawn.ml()).abs() < 1e-6, "{in_jars} mL of {} mL", drawn.ml());
}

#[test]
fn prop_memory_is_bounded() {
    let mut drawn = Drawn::new(TakeOff::MlPerMin(10.0), CHARGE);
    for step in 0..200_000 {
        drawn.add(f64::from(step) * 10.0, 10.0, 10.0, 90.0);
    }
    assert!(drawn.course.len() <= super::COURSE_MAX);
    let (ml, _) = drawn.between(1_000_000.0, 1_600_000.0);
    assert!((ml - 100_000.0).abs() < 100.0, "{ml}");
}
