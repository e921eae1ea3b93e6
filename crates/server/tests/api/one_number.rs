//! One number, one field: whatever two places of the answers show is the same, at every moment of a
//! run.

use advise::LiveOptions;
use sense::RecordedRun;
use serde_json::{Value, json};
use store::rows::{ActionRow, JarRow};
use store::{RunId, Store};

use crate::common::{Running, plan, real_run, start};
use crate::runs::run;

/// Time between two looks, s.
const LOOK_EVERY_S: u32 = 60;
/// Rounding of sums of a few numbers, relative.
const ROUNDING: f64 = 1e-9;

/// What is at that path, as `/drawn/litres`.
fn at<'a>(value: &'a Value, path: &str) -> &'a Value {
    value.pointer(path).unwrap_or(&Value::Null)
}

fn number(value: &Value, path: &str) -> f64 {
    at(value, path).as_f64().unwrap_or_else(|| panic!("no number at {path}: {value}"))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * (1.0 + a.abs().max(b.abs()))
}

/// Everything in there that is called a band, and where.
fn bands<'a>(value: &'a Value, path: &str, found: &mut Vec<(String, &'a Value)>) {
    match value {
        Value::Object(fields) => {
            if fields.contains_key("p025") {
                found.push((path.to_owned(), value));
            }
            for (name, inner) in fields {
                bands(inner, &format!("{path}/{name}"), found);
            }
        }
        Value::Array(items) => {
            for (place, inner) in items.iter().enumerate() {
                bands(inner, &format!("{path}/{place}"), found);
            }
        }
        _ => {}
    }
}

const POINTS: [&str; 5] = ["p025", "p10", "p50", "p90", "p975"];

/// One moment of a run: what the run shows and what its live feed says.
pub(crate) struct Moment {
    run: Value,
    message: Value,
}

impl Moment {
    pub(crate) fn of(server: &Running, id: &str) -> Self {
        let run = run(server, id);
        let message = server.follow(id, None).receive();
        assert_eq!(message.event, "knowledge");
        Self { run, message: message.data }
    }

    fn known(&self) -> &Value {
        &self.run["knowledge"]
    }

    /// What two places show is one number; gives how many pairs were looked at.
    pub(crate) fn check(&self) -> usize {
        let known = self.known();
        assert_eq!(*known, self.message["knowledge"], "the run and its feed");
        let mut pairs = 1;
        pairs += self.point_is_known() + self.sums_close() + self.ends_are_one() + self.bands();
        pairs += self.jars_hold_what_was_drawn() + self.channels_are_one() + self.end_is_one();
        pairs
    }

    fn same(&self, what: &str, one: &Value, other: &Value) -> usize {
        assert_eq!(one, other, "{what} at {} s", self.known()["time_s"]);
        1
    }

    fn point_is_known(&self) -> usize {
        let (known, point) = (self.known(), &self.message["point"]);
        if point.is_null() {
            return 0;
        }
        let pairs = [
            ("/time_s", "/time_s"),
            ("/litres", "/drawn/litres/at/p50"),
            ("/strength_vol", "/strength_now/at/p50"),
            ("/rise_k", "/rise/kelvin"),
        ];
        for (one, other) in pairs {
            self.same(one, at(point, one), at(known, other));
        }
        // The drawing's last column is a point that was sent.
        let columns = &self.run["readings"];
        let last = |name: &str| columns[name].as_array().and_then(|column| column.last().cloned());
        let mut drawn = 0;
        if last("time_s").as_ref() == Some(&point["time_s"]) {
            for (name, value) in point.as_object().expect("a point") {
                drawn += self.same(name, &last(name).unwrap_or_default(), value);
            }
        }
        pairs.len() + drawn
    }

    fn sums_close(&self) -> usize {
        let known = self.known();
        let middle = |name: &str| number(known, &format!("/account/{name}/p50"));
        let parts = ["drawn_l", "held_l", "lost_l", "left_l"].map(middle);
        let charged = middle("charged_l");
        assert!(near(parts.iter().sum(), charged), "{}", known["account"]);
        let believed =
            number(known, "/charge/litres/p50") * number(known, "/charge/strength_vol/p50") / 100.0;
        // More than was stated is believed only where jars hold it.
        assert!(near(charged, believed) || near(parts[3], 0.0), "{charged} of {believed}");
        let mut pairs = 2;
        if !known["drawn"].is_null() {
            let (drawn, account) =
                (at(known, "/drawn/pure_alcohol_l/at"), at(known, "/account/drawn_l"));
            pairs += self.same("pure alcohol drawn", drawn, account);
        }
        for spirit in ["drawn", "hearts"] {
            if known[spirit]["strength"].is_null() {
                continue;
            }
            let of = |field: &str| number(known, &format!("/{spirit}/{field}/at/p50"));
            let (pure, share) = (of("pure_alcohol_l"), of("strength") / 100.0);
            assert!(near(pure, of("litres") * share), "{spirit}: {}", known[spirit]);
            pairs += 1;
        }
        if !known["hearts"].is_null() {
            let of = |path: &str| number(known, path);
            for field in ["litres", "pure_alcohol_l"] {
                let (hearts, all) =
                    (of(&format!("/hearts/{field}/at/p50")), of(&format!("/drawn/{field}/at/p50")));
                assert!(hearts <= all + ROUNDING, "{field}: {hearts} of {all}");
                pairs += 1;
            }
        }
        if !known["hearts_in_all_l"].is_null() {
            let of = |path: &str| at(known, path).as_f64().unwrap_or(0.0);
            let sum = of("/hearts/litres/at/p50") + of("/hearts_to_come_l/at/p50");
            assert!(near(sum, number(known, "/hearts_in_all_l/at/p50")), "hearts in all: {known}");
            pairs += 1;
        }
        pairs
    }

    /// The sentence, the strip and the instruction tell of the same moments.
    fn ends_are_one(&self) -> usize {
        let known = self.known();
        let ends = known["ends"].as_array().expect("a list");
        let middles: Vec<f64> = ends.iter().map(|end| number(end, "/at/p50")).collect();
        assert!(middles.is_sorted(), "in order of time: {middles:?}");
        let now_s = number(known, "/time_s");
        assert!(middles.iter().all(|at_s| *at_s >= now_s), "to come at {now_s}: {middles:?}");
        let steps: Vec<&Value> =
            ends.iter().map(|end| &end["step_index"]).filter(|index| !index.is_null()).collect();
        assert!(steps.iter().enumerate().all(|(place, one)| !steps[..place].contains(one)));
        let instruction = &known["instruction"];
        let told = ["jar_change", "coolant_on"].iter().any(|code| instruction["code"] == *code);
        if !told && !at(instruction, "/due").is_null() {
            let of = ends.iter().any(|end| end["at"] == instruction["due"]);
            assert!(of, "no end is due then: {instruction} of {ends:?}");
        }
        2
    }

    fn bands(&self) -> usize {
        let mut found = Vec::new();
        bands(self.known(), "", &mut found);
        for (path, band) in &found {
            let points = POINTS.map(|point| number(band, &format!("/{point}")));
            assert!(points.is_sorted(), "{path}: {band}");
            let least = if path.starts_with("/rise") { f64::MIN } else { 0.0 };
            assert!(points[0] >= least, "{path}: {band}");
        }
        found.len()
    }

    fn jars_hold_what_was_drawn(&self) -> usize {
        let known = self.known();
        let jars = known["jars"].as_array().expect("a list");
        let there = jars.iter().filter(|jar| jar["status"] != "expected");
        let (count, ml) =
            there.fold((0, 0.0), |(n, ml), jar| (n + 1, ml + number(jar, "/volume_ml")));
        if count == 0 {
            return 0;
        }
        let drawn_ml = 1000.0 * number(known, "/drawn/litres/at/p50");
        assert!((ml - drawn_ml).abs() < 0.1, "{ml} mL in jars of {drawn_ml} mL: {jars:?}");
        1
    }

    fn channels_are_one(&self) -> usize {
        let (known, point) = (self.known(), &self.message["point"]);
        let mut pairs = 0;
        for channel in known["channels"].as_array().expect("a list") {
            let name = channel["name"].as_str().expect("a name");
            let good = channel["quality"] == "good";
            if good && !point.is_null() && ["head_c", "pot_c"].contains(&name) {
                pairs += self.same(name, &channel["value"], &point[name]);
            }
            // What a person just did is newer than the last reading of the meter.
            let read_s = number(known, "/time_s") - channel["age_s"].as_f64().unwrap_or(0.0);
            let acts = self.run["actions"].as_array().expect("a list").iter();
            let coolant = acts.filter(|act| act["action"] == "coolant");
            let newer = coolant.filter_map(|act| act["time_s"].as_f64()).all(|at| read_s > at);
            if good && newer && name == "coolant_l_per_min" {
                pairs += self.same(name, &channel["value"], &known["coolant_l_per_min"]);
            }
        }
        pairs
    }

    fn end_is_one(&self) -> usize {
        let known = self.known();
        let mut pairs = self.same("the end", &self.run["ended"], &known["end"]);
        if known["end"].is_null() {
            return pairs;
        }
        assert_eq!((&known["state"], &known["ends"]), (&json!("ended"), &json!([])));
        assert!(known["instruction"].is_null(), "{}", known["instruction"]);
        for (end, drawn) in [
            ("/litres_20c", "/drawn/litres/at/p50"),
            ("/pure_alcohol_l", "/drawn/pure_alcohol_l/at/p50"),
            ("/pure_alcohol_l", "/account/drawn_l/p50"),
        ] {
            pairs += self.same(end, at(&known["end"], end), at(known, drawn));
        }
        pairs
    }
}

/// Rows of a rehearsed run, as a still and a person would send them.
fn rehearsed(plan: &still::plan::RunPlan) -> RecordedRun {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut all = RecordedRun::default();
    let rows = &mut |rows: &RecordedRun| all.append(rows.clone());
    rehearse::rehearse_as(plan, 7, options, &mut |_, _| {}, rows).expect("a whole run");
    all
}

fn ok(server: &Running, path: &str, ask: &Value) {
    let answer = server.post(path, ask);
    assert_eq!(answer.status, 200, "{path} {ask}: {answer:?}");
}

/// Sends the rows of the time until `until_s`.
fn send(server: &Running, id: &str, rows: &RecordedRun, until_s: f64) {
    let due = |time_s: f64| {
        time_s > until_s - f64::from(LOOK_EVERY_S) && time_s <= until_s && time_s > 0.0
    };
    let readings = rows.readings.iter().filter(|row| due(row.0));
    let sent: Vec<Value> = readings
        .map(|(time_s, reading)| {
            let cells = reading.iter().map(|(probe, value)| (probe.column().into(), value.into()));
            let mut row: serde_json::Map<String, Value> = cells.collect();
            row.insert("time_s".to_owned(), json!(time_s));
            Value::Object(row)
        })
        .collect();
    if !sent.is_empty() {
        ok(server, &format!("/api/runs/{id}/readings"), &json!({"rows": sent}));
    }
    let run_over = || !run(server, id)["ended"].is_null();
    for (time_s, action) in rows.actions.iter().filter(|row| due(row.0)) {
        let mut ask = serde_json::to_value(ActionRow::from(action)).expect("a row is plain data");
        (ask["time_s"], ask["sure"]) = (json!(time_s), json!(true));
        let answer = server.post(&format!("/api/runs/{id}/actions"), &ask);
        assert!(answer.status == 200 || run_over(), "{ask}: {answer:?}");
    }
    for jar in rows.jars.iter().filter(|jar| due(jar.end_s)) {
        let mut ask = serde_json::to_value(JarRow::new(jar)).expect("a row is plain data");
        ask["sure"] = json!(true);
        ok(server, &format!("/api/runs/{id}/jars"), &ask);
    }
}

#[test]
fn every_number_that_two_places_show_is_the_same_number() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let id = real_run(&server);
    let plan = Store::open_read_only(folder.path()).unwrap().run(&RunId::new(&id)).unwrap().plan;
    let rows = rehearsed(&plan);
    let mut states: Vec<(String, usize)> = Vec::new();
    let (mut pairs, mut looks) = (0, 0);
    let over_s = rows.last_s() + 2.0 * f64::from(LOOK_EVERY_S);
    for look in (1..).take_while(|look| f64::from(look * LOOK_EVERY_S) <= over_s) {
        server.pass_ms(1000 * i64::from(LOOK_EVERY_S));
        send(&server, &id, &rows, f64::from(look * LOOK_EVERY_S));
        let moment = Moment::of(&server, &id);
        pairs += moment.check();
        looks += 1;
        let state = moment.known()["state"].as_str().expect("a state").to_owned();
        match states.last_mut().filter(|(last, _)| *last == state) {
            Some((_, count)) => *count += 1,
            None => states.push((state, 1)),
        }
    }
    let names: Vec<&str> = states.iter().map(|(state, _)| state.as_str()).collect();
    let last = *names.last().expect("looks");
    assert!(names.len() >= 5 && pairs > 10 * looks, "{states:?}");
    if last != "ended" {
        ok(&server, &format!("/api/runs/{id}/end"), &json!({}));
    }
    Moment::of(&server, &id).check();
    let listed = &server.get("/api/runs").json()[0];
    assert_eq!((&listed["ended"], &listed["litres"]), (&json!(true), &json!(plan.charge.litres)));
}

#[test]
fn before_heat_the_run_shows_the_forecast_of_its_plan_and_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let plan = plan(&server);
    let forecast = server.post("/api/forecast", &json!({"plan": plan})).json();
    let begin = json!({"plan": plan, "mode": "real"});
    let id = server.post("/api/runs", &begin).json()["id"].as_str().unwrap().to_owned();
    let moment = Moment::of(&server, &id);
    moment.check();
    let (run, known) = (&moment.run, moment.known());
    assert_eq!(run["forecast"], forecast);
    assert_eq!(known["jars"], forecast["jars"]);
    assert_eq!(at(known, "/charge/litres/p50"), at(&plan, "/charge/litres"));
    assert_eq!(at(known, "/charge/strength_vol/p50"), at(&plan, "/charge/strength_vol"));
    let steps = forecast["steps"].as_array().unwrap();
    let ends = known["ends"].as_array().unwrap();
    let mut found = 0;
    for end in ends.iter().filter(|end| !end["step_index"].is_null()) {
        let index = usize::try_from(end["step_index"].as_u64().unwrap()).unwrap();
        let step = &steps[index];
        let (told_s, forecast_s) = (number(end, "/at/p50"), number(step, "/end_s"));
        assert!(near(told_s, forecast_s), "{}: {told_s} s and {forecast_s} s", end["words"]);
        found += 1;
    }
    assert_eq!(found, steps.len(), "every step of the table stands on the strip: {ends:?}");
    // What hearts there should be is told by the forecast alone until there is heat.
    assert_eq!((&known["hearts_in_all_l"], &known["hearts"]), (&Value::Null, &Value::Null));
}

/// All names of fields in a document, in small letters.
fn walk(value: &Value, names: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (name, inner) in fields {
                names.push(name.to_lowercase());
                walk(inner, names);
            }
        }
        Value::Array(items) => items.iter().for_each(|inner| walk(inner, names)),
        _ => {}
    }
}

#[test]
fn no_second_answer_stands_in_the_document() {
    let folder = tempfile::tempdir().unwrap();
    let server = start(folder.path());
    let document = server.get("/api/openapi.json").json();
    let mut names = Vec::new();
    walk(&document, &mut names);
    assert!(names.contains(&"knowledge".to_owned()));
    for second in ["outlook", "advice", "agreed"] {
        let found: Vec<&String> = names.iter().filter(|name| name.contains(second)).collect();
        assert!(found.is_empty(), "{found:?}");
    }
}
