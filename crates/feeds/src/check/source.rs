//! One source of the file: what it is, how it is read, and its values.

use serde::Deserialize;

use super::rules::{Refused, VALUES_MAX, named, refused, within};
use super::value::ValueTable;
use crate::broker::Broker;
use crate::file::{LineShape, Source, SourceKind, Wanted, Whose};

/// From one look to the next, s: least, most, and where nothing is said (judgement: a probe lags by
/// 30 s and more, a 1-wire thermometer takes 0.75 s for a conversion).
const EVERY_S: (f64, f64, f64) = (0.1, 600.0, 2.0);
/// Speed of a serial device, baud: least, most, and where nothing is said (judgement: the usual ones).
const BAUD: (u32, u32, u32) = (300, 4_000_000, 115_200);
/// Most bytes of a path (Linux, `PATH_MAX`, from memory).
const PATH_BYTES_MAX: usize = 4096;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum KindWord {
    OneWire,
    Serial,
    File,
    Mqtt,
}

impl KindWord {
    const fn word(self) -> &'static str {
        match self {
            Self::OneWire => "one_wire",
            Self::Serial => "serial",
            Self::File => "file",
            Self::Mqtt => "mqtt",
        }
    }

    /// Whether a source of that kind has that key.
    fn has(self, key: &str) -> bool {
        match key {
            "path" => self != Self::Mqtt,
            "every_s" => matches!(self, Self::OneWire | Self::File),
            "time" => self == Self::File,
            _ => self == Self::Serial,
        }
    }
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum ShapeWord {
    Json,
    Commas,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SourceTable {
    name: String,
    kind: KindWord,
    path: Option<String>,
    every_s: Option<f64>,
    time: Option<String>,
    baud: Option<u32>,
    lines: Option<ShapeWord>,
    #[serde(default, rename = "value")]
    values: Vec<ValueTable>,
}

impl SourceTable {
    pub(super) fn checked(
        self,
        key: &str,
        whose: Whose,
        broker: Option<&Broker>,
    ) -> Result<Source, Refused> {
        named(format!("{key}.name"), &self.name)?;
        self.has_no_other_key(key)?;
        let (path, kind) = match self.kind {
            KindWord::Mqtt => by_broker(key, broker)?,
            _ => (self.path(&format!("{key}.path"))?, self.read_how(key)?),
        };
        let most = if self.kind == KindWord::OneWire { 1 } else { VALUES_MAX };
        let hint = "say which of its values is which channel; a 1-wire thermometer has one";
        within(&format!("{key}.value"), self.values.len(), most, hint)?;
        let mut values: Vec<Wanted> = Vec::new();
        for (index, value) in self.values.into_iter().enumerate() {
            let key = format!("{key}.value[{}]", index + 1);
            let value = value.checked(&key, whose, &kind)?;
            if values.iter().any(|other| other.probe == value.probe) {
                let bound = "must not be read twice from one source";
                let hint = "take one of the values, or read the other as another channel";
                return Err(refused(format!("{key}.channel"), value.probe.column(), bound, hint));
            }
            values.push(value);
        }
        Ok(Source { name: self.name, path, kind, values })
    }

    fn has_no_other_key(&self, key: &str) -> Result<(), Refused> {
        let there = [
            ("path", self.path.clone()),
            ("every_s", self.every_s.map(|every_s| every_s.to_string())),
            ("time", self.time.clone()),
            ("baud", self.baud.map(|baud| baud.to_string())),
            ("lines", self.lines.map(|_| String::new())),
        ];
        for (name, value) in there {
            if let Some(value) = value.filter(|_| !self.kind.has(name)) {
                let bound = format!("must not be there for a source of kind {}", self.kind.word());
                return Err(refused(format!("{key}.{name}"), &value, bound, "leave the key out"));
            }
        }
        Ok(())
    }

    fn path(&self, key: &str) -> Result<String, Refused> {
        let hint = "as /sys/bus/w1/devices/28-.../w1_slave or /dev/ttyUSB0";
        let Some(path) = &self.path else {
            let bound = format!("must be there for a source of kind {}", self.kind.word());
            return Err(refused(key, "", bound, hint));
        };
        if path.starts_with('~') {
            let bound =
                "must not begin with ~: whose home is meant depends on who runs the program";
            return Err(refused(key, path, bound, "write the path in full"));
        }
        if (1..=PATH_BYTES_MAX).contains(&path.len()) && !path.contains('\0') {
            return Ok(path.clone());
        }
        let value = format!("{} bytes", path.len());
        Err(refused(key, &value, "must be the path of a file or a device", hint))
    }

    fn read_how(&self, key: &str) -> Result<SourceKind, Refused> {
        if self.kind == KindWord::Serial {
            return self.read_lines(key);
        }
        let every_s = self.every_s.unwrap_or(EVERY_S.2);
        if !(EVERY_S.0..=EVERY_S.1).contains(&every_s) {
            let bound = format!("must lie from {} to {} s", EVERY_S.0, EVERY_S.1);
            let hint = "two seconds are often enough for a probe";
            return Err(refused(format!("{key}.every_s"), &every_s, bound, hint));
        }
        if let Some(time) = &self.time {
            named(format!("{key}.time"), time)?;
        }
        Ok(match self.kind {
            KindWord::OneWire => SourceKind::OneWire { every_s },
            _ => SourceKind::File { every_s, time: self.time.clone() },
        })
    }

    fn read_lines(&self, key: &str) -> Result<SourceKind, Refused> {
        let baud = self.baud.unwrap_or(BAUD.2);
        if !(BAUD.0..=BAUD.1).contains(&baud) {
            let bound = format!("must lie from {} to {} baud", BAUD.0, BAUD.1);
            let hint = "the speed that the device's sketch or manual names";
            return Err(refused(format!("{key}.baud"), &baud, bound, hint));
        }
        let Some(lines) = self.lines else {
            let bound = "must be there for a source of kind serial";
            return Err(refused(format!("{key}.lines"), "", bound, "json or commas"));
        };
        let lines = match lines {
            ShapeWord::Json => LineShape::Json,
            ShapeWord::Commas => LineShape::Commas,
        };
        Ok(SourceKind::Serial { baud, lines })
    }
}

fn by_broker(key: &str, broker: Option<&Broker>) -> Result<(String, SourceKind), Refused> {
    let Some(broker) = broker else {
        let bound = "needs a broker";
        let hint = "add a table [broker] with its host; see docs/feeds.md";
        return Err(refused(format!("{key}.kind"), "mqtt", bound, hint));
    };
    let broker = broker.to_listen();
    Ok((broker.address(), SourceKind::Mqtt { broker }))
}
