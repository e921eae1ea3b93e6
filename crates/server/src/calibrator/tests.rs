//! The calibrator with a fit that is quick and known: what is fitted, kept, given up, refused.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use estimate::{
    CalibrateError, CalibratedRun, Calibration, Compared, FinishedRun, FittedCharge, NextRun,
    Parameter, Said, Spread, Value, Worth,
};
use sense::{Action, Amount, JarRecord, Vessel, VesselRecord};
use still::outcome::EndedBy;
use still::plan::Still;
use still::{Cancel, StillError};
use store::{Entry, NewRun, OwnStillRecord, RunId, RunMode, Store, StoredEnd};

use super::{Calibrator, Fit};
use crate::clock::Clock;
use crate::fit_runs::Fitted;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::wire::calibrated::FitStateWire;

const NOW_MS: i64 = 1_790_000_000_000;
const STILL: &str = "Shed still";

/// A column loss ten times what is stated; every run and the last residue show in the outcome.
#[expect(clippy::unnecessary_wraps, reason = "a fit can fail, this one does not")]
fn tenfold(
    given: &[FinishedRun<'_>],
    _: &Said,
    _: &Cancel,
    tell: &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrateError> {
    tell(1, 2);
    let stated = &given[0].plan.still;
    let column_loss_w_per_k = 10.0 * stated.column_loss_w_per_k;
    let spread = |p50: f64| Spread { p10: 0.9 * p50, p50, p90: 1.1 * p50 };
    let compared = Compared {
        strength_rms_vol: Some(1.0),
        strength_bias_vol: Some(0.5),
        end_percent: 2.0,
        alcohol_percent: given[given.len() - 1].residue.map(|residue| residue.litres),
        slices: Vec::new(),
    };
    let run = |_: &FinishedRun<'_>| CalibratedRun {
        jars: 3,
        head: Worth::Absent,
        pot: Worth::Absent,
        coolant: Worth::Absent,
        residue: Worth::Absent,
        charge: FittedCharge { litres: spread(20.0), strength_vol: spread(10.0) },
        fitted: compared.clone(),
        left_out: Some(compared.clone()),
    };
    Ok(Calibration {
        still: Still { column_loss_w_per_k, ..stated.clone() },
        values: vec![Value {
            of: Parameter::ColumnLoss,
            value: spread(column_loss_w_per_k),
            prior: spread(1.0),
            spread_left: 0.2,
            told: true,
            goes_with: None,
        }],
        not_apart: vec![(Parameter::HoldUp, Parameter::Efficiency, -0.85)],
        runs: given.iter().map(run).collect(),
        next: vec![NextRun {
            text: "at half the reflux".to_owned(),
            variance_less: 0.2,
            most: (Parameter::HoldUp, 0.4),
        }],
        misfit: 1.0,
        starts_agree: (5, 5),
        simulations: 100,
    })
}

/// Waits until it is given up.
fn slow(
    _: &[FinishedRun<'_>],
    _: &Said,
    cancel: &Cancel,
    _: &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrateError> {
    let until = Instant::now() + Duration::from_secs(20);
    while !cancel.is_cancelled() {
        assert!(Instant::now() < until, "nobody gave it up");
        std::thread::sleep(Duration::from_millis(2));
    }
    Err(StillError::Cancelled { time_s: 0.0 }.into())
}

struct Shed {
    _room: tempfile::TempDir,
    keeper: Keeper,
    calibrator: Arc<Calibrator>,
    stated: Still,
}

fn shed(fit: Fit) -> Shed {
    let room = tempfile::tempdir().unwrap();
    let keeper = Keeper::start(Store::open(&room.path().join("own")).unwrap()).unwrap();
    let (clock, _) = Clock::by_hand(NOW_MS + 1000);
    let calibrator = Calibrator::new(&keeper, Arc::default(), &clock, fit);
    let mut stated = crate::example::house().plans[0].1.still.clone();
    stated.name = STILL.to_owned();
    Shed { _room: room, keeper, calibrator, stated }
}

impl Shed {
    fn own(&self) {
        let (still, measured) = (self.stated.clone(), still::plan::Measured::default());
        let defaulted = vec!["column_loss_w_per_k".to_owned()];
        let own = OwnStillRecord { still, defaulted, measured };
        self.keeper.write_and_wait(move |store| store.set_own_still(&own, NOW_MS)).unwrap();
    }

    /// A run that is over, with so many jars.
    fn run(&self, title: &str, mode: RunMode, jars: u32) -> RunId {
        let mut plan = crate::example::house().plans[0].1.clone();
        (plan.still, plan.title) = (self.stated.clone(), title.to_owned());
        // As a run that was planned after an earlier calibration states it.
        plan.still.column_loss_w_per_k *= 3.0;
        let new = NewRun::new(plan, mode, false);
        let jar = |number: u32| {
            Entry::Jar(JarRecord {
                number,
                start_s: 3000.0 + 600.0 * f64::from(number),
                end_s: 3600.0 + 600.0 * f64::from(number),
                volume_ml: 250.0,
                temperature_c: Some(20.0),
                apparent_vol: Some(60.0),
                cut: None,
                note: String::new(),
                gauged_with: None,
            })
        };
        let residue = Action::Vessel(VesselRecord {
            vessel: Vessel::Residue,
            amount: Amount::Litres(15.0),
            apparent_vol: Some(1.0),
            celsius: Some(20.0),
        });
        let mut entries = vec![Entry::Started { started_ms: NOW_MS, steady: None }];
        entries.push(Entry::Action(0.0, Action::Heater { watts: 2000.0 }));
        entries.extend((1..=jars).map(jar));
        entries.push(Entry::Ended(StoredEnd {
            time_s: 9000.0,
            ended_by: EndedBy::Plan,
            litres_20c: 1.0,
            pure_alcohol_l: 0.6,
        }));
        entries.push(Entry::Action(9000.0, residue));
        let write = move |store: &Store| {
            let id = store.create_run(&new, NOW_MS)?;
            let entries: Vec<_> = entries.into_iter().map(|entry| (NOW_MS, entry)).collect();
            store.append_all(&id, &entries, NOW_MS)?;
            Ok(id)
        };
        self.keeper.write_and_wait(write).unwrap()
    }

    fn fitted(&self) -> Fitted {
        Fitted::of(self.keeper.reader(), STILL).unwrap().unwrap()
    }

    /// Fits and waits until it is over.
    fn fit(&self) -> FitStateWire {
        self.calibrator.begin(STILL, self.fitted()).unwrap();
        let until = Instant::now() + Duration::from_secs(20);
        while self.calibrator.at(STILL).state == FitStateWire::Fitting {
            assert!(Instant::now() < until, "it takes too long");
            std::thread::sleep(Duration::from_millis(2));
        }
        self.calibrator.at(STILL).state
    }
}

#[test]
fn two_runs_are_fitted_from_what_was_stated_and_kept_with_all_they_say() {
    let shed = shed(tenfold);
    shed.own();
    let (first, _) = (shed.run("one", RunMode::Real, 3), shed.run("two", RunMode::Imported, 4));
    shed.run("no jars", RunMode::Real, 1);
    shed.run(
        "rehearsed",
        RunMode::Rehearsal { speed: 0.0, seed: 1, attendant: true, scale: false },
        4,
    );
    let left_out = shed.run("left out", RunMode::Real, 4);
    let leave = move |store: &Store| store.count_run(&left_out, false, NOW_MS);
    shed.keeper.write_and_wait(leave).unwrap();
    for again in 0..2 {
        assert_eq!(shed.fit(), FitStateWire::Kept, "{again}");
        let known = shed.keeper.reader().still(STILL, false).unwrap().unwrap();
        let found = known.calibrated.unwrap().calibration;
        let titles: Vec<_> = found.runs.iter().map(|run| run.title.as_str()).collect();
        assert_eq!(titles, ["one", "two"]);
        let left_out = found.runs[0].left_out.unwrap();
        assert_eq!((left_out.end_percent, found.not_apart.len()), (2.0, 1));
        assert!((left_out.alcohol_percent.unwrap() - 15.0).abs() < 0.1, "its residue was taken");
        assert_eq!(found.next[0].text, "at half the reflux");
        let own = shed.keeper.reader().own_still().unwrap().unwrap();
        let tenfold = 10.0 * shed.stated.column_loss_w_per_k;
        assert!((own.still.column_loss_w_per_k - tenfold).abs() < 1e-9, "not ten times ten");
        assert!(own.defaulted.is_empty(), "{own:?}");
    }
    let fit = shed.calibrator.at(STILL);
    assert_eq!((fit.done, fit.of, fit.runs.len()), (1, 2, 2));
    let name = move |store: &Store| {
        store.append(&first, &Entry::Named { name: "called so".into() }, NOW_MS, NOW_MS)
    };
    shed.keeper.write_and_wait(name).unwrap();
    assert_eq!(shed.fitted().titles(), ["called so", "two"]);
}

#[test]
fn too_few_runs_are_refused_and_said_to_be() {
    let shed = shed(tenfold);
    assert!(Fitted::of(shed.keeper.reader(), STILL).unwrap().is_none(), "nothing is stated of it");
    shed.run("one", RunMode::Real, 3);
    shed.run("no jars", RunMode::Real, 2);
    let refused = shed.calibrator.begin(STILL, shed.fitted()).unwrap_err();
    assert!(matches!(refused, ApiError::Conflict { code: "too_few_runs", .. }), "{refused}");
    let said = refused.to_string();
    assert_eq!(said, "1 run of this still can be fitted, 2 are needed; 1 other has too few jars");
    assert_eq!(shed.calibrator.at(STILL).state, FitStateWire::Idle);
    // After a change of hardware the run is of another still.
    let learned = |store: &Store| store.reset_still(STILL, false, "new packing", NOW_MS + 1);
    assert!(shed.keeper.write_and_wait(learned).is_err(), "nothing is known of it yet");
    shed.run("two", RunMode::Real, 3);
    assert_eq!(shed.fit(), FitStateWire::Kept);
    shed.keeper.write_and_wait(learned).unwrap();
    let refused = shed.calibrator.begin(STILL, shed.fitted()).unwrap_err().to_string();
    assert_eq!(refused, "no run of this still can be fitted, 2 are needed");
}

#[test]
fn a_fit_can_be_given_up_and_keeps_nothing() {
    let shed = shed(slow);
    shed.run("one", RunMode::Real, 3);
    shed.run("two", RunMode::Real, 3);
    assert_eq!(shed.calibrator.give_up(STILL).state, FitStateWire::Idle);
    let begun = shed.calibrator.begin(STILL, shed.fitted()).unwrap();
    assert_eq!((begun.state, begun.runs.len()), (FitStateWire::Fitting, 2));
    assert_eq!(shed.calibrator.begin(STILL, shed.fitted()).unwrap().state, FitStateWire::Fitting);
    let refused = shed.calibrator.begin("another", shed.fitted()).unwrap_err();
    assert!(matches!(refused, ApiError::Conflict { code: "fit_goes_on", .. }), "{refused}");
    assert_eq!(shed.calibrator.at("another").state, FitStateWire::Idle);
    assert_eq!(shed.calibrator.give_up(STILL).state, FitStateWire::GivenUp);
    assert_eq!(shed.keeper.reader().calibrated(STILL).unwrap(), None);
    let again = shed.calibrator.begin(STILL, shed.fitted()).unwrap();
    assert_eq!(again.state, FitStateWire::Fitting, "it can be begun again");
    shed.calibrator.stop();
    assert!(matches!(shed.calibrator.begin(STILL, shed.fitted()), Err(ApiError::Busy)));
}

#[test]
fn a_fit_that_fails_or_breaks_says_so() {
    static BREAKS: AtomicBool = AtomicBool::new(false);
    fn fails(
        _: &[FinishedRun<'_>],
        _: &Said,
        _: &Cancel,
        _: &dyn Fn(usize, usize),
    ) -> Result<Calibration, CalibrateError> {
        assert!(!BREAKS.load(Ordering::SeqCst), "a fit that breaks, on purpose");
        Err(CalibrateError::NeverRan { run: 2 })
    }
    let shed = shed(fails);
    shed.run("one", RunMode::Real, 3);
    shed.run("two", RunMode::Real, 3);
    assert_eq!(shed.fit(), FitStateWire::Failed);
    let said = shed.calibrator.at(STILL);
    assert!(said.trouble.unwrap().starts_with("two: "), "the run is named");
    assert!(said.hint.is_some());
    BREAKS.store(true, Ordering::SeqCst);
    assert_eq!(shed.fit(), FitStateWire::Failed);
    assert_eq!(shed.calibrator.at(STILL).trouble.as_deref(), Some("the fit broke off"));
    assert_eq!(shed.keeper.reader().calibrated(STILL).unwrap(), None);
}
