//! Page and command line are told the same of the book, of jars and of steps, to the last key; and
//! both say with which instrument, and whether it was overdue.

use std::fs;

use serde_json::{Value, json};

use crate::served::Served;
use crate::{RUN_TOML, printed, typed};

const JARS: &str = "jar,start_s,end_s,volume_ml,temperature_c,apparent_vol,cut,note,instrument,overdue\n\
                    1,0,600,200,20,94.8,heads,sharp,glass-3,true\n\
                    2,600,1200,500,20,94.5,hearts,clean,glass-4,\n3,1200,1800,400,20,80,tails,,,\n";

fn said(data: &str, line: &str) -> Value {
    let arguments: Vec<&str> = line.split(' ').chain(["--data", data, "--json"]).collect();
    serde_json::from_str(&printed(&arguments)).expect("JSON")
}

#[test]
fn regress_page_and_command_line_say_the_same_and_with_which_instrument() {
    let folder = tempfile::tempdir().unwrap();
    let data = typed(folder.path());
    said(data, "enter receive --from received=12@64 --to tank:T1/H1=rest --by Ada --note bought");
    said(data, "upkeep state kettle --name glass-3 --kind calibration --days 365");
    said(
        data,
        "upkeep done kettle --name glass-3 --at 2020-01-02T10:00:00+01:00 --found right --by Wren",
    );
    said(
        data,
        "enter transfer --from tank:T1=all --to tank:T2/H2=gauged --to loss:transfer=rest --litres 11.9 --reading 64 --instrument glass-3 --by Ada",
    );
    let run = folder.path().join("run");
    fs::create_dir(&run).unwrap();
    fs::write(run.join("run.toml"), RUN_TOML).unwrap();
    fs::write(run.join("jars.csv"), JARS).unwrap();
    fs::write(run.join("actions.csv"), "time_s,action,value,unit,note\n0,heater,3000,W,\n")
        .unwrap();
    let id = said(data, &format!("import {}", typed(&run)))["run"].as_str().unwrap().to_owned();
    let told = [
        (said(data, "balance"), "/api/book/balance".to_owned()),
        (said(data, "book list"), "/api/book/entries".to_owned()),
        (said(data, "lots"), "/api/book/lots".to_owned()),
        (said(data, "lots H2"), "/api/book/lots/H2".to_owned()),
        (said(data, &format!("jars --of {id} --noses 7")), format!("/api/runs/{id}/cuts?seed=7")),
    ];
    let words = "glass-3 (overdue then)";
    assert_eq!(told[0].0["gauged_overdue"], json!([2]));
    assert_eq!(told[1].0[1]["gauge"]["instruments"][0]["words"], words);
    assert_eq!(told[2].0[0]["gauged_with"][0]["words"], words);
    assert_eq!(told[4].0["jars"][0]["gauged_with"]["words"], words);
    assert_eq!(told[4].0["jars"][1]["gauged_with"]["words"], "glass-4");
    for (line, part) in [
        ("balance", "overdue then: entries 2"),
        ("book list", words),
        ("lots", words),
        (&format!("jars --of {id}"), words),
    ] {
        let arguments: Vec<&str> = line.split(' ').chain(["--data", data]).collect();
        let text = printed(&arguments);
        assert!(text.contains(part), "{line}: {text}");
    }
    let down = "reduce --litres 5 --from 64 --to 43 --steps 3 --gauged 57.2 --json";
    let down = printed(&down.split(' ').collect::<Vec<_>>());
    let down: Value = serde_json::from_str(&down).expect("JSON");
    let server = Served::start(folder.path());
    for (line, path) in told {
        assert_eq!(line, server.get(&path), "{path}");
    }
    let asked = json!({"litres": 5, "from": 64, "to": 43, "steps": 3, "gauged": [57.2]});
    assert_eq!(down, server.post("/api/bench/steps", &asked));
}
