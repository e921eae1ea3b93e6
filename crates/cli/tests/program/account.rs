//! `middlecut balance`, `lots`, `enter`, `stock-take` and `book`: the account as a person types it.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::{printed, run, typed};

fn said(data: &str, arguments: &[&str]) -> Value {
    let given = [arguments, &["--json", "--data", data]].concat();
    serde_json::from_str(&printed(&given)).expect("JSON")
}

/// A book from sugar to seven bottles.
fn filled(data: &str) {
    for act in [
        &["ferment", "--from", "fermented=25@12", "--to", "wash:W1/W1=rest"][..],
        &["charge", "--from", "wash:W1=all", "--to", "pot:P/C1=rest"],
        &[
            "distil",
            "--from",
            "pot:P=all",
            "--to",
            "jar:1/J1=0.3",
            "--to",
            "jar:2/J2=2.2",
            "--to",
            "loss:residue=rest",
        ],
        &[
            "blend",
            "--from",
            "jar:2/J2=all",
            "--to",
            "tank:T/H=gauged",
            "--to",
            "loss:transfer=rest",
            "--litres",
            "4,9",
            "--reading",
            "44.3",
            "--at",
            "22",
            "--instrument",
            "glass-3|2020-01-01T00:00:00Z",
        ],
        &[
            "bottle",
            "--from",
            "tank:T/H=all",
            "--to",
            "bottles:s/B=7x700@43",
            "--to",
            "loss:bottling=rest",
            "--cost",
            "14",
        ],
    ] {
        said(data, &[&["enter"], act, &["--by", "Ada"]].concat());
    }
}

#[test]
fn a_house_keeps_its_account_from_sugar_to_bottle_and_another_checks_its_book() {
    let room = tempfile::tempdir().expect("a test folder can be made");
    let path = |name: &str| room.path().join(name);
    let (data, other, book) = (path("data"), path("other"), path("book"));
    let (data, other, book) = (typed(&data), typed(&other), typed(&book));
    filled(data);
    let balance = said(data, &["balance", "--profile", "us"]);
    assert_eq!((&balance["off_l"], &balance["bottles"]), (&0.0.into(), &7.into()));
    assert_eq!((&balance["unit"], &balance["cost"]), (&"proof gallons".into(), &14.0.into()));
    let gallons = printed(&["book", "list", "--profile", "us", "--data", data]);
    assert!(gallons.contains("wine gallons") && gallons.contains("proof gallons"), "{gallons}");
    let text = printed(&["balance", "--data", data]);
    for words in ["gone: loss:residue", "2.000 for each bottle", "no legal record", "must accept"] {
        assert!(text.contains(words), "no \"{words}\" in:\n{text}");
    }
    let lot = said(data, &["lots", "B"]);
    assert!(
        lot["made_of"].as_array().expect("a list").iter().any(|one| one["lot"] == "J2"),
        "{lot}"
    );
    assert!(printed(&["lots", "J2", "--data", data]).contains("bottles:s"));
    let odd = said(data, &["book", "check", "--allowed", "Ada"]);
    let found = |check: &str| {
        odd.as_array().expect("a list").iter().any(|finding| finding["check"] == check)
    };
    assert!(found("overdue_instrument") && found("loss_above_norm"), "{odd}");
    said(data, &["stock-take", "jar:1/J1", "--found", "0.29", "--by", "Ada"]);
    let void = ["enter", "void", "--corrects", "6", "--note", "counted again", "--by", "Ada"];
    assert_eq!(said(data, &void)["entry"]["serial"], 7);
    let out = said(data, &["book", "export", book, "--profile", "us"]);
    let digest = out["digest"].as_str().expect("a digest");
    let whole: Value = serde_json::from_str(&printed(&[
        "book",
        "verify",
        book,
        "--expect",
        &digest[..20],
        "--json",
    ]))
    .expect("JSON");
    assert_eq!((&whole["ok"], &whole["entries"]), (&true.into(), &7.into()), "{whole}");
    assert_eq!(said(other, &["book", "import", book])["added"], 7);
    let twice = path("twice");
    assert_eq!(
        said(other, &["book", "export", typed(&twice), "--profile", "us"])["digest"],
        digest
    );
    for file in ["book.csv", "book.html"] {
        let read = |folder: &Path| std::fs::read(folder.join(file)).expect("it is there");
        assert_eq!(read(Path::new(book)), read(&twice), "{file}");
    }
    std::fs::write(twice.join("book.html"), "<p>all is well</p>").expect("it can be written");
    let Output { status, stdout, .. } = run(&["book", "verify", typed(&twice), "--json"]);
    let found: Value = serde_json::from_slice(&stdout).expect("JSON");
    assert_eq!((status.code(), &found["faults"][0]["file"]), (Some(1), &"book.html".into()));
}

#[test]
fn notes_are_taken_whole_or_every_refused_row_is_listed() {
    let room = tempfile::tempdir().expect("a test folder can be made");
    let (data, notes) = (room.path().join("data"), room.path().join("notes.csv"));
    let (data, notes) = (typed(&data), typed(&notes));
    filled(data);
    let rows = "kind,act,from,to,by,note\n\
        receive,2026-03-01T10:00:00+01:00,received:mill=10@96,tank:N/N1=rest,Bo,\n\
        transfer,2026-03-02T10:00:00+01:00,tank:N/N1=all,tank:M/N1=9 + loss:transfer=rest,Bo,\n";
    let bad = "remove,2026-02-02T10:00:00+01:00,tank:N/N1=1,removed:sold=1,Bo,\n\
        remove,yesterday,tank:M/N1=1,removed:sold=1,Bo,\n\
        lose,2026-03-03T10:00:00+01:00,tank:M/N1=1,loss:fun=1,Bo,why\n";
    std::fs::write(notes, [rows, bad].concat()).expect("it can be written");
    let dry = said(data, &["book", "notes", notes, "--dry-run"]);
    let lines: Vec<_> =
        dry["refused"].as_array().expect("a list").iter().map(|row| row["line"].clone()).collect();
    assert_eq!(lines, [4, 5, 6], "{dry}");
    let refused = run(&["book", "notes", notes, "--data", data]);
    assert_eq!(refused.status.code(), Some(2));
    assert_eq!(
        said(data, &["book", "list"]).as_array().expect("a list").len(),
        5,
        "nothing was entered"
    );
    std::fs::write(notes, rows).expect("it can be written");
    assert_eq!(said(data, &["book", "notes", notes])["entered"], 2);
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn bad_input_is_refused_by_field_and_bound() {
    let room = tempfile::tempdir().expect("a test folder can be made");
    let data = room.path().join("data");
    let data = typed(&data);
    filled(data);
    for (arguments, field) in [
        (&["enter", "dance", "--by", "A"][..], "kind"),
        (
            &["enter", "remove", "--from", "tank:T/H=1", "--to", "removed:x=rest", "--by", "A"],
            "from",
        ),
        (
            &["enter", "remove", "--from", "jar:1/J1=0.1", "--to", "removed:x=0.2", "--by", "A"],
            "to",
        ),
        (
            &["enter", "remove", "--from", "jar:1/J1=x", "--to", "removed:x=rest", "--by", "A"],
            "place",
        ),
        (&["enter", "remove", "--from", "jar=0.1", "--to", "removed:x=rest", "--by", "A"], "place"),
        (&["enter", "remove", "--from", "jar:9=all", "--to", "removed:x=rest", "--by", "A"], "lot"),
        (
            &["enter", "remove", "--from", "jar:1/J1=0.1", "--to", "removed:x=rest", "--by", "@A"],
            "by",
        ),
        (
            &[
                "enter",
                "remove",
                "--from",
                "jar:1/J1=0.1",
                "--to",
                "removed:x=rest",
                "--by",
                "A",
                "--act",
                "today",
            ],
            "--act",
        ),
        (&["enter", "void", "--by", "A"], "corrects"),
        (&["enter", "void", "--corrects", "99", "--note", "x", "--by", "A"], "corrects"),
        (&["enter", "void", "--corrects", "1", "--note", "x", "--by", "A"], "from"),
        (&["stock-take", "jar:1", "--found", "1", "--by", "A"], "lot"),
        (&["stock-take", "jar:1/J1", "--found", "-1", "--by", "A"], "pure_alcohol_l"),
        (
            &["stock-take", "jar:1/J1", "--found", "0.1", "--lost-to", "loss:fun", "--by", "A"],
            "place",
        ),
        (
            &["stock-take", "jar:1/J1", "--found", "-1", "--profile", "us", "--by", "A"],
            "pure_alcohol_l",
        ),
        (
            &["enter", "remove", "--from", "jar:1/J1=1xg", "--to", "removed:x=rest", "--by", "A"],
            "place",
        ),
        (
            &["enter", "remove", "--from", "jar:1/J1=9e9pg", "--to", "removed:x=rest", "--by", "A"],
            "pure_alcohol_l",
        ),
        (&["book", "run", "nobody", "--from", "wash", "--by", "A"], "lot"),
        (&["lots", "a b"], "name"),
        (&["lots", "nobody"], "LOT"),
        (&["balance", "--upto", "2026"], "--upto"),
        (&["book", "close", "--upto", "2999-01", "--by", "A"], "upto"),
    ] {
        let given = [arguments, &["--json", "--data", data]].concat();
        let Output { status, stderr, .. } = run(&given);
        let said: Value = serde_json::from_slice(&stderr).expect("JSON");
        assert_eq!(
            (status.code(), &said["error"]["field"]),
            (Some(2), &field.into()),
            "{arguments:?}: {said}"
        );
        assert!(said["error"]["hint"].is_string(), "{said}");
    }
    assert_eq!(said(data, &["book", "list"]).as_array().expect("a list").len(), 5);
}
