//! The whole chain over the command line: from sugar to forty bottles, and the books that go with it.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::{example, printed, typed};

const WASH: &str = "format = 1\ntitle = \"Sugar wash\"\nkind = \"sugar\"\nlitres = 16.0\n\
[[fermentable]]\nname = \"sucrose\"\nkg = 2.9\n[yeast]\nkind = \"wine\"\ngrams = 20\n\
[[nutrient]]\nat_h = 0.0\nname = \"DAP\"\ngrams = 20\nyan_mg_per_g = 212\n[buffer]\nname = \"chalk\"\n\
[room]\nambient_c = 22.0\ninsulated = false\n[reading]\nhydrometer_true_at_c = 20.0\nhydrometer_step = 0.001\n";
/// Nine readings of a wash that finishes.
const READINGS: &str = "time_h,gravity,temperature_c,weight_kg,ph,note\n0.1,1.067,24,,,\n24,1.052,26,,,\n\
48,1.033,26,,,\n72,1.015,25,,,\n96,1.002,24,,,\n120,0.994,23,,,\n168,0.988,22,,,\n216,0.987,22,,,\n264,0.987,22,,,\n";
const ACTIONS: &str = "time_h,action,value,unit,note\n0,pitch,20,g,\n0,nutrient,20,g,DAP\n";
/// Bottles of the lot, and their strength.
const BOTTLES: f64 = 40.0;
const LABEL_VOL: f64 = 40.0;

fn json(arguments: &[&str]) -> Value {
    let text = printed(&[arguments, &["--json"]].concat());
    serde_json::from_str(&text).expect("--json prints one object")
}

fn value(of: &Value, path: &str) -> f64 {
    of.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number {path}: {of}"))
}

/// The book of one house, and the day of October up to which it has come.
struct House<'a> {
    data: &'a str,
    day: u32,
}

impl House<'_> {
    fn said(&self, arguments: &[&str]) -> Value {
        json(&[arguments, &["--data", self.data]].concat())
    }

    /// Enters an act of the next day; gives the pure alcohol it moves.
    fn enter(&mut self, kind: &str, from: &[String], to: &[String], more: &[&str]) -> f64 {
        self.day += 1;
        let act = format!("2025-10-{:02}T10:00:00+02:00", self.day);
        let mut given = vec!["enter", kind, "--by", "Ada", "--act", &act];
        for (word, legs) in [("--from", from), ("--to", to)] {
            given.extend(legs.iter().flat_map(|leg| [word, leg.as_str()]));
        }
        given.extend(more);
        value(&self.said(&given)["entry"], "/pure_alcohol_l")
    }
}

/// A run file for a wash: the pot of the example, sooner done.
fn plan(folder: &Path) -> String {
    let text = fs::read_to_string(example("low-wines/run.toml")).expect("the example is there");
    let text = text
        .replace("kind = \"low wines\"", "kind = \"sugar wash\"")
        .replace("2026-11-28T09:10:00+01:00", "2025-10-03T09:10:00+02:00")
        .replace("until_strength_vol = 60", "until_strength_vol = 42")
        .replace("until_strength_vol = 12", "until_strength_vol = 20");
    let path = folder.join("run.toml");
    fs::write(&path, text).expect("a run file can be written");
    typed(&path).to_owned()
}

/// The wash, forecast from its nine readings, as litres and strength.
fn wash(folder: &Path) -> String {
    let dir = folder.join("wash");
    fs::create_dir(&dir).expect("a folder");
    for (name, text) in [("wash.toml", WASH), ("readings.csv", READINGS), ("actions.csv", ACTIONS)]
    {
        fs::write(dir.join(name), text).expect("a file of the wash");
    }
    let told = json(&["ferment", typed(&dir), "--at", "264"]);
    assert_eq!(told["state"], "finished", "{told}");
    format!("{}@{}", value(&told, "/charge/litres"), value(&told, "/charge/strength_vol"))
}

/// Water in three steps, carbon, forty bottles: what each keeps has its name.
fn to_bottles(house: &mut House<'_>, hearts: f64, strength: f64) {
    // Three steps of water, each gauged: what the glass cannot find stayed in hose and funnel.
    let litres = (hearts * 100.0 / strength).to_string();
    let (from, to) = (strength.to_string(), LABEL_VOL.to_string());
    let steps =
        json(&["reduce", "--litres", &litres, "--from", &from, "--to", &to, "--steps", "3"]);
    let mut left = hearts;
    for step in 0..3 {
        let to_vol = value(&steps, &format!("/steps/{step}/to"));
        let found = ((left - 0.002) * 100.0 / to_vol).to_string();
        let read = ["--litres", &found, "--reading", &to_vol.to_string(), "--at", "20"];
        let (lot, next) = (format!("tank:T1/H{step}=all"), step + 1);
        let to = [format!("tank:T1/H{next}=gauged"), "loss:transfer=rest".into()];
        let moved = house.enter("reduce", &[lot], &to, &read);
        assert!((moved - left).abs() < 1e-6, "{moved} of {left}");
        left -= 0.002;
    }

    // Carbon keeps some; forty bottles; what is over is lost at the filling.
    let litres = (left * 100.0 / LABEL_VOL).to_string();
    let bed = ["--diameter", "30", "--height", "0.5", "--flow", "1", "--rinse", "1"];
    let treated = json(&[&["carbon", "--litres", &litres, "--vol", &to], &bed[..]].concat());
    let (out_l, out_vol) =
        (value(&treated, "/out_litres_20c"), value(&treated, "/out_strength_vol"));
    let filtered = [format!("tank:T2/H4={out_l}@{out_vol}"), "loss:carbon=rest".into()];
    house.enter("carbon", &["tank:T1/H3=all".into()], &filtered, &[]);
    let size_ml = (out_l * out_vol / 100.0 / LABEL_VOL * 100_000.0 / BOTTLES).floor();
    let bottles =
        [format!("bottles:shelf/B1={BOTTLES}x{size_ml}@{LABEL_VOL}"), "loss:bottling=rest".into()];
    house.enter("bottle", &["tank:T2/H4=all".into()], &bottles, &["--cost", "20"]);
}

/// The account closes, and every loss is named.
fn closes(house: &House<'_>) {
    let balance = house.said(&["balance"]);
    assert_eq!((&balance["off_l"], &balance["bottles"]), (&0.0.into(), &40.into()));
    let sum = |list: &str| -> f64 {
        balance[list]
            .as_array()
            .expect("a list")
            .iter()
            .map(|one| value(one, "/pure_alcohol_l"))
            .sum()
    };
    let out = sum("gone") + value(&balance, "/not_explained_l") + value(&balance, "/closing_l");
    assert!((sum("came") - out).abs() < 1e-6, "{balance}");
    for loss in ["loss:residue", "loss:transfer", "loss:carbon", "loss:bottling"] {
        assert!(
            balance["gone"].as_array().expect("a list").iter().any(|one| one["place"] == loss),
            "{loss}"
        );
    }
    assert!(value(&balance, "/per_bottle/cost") > 0.5 && balance["gauges_see_it"].is_boolean());
    let recall = house.said(&["lots", "B1"]);
    let first = recall["made_of"].as_array().and_then(|all| all.last());
    assert_eq!(first.expect("a source")["place"], "fermented");
}

/// The period is closed, the book leaves and is proved without the record, with names and without.
fn is_proved(house: &House<'_>, room: &Path) {
    let path = |name: &str| typed(&room.join(name)).to_owned();
    house.said(&["book", "close", "--upto", "2025-10", "--by", "Ada"]);
    let late = ["enter", "lose", "--from", "bottles:shelf/B1=0.1", "--to", "loss:breakage=rest"];
    let more = ["--note", "dropped", "--by", "Ada", "--act", "2025-10-30T10:00:00+02:00"];
    let refused = crate::run(&[&late[..], &more, &["--data", house.data]].concat());
    assert_eq!(refused.status.code(), Some(2), "the period is closed");
    let book = path("book");
    let digest = house.said(&["book", "export", &book])["digest"].as_str().expect("it").to_owned();
    let whole = json(&["book", "verify", &book, "--expect", &digest]);
    assert_eq!((&whole["ok"], &whole["names_left_out"]), (&true.into(), &false.into()), "{whole}");
    let unnamed = path("unnamed");
    house.said(&["book", "export", &unnamed, "--without-names"]);
    assert_eq!(json(&["book", "verify", &unnamed])["names_left_out"], true);
    let table = fs::read_to_string(room.join("unnamed/book.csv")).expect("its table");
    assert!(!table.contains("Ada") && table.contains("person-1"));
    assert_eq!(
        crate::run(&["book", "import", &unnamed, "--data", &path("other")]).status.code(),
        Some(2)
    );
}

#[test]
fn from_a_recipe_to_forty_bottles_the_account_closes_and_another_proves_the_book() {
    let room = tempfile::tempdir().expect("a folder");
    let path = |name: &str| typed(&room.path().join(name)).to_owned();
    let data = path("data");
    let mut house = House { data: &data, day: 1 };
    let charge = wash(room.path());
    house.enter("ferment", &[format!("fermented={charge}")], &["wash:W1/W1=rest".into()], &[]);

    // The rehearsal of that charge goes into the record, and from there into the book.
    let rehearsal = path("rehearsal");
    let given = ["--charge", &charge, "--seed", "7", "--out", &rehearsal];
    json(&[&["rehearse", &plan(room.path())], &given[..]].concat());
    let run = house.said(&["import", &rehearsal])["run"].as_str().expect("its id").to_owned();
    let prices = ["--price-kwh", "0.3", "--price-water", "4", "--by", "Ada"];
    let book_run = [&["book", "run", &run, "--from", "wash:W1/W1"], &prices[..]].concat();
    let taken = house.said(&book_run);
    let distilled = &taken["entries"][1];
    assert!(distilled["note"].as_str().expect("a note").contains("rehearsal"), "{taken}");
    assert!(value(distilled, "/spent/energy_kwh") > 1.0 && value(distilled, "/spent/cost") > 0.3);
    let again = crate::run(&[&book_run[..], &["--data", &data]].concat());
    assert_eq!(again.status.code(), Some(2), "a run is taken in once");
    house.day = 4;

    // The cuts of its jars: hearts are blended, the rest is kept for another charge.
    let cuts = json(&["jars", &rehearsal]);
    let numbers = |which: &str| -> Vec<String> {
        let jars = cuts[which]["jars"].as_array();
        jars.into_iter().flatten().map(|jar| format!("jar:{run}-{jar}/{run}-{jar}=all")).collect()
    };
    let hearts = house.enter("blend", &numbers("hearts"), &["tank:T1/H0=rest".into()], &[]);
    house.enter("feints", &numbers("feints"), &["feints:can/F1=rest".into()], &[]);
    if !numbers("discarded").is_empty() {
        let thrown = ["destroyed:foreshots=rest".to_owned()];
        house.enter("destroy", &numbers("discarded"), &thrown, &["--note", "foreshots"]);
    }
    let strength = value(&cuts, "/hearts/strength_vol");
    assert!((hearts - value(&cuts, "/hearts/pure_alcohol_l")).abs() < 1e-6, "{cuts}");

    to_bottles(&mut house, hearts, strength);
    closes(&house);
    is_proved(&house, room.path());
}
