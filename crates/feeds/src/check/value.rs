//! One value of a source of the file: where it stands, which channel it is, in what it counts.

use quantities::Unit;
use sense::Sensor;
use serde::Deserialize;

use super::rules::{Refused, channel, named, refused};
use crate::file::{At, LineShape, SourceKind, Wanted, Whose};
use crate::topic::filter_fault;
use crate::unit::{own_unit, unit_names, unit_of};

/// Largest scale and offset either way (judgement: they correct or convert, they invent nothing).
const CORRECTION_MAX: f64 = 1.0e6;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ValueTable {
    channel: String,
    topic: Option<String>,
    field: Option<String>,
    place: Option<u32>,
    unit: Option<String>,
    scale: Option<f64>,
    offset: Option<f64>,
}

impl ValueTable {
    pub(super) fn checked(
        self,
        key: &str,
        whose: Whose,
        kind: &SourceKind,
    ) -> Result<Wanted, Refused> {
        let probe = channel(&format!("{key}.channel"), whose, &self.channel)?;
        let topic = topic(key, kind, self.topic)?;
        let at = place(key, kind, self.field, self.place)?;
        let unit = unit(key, probe, self.unit.as_deref())?;
        let (scale, offset) = (self.scale.unwrap_or(1.0), self.offset.unwrap_or(0.0));
        for (name, value) in [("scale", scale), ("offset", offset)] {
            let nothing = name == "scale" && value == 0.0;
            if !(-CORRECTION_MAX..=CORRECTION_MAX).contains(&value) || nothing {
                let bound = format!("must lie from -{CORRECTION_MAX} to {CORRECTION_MAX}");
                let bound = if nothing { "must not be 0".to_owned() } else { bound };
                let hint = "value = (raw in the unit of the channel) x scale + offset";
                return Err(refused(format!("{key}.{name}"), &value, bound, hint));
            }
        }
        Ok(Wanted { probe, topic, at, unit, scale, offset })
    }
}

/// The topics of a value of a broker.
fn topic(key: &str, kind: &SourceKind, topic: Option<String>) -> Result<Option<String>, Refused> {
    let key = format!("{key}.topic");
    let by_broker = matches!(kind, SourceKind::Mqtt { .. });
    match topic {
        None if by_broker => {
            let hint = "the topic that the device writes to, as shed/box/head";
            Err(refused(key, "", "must be there for kind mqtt", hint))
        }
        Some(_) if !by_broker => {
            Err(refused(key, "", "must not be there but for kind mqtt", "leave the key out"))
        }
        Some(topic) => match filter_fault(&topic) {
            None => Ok(Some(topic)),
            Some(fault) => {
                let hint = "as shed/box/head; + stands for one level, # for all that follow";
                Err(refused(key, &format!("\"{}\"", topic.escape_debug()), fault, hint))
            }
        },
        None => Ok(None),
    }
}

/// Where a value stands in what a source of that kind says.
fn place(
    key: &str,
    kind: &SourceKind,
    field: Option<String>,
    place: Option<u32>,
) -> Result<At, Refused> {
    let stray = |name: &str, bound: &str, hint: &'static str| {
        Err(refused(format!("{key}.{name}"), "", bound, hint))
    };
    match (kind, field, place) {
        (SourceKind::OneWire { .. } | SourceKind::Mqtt { .. }, None, None) => Ok(At::Only),
        (SourceKind::OneWire { .. }, field, _) => {
            let name = if field.is_some() { "field" } else { "place" };
            stray(name, "must not be there for kind one_wire", "it has one value")
        }
        (SourceKind::Serial { lines: LineShape::Commas, .. }, None, Some(place)) => {
            if place == 0 || place as usize > PLACE_MAX {
                let bound = format!("must lie from 1 to {PLACE_MAX}");
                let hint = "places of a line are counted from 1";
                return Err(refused(format!("{key}.place"), &place, bound, hint));
            }
            Ok(At::Place(place as usize))
        }
        (SourceKind::Serial { lines: LineShape::Commas, .. }, ..) => {
            stray("place", "must be there, and field not, where lines are commas", "as place = 2")
        }
        (kind, Some(field), None) => {
            named(format!("{key}.field"), &field)?;
            let table = matches!(kind, SourceKind::File { .. });
            let pointer = !table && field.starts_with('/');
            Ok(if pointer { At::Pointer(field) } else { At::Field(field) })
        }
        _ => {
            let bound = "must be there, and place not, for JSON lines and for files";
            stray("field", bound, "the name or pointer in the object, or the column's name")
        }
    }
}

/// Most places of a line (judgement: far more than there are channels).
const PLACE_MAX: usize = 200;

/// The unit of that name for a channel; its own where nothing is said.
fn unit(key: &str, probe: Sensor, name: Option<&str>) -> Result<Unit, Refused> {
    let Some(name) = name else { return Ok(own_unit(probe)) };
    unit_of(probe, name).ok_or_else(|| {
        let known = unit_names(probe).join(", ");
        let bound = format!("must be one of {known} for {}", probe.column());
        let hint = "for anything else leave it out and give scale and offset";
        refused(format!("{key}.unit"), &format!("\"{name}\""), bound, hint)
    })
}
