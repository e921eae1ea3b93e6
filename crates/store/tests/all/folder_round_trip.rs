//! A run written as a folder and read back is the same run, bit for bit.

use proptest::prelude::*;
use sense::RecordedRun;
use sense::{Action, Amount, JarRecord, Probe, Reading, Vessel, VesselRecord};
use still::plan::{StepKind, TakeOff};
use store::folder::{self, RunFolder};

fn cell() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        Just(None),
        (-40.0..120.0).prop_map(Some),
        Just(Some(-127.0)),
        Just(Some(0.1 + 0.2))
    ]
}

fn note() -> impl Strategy<Value = String> {
    "[ -~\n\r\u{e9}\u{2013}]{0,40}"
}

fn reading() -> impl Strategy<Value = Reading> {
    let newer = proptest::option::weighted(0.05, 0.0..100.0);
    (cell(), cell(), cell(), proptest::option::of(0.0..1000.0), newer).prop_map(
        |(a, b, c, d, e)| {
            let row = Reading::default().with(Probe::Head, a).with(Probe::Pot, b);
            let row = row.with(Probe::Receiver, e).with(Probe::RoomCo2, e);
            row.with(Probe::Vent, c).with(Probe::Heater, d).with(Probe::Pressure, d)
        },
    )
}

fn action() -> impl Strategy<Value = Action> {
    prop_oneof![
        (0.0..200_000.0).prop_map(|watts| Action::Heater { watts }),
        (1e-9..1e5, any::<bool>())
            .prop_map(|(r, measured)| Action::TakeOff { take_off: TakeOff::MlPerMin(r), measured }),
        (0.0..1e5, any::<bool>()).prop_map(|(r, measured)| Action::TakeOff {
            take_off: TakeOff::RefluxRatio(r),
            measured
        }),
        (0.0..100.0, -20.0..100.0)
            .prop_map(|(apparent_vol, celsius)| Action::Gauge { apparent_vol, celsius }),
        (0.0..1440.0, note()).prop_map(|(minutes, reason)| Action::Quiet {
            code: "data_stale".into(),
            minutes,
            reason
        }),
        note().prop_map(|text| Action::Note { text }),
        vessel(),
        proptest::sample::select(crate::common::actions()),
    ]
}

fn vessel() -> impl Strategy<Value = Action> {
    let glass = (proptest::option::of(0.0..100.0), proptest::option::of(-20.0..110.0));
    (0_usize..3, any::<bool>(), 0.0..10_000.0, glass).prop_map(
        |(which, by_weight, value, (apparent_vol, celsius))| {
            let amount = if by_weight { Amount::Kilograms(value) } else { Amount::Litres(value) };
            let vessel = Vessel::ALL[which];
            Action::Vessel(VesselRecord { vessel, amount, apparent_vol, celsius })
        },
    )
}

fn jar() -> impl Strategy<Value = JarRecord> {
    (0_u32..100_000, 0.0_f64..1e6, 0.0_f64..2e5, cell(), note(), 0_usize..5).prop_map(
        |(number, start_s, more_s, temperature, note, cut)| JarRecord {
            number,
            start_s,
            end_s: start_s + more_s,
            volume_ml: more_s,
            temperature_c: temperature.filter(|t| (-20.0..=100.0).contains(t)),
            apparent_vol: None,
            cut: [StepKind::Foreshots, StepKind::Heads, StepKind::Hearts, StepKind::Tails]
                .get(cut)
                .copied(),
            note,
            gauged_with: None,
        },
    )
}

fn rows() -> impl Strategy<Value = RecordedRun> {
    let time = || 0.0_f64..1_209_600.0;
    (
        proptest::collection::vec((time(), reading()), 0..30),
        proptest::collection::vec((time(), action()), 0..30),
        proptest::collection::vec(jar(), 0..10),
    )
        .prop_map(|(mut readings, mut actions, mut jars)| {
            readings.sort_by(|a, b| a.0.total_cmp(&b.0));
            actions.sort_by(|a, b| a.0.total_cmp(&b.0));
            jars.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
            RecordedRun { readings, actions, jars }
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn prop_a_folder_gives_back_the_run(
        rows in rows(),
        litres in 5.0..25.0,
        title in "[!-~\u{e9}]{1,60}",
        outcome in proptest::option::of(0.0..1e9),
    ) {
        let mut plan = crate::common::plan();
        plan.charge.litres = litres;
        plan.title = title;
        let outcome = outcome.map(|value| serde_json::json!({ "end_of_hearts_s": value }));
        let run = RunFolder { outcome, ..RunFolder::new(plan, rows) };
        let dir = tempfile::tempdir().unwrap();
        let dir = dir.path().join("run");
        folder::write(&dir, &run).unwrap();
        let read = folder::read(&dir).map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(read, run);
    }
}

#[test]
fn a_folder_is_never_written_over() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("notes.txt"), "mine").unwrap();
    let run = RunFolder::new(crate::common::plan(), crate::common::rows());
    let error = folder::write(dir.path(), &run).unwrap_err();
    assert_eq!(error.code(), "folder_not_empty");
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
}

#[test]
fn remarks_beside_an_action_are_kept_as_notes() {
    let dir = tempfile::tempdir().unwrap();
    let run = RunFolder::new(crate::common::plan(), RecordedRun::default());
    let dir = dir.path().join("run");
    folder::write(&dir, &run).unwrap();
    let text = "\u{feff}action,time_s,value,unit,note\r\nheater,5,0,W,power cut\r\n\
                takeoff,6,20,ml_per_min,measured\r\ntakeoff,7,0,ml_per_min,set\r\n";
    std::fs::write(dir.join("actions.csv"), text).unwrap();
    let actions = folder::read(&dir).unwrap().rows.actions;
    assert_eq!(
        actions,
        [
            (5.0, Action::Heater { watts: 0.0 }),
            (5.0, Action::Note { text: "power cut".into() }),
            (6.0, Action::TakeOff { take_off: TakeOff::MlPerMin(20.0), measured: true }),
            (7.0, Action::TakeOff { take_off: TakeOff::Closed, measured: false }),
        ]
    );
}
