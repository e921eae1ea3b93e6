//! A real run on a server: begun with the hours before, read, looked at.

use std::thread::sleep;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use sense::{Action, Reading};
use serde_json::{Map, Value, json};
use store::rows::ActionRow;

use crate::past::Past;
use crate::served::Served;

/// Rows sent at once, fewer than the server takes.
const ROWS_MAX: usize = 2000;
/// Between two readings of a live probe.
pub(crate) const SECOND: Duration = Duration::from_secs(1);

/// A real run and when its heater came on.
pub(crate) struct Run {
    pub(crate) id: String,
    /// When it was begun here, and how far it was then, s.
    began: (Instant, f64),
}

/// The cells of a row as a feeder sends them.
pub(crate) fn cells(reading: &Reading) -> Map<String, Value> {
    reading.iter().map(|(probe, value)| (probe.column().to_owned(), json!(value))).collect()
}

impl Run {
    /// Begins a real run that has had that past, whose last row was so long ago: first what was
    /// done, then what was read, so that the server goes through it once with all it should know.
    pub(crate) fn begin(served: &Served, past: &Past, ago_s: f64) -> Self {
        let ask = json!({"plan": past.plan, "mode": "real"});
        let id = served.post("/api/runs", &ask)["id"].as_str().expect("an id").to_owned();
        let ago_s = past.rows.last_s() + ago_s;
        let mut run = Self { id, began: (Instant::now(), ago_s) };
        for (place, (time_s, action)) in past.rows.actions.iter().enumerate() {
            run.act_at(served, *time_s, action, (place == 0).then_some(ago_s));
            if place == 0 {
                // The server says when that was: it may have been busy when it was asked.
                let started_ms = run.shown(served)["started_ms"].as_f64().expect("it has begun");
                let now = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970");
                run.began = (Instant::now(), now.as_secs_f64() - started_ms / 1000.0);
            }
        }
        for rows in past.rows.readings.chunks(ROWS_MAX) {
            let rows: Vec<Value> = rows
                .iter()
                .map(|(time_s, reading)| {
                    let mut row = cells(reading);
                    row.insert("time_s".to_owned(), json!(time_s));
                    Value::Object(row)
                })
                .collect();
            run.post(served, "readings", &json!({ "rows": rows }));
        }
        run
    }

    fn act_at(&self, served: &Served, time_s: f64, action: &Action, ago_s: Option<f64>) {
        let ActionRow { action, value, unit, note } = ActionRow::from(action);
        let mut ask = json!({"action": action, "unit": unit, "note": note, "sure": true});
        if let Some(value) = value {
            ask["value"] = json!(value);
        }
        match ago_s {
            Some(ago_s) => ask["ago_s"] = json!(ago_s),
            None => ask["time_s"] = json!(time_s),
        }
        self.post(served, "actions", &ask);
    }

    pub(crate) fn post(&self, served: &Served, what: &str, ask: &Value) -> Value {
        served.post(&format!("/api/runs/{}/{what}", self.id), ask)
    }

    /// A row as read now.
    pub(crate) fn read(&self, served: &Served, cells: &Value) {
        self.post(served, "readings", &json!({ "rows": [cells] }));
    }

    /// The whole of the run as the server shows it.
    pub(crate) fn shown(&self, served: &Served) -> Value {
        served.get(&format!("/api/runs/{}", self.id))
    }

    /// What has truly passed since heater on, s.
    pub(crate) fn passed_s(&self) -> f64 {
        self.began.1 + self.began.0.elapsed().as_secs_f64()
    }
}

/// Calls `each` at every second until it says that it is done; whether it did in time.
pub(crate) fn every_second(seconds: u32, mut each: impl FnMut(u32) -> bool) -> bool {
    let began = Instant::now();
    for second in 0..seconds {
        if each(second) {
            return true;
        }
        sleep((SECOND * (second + 1)).saturating_sub(began.elapsed()));
    }
    false
}

/// Run time of what is known, s.
pub(crate) fn time_s(shown: &Value) -> f64 {
    shown["knowledge"]["time_s"].as_f64().expect("a time")
}

/// Whether an alarm of that code stands.
pub(crate) fn alarm(shown: &Value, code: &str) -> bool {
    codes(&shown["knowledge"]["alarms"]).any(|stands| stands == code)
}

/// The codes in a list of events.
pub(crate) fn codes(list: &Value) -> impl Iterator<Item = &str> {
    list.as_array().expect("a list").iter().map(|event| event["code"].as_str().expect("a code"))
}

/// A channel of what is known.
pub(crate) fn channel<'a>(shown: &'a Value, name: &str) -> &'a Value {
    let channels = shown["knowledge"]["channels"].as_array().expect("a list");
    channels.iter().find(|channel| channel["name"] == name).expect("every channel is shown")
}
