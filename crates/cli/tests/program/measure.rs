//! `middlecut measure`: what of a run stands in no jar, recorded and refused.

use std::path::PathBuf;
use std::process::Output;

use sense::{Action, Amount, RecordedRun, Vessel};
use serde_json::Value;
use store::folder::RunFolder;
use store::{Entry, NewRun, RunId, RunMode, Store};
use tempfile::TempDir;

use crate::{example, printed, run, typed};

/// A record with one run that is over, and one that goes on: its folder, and the runs.
fn record() -> (TempDir, PathBuf, RunId, RunId) {
    let room = tempfile::tempdir().expect("a test folder can be made");
    let data = room.path().join("data");
    let plan = store::folder::read_plan(&example("perry/run.toml")).expect("it is whole");
    let store = Store::open(&data).expect("a record can be made");
    let rows = RecordedRun {
        actions: vec![(0.0, Action::Heater { watts: 2000.0 }), (9000.0, Action::Here)],
        ..RecordedRun::default()
    };
    let over = store.import_folder(RunFolder::new(plan.clone(), rows), 1_790_000_000_000);
    let goes_on = store.create_run(&NewRun::new(plan, RunMode::Real, false), 1_790_000_000_000);
    (room, data, over.expect("it is a run"), goes_on.expect("it can be opened"))
}

#[test]
fn a_residue_is_recorded_at_the_end_of_its_run_as_it_was_read() {
    let (_room, data, over, _) = record();
    let (run, data) = (over.as_str(), typed(&data));
    let amount = ["--litres", "16,5", "--reading", "1.4", "--at", "24"];
    let given = [&["measure", run, "residue", "--json", "--data", data], &amount[..]].concat();
    let said: Value = serde_json::from_str(&printed(&given)).expect("JSON");
    assert_eq!((&said["run"], &said["what"]), (&run.into(), &"residue".into()));
    let litres = said["litres_20c"].as_f64().expect("a number");
    let vol = said["strength_vol_20c"].as_f64().expect("a number");
    assert!((16.4..16.5).contains(&litres) && (0.5..1.4).contains(&vol), "{said}");
    let alcohol_l = said["pure_alcohol_l"].as_f64().expect("a number");
    assert!((alcohol_l - litres * vol / 100.0).abs() < 1e-9, "{said}");
    let text = printed(&["measure", run, "feints", "--kg", "0.4", "--data", data]);
    for words in ["feints", "L at 20 °C", "not gauged", "reckoned anew"] {
        assert!(text.contains(words), "no \"{words}\" in:\n{text}");
    }
    let store = Store::open_read_only(std::path::Path::new(data)).expect("the record is there");
    let state = store.run(&over).expect("the run is there");
    let found: Vec<_> = state
        .rows
        .actions
        .iter()
        .filter_map(|(time_s, action)| match action {
            Action::Vessel(record) => Some((*time_s, record.vessel, record.amount)),
            _ => None,
        })
        .collect();
    let residue = (9000.0, Vessel::Residue, Amount::Litres(16.5));
    assert_eq!(found, [residue, (9000.0, Vessel::Feints, Amount::Kilograms(0.4))]);
    let entries = store.entries(&over, 0, 100).expect("it can be read");
    let last = entries.last().expect("there are some");
    assert!(matches!(last.entry, Entry::Action(..)));
    assert_eq!(printed(&["verify", "--data", data]).lines().count(), 4);
}

#[test]
fn what_cannot_be_is_refused_with_field_value_bound_and_hint() {
    let (room, data, over, goes_on) = record();
    let before = Store::open_read_only(&data).expect("it is there").length(&over).expect("a run");
    let refused = |arguments: &[&str], names: &[&str]| {
        let arguments = [&["measure"], arguments, &["--json"]].concat();
        let Output { status, stdout, stderr } = run(&arguments);
        let said = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(2), "{arguments:?}: {said}");
        assert!(stdout.is_empty() && said.contains("\"hint\""), "{said}");
        for name in names {
            assert!(said.contains(name), "\"{name}\" is not named in: {said}");
        }
    };
    let (over_id, kept) = (over.as_str(), typed(&data));
    let of_over = |more: &[&str], names: &[&str]| {
        refused(&[&[over_id, "residue", "--data", kept], more].concat(), names);
    };
    of_over(&["--litres", "-1"], &["--litres", "-1", "must lie from 0"]);
    of_over(&["--kg", "20000"], &["--kg", "20000", "must lie from 0"]);
    of_over(&["--litres", "9", "--reading", "120", "--at", "20"], &["--reading", "120", "100"]);
    of_over(&["--litres", "9", "--at", "140"], &["--at", "140", "110"]);
    of_over(&["--litres", "9", "--reading", "1"], &["--at"]);
    of_over(&[], &["--litres"]);
    of_over(&["--litres", "9", "--kg", "9"], &["--kg"]);
    of_over(&["--litres", "165"], &["--litres", "165", "more than the charge", "--sure"]);
    refused(&[over_id, "dregs", "--litres", "9", "--data", kept], &["dregs"]);
    let unknown = ["20200101-000000-ffff", "residue", "--litres", "9", "--data", kept];
    refused(&unknown, &["20200101-000000-ffff"]);
    refused(&[goes_on.as_str(), "sample", "--litres", "0.1", "--data", kept], &["is not over"]);
    let nowhere = room.path().join("nowhere");
    refused(&[over_id, "residue", "--litres", "9", "--data", typed(&nowhere)], &["no record"]);
    assert!(!nowhere.exists(), "a folder mistyped became a record");
    let after = Store::open_read_only(&data).expect("it is there").length(&over).expect("a run");
    assert_eq!(before, after, "what is refused leaves no entry");
    let sure = ["measure", over_id, "residue", "--litres", "165", "--sure", "--data", kept];
    printed(&sure);
}
