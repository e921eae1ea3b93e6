//! The desk: who speaks, when the next falls in and the first comes back, what is handed on.

use std::path::Path;

use feeds::{Desk, Row, Say, Standing, Told, Unread, parse};
use sense::{Probe, Reading};

const HEAD: usize = 0;
const BOX: usize = 1;

/// A head thermometer read with an offset, and a box that reads head and pot.
fn desk() -> Desk {
    let text = r#"
format = 1
[[still]]
name = "Shed"
[[still.source]]
name = "head"
kind = "one_wire"
path = "a"
[[still.source.value]]
channel = "head_c"
offset = 0.5
[[still.source]]
name = "box"
kind = "serial"
path = "b"
lines = "commas"
[[still.source.value]]
channel = "head_c"
place = 1
unit = "F"
[[still.source.value]]
channel = "pot_c"
place = 2
"#;
    let feeds = parse(text, Path::new("feeds.toml")).expect("sound");
    Desk::new(feeds.stills[0].clone())
}

/// What a source says as it is read.
fn hear(desk: &mut Desk, source: usize, at_s: impl Into<f64>, told: &Told) {
    let at_s = at_s.into();
    desk.hear(source, (at_s, at_s), told);
}

fn both(desk: &mut Desk, from_s: u32, to_s: u32) {
    for second in (from_s..to_s).step_by(2) {
        hear(desk, HEAD, second, &Ok(vec![Ok(78.0)]));
        hear(desk, BOX, second, &Ok(vec![Ok(212.0), Ok(91.0)]));
    }
}

fn say(desk: &Desk, source: usize, probe: Probe, now_s: f64) -> Say {
    let mut says = desk.says(now_s).into_iter();
    says.find(|say| say.source == source && say.probe == probe.into()).expect("it is read")
}

#[test]
fn the_first_that_is_fresh_speaks_and_the_raw_value_stays() {
    let mut desk = desk();
    both(&mut desk, 0, 20);
    assert_eq!(desk.speaks(Probe::Head.into(), 20.0), Some(HEAD));
    assert_eq!(desk.speaks(Probe::Pot.into(), 20.0), Some(BOX));
    let first = say(&desk, HEAD, Probe::Head, 20.0);
    assert_eq!(first.standing, Standing::Good);
    assert_eq!((first.raw, first.value, first.age_s), (Some(78.0), Some(78.5), Some(2.0)));
    assert_eq!((first.every_s, first.speaks, first.why), (Some(2.0), true, None));
    let other = say(&desk, BOX, Probe::Head, 20.0);
    assert_eq!((other.raw, other.raw_unit, other.value), (Some(212.0), "F", Some(100.0)));
    assert_eq!(other.why.as_deref(), Some("\"head\" stands before it"));
}

#[test]
fn the_next_falls_in_when_the_first_is_stale_and_goes_when_it_is_back() {
    let mut desk = desk();
    both(&mut desk, 0, 20);
    let mut fell_in_s = None;
    for second in (20_u32..40).step_by(2) {
        hear(&mut desk, BOX, second, &Ok(vec![Ok(212.0), Ok(91.0)]));
        if desk.speaks(Probe::Head.into(), second.into()) == Some(BOX) {
            fell_in_s.get_or_insert(second);
        }
    }
    // Ten seconds after the last reading at 18 s are not too old yet, by the one reader's rule.
    assert_eq!(fell_in_s, Some(30));
    assert_eq!(say(&desk, HEAD, Probe::Head, 40.0).standing, Standing::Stale);
    let why = say(&desk, HEAD, Probe::Head, 40.0).why.expect("a reason");
    assert!(why.contains("is not read any more") && why.contains("22 s"), "{why}");
    hear(&mut desk, HEAD, 41.0, &Ok(vec![Ok(78.1)]));
    assert_eq!(desk.speaks(Probe::Head.into(), 41.0), Some(HEAD));
}

#[test]
fn a_sentinel_behind_an_offset_is_told_and_speaks_only_where_nobody_else_does() {
    let mut desk = desk();
    both(&mut desk, 0, 20);
    for second in (20_u32..40).step_by(2) {
        hear(&mut desk, HEAD, second, &Ok(vec![Ok(-127.0)]));
        hear(&mut desk, BOX, second, &Ok(vec![Ok(212.0), Ok(91.0)]));
    }
    assert_eq!(say(&desk, HEAD, Probe::Head, 38.0).standing, Standing::Bad);
    let why = say(&desk, HEAD, Probe::Head, 38.0).why.expect("a reason");
    assert!(why.contains("sent -127, the sign of a broken probe"), "{why}");
    assert_eq!(desk.speaks(Probe::Head.into(), 38.0), Some(BOX));
    for second in (40_u32..60).step_by(2) {
        hear(&mut desk, HEAD, second, &Ok(vec![Ok(-127.0)]));
    }
    assert_eq!(
        desk.speaks(Probe::Head.into(), 58.0),
        Some(HEAD),
        "so that the run can say what is wrong"
    );
}

#[test]
fn a_pot_that_passes_the_sentinel_is_a_temperature() {
    let mut desk = desk();
    for (second, pot_c) in [(0.0, 84.0), (2.0, 84.6), (4.0, 85.0)] {
        hear(&mut desk, BOX, second, &Ok(vec![Ok(170.0), Ok(pot_c)]));
    }
    assert_eq!(say(&desk, BOX, Probe::Pot, 4.0).why, None);
    hear(&mut desk, BOX, 6.0, &Ok(vec![Ok(185.0), Ok(85.2)]));
    let why = say(&desk, BOX, Probe::Head, 6.0).why.expect("185 F out of the blue");
    assert!(why.contains("sent 85"), "{why}");
}

fn cells(rows: &[Row]) -> Vec<(f64, Reading)> {
    rows.iter().map(|row| (row.at_s, row.reading())).collect()
}

#[test]
fn every_reading_of_the_speaker_is_handed_on_once_and_in_order() {
    let mut desk = desk();
    assert!(desk.take(0.0).is_empty());
    assert_eq!(say(&desk, HEAD, Probe::Head, 0.0).standing, Standing::Absent);
    both(&mut desk, 0, 4);
    let row = Reading::default().with(Probe::Head, 78.5).with(Probe::Pot, 91.0);
    let rows = desk.take(3.0);
    assert_eq!(cells(&rows), [(0.0, row), (2.0, row)], "the thermometer's head, the box's pot");
    assert!(desk.take(3.0).is_empty());
    desk.take_back(rows.clone());
    hear(&mut desk, HEAD, 4.0, &Ok(vec![Ok(78.25)]));
    let head = Reading::default().with(Probe::Head, 78.75);
    assert_eq!(cells(&desk.take(4.0)), [(0.0, row), (2.0, row), (4.0, head)]);
    // One of an earlier time that comes later has its place, and none comes twice.
    hear(&mut desk, HEAD, 6.0, &Ok(vec![Ok(78.0)]));
    desk.hear(BOX, (5.0, 6.0), &Ok(vec![Ok(200.0), Ok(92.0)]));
    hear(&mut desk, HEAD, 6.0, &Ok(vec![Ok(79.0)]));
    let pot = Reading::default().with(Probe::Pot, 92.0);
    let head = Reading::default().with(Probe::Head, 78.5);
    assert_eq!(cells(&desk.take(6.0)), [(5.0, pot), (6.0, head)]);
    hear(&mut desk, HEAD, 7.0, &Ok(vec![Ok(78.0)]));
    assert!(desk.take(70.0).is_empty(), "nobody took it for a minute");
}

#[test]
fn ten_readings_a_second_are_ten_rows_until_the_run_has_many() {
    let mut desk = desk();
    let ten = |desk: &mut Desk, from_s: f64| {
        for tenth in 0..10 {
            hear(desk, HEAD, from_s + f64::from(tenth) / 10.0, &Ok(vec![Ok(78.0)]));
        }
        desk.take(from_s + 1.0).len()
    };
    assert_eq!((ten(&mut desk, 0.0), desk.row_gap_s()), (10, 0.0));
    desk.run_has(200_001);
    assert_eq!((ten(&mut desk, 1.0), desk.row_gap_s()), (1, 1.0));
}

#[test]
fn a_source_that_did_not_change_is_known_as_before() {
    let mut desk = desk();
    both(&mut desk, 0, 20);
    let mut still = desk.still().clone();
    still.sources[BOX].values[0].offset = 1.0;
    let mut desk = desk.clone().changed_to(still);
    assert_eq!(say(&desk, HEAD, Probe::Head, 20.0).value, Some(78.5));
    assert_eq!(say(&desk, BOX, Probe::Pot, 20.0).value, None);
    assert_eq!(desk.take(20.0).len(), 10, "what waits waits on");
}

#[test]
fn what_cannot_be_read_or_kept_is_told_and_not_handed_on() {
    let mut desk = desk();
    hear(&mut desk, HEAD, 0.0, &Err(Unread::Checksum));
    hear(&mut desk, BOX, 0.0, &Ok(vec![Err(Unread::NotFinite("nan".into())), Ok(9999.0)]));
    let why = |source, probe| say(&desk, source, probe, 0.0).why.expect("a reason");
    assert!(why(HEAD, Probe::Head).contains("CRC NO"));
    assert!(why(BOX, Probe::Head).contains("no finite number"));
    assert!(why(BOX, Probe::Pot).contains("must lie from -273.15 to 1500"));
    assert!(desk.take(0.0).is_empty());
    desk.trouble(BOX, "is not there");
    assert_eq!(say(&desk, BOX, Probe::Pot, 0.0).why.as_deref(), Some("is not there"));
    assert_eq!(say(&desk, BOX, Probe::Pot, 0.0).raw, None);
}
