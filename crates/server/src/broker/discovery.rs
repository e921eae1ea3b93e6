//! What is announced to hubs of home automation, so that they show a still by themselves.
//!
//! Follows "MQTT Discovery" as the documentation of Home Assistant describes it (MQTT integration,
//! discovery messages and the pages of the sensor and binary sensor; from memory), which other hubs
//! read too. Only what can be read is announced: no topic is listened to.

use serde_json::{Value, json};

use super::told::{ALARM, ALARMS, FORECAST, Messages, RUN, STATE, json as text, part_of};
use crate::wire::knowledge::StateWire;

/// What is told so long ago is not shown as known any more, s: three times what it is told again
/// after.
pub(super) const EXPIRE_S: u32 = 90;

/// One thing a hub shows.
struct Shown {
    /// `sensor` or `binary_sensor`.
    component: &'static str,
    id: &'static str,
    name: &'static str,
    /// Last part of the topic it reads.
    part: &'static str,
    /// What it reads there, where that is not all of it.
    field: Option<&'static str>,
    class: Option<&'static str>,
    unit: Option<&'static str>,
    /// Last part of the topic that holds more about it.
    more: Option<&'static str>,
}

const fn shown(id: &'static str, name: &'static str, part: &'static str) -> Shown {
    let (field, class, unit, more) = (None, None, None, None);
    Shown { component: "sensor", id, name, part, field, class, unit, more }
}

const fn moment(id: &'static str, name: &'static str, field: &'static str) -> Shown {
    let of = shown(id, name, FORECAST);
    Shown { field: Some(field), class: Some("timestamp"), ..of }
}

const fn litres(id: &'static str, name: &'static str, field: &'static str) -> Shown {
    Shown { field: Some(field), unit: Some("L"), ..shown(id, name, FORECAST) }
}

/// Everything that is announced of a still.
const ALL: [Shown; 11] = [
    Shown { class: Some("enum"), more: Some(RUN), ..shown("state", "State", STATE) },
    Shown { field: Some("headline"), ..shown("headline", "In words", RUN) },
    Shown { field: Some("next_words"), ..shown("next", "What comes", FORECAST) },
    moment("next_at", "Comes at", "next_at"),
    moment("next_low", "Comes at the earliest (4 in 5)", "next_low"),
    moment("next_high", "Comes at the latest (4 in 5)", "next_high"),
    litres("hearts", "Hearts in all", "hearts_l"),
    litres("hearts_low", "Hearts in all, at least (4 in 5)", "hearts_low_l"),
    litres("hearts_high", "Hearts in all, at most (4 in 5)", "hearts_high_l"),
    Shown { field: Some("first"), ..shown("first_alarm", "First alarm", ALARMS) },
    Shown {
        component: "binary_sensor",
        class: Some("problem"),
        more: Some(ALARMS),
        ..shown("alarm", "Alarm stands", ALARM)
    },
];

/// The announcements of a still. `root` is what all topics begin with.
pub(super) fn messages(prefix: &str, root: &str, still: &str) -> Messages {
    let part = part_of(still);
    let letters = |sign: char| if sign.is_ascii_alphanumeric() { sign } else { '_' };
    let node: String = format!("{root}_{part}").chars().map(letters).collect();
    let announce = |shown: &Shown| {
        let Shown { component, id, .. } = shown;
        let topic = format!("{prefix}/{component}/{node}/{id}/config");
        (topic, text(&config(shown, root, still, &node)))
    };
    ALL.iter().map(announce).collect()
}

fn config(shown: &Shown, root: &str, still: &str, node: &str) -> Value {
    let topic = |part: &str| format!("{root}/{}/{part}", part_of(still));
    let mut config = json!({
        "name": shown.name,
        "unique_id": format!("{node}_{}", shown.id),
        "object_id": format!("{node}_{}", shown.id),
        "state_topic": topic(shown.part),
        "availability_topic": format!("{root}/{AVAILABILITY}"),
        "payload_available": HERE,
        "payload_not_available": GONE,
        "expire_after": EXPIRE_S,
        "device": {
            "identifiers": [node],
            "name": still,
            "manufacturer": "Middlecut",
            "model": "Still, attended",
            "sw_version": env!("CARGO_PKG_VERSION"),
        },
        "origin": { "name": "Middlecut", "sw_version": env!("CARGO_PKG_VERSION") },
    });
    if let Some(field) = shown.field {
        config["value_template"] = json!(format!("{{{{ value_json.{field} }}}}"));
    }
    if let Some(class) = shown.class {
        config["device_class"] = json!(class);
    }
    if shown.class == Some("enum") {
        config["options"] = json!(StateWire::ALL);
    }
    if let Some(unit) = shown.unit {
        config["unit_of_measurement"] = json!(unit);
        config["state_class"] = json!("measurement");
    }
    if let Some(more) = shown.more {
        config["json_attributes_topic"] = json!(topic(more));
    }
    config
}

/// Last part of the topic that says whether the program is there, and what it says.
pub(super) const AVAILABILITY: &str = "availability";
/// See [`AVAILABILITY`].
pub(super) const HERE: &str = "online";
/// See [`AVAILABILITY`].
pub(super) const GONE: &str = "offline";

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::messages;
    use crate::broker::told::part_of;

    #[test]
    fn every_announcement_is_whole_and_takes_no_commands() {
        let all = messages("homeassistant", "shed/middlecut", "Brennblase süd");
        assert_eq!(all.len(), super::ALL.len(), "no two of one topic");
        for (topic, payload) in all {
            let levels: Vec<&str> = topic.split('/').collect();
            assert_eq!((levels.len(), levels[0], levels[4]), (5, "homeassistant", "config"));
            let allowed = |sign: char| sign.is_ascii_alphanumeric() || sign == '_' || sign == '-';
            assert!(levels[2].chars().all(allowed) && levels[3].chars().all(allowed), "{topic}");
            let config: Value = serde_json::from_str(&payload).expect("JSON");
            let keys = config.as_object().expect("an object");
            assert!(keys.keys().all(|key| !key.contains("command")), "{payload}");
            for key in ["name", "unique_id", "state_topic", "availability_topic", "device"] {
                assert!(keys.contains_key(key), "{key}: {payload}");
            }
            assert_eq!(
                config["state_topic"]
                    .as_str()
                    .map(|topic| topic.starts_with("shed/middlecut/brennblase-s-d-")),
                Some(true)
            );
        }
    }

    #[test]
    fn names_of_stills_are_told_apart() {
        assert_eq!(part_of("Shed column 2"), "shed-column-2");
        assert_ne!(part_of("Süd/1"), part_of("Süd#1"));
        assert!(part_of("+/#\0").chars().all(|sign| sign.is_ascii_alphanumeric() || sign == '-'));
    }
}
