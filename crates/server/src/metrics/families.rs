//! Which families there are, and what of runs and feeds stands in them.

use advise::{Channel, ChannelState, Knowledge};
use quantities::Band;
use sense::Probe;

use super::Families;
use crate::feeding::{StillView, View};
use crate::session::Known;
use crate::wire::event::PriorityWire;
use crate::wire::knowledge::{QualityWire, StateWire, WhatWire};
use crate::wire::twin::{Twin, word};

/// Units of channels: what the format calls them, and by what a value is multiplied. Base units
/// where the format has one.
const UNITS: [(&str, &str, f64); 9] = [
    ("°C", "celsius", 1.0),
    ("hPa", "pascals", 100.0),
    ("kPa", "pascals", 1000.0),
    ("L/min", "litres_per_minute", 1.0),
    ("W", "watts", 1.0),
    ("kg", "grams", 1000.0),
    ("%", "ratio", 0.01),
    ("% LEL", "ratio", 0.01),
    ("ppm", "ratio", 1.0e-6),
];

/// Everything that is known of these runs and feeds.
pub(crate) fn text(known: &[Known], feeds: &View) -> String {
    let mut families = Families::default();
    families.info(("middlecut_build", "The program."), &[("version", env!("CARGO_PKG_VERSION"))]);
    for known in known {
        run(&mut families, known);
    }
    for still in &feeds.stills {
        fed(&mut families, still);
    }
    families.into_text()
}

fn run(families: &mut Families, known: &Known) {
    let knowledge = &known.knowledge;
    let of = [("still", known.still.as_str()), ("run", known.run.as_str())];
    let states: Vec<String> = StateWire::ALL.iter().map(word).collect();
    let state = word(&knowledge.state.twin());
    families.state(("middlecut_run_state", "State of the run."), &of, &states, &state);
    let time = ("middlecut_run_time_seconds", "seconds", "Run time of what is told here.");
    families.gauge(time, &of, knowledge.time_s);
    let rows = ("middlecut_run_rows", "", "Rows of readings, acts and jars that the run has.");
    families.gauge(rows, &of, known.rows as f64);
    for channel in &knowledge.channels {
        read(families, &of, channel);
    }
    to_come(families, &of, known);
    alarms(families, &of, knowledge);
    let left = "Time until the attendant counts as absent.";
    let left = ("middlecut_attendant_left_seconds", "seconds", left);
    families.gauge(left, &of, knowledge.attendant_left_s);
}

/// A channel. A value that is old, missing or cannot be true is not there: only how old it is.
fn read(families: &mut Families, of: &[(&str, &str)], channel: &Channel) {
    let of = [of, &[("channel", channel.name)]].concat();
    let qualities: Vec<String> = QualityWire::ALL.iter().map(word).collect();
    let quality = word(&channel.quality.twin());
    let how = ("middlecut_channel_quality", "How far what the channel reads can be trusted.");
    families.state(how, &of, &qualities, &quality);
    if let Some(age_s) = channel.age_s {
        let age = ("middlecut_channel_age_seconds", "seconds", "Age of its last reading.");
        families.gauge(age, &of, age_s);
    }
    let believed = matches!(channel.quality, ChannelState::Good | ChannelState::Doubtful);
    let unit = Probe::of_column(channel.name).map(Probe::unit);
    let unit = UNITS.iter().find(|(of_probe, ..)| Some(*of_probe) == unit);
    if let (Some(value), Some((_, unit, factor)), true) = (channel.value, unit, believed) {
        let name = format!("middlecut_reading_{unit}");
        families.gauge((&name, unit, "What the channel reads now."), &of, value * factor);
    }
}

/// What is foreseen, each with its range.
fn to_come(families: &mut Families, of: &[(&str, &str)], known: &Known) {
    let knowledge = &known.knowledge;
    if let (Some(end), Some(started_ms)) = (knowledge.ends.first(), known.started_ms) {
        let what: WhatWire = end.what.twin();
        let (what, from) = (word(&what), word(&end.evidence.twin()));
        let of = [of, &[("what", what.as_str()), ("evidence", from.as_str())]].concat();
        let help = "When what comes next should come, since 1970 UTC.";
        let next = ("middlecut_next_end_timestamp_seconds", "seconds", help);
        band(families, next, &of, end.at, |time_s| started_ms as f64 / 1000.0 + time_s);
    }
    if let Some(hearts) = &knowledge.hearts_in_all_l {
        let help = "Hearts in all at 20 °C, those to come included.";
        band(families, ("middlecut_hearts_litres", "litres", help), of, hearts.at, |l| l);
    }
    if let Some(drawn) = &knowledge.drawn {
        let help = "Everything drawn, at 20 °C.";
        band(families, ("middlecut_drawn_litres", "litres", help), of, drawn.litres.at, |l| l);
    }
    if let Some(strength) = &knowledge.strength_now {
        let help = "Strength of what runs now, by volume at 20 °C.";
        let strong = ("middlecut_strength_ratio", "ratio", help);
        band(families, strong, of, strength.at, |vol| vol / 100.0);
    }
    if let Some(rise) = &knowledge.rise {
        let help = "Head over this run's plateau.";
        families.gauge(("middlecut_rise_kelvin", "kelvin", help), of, rise.kelvin);
    }
}

fn band(
    families: &mut Families,
    name: (&'static str, &'static str, &'static str),
    of: &[(&str, &str)],
    band: Band,
    as_told: impl Fn(f64) -> f64,
) {
    let Band { p025, p10, p50, p90, p975 } = band;
    for (share, value) in [("2.5", p025), ("10", p10), ("50", p50), ("90", p90), ("97.5", p975)] {
        families.gauge(name, &[of, &[("percentile", share)]].concat(), as_told(value));
    }
}

fn alarms(families: &mut Families, of: &[(&str, &str)], knowledge: &Knowledge) {
    for priority in PriorityWire::ALL {
        let stand = knowledge.alarms.iter().filter(|alarm| alarm.priority.twin() == *priority);
        let name = ("middlecut_alarms", "", "Alarms that stand.");
        let priority = word(priority);
        let of = [of, &[("priority", priority.as_str())]].concat();
        families.gauge(name, &of, stand.count() as f64);
    }
    for alarm in &knowledge.alarms {
        let seen = knowledge.seen.iter().any(|code| code == alarm.code);
        let (priority, seen) = (word(&alarm.priority.twin()), seen.to_string());
        let of =
            [of, &[("code", alarm.code), ("priority", priority.as_str()), ("seen", seen.as_str())]]
                .concat();
        families.gauge(("middlecut_alarm_stands", "", "An alarm that stands."), &of, 1.0);
    }
}

/// What feeds read.
fn fed(families: &mut Families, view: &StillView) {
    let of = [(view.still.whose.word(), view.still.name.as_str())];
    let rows = (
        "middlecut_feed_rows",
        "Rows that feeds put into runs and washes since the program began.",
    );
    families.counter(rows, &of, view.rows as f64);
    for say in &view.says {
        let source = view.still.sources[say.source].name.as_str();
        let of = [&of[..], &[("channel", say.probe.column()), ("source", source)]].concat();
        let speaks = ("middlecut_feed_speaks", "", "Whether the source speaks for the channel.");
        families.gauge(speaks, &of, f64::from(u8::from(say.speaks)));
        if let Some(age_s) = say.age_s {
            let age = "Age of what the source sent last.";
            families.gauge(("middlecut_feed_age_seconds", "seconds", age), &of, age_s);
        }
    }
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::UNITS;

    #[test]
    fn every_channel_has_a_unit_of_the_format() {
        for probe in Probe::ALL {
            assert!(UNITS.iter().any(|(unit, ..)| *unit == probe.unit()), "{probe:?}");
        }
    }
}
