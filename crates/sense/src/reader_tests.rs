//! The reader, row by row: what is refused, what is doubtful, what is believed.

use super::{Context, Probe, Quality, Reader, Reading, Reason};

/// Hearts of a column at 1800 W, vapour since 1000 s.
const HEARTS: Context = Context {
    heat_w: 1800.0,
    said_w: 1800.0,
    vapour_s: Some(1000.0),
    boils: true,
    head_never_hot: false,
    pot: false,
    runs_kg_per_s: 0.0,
    heat_most_w: 0.0,
};

fn head(celsius: f64) -> Reading {
    Reading::default().with(Probe::Head, celsius)
}

fn believed(reader: &mut Reader, time_s: f64, celsius: f64) -> Option<f64> {
    reader.take(time_s, &head(celsius), &HEARTS).get(Probe::Head)
}

#[test]
fn sentinels_and_nonsense_do_not_pass() {
    let mut reader = Reader::default();
    for step in 0..10 {
        assert!(believed(&mut reader, f64::from(step) * 10.0, 78.0).is_some());
    }
    for (time_s, bad) in [(100.0, 85.0), (110.0, -127.0), (120.0, f64::NAN), (130.0, 500.0)] {
        assert_eq!(believed(&mut reader, time_s, bad), None, "{bad}");
    }
    let head = reader.of(Probe::Head);
    assert_eq!(head.faults_since(0.0), (4, Some(Reason::OutOfRange(500.0))));
    assert!(head.impossible_now(131.0));
    let seen = reader.channel(Probe::Head, 131.0, &HEARTS);
    assert_eq!((seen.value, seen.quality), (None, Quality::Bad(Reason::OutOfRange(500.0))));
}

#[test]
fn eighty_five_on_the_way_up_is_a_temperature() {
    let mut reader = Reader::default();
    believed(&mut reader, 0.0, 84.5);
    assert_eq!(believed(&mut reader, 10.0, 85.0), Some(85.0));
}

#[test]
fn a_spike_is_dropped_and_a_lasting_jump_is_believed_at_its_third_reading() {
    let mut reader = Reader::default();
    believed(&mut reader, 0.0, 78.0);
    assert_eq!(believed(&mut reader, 10.0, 95.0), None);
    let seen = reader.channel(Probe::Head, 10.0, &HEARTS);
    assert_eq!((seen.value, seen.quality), (Some(78.0), Quality::Doubtful(Reason::Jump(95.0))));
    assert_eq!(believed(&mut reader, 20.0, 78.1), Some(78.1));
    assert_eq!(reader.of(Probe::Head).faults_since(0.0), (1, Some(Reason::Spike(95.0))));
    let taken: Vec<_> = (3..7).map(|i| believed(&mut reader, f64::from(i) * 10.0, 95.0)).collect();
    assert_eq!(taken, [None, None, Some(95.0), Some(95.0)]);
}

#[test]
fn the_first_vapour_at_a_quick_probe_is_believed_row_by_row() {
    // A lag of 20 s, a row every 30 s, vapour of 83 °C that cools as the light heads go.
    let mut reader = Reader::default();
    for (row, celsius) in [20.0, 21.0, 52.1, 74.6, 82.1, 82.6, 80.8, 79.6].into_iter().enumerate() {
        assert_eq!(believed(&mut reader, 30.0 * row as f64, celsius), Some(celsius));
    }
    // On the plateau it is as strict as ever.
    assert_eq!(believed(&mut reader, 270.0, 79.4), Some(79.4));
    assert_eq!(believed(&mut reader, 300.0, 92.0), None);
    assert_eq!(reader.of(Probe::Head).faults_since(0.0).0, 0);
}

#[test]
fn three_missed_readings_are_stale_and_typed_ones_last_ten_minutes() {
    let mut reader = Reader::default();
    for step in 0..5 {
        believed(&mut reader, f64::from(step) * 10.0, 78.0);
    }
    assert_eq!(reader.fresh(Probe::Head, 69.0), Some(78.0));
    assert!(!reader.of(Probe::Head).stale(70.0) && reader.of(Probe::Head).stale(71.0));
    assert_eq!(reader.fresh(Probe::Head, 71.0), None);
    let stale = reader.channel(Probe::Head, 71.0, &HEARTS).quality;
    assert_eq!(stale, Quality::Bad(Reason::Stale));
    let mut typed = Reader::default();
    for step in 0..5 {
        believed(&mut typed, f64::from(step) * 200.0, 78.0);
    }
    assert!(typed.of(Probe::Head).typed() && !typed.of(Probe::Head).stale(1300.0));
}

#[test]
fn a_gap_of_25_minutes_with_an_equal_digit_on_both_sides_is_no_stuck_thermometer() {
    let mut reader = Reader::default();
    let mut now_s = 2000.0;
    for _ in 0..60 {
        believed(&mut reader, now_s, 78.0);
        now_s += 10.0;
    }
    now_s += 1500.0;
    for _ in 0..60 {
        assert_eq!(believed(&mut reader, now_s, 78.0), Some(78.0));
        assert_eq!(reader.channel(Probe::Head, now_s, &HEARTS).quality, Quality::Good);
        now_s += 10.0;
    }
    assert!((reader.of(Probe::Head).same_for_s() - 1180.0).abs() < 1.0, "the gap does not count");
}

#[test]
fn a_thermometer_that_truly_stands_still_is_frozen_and_few_equal_readings_are_not() {
    let mut reader = Reader::default();
    let quality = |reader: &Reader, now_s| reader.channel(Probe::Head, now_s, &HEARTS).quality;
    let mut now_s = 2000.0;
    while now_s <= 4090.0 {
        believed(&mut reader, now_s, 78.0);
        assert_eq!(quality(&reader, now_s), Quality::Good);
        now_s += 10.0;
    }
    believed(&mut reader, now_s, 78.0);
    assert_eq!(quality(&reader, now_s), Quality::Doubtful(Reason::Frozen));
    let pot = Context { pot: true, ..HEARTS };
    let mut seldom = Reader::default();
    for row in 0..24 {
        believed(&mut seldom, 2000.0 + 85.0 * f64::from(row), 78.0);
    }
    assert!(!seldom.of(Probe::Head).frozen(3955.0, &pot), "24 rows over 33 min");
}

#[test]
fn a_head_that_reads_ambient_under_heat_came_off_and_its_value_is_not_used() {
    let mut reader = Reader::default();
    let mut now_s = 2000.0;
    for _ in 0..30 {
        believed(&mut reader, now_s, 78.0);
        now_s += 10.0;
    }
    let mut lag_c = 78.0;
    for _ in 0..60 {
        lag_c = 18.0 + 0.8 * (lag_c - 18.0);
        believed(&mut reader, now_s, lag_c);
        now_s += 10.0;
    }
    let seen = reader.channel(Probe::Head, now_s, &HEARTS);
    assert!(matches!(seen.quality, Quality::Bad(Reason::CameOff(_))), "{seen:?}");
    assert_eq!((seen.value, reader.fresh(Probe::Head, now_s)), (None, None));
    let off = Context { heat_w: 0.0, ..HEARTS };
    reader.take(now_s, &head(18.0), &off);
    assert_eq!(reader.fresh(Probe::Head, now_s), None, "heat off is no cool-down yet");
}

#[test]
fn a_head_that_falls_while_heat_is_off_is_believed() {
    let mut reader = Reader::default();
    let row = |c: f64, w: f64| head(c).with(Probe::Heater, w);
    for step in 0..30 {
        reader.take(2000.0 + 10.0 * f64::from(step), &row(78.0, 1800.0), &HEARTS);
    }
    let mut celsius = 78.0;
    for step in 30..200 {
        celsius = 18.0 + 0.99 * (celsius - 18.0);
        let good = reader.take(2000.0 + 10.0 * f64::from(step), &row(celsius, 0.0), &HEARTS);
        assert_eq!(good.get(Probe::Head), Some(celsius));
    }
}

#[test]
fn head_and_pot_under_each_others_name_are_doubtful() {
    let mut reader = Reader::default();
    for step in 0..30 {
        let wobble = f64::from(step % 2) / 16.0;
        let row = head(94.0 + wobble).with(Probe::Pot, 78.0 + wobble);
        reader.take(2000.0 + 10.0 * f64::from(step), &row, &HEARTS);
    }
    for (probe, other) in [(Probe::Head, Probe::Pot), (Probe::Pot, Probe::Head)] {
        let quality = reader.channel(probe, 2290.0, &HEARTS).quality;
        assert_eq!(quality, Quality::Doubtful(Reason::Swapped(other)));
    }
}

#[test]
fn coolant_ends_and_head_and_vent_under_each_others_name_are_doubtful() {
    let noise = |step: i32| f64::from(step % 3) / 16.0;
    let (mut coolant, mut vent, mut sound) =
        (Reader::default(), Reader::default(), Reader::default());
    let cold = Context { head_never_hot: true, ..HEARTS };
    for step in 0..30 {
        let (time_s, noise) = (2000.0 + 10.0 * f64::from(step), noise(step));
        let ends = |inlet: f64, outlet: f64| {
            Reading::default().with(Probe::CoolantIn, inlet).with(Probe::CoolantOut, outlet)
        };
        coolant.take(time_s, &ends(38.0 + noise, 12.0 + noise), &HEARTS);
        vent.take(time_s, &head(19.0 + noise).with(Probe::Vent, 78.0 + noise), &cold);
        let row = ends(12.0 + noise, 38.0 + noise).with(Probe::Vent, 19.0 + noise);
        sound.take(time_s, &row.with(Probe::Head, 78.0 + noise), &HEARTS);
    }
    let reason = |reader: &Reader, probe| reader.channel(probe, 2290.0, &HEARTS).quality.reason();
    let swapped = |with| Some(Reason::Swapped(with));
    assert_eq!(reason(&coolant, Probe::CoolantIn), swapped(Probe::CoolantOut));
    assert_eq!(reason(&coolant, Probe::CoolantOut), swapped(Probe::CoolantIn));
    assert_eq!(reason(&vent, Probe::Vent), swapped(Probe::Head));
    assert_eq!(reason(&vent, Probe::Head), swapped(Probe::Vent));
    assert!(vent.fresh(Probe::Vent, 2290.0).is_some(), "its alarm still sees it");
    for probe in [Probe::CoolantIn, Probe::CoolantOut, Probe::Vent, Probe::Head] {
        assert_eq!(reason(&sound, probe), None);
    }
}

#[test]
fn a_head_that_steps_by_a_kelvin_and_a_pot_that_stands_on_85_are_told() {
    let (mut stepped, mut pot) = (Reader::default(), Reader::default());
    for step in 0..60 {
        let (time_s, noise) = (2000.0 + 10.0 * f64::from(step), f64::from(step % 3) / 16.0);
        let celsius = if step < 40 { 78.0 } else { 77.0 };
        assert!(believed(&mut stepped, time_s, celsius + noise).is_some());
        let pot_c = if step < 40 { 84.0 + 0.025 * f64::from(step) + noise / 8.0 } else { 85.0 };
        pot.take(time_s, &Reading::default().with(Probe::Pot, pot_c), &HEARTS);
    }
    let quality = stepped.channel(Probe::Head, 2590.0, &HEARTS).quality;
    assert!(matches!(quality, Quality::Doubtful(Reason::Stepped(by_k)) if by_k < -0.9));
    let quality = pot.channel(Probe::Pot, 2590.0, &HEARTS).quality;
    assert_eq!(quality, Quality::Bad(Reason::Sentinel(85.0)));
}

#[test]
fn a_meter_that_counts_in_another_unit_is_not_reckoned_with() {
    let context = Context { heat_most_w: 14_000.0, ..HEARTS };
    let watts = |watts: f64| Reading::default().with(Probe::Heater, watts);
    let mut reader = Reader::default();
    assert_eq!(reader.take(0.0, &watts(3600.0), &context).get(Probe::Heater), Some(3600.0));
    assert_eq!(reader.take(10.0, &watts(18_000.0), &context).get(Probe::Heater), None);
    let seen = reader.channel(Probe::Heater, 11.0, &context);
    assert_eq!(seen.quality, Quality::Bad(Reason::OutOfRange(18_000.0)));
}

#[test]
fn a_jump_from_a_flat_stretch_is_shown_and_doubted_until_it_comes_back() {
    let mut reader = Reader::default();
    let mut now_s = 2000.0;
    let mut after = |celsius: f64, times: usize| {
        for _ in 0..times {
            now_s += 10.0;
            let _ = believed(&mut reader, now_s, celsius);
        }
        (
            reader.channel(Probe::Head, now_s, &HEARTS).quality,
            reader.of(Probe::Head).left_its_level(),
        )
    };
    assert_eq!(after(78.0, 10), (Quality::Good, false));
    assert_eq!(after(95.0, 3), (Quality::Doubtful(Reason::Jump(95.0)), true));
    assert_eq!(after(95.0, 10), (Quality::Doubtful(Reason::Jump(95.0)), true));
    assert_eq!(after(78.0, 3), (Quality::Good, false));
}
