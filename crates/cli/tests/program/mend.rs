//! A record is held against a digest from outside, put back from a backup, and a loss is accepted.

use store::{Entry, NewRun, RunMode, Store};

use crate::{printed, run, typed};

const NOON_MS: i64 = 1_790_000_000_000;

/// Opens a run with a remark.
fn remark(data: &std::path::Path, text: &str) {
    let store = Store::open(data).expect("a record");
    let plan = include_str!("../../../../examples/hollowbank/perry/run.toml");
    let plan = store::folder::parse_plan(plan).expect("a sound plan");
    let opened =
        store.create_run(&NewRun::new(plan, RunMode::Real, false), NOON_MS).expect("a run");
    let note = Entry::Action(0.0, sense::Action::Note { text: text.to_owned() });
    store.append(&opened, &note, NOON_MS, NOON_MS).expect("it is kept");
}

/// The word after a label in what was printed.
fn after(said: &str, label: &str) -> String {
    let line =
        said.lines().find(|line| line.starts_with(label)).unwrap_or_else(|| panic!("{said}"));
    line.split_whitespace().nth(1).expect("a word").to_owned()
}

#[test]
fn a_record_goes_back_and_what_it_lost_is_named_until_it_is_accepted() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let (data, copy) = (folder.path().join("data"), folder.path().join("copy.sqlite"));
    let (record, file) = (typed(&data), typed(&copy));
    remark(&data, "before the backup");
    let digest = after(&printed(&["backup", file, "--data", record]), "digest");
    remark(&data, "after it");
    let said = printed(&["verify", "--data", record, "--expect", &digest]);
    assert!(said.contains("the digest expected at 2 entries; 2 were written since"), "{said}");
    assert_ne!(after(&said, "digest"), digest);

    let said = printed(&["restore", file, "--data", record]);
    assert!(said.contains("entries 1 to 2 were acknowledged and are lost"), "{said}");
    let refused = run(&["verify", "--data", record]);
    assert_eq!(refused.status.code(), Some(1));
    printed(&["accept-loss", "--reason", "put back", "--by", "Wren", "--data", record]);
    let said = printed(&["verify", "--data", record, "--expect", &digest]);
    assert!(said.contains("one loss of entries is known and accepted"), "{said}");
    assert_eq!(
        printed(&["accept-loss", "--reason", "again", "--data", record]),
        "nothing is lost\n"
    );
}

#[test]
fn a_record_written_again_from_the_start_is_found_by_the_digest_expected() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let (one, other) = (folder.path().join("one"), folder.path().join("other"));
    remark(&one, "as it was");
    remark(&other, "as it should have been");
    let digest = after(&printed(&["verify", "--data", typed(&one)]), "digest");
    printed(&["verify", "--data", typed(&other)]);
    let refused = run(&["verify", "--data", typed(&other), "--expect", &digest]);
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(1), "{said}");
    assert!(said.contains("never had the digest expected"), "{said}");
    let refused = run(&["verify", "--data", typed(&one), "--expect", "not a digest"]);
    assert_eq!(refused.status.code(), Some(2));
}
