//! A jar under 40 g/min, weighed to the gram each ten seconds, and what hands do to it.

use super::{Anew, Scale, Weighed, expected_kg_per_s};
use still::plan::TakeOff;

const RUNS_KG_PER_S: f64 = 0.040 / 60.0;

/// What is done from a moment on: what the scale shows of what ran in all, none = not read.
struct Shed {
    scale: Scale,
    ran_kg: f64,
    counted_kg: f64,
    told: Vec<Anew>,
    now_s: f64,
    every_s: f64,
}

impl Shed {
    fn new() -> Self {
        let scale = Scale::default();
        Self { scale, ran_kg: 0.0, counted_kg: 0.0, told: vec![], now_s: 0.0, every_s: 10.0 }
    }

    /// Goes on for so long; `shows` makes of what ran what stands on the scale.
    fn go(&mut self, seconds: f64, shows: impl Fn(f64) -> Option<f64>) -> &mut Self {
        let until_s = self.now_s + seconds;
        while self.now_s < until_s {
            self.now_s += self.every_s;
            self.ran_kg += RUNS_KG_PER_S * self.every_s;
            // Noise of half a gram, the same each time.
            let noise = 0.0005 * (0.7 * self.now_s).sin();
            let Some(kg) = shows(self.ran_kg) else { continue };
            let kg = ((kg + noise) * 1000.0).round() / 1000.0;
            self.scale.take(self.now_s, kg, RUNS_KG_PER_S);
            match self.scale.told(self.now_s) {
                Some(Weighed::Ran(kg)) => self.counted_kg += kg,
                Some(Weighed::Anew(why)) => self.told.push(why),
                Some(Weighed::Rests) | None => {}
            }
        }
        self
    }

    fn counts(&self, kg: f64) {
        assert!((self.counted_kg - kg).abs() < 0.004, "{} for {kg} kg", self.counted_kg);
        assert!(self.scale.speaks(self.now_s));
    }
}

/// A jar of 410 g on a scale that was not tared.
#[expect(clippy::unnecessary_wraps, reason = "a shed takes a weight or none")]
fn jar(ran_kg: f64) -> Option<f64> {
    Some(0.41 + ran_kg)
}

#[test]
fn what_runs_into_the_jar_is_weighed_and_so_is_its_rate() {
    let mut shed = Shed::new();
    shed.go(600.0, jar);
    shed.counts(0.4 - 10.0 * RUNS_KG_PER_S);
    let rate = shed.scale.rate_kg_per_s().expect("ten minutes are read");
    assert!((rate / RUNS_KG_PER_S - 1.0).abs() < 0.03, "{rate}");
    assert_eq!(shed.told, [Anew::First]);
}

#[test]
fn a_jar_that_is_swapped_begins_anew_tared_or_not() {
    for tare_kg in [0.0, 0.41] {
        let mut shed = Shed::new();
        shed.go(600.0, |ran| jar(ran).map(|kg| kg - tare_kg));
        let full = shed.counted_kg;
        shed.go(30.0, |_| Some(-tare_kg));
        assert!(!shed.scale.speaks(shed.now_s), "nothing stands there");
        let from_kg = shed.ran_kg;
        shed.go(600.0, |ran| jar(ran - from_kg).map(|kg| kg - tare_kg));
        assert_eq!(shed.told, [Anew::First, Anew::Changed], "tare {tare_kg}");
        // The first half minute of the new jar is how long it takes to stand.
        shed.counts(full + 0.4 - 30.0 * RUNS_KG_PER_S);
    }
}

#[test]
fn a_jar_that_is_swapped_between_two_readings_is_another_jar() {
    let mut shed = Shed::new();
    shed.go(600.0, jar);
    let from_kg = shed.ran_kg;
    shed.go(300.0, |ran| jar(ran - from_kg));
    assert_eq!(shed.told, [Anew::First, Anew::Changed]);
}

#[test]
fn a_jar_that_is_lifted_and_put_back_is_the_same_and_counts_on() {
    let mut shed = Shed::new();
    shed.go(600.0, jar).go(60.0, |_| Some(0.0)).go(600.0, jar);
    assert_eq!(shed.told, [Anew::First]);
    shed.counts(shed.ran_kg - 10.0 * RUNS_KG_PER_S);
}

#[test]
fn a_jar_from_which_a_glass_was_poured_is_the_same_jar() {
    let mut shed = Shed::new();
    shed.go(600.0, jar).go(40.0, |_| Some(0.0));
    shed.go(300.0, |ran| jar(ran - 0.15));
    assert_eq!(shed.told, [Anew::First, Anew::Poured]);
}

#[test]
fn a_hand_on_the_scale_changes_nothing() {
    let mut shed = Shed::new();
    shed.every_s = 1.0;
    shed.go(600.0, jar);
    let from_kg = shed.ran_kg;
    let hand = |ran: f64| jar(ran).map(|kg| kg + 0.9 * (5.0e2 * (ran - from_kg)).sin());
    shed.go(25.0, hand).go(300.0, jar);
    assert_eq!(shed.told, [Anew::First]);
    shed.counts(shed.ran_kg - RUNS_KG_PER_S);
}

#[test]
fn a_bottle_that_is_set_on_the_scale_is_no_spirit_and_may_be_taken_away_again() {
    let mut shed = Shed::new();
    shed.go(600.0, jar);
    shed.go(600.0, |ran| jar(ran).map(|kg| kg + 0.55)).go(600.0, jar);
    assert_eq!(shed.told, [Anew::First, Anew::Beside, Anew::Beside]);
    let lost = 60.0 * RUNS_KG_PER_S;
    shed.counts(shed.ran_kg - 10.0 * RUNS_KG_PER_S - lost);
}

#[test]
fn a_zero_that_is_set_is_no_other_jar() {
    let mut shed = Shed::new();
    shed.go(600.0, jar);
    let zero_kg = shed.ran_kg + 0.41;
    shed.go(300.0, |ran| jar(ran).map(|kg| kg - zero_kg));
    assert_eq!(shed.told, [Anew::First, Anew::Tared]);
    shed.go(20.0, |_| Some(-zero_kg)).go(300.0, |ran| jar(ran).map(|kg| kg - zero_kg));
    assert_eq!(shed.told, [Anew::First, Anew::Tared], "lifted and put back");
}

#[test]
fn a_scale_that_stands_still_to_the_digit_while_spirit_runs_is_frozen_after_five_minutes() {
    let mut shed = Shed::new();
    shed.go(600.0, jar);
    let stands = jar(shed.ran_kg);
    let exactly = |shed: &mut Shed, seconds: u32| {
        for _ in 0..seconds / 10 {
            shed.now_s += 10.0;
            shed.ran_kg += 10.0 * RUNS_KG_PER_S;
            shed.scale.take(shed.now_s, stands.expect("a weight"), RUNS_KG_PER_S);
        }
    };
    exactly(&mut shed, 290);
    assert!(shed.scale.speaks(shed.now_s));
    exactly(&mut shed, 20);
    assert!(!shed.scale.speaks(shed.now_s) && shed.scale.frozen_since_s().is_some());
    exactly(&mut shed, 300);
    shed.go(120.0, jar);
    assert_eq!(shed.told, [Anew::First], "it follows from before");
    shed.counts(shed.ran_kg - 10.0 * RUNS_KG_PER_S);
    let mut shut = Scale::default();
    (0..100).for_each(|at| shut.take(10.0 * f64::from(at), 0.41, 0.0));
    assert!(shut.speaks(990.0) && shut.told(990.0) == Some(Weighed::Rests), "nothing should run");
}

#[test]
fn a_scale_that_is_lost_for_ten_minutes_counts_what_ran_meanwhile_unless_the_jar_is_another() {
    let mut shed = Shed::new();
    shed.go(600.0, jar).go(600.0, |_| None);
    assert!(!shed.scale.speaks(shed.now_s));
    shed.go(120.0, jar);
    shed.counts(shed.ran_kg - 10.0 * RUNS_KG_PER_S);
    let before = shed.counted_kg;
    shed.go(600.0, |_| None);
    let from_kg = shed.ran_kg;
    shed.go(120.0, |ran| jar(ran - from_kg));
    assert_eq!(shed.told, [Anew::First, Anew::Back]);
    shed.counts(before + 120.0 * RUNS_KG_PER_S - 10.0 * RUNS_KG_PER_S);
}

#[test]
fn drift_with_a_shut_take_off_is_no_spirit_and_a_valve_that_leaks_is() {
    let ran = |kg_per_s: f64| {
        let mut scale = Scale::default();
        let told = (0..360).map(|at| {
            let time_s = 10.0 * f64::from(at);
            scale.take(time_s, 0.41 + kg_per_s * time_s, 0.0);
            match scale.told(time_s) {
                Some(Weighed::Ran(kg)) => kg,
                _ => 0.0,
            }
        });
        told.sum::<f64>()
    };
    assert_eq!(ran(0.03 / 3600.0), 0.0);
    assert!((ran(0.6 / 3600.0) - 0.6).abs() < 0.03);
}

#[test]
fn what_is_expected_goes_by_the_valve_and_never_over_the_heat() {
    let at = |take_off, heat_w| 60_000.0 * expected_kg_per_s(take_off, heat_w);
    assert_eq!(at(TakeOff::Closed, 2000.0), 0.0);
    assert!((at(TakeOff::MlPerMin(40.0), 2000.0) - 33.2).abs() < 0.1);
    assert!((at(TakeOff::MlPerMin(4000.0), 2000.0) - 100.0).abs() < 0.1);
    assert!((at(TakeOff::RefluxRatio(4.0), 2000.0) - 20.0).abs() < 0.1);
    assert!((at(TakeOff::RefluxWatts(1000.0), 2000.0) - 50.0).abs() < 0.1);
}
