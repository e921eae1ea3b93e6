//! A probe that came off hides no lost coolant: a head that reads the room is a bad sensor, not the end
//! of the vapour.

use serde_json::{Value, json};

use crate::common::{Running, start};
use crate::runs::run;

/// Time between two rows, ms.
const BETWEEN_MS: i64 = 5000;
/// Longest from the lost coolant to the alarm, s.
const ALARM_MAX_S: f64 = 60.0;

/// The alarm.
const LOST: &str = "coolant_loss";

/// A still at the boil, and what its probes show by now.
struct Boiling {
    server: Running,
    id: String,
    head_c: f64,
    l_per_min: f64,
    out_c: f64,
    /// Whether anything is read of the coolant.
    watched: bool,
    _folder: tempfile::TempDir,
}

impl Boiling {
    /// A real run on an example still of that kind, ten minutes in its hearts.
    fn of(kind: &str) -> Self {
        Self::under(kind, 78.3)
    }

    /// The same, its head thermometer so hot at most.
    fn under(kind: &str, hottest_c: f64) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let server = start(folder.path());
        let house = server.get("/api/house").json();
        let plans = house["example"]["plans"].as_array().expect("a list");
        let of_kind = |plan: &&Value| plan["still"]["kind"] == kind;
        let mut plan = plans.iter().find(of_kind).expect("a plan of that kind").clone();
        plan.as_object_mut().expect("an object").remove("id");
        let ask = json!({"plan": plan, "mode": "real", "started": true});
        let answer = server.post("/api/runs", &ask);
        assert_eq!(answer.status, 201, "{answer:?}");
        let id = answer.json()["id"].as_str().expect("a text").to_owned();
        let mut still = Self {
            server,
            id,
            head_c: 20.0,
            l_per_min: 1.5,
            out_c: 40.0,
            watched: true,
            _folder: folder,
        };
        still.ok("actions", &json!({"action": "coolant", "value": 1.5, "unit": "l_per_min"}));
        still.minutes(1);
        still.head_c = hottest_c;
        still.minutes(1);
        let steps = plan["step"].as_array().expect("a list");
        let hearts = steps.iter().position(|step| step["do"] == "hearts").expect("hearts");
        for step in 1..=hearts {
            still.ok("begin", &json!({"step": step, "after": step - 1}));
            still.minutes(1);
        }
        still.minutes(9);
        still
    }

    fn ok(&self, what: &str, ask: &Value) {
        let answer = self.server.post(&format!("/api/runs/{}/{what}", self.id), ask);
        assert_eq!(answer.status, 200, "{what} {ask}: {answer:?}");
    }

    fn row(&self) {
        self.server.pass_ms(BETWEEN_MS);
        let mut row = json!({"head_c": self.head_c, "pot_c": 92.0});
        if self.watched {
            row["coolant_in_c"] = json!(12.0);
            row["coolant_out_c"] = json!(self.out_c);
            row["coolant_l_per_min"] = json!(self.l_per_min);
        }
        self.ok("readings", &json!({"rows": [row]}));
    }

    fn minutes(&self, minutes: u32) {
        for _ in 0..12 * minutes {
            self.row();
        }
    }

    fn known(&self) -> Value {
        run(&self.server, &self.id)["knowledge"].clone()
    }

    fn alarms(&self) -> Vec<String> {
        let known = self.known();
        let alarms = known["alarms"].as_array().expect("a list");
        alarms.iter().map(|alarm| alarm["code"].as_str().expect("a text").to_owned()).collect()
    }

    /// Takes the probe off, then the coolant away; the alarm must come within a minute.
    fn lose_probe_then_coolant(&mut self) {
        assert!(!self.alarms().contains(&LOST.to_owned()), "all is well: {:?}", self.alarms());
        self.head_c = 20.0;
        self.minutes(3);
        let known = self.known();
        let channels = known["channels"].as_array().expect("a list");
        let head = channels.iter().find(|channel| channel["name"] == "head_c").expect("the head");
        assert_eq!(head["quality"], "bad", "a fall of 58 K under heat is no cooling: {head}");
        self.lose_coolant();
    }

    fn lose_coolant(&mut self) {
        let lost = LOST.to_owned();
        assert!(!self.alarms().contains(&lost), "the coolant still runs: {:?}", self.alarms());
        (self.l_per_min, self.out_c) = (0.0, 80.0);
        let since_s = self.known()["time_s"].as_f64().expect("a time");
        while !self.alarms().contains(&lost) {
            let now_s = self.known()["time_s"].as_f64().expect("a time");
            assert!(now_s - since_s < ALARM_MAX_S, "no alarm: {:?}", self.alarms());
            self.row();
        }
    }
}

#[test]
fn a_probe_that_came_off_a_column_hides_no_lost_coolant() {
    Boiling::of("column").lose_probe_then_coolant();
}

#[test]
fn a_probe_that_came_off_a_pot_hides_no_lost_coolant() {
    Boiling::of("pot").lose_probe_then_coolant();
}

#[test]
fn the_outlet_alone_shows_lost_coolant_while_the_probe_is_off() {
    for kind in ["column", "pot"] {
        let mut still = Boiling::of(kind);
        still.head_c = 20.0;
        still.minutes(3);
        // A flow meter that goes on counting: air in the hose, or a stuck wheel.
        still.out_c = 80.0;
        still.minutes(1);
        assert!(still.alarms().contains(&LOST.to_owned()), "{kind}: {:?}", still.alarms());
    }
}

/// The person has begun to draw: there is vapour, whatever the head says.
#[test]
fn a_head_that_never_stood_in_vapour_hides_no_lost_coolant() {
    for kind in ["column", "pot"] {
        Boiling::under(kind, 20.0).lose_coolant();
    }
}

#[test]
fn an_outlet_that_grows_hot_is_told_before_a_minute_of_it_is_hot() {
    for kind in ["column", "pot"] {
        let mut still = Boiling::of(kind);
        // Water that stands under 1800 W; the flow meter goes on counting.
        while still.out_c <= 65.0 {
            still.out_c += 6.0;
            still.row();
        }
        still.row();
        still.row();
        assert!(still.alarms().contains(&LOST.to_owned()), "{kind}: {:?}", still.alarms());
    }
}

#[test]
fn where_no_probe_would_show_lost_coolant_that_is_said() {
    for kind in ["column", "pot"] {
        let mut still = Boiling::of(kind);
        let said = |still: &Boiling| {
            let known = still.known();
            let unknown = known["unknown"].as_array().expect("a list");
            unknown.iter().any(|item| item["what"] == "coolant")
        };
        assert!(!said(&still), "{kind}: flow and outlet are read");
        still.watched = false;
        still.minutes(1);
        assert!(said(&still), "{kind}: {}", still.known()["unknown"]);
        still.head_c = 20.0;
        still.minutes(1);
        assert!(said(&still), "{kind}, its head off: {}", still.known()["unknown"]);
    }
}
