//! Values that several runs gave together: what is stated of the still until they are set aside.

use estimate::{Parameter, Spread};
use still::plan::Still;
use store::{
    CalibratedFrom, CalibratedValue, FurtherRun, LeftOut, LessonSource, NotApart, OwnStillRecord,
    StillCalibration, Store,
};

use super::{House, house, lesson};
use crate::common::NOW_MS;

/// A calibration of the test still with a column loss of so much.
fn calibration(column_loss_w_per_k: f64) -> StillCalibration {
    let mut still = crate::common::new_run().plan.still;
    still.column_loss_w_per_k = column_loss_w_per_k;
    still.vapour_lost = Some(0.1);
    let value = Spread { p10: 3.5, p50: column_loss_w_per_k, p90: 4.2 };
    StillCalibration {
        still,
        runs: vec![CalibratedFrom {
            title: "Run 1".into(),
            start: "2026-10-03".into(),
            left_out: Some(LeftOut {
                strength_rms_vol: None,
                end_percent: 3.5,
                alcohol_percent: Some(-1.0),
            }),
        }],
        values: vec![CalibratedValue {
            of: Parameter::ColumnLoss,
            value,
            told: true,
            prior: Some(Spread { p10: 0.1, p50: 0.6, p90: 3.0 }),
        }],
        not_apart: vec![NotApart {
            one: Parameter::VapourLost,
            other: Parameter::ChargeStrength,
            correlation: 0.9,
        }],
        next: vec![FurtherRun {
            text: "at half the reflux".into(),
            doubt_less: 0.2,
            most: Parameter::HoldUp,
        }],
        stated: Some(Box::new(crate::common::new_run().plan.still)),
    }
}

#[test]
fn a_calibration_is_what_is_stated_of_the_still_until_it_is_changed() {
    let House { room, store } = house();
    let own = crate::common::new_run().plan.still;
    let defaulted = vec!["column_loss_w_per_k".to_owned(), "metal_kj_per_k".to_owned()];
    let measured = still::plan::Measured::default();
    let record = OwnStillRecord { still: own.clone(), defaulted, measured };
    store.set_own_still(&record, NOW_MS).unwrap();
    store.learn(&lesson(None, LessonSource::Folder, 1), NOW_MS).unwrap();
    assert_eq!(store.calibrated("Test still").unwrap(), None);
    store.calibrate(&calibration(3.8), NOW_MS + 1).unwrap();
    let state = store.still("Test still", false).unwrap().unwrap();
    let note = state.calibrated.unwrap();
    assert_eq!((note.stored_ms, note.calibration), (NOW_MS + 1, calibration(3.8)));
    // Lessons were ratios to what was stated before.
    assert_eq!((state.lessons.len(), store.character("Test still").unwrap()), (0, None));
    let kept = store.own_still().unwrap().unwrap();
    assert!((kept.still.column_loss_w_per_k - 3.8).abs() < 1e-12, "{kept:?}");
    assert_eq!(kept.still.vapour_lost, Some(0.1));
    assert_eq!(kept.still.elements_watts, own.elements_watts);
    assert_eq!(kept.defaulted, ["metal_kj_per_k"], "what was calibrated is no guess any more");
    drop(store);
    let store = Store::open(room.path()).unwrap();
    assert_eq!(store.calibrated("Test still").unwrap(), Some(calibration(3.8)));
    store.reset_still("Test still", false, "new packing", NOW_MS + 2).unwrap();
    assert_eq!(store.calibrated("Test still").unwrap(), None);
    assert!(store.calibrate(&calibration(f64::NAN), NOW_MS + 3).is_err());
}

#[test]
fn a_calibration_set_aside_gives_back_what_was_stated_before() {
    let House { store, .. } = house();
    let own = crate::common::new_run().plan.still;
    let defaulted = vec!["column_loss_w_per_k".to_owned(), "metal_kj_per_k".to_owned()];
    let measured = still::plan::Measured::default();
    let record = OwnStillRecord { still: own.clone(), defaulted, measured };
    store.set_own_still(&record, NOW_MS).unwrap();
    let refused = store.drop_calibration("Test still", "too hot", NOW_MS).unwrap_err();
    assert_eq!(refused.code(), "not_calibrated");
    store.calibrate(&calibration(3.8), NOW_MS + 1).unwrap();
    store.calibrate(&calibration(4.1), NOW_MS + 2).unwrap();
    store.learn(&lesson(None, LessonSource::Folder, 1), NOW_MS + 3).unwrap();
    // One of them is changed by hand meanwhile: that stays.
    let mut by_hand = store.own_still().unwrap().unwrap();
    by_hand.still.holdup_litres = 0.77;
    store.set_own_still(&by_hand, NOW_MS + 4).unwrap();
    assert!(store.drop_calibration("Test still", " ", NOW_MS + 5).is_err(), "it must say why");
    store.drop_calibration("Test still", "a wrong glass", NOW_MS + 5).unwrap();
    assert_eq!(store.calibrated("Test still").unwrap(), None);
    let back = store.own_still().unwrap().unwrap();
    assert_eq!(back.still, Still { holdup_litres: 0.77, ..own });
    assert_eq!(back.defaulted, ["metal_kj_per_k", "column_loss_w_per_k"]);
    let state = store.still("Test still", false).unwrap().unwrap();
    assert_eq!((state.calibrated, state.lessons.len(), state.changed_ms), (None, 0, None));
    let last = state.resets.last().unwrap();
    assert_eq!((last.reason.as_str(), last.lessons), ("calibration set aside, a wrong glass", 1));
    store.verify().unwrap();
}

#[test]
fn a_calibration_of_a_still_nobody_stated_gives_back_what_its_runs_stated() {
    let House { store, .. } = house();
    store.calibrate(&calibration(3.8), NOW_MS).unwrap();
    assert!((store.own_still().unwrap().unwrap().still.column_loss_w_per_k - 3.8).abs() < 1e-12);
    store.drop_calibration("Test still", "a wrong glass", NOW_MS + 1).unwrap();
    assert_eq!(store.own_still().unwrap().unwrap().still, crate::common::new_run().plan.still);
}
