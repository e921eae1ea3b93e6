//! What a sound `feeds.toml` says: per still and wash its sources, and who speaks first for each
//! channel.

use std::collections::BTreeMap;

use sense::{Probe, Sensor, WashProbe};

use crate::broker::Broker;
use quantities::Unit;

/// The whole file, checked.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Feeds {
    /// The stills, by their names in plans.
    pub stills: Vec<FeedsOf>,
    /// The washes, by their titles or their names in the record.
    pub washes: Vec<FeedsOf>,
    /// The broker, where there is one.
    pub broker: Option<Broker>,
}

/// What is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// The run of a still that is going on.
    Still,
    /// A wash that is not ended.
    Wash,
}

impl Whose {
    /// Its word in the file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Still => "still",
            Self::Wash => "wash",
        }
    }

    /// Its probes.
    #[must_use]
    pub fn sensors(self) -> Vec<Sensor> {
        match self {
            Self::Still => Probe::ALL.map(Sensor::from).to_vec(),
            Self::Wash => WashProbe::ALL.map(Sensor::from).to_vec(),
        }
    }
}

/// What is read of one still or one wash.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedsOf {
    /// Which of them.
    pub whose: Whose,
    /// Its name: of a still as plans have it, of a wash its title or its name in the record.
    pub name: String,
    /// Its sources, in the order of the file.
    pub sources: Vec<Source>,
    /// For each channel that is read, the places in `sources` of those who speak for it, first
    /// first.
    pub order: BTreeMap<Sensor, Vec<usize>>,
}

/// One source.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What its owner calls it.
    pub name: String,
    /// File or device; of a broker, where it is.
    pub path: String,
    /// How it is read.
    pub kind: SourceKind,
    /// Which of its values is which channel.
    pub values: Vec<Wanted>,
}

impl Source {
    /// Where the value of a channel comes from: file or device; of a broker its topic too.
    #[must_use]
    pub fn place_of(&self, probe: Sensor) -> String {
        let wanted = self.values.iter().find(|wanted| wanted.probe == probe);
        match wanted.and_then(|wanted| wanted.topic.as_deref()) {
            Some(topic) => format!("{} {topic}", self.path),
            None => self.path.clone(),
        }
    }
}

/// How a source is read.
#[derive(Debug, Clone, PartialEq)]
pub enum SourceKind {
    /// The file in which Linux shows a 1-wire thermometer.
    OneWire {
        /// From one look to the next, s.
        every_s: f64,
    },
    /// A device that sends lines.
    Serial {
        /// Its speed, baud.
        baud: u32,
        /// What its lines are.
        lines: LineShape,
    },
    /// A table that grows by rows.
    File {
        /// From one look to the next, s.
        every_s: f64,
        /// The column that says when a row was taken, where one does.
        time: Option<String>,
    },
    /// Messages of a broker.
    Mqtt {
        /// The broker.
        broker: Broker,
    },
}

impl SourceKind {
    /// From one reading to the next, s, where the file says so: of others it says how often they are
    /// looked at, or nothing.
    #[must_use]
    pub const fn reads_each_s(&self) -> Option<f64> {
        match self {
            Self::OneWire { every_s } => Some(*every_s),
            _ => None,
        }
    }

    /// Its word in the file.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::OneWire { .. } => "one_wire",
            Self::Serial { .. } => "serial",
            Self::File { .. } => "file",
            Self::Mqtt { .. } => "mqtt",
        }
    }
}

/// What a line holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineShape {
    /// One JSON object.
    Json,
    /// Numbers parted by commas.
    Commas,
}

/// Which of a source's values is which channel, and in what.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The channel.
    pub probe: Sensor,
    /// The topics whose messages hold it, as a filter; of a broker only.
    pub topic: Option<String>,
    /// Where it stands in what the source says.
    pub at: At,
    /// What the source counts in.
    pub unit: Unit,
    /// Multiplies what was converted.
    pub scale: f64,
    /// Is added then, in the unit of the channel.
    pub offset: f64,
}

impl Wanted {
    /// The value in the unit of the channel.
    #[must_use]
    pub fn value(&self, raw: f64) -> f64 {
        self.unit.convert(raw) * self.scale + self.offset
    }
}

/// Where a value stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum At {
    /// It is all that is said.
    Only,
    /// Under that name, or in the column of that name.
    Field(String),
    /// At that JSON pointer, as `/probes/0`.
    Pointer(String),
    /// At that place of the line, counted from 1.
    Place(usize),
}
