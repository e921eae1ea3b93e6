//! What a person or a feeder records in a run: readings, actions, jars; what is answered.

use sense::SentRow;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::plan::StepKindWire;
use super::reading::ReadingRowWire;

/// Rows of readings.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadingsAsk {
    /// The rows, times not running backwards.
    #[schema(value_type = Vec<ReadingRowWire>)]
    pub(crate) rows: Vec<SentRow>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
    /// What the device's clock shows as it sends, RFC 3339: where that is off, so are its rows, and
    /// they are taken with it removed.
    #[serde(default)]
    pub(crate) sent_at: Option<String>,
    /// What the device is called, to 60 characters, so that its clock is told from others.
    #[serde(default)]
    pub(crate) device: Option<String>,
    /// With a device's token, instead of `key`: counted up by the device. The same number with the same
    /// rows, sent again, changes nothing.
    #[serde(default)]
    pub(crate) sequence: Option<u64>,
    /// With `sequence`: what the device calls its present start, 1 to 16 characters, drawn at random
    /// when it begins; for one that counts anew then.
    #[serde(default)]
    pub(crate) boot: Option<String>,
    /// A person read it: one row, that can be taken back and corrected, and is asked about where it is
    /// unlikely (409 `unlikely`).
    #[serde(default)]
    pub(crate) by_hand: bool,
    /// With `by_hand`: it is so, however unlikely.
    #[serde(default)]
    pub(crate) sure: bool,
    /// Of one row: numbers that were typed in another unit, each with its column as `field`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
}

/// A number as a person typed it: kept beside what is recorded, which must be the same number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct EnteredWire {
    /// Which number of the request.
    pub(crate) field: String,
    /// What was typed.
    pub(crate) value: f64,
    /// In which unit: `F`, `US gal`, `imp gal`, `inHg`, `mmHg`, `lb`, `US proof` and others.
    pub(crate) unit: String,
}

impl From<&quantities::TypedValue> for EnteredWire {
    fn from(one: &quantities::TypedValue) -> Self {
        Self { field: one.field.clone(), value: one.value, unit: one.unit.clone() }
    }
}

/// One action, in the words of `actions.csv`.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ActionAsk {
    /// `heater`, `takeoff`, `coolant`, `jar`, `step`, `gauge`, `here`, `seen`, `reset`, `quiet`
    /// or `note`.
    pub(crate) action: String,
    /// Its number, where it has one.
    #[serde(default)]
    pub(crate) value: Option<f64>,
    /// The number's unit.
    #[serde(default)]
    pub(crate) unit: Option<String>,
    /// Words: a step's name, an alarm's code, a remark.
    #[serde(default)]
    pub(crate) note: Option<String>,
    /// Run time, s; absent = now.
    #[serde(default)]
    pub(crate) time_s: Option<f64>,
    /// How long ago it happened, s, instead of `time_s`.
    #[serde(default)]
    pub(crate) ago_s: Option<f64>,
    /// It is so, however unlikely.
    #[serde(default)]
    pub(crate) sure: bool,
    /// Who did it, 1 to 200 characters; the log says so.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Numbers that were typed in another unit: `value`, and `celsius` and `apparent_vol` of a glass.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

impl ActionAsk {
    /// A note of that text, now.
    pub(crate) fn note(text: String) -> Self {
        Self {
            action: "note".to_owned(),
            value: None,
            unit: None,
            note: Some(text),
            time_s: None,
            ago_s: None,
            sure: false,
            by: None,
            entered: Vec::new(),
            key: None,
        }
    }
}

/// A step to begin.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct BeginAsk {
    /// Position of the step in the plan.
    pub(crate) step: usize,
    /// Position of the step that runs, the one before it.
    pub(crate) after: usize,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// To go on after an interruption.
#[derive(Debug, Clone, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct GoOnAsk {
    /// Position of the step gone back to; absent = a column equalises again, a pot goes on.
    #[serde(default)]
    pub(crate) step: Option<usize>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// What was begun.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct BegunWire {
    /// Number of the entry that says so; undone, all of the act is. None where it was begun before.
    pub(crate) entry: Option<u64>,
    /// Numbers of all entries of the act.
    pub(crate) entries: Vec<u64>,
    /// Whether the step ran already: nothing was stored.
    pub(crate) already: bool,
}

/// The check list, signed.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChecksAsk {
    /// The lines that were ticked, in words.
    pub(crate) ticked: Vec<String>,
    /// Who signs.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A note.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NoteAsk {
    /// Its text.
    pub(crate) text: String,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// What one jar of this run holds.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct JarSizeAsk {
    /// mL.
    pub(crate) ml: f64,
    /// Where it was typed in another unit: `ml`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// Why a run is given up.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AbandonAsk {
    /// In words.
    pub(crate) reason: String,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// What a run is called.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NameAsk {
    /// Its name, 1 to 200 characters.
    pub(crate) name: String,
}

/// Whether a run counts for what is learned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LearningWire {
    /// Whether it counts.
    pub(crate) count: bool,
}

/// What takes the place of an entry: an action for an action, a jar for a jar, a reading for a reading by
/// hand, a size for the size of a jar.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CorrectAsk {
    /// The entry's number.
    pub(crate) entry: u64,
    /// The action as it really was, of the same kind; with a time where that was another.
    #[serde(default)]
    pub(crate) action: Option<ActionAsk>,
    /// The jar as it really was, of the same number.
    #[serde(default)]
    pub(crate) jar: Option<JarAsk>,
    /// What a person really read; with a time where that was another.
    #[serde(default)]
    #[schema(value_type = Option<ReadingRowWire>)]
    pub(crate) reading: Option<SentRow>,
    /// What one jar really holds, mL.
    #[serde(default)]
    pub(crate) ml: Option<f64>,
    /// Of a reading: it is so, however unlikely.
    #[serde(default)]
    pub(crate) sure: bool,
    /// Of a reading: numbers that were typed in another unit, each with its column as `field`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A jar that was filled.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct JarAsk {
    /// Its number.
    pub(crate) jar: u32,
    /// Opened, s; absent = as this jar is known.
    #[serde(default)]
    pub(crate) start_s: Option<f64>,
    /// Closed, s; absent = as this jar is known.
    #[serde(default)]
    pub(crate) end_s: Option<f64>,
    /// Volume, mL; absent = as this jar is known.
    #[serde(default)]
    pub(crate) volume_ml: Option<f64>,
    /// Temperature when gauged, °C.
    #[serde(default)]
    pub(crate) temperature_c: Option<f64>,
    /// What the glass read at that temperature, % vol.
    #[serde(default)]
    pub(crate) apparent_vol: Option<f64>,
    /// Fraction.
    #[serde(default)]
    pub(crate) cut: Option<StepKindWire>,
    /// Words on its label.
    #[serde(default)]
    pub(crate) note: Option<String>,
    /// With which instrument it was gauged; absent = as this jar is known.
    #[serde(default)]
    pub(crate) instrument: Option<String>,
    /// Numbers that were typed in another unit: `volume_ml`, `apparent_vol`, `temperature_c`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// It is so, however unlikely.
    #[serde(default)]
    pub(crate) sure: bool,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// Which entry to withdraw.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct UndoAsk {
    /// The entry's number.
    pub(crate) entry: u64,
    /// What the sender calls this request, 1 to 64 characters: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// How fast a rehearsal should go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SpeedWire {
    /// Run seconds per second; 0 pauses.
    pub(crate) speed: f64,
}

/// Stored, under this number.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct EntryWire {
    /// Number of the entry in the run's log.
    pub(crate) entry: u64,
    /// Whether it was so before: nothing was stored.
    pub(crate) already: bool,
}

impl EntryWire {
    /// Stored under that number.
    pub(crate) const fn new(entry: u64) -> Self {
        Self { entry, already: false }
    }
}

/// Rows stored.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct AcceptedWire {
    /// How many rows.
    pub(crate) accepted: usize,
    /// Number of the entry that holds them.
    pub(crate) entry: u64,
    /// How far ahead the device's clock is, s, where it is wrong: so much was taken off its stamps.
    pub(crate) clock_off_s: Option<f64>,
}

/// One recorded action, in the words of `actions.csv`.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ActionRowWire {
    /// Run time, s.
    pub(crate) time_s: f64,
    /// Word.
    pub(crate) action: String,
    /// Number.
    pub(crate) value: Option<f64>,
    /// Unit.
    pub(crate) unit: String,
    /// Words.
    pub(crate) note: String,
    /// Number of the entry that holds it.
    pub(crate) entry: u64,
}
