//! An estimate as one flat JSON object: the columns of a forecast file first, then all the rest.

use estimate::EndForecast;
use quantities::Band;
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::estimated::Estimated;

/// Endings of the names of five quantiles.
const LEVELS: [&str; 5] = ["p025", "p10", "p50", "p90", "p975"];
/// Decimals: times to 0.1 s, litres to 0.1 mL, strengths to 0.01 % vol.
const TENTHS: f64 = 10.0;
const HUNDREDTHS: f64 = 100.0;
const THOUSANDTHS: f64 = 1e3;
const TENTHS_OF_ML: f64 = 1e4;

/// Names and values in the order in which they are written.
pub(super) struct Wire(Vec<(String, Value)>);

impl Serialize for Wire {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

impl Wire {
    /// Everything the outlook says.
    pub(super) fn new(estimated: &Estimated<'_>) -> Self {
        let outlook = estimated.outlook;
        let mut wire = Self(Vec::new());
        wire.word("run", json!(estimated.run));
        wire.word("at_fraction", json!(estimated.moment.at_fraction));
        wire.word("made_at_s", json!(outlook.made_at_s));
        wire.end("", outlook.end);
        let strength = outlook.strength_now;
        wire.number("strength_now", strength.p50, HUNDREDTHS);
        wire.number("strength_p10", strength.p10, HUNDREDTHS);
        wire.number("strength_p90", strength.p90, HUNDREDTHS);
        wire.number("charge_strength_vol", outlook.charge_strength_vol.p50, THOUSANDTHS);
        wire.number("charge_litres", outlook.charge_litres.p50, THOUSANDTHS);
        wire.word("fault", json!(outlook.named_fault()));
        wire.end("plan_", outlook.plan_end);
        wire.five("step_end", outlook.step_end_s, TENTHS);
        wire.five("litres_to_come", outlook.litres_to_come, TENTHS_OF_ML);
        wire.five("strength_now", Some(strength), HUNDREDTHS);
        wire.five("strength_so_far", outlook.strength_so_far, HUNDREDTHS);
        wire.five("pot_alcohol", Some(outlook.pot_alcohol_l), TENTHS_OF_ML);
        wire.five("jars_needed", outlook.jars_needed, HUNDREDTHS);
        wire.five("stop", outlook.stop_s, TENTHS);
        wire.five("charge_litres", Some(outlook.charge_litres), THOUSANDTHS);
        wire.five("charge_strength", Some(outlook.charge_strength_vol), THOUSANDTHS);
        wire.word("untrusted", json!(outlook.untrusted));
        wire.word("faults", json!(outlook.faults));
        wire.word("evidence", json!(outlook.evidence));
        wire.word("would_help", json!(outlook.would_help));
        wire.word("title", json!(estimated.title));
        wire.word("recorded_until_s", json!(estimated.recorded_s));
        wire.word("learned_runs", json!(estimated.learned_runs));
        wire
    }

    fn word(&mut self, name: &str, value: Value) {
        self.0.push((name.to_owned(), value));
    }

    fn number(&mut self, name: &str, value: f64, per_unit: f64) {
        self.word(name, json!((value * per_unit).round() / per_unit));
    }

    /// An end of the hearts: when, how much, and how strong all of it.
    fn end(&mut self, before: &str, end: Option<EndForecast>) {
        self.five(&format!("{before}end"), end.map(|end| end.time_s), TENTHS);
        self.five(&format!("{before}litres"), end.map(|end| end.litres), TENTHS_OF_ML);
        self.five(&format!("{before}hearts_strength"), end.map(|end| end.strength_vol), HUNDREDTHS);
    }

    /// Five quantiles under five names; nothing, but the names, where there are none.
    fn five(&mut self, name: &str, quantiles: Option<Band>, per_unit: f64) {
        let values = quantiles.map(Band::to_array);
        for (at, level) in LEVELS.into_iter().enumerate() {
            let name = format!("{name}_{level}");
            match values {
                Some(values) => self.number(&name, values[at], per_unit),
                None => self.word(&name, Value::Null),
            }
        }
    }
}
