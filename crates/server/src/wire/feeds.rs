//! The feeds on the wire: each source, what it sent last, who speaks.

use feeds::{FeedsError, Say, Standing, Whose};
use serde::Serialize;
use utoipa::ToSchema;

use crate::feeding::{StillView, View};
use crate::wire::knowledge::QualityWire;

/// The feeds as they stand.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FeedsWire {
    /// The file.
    pub(crate) file: String,
    /// Why the file as it is now is not at work; the last good one is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) refused: Option<FeedsRefusedWire>,
    /// The stills of the file at work.
    pub(crate) stills: Vec<StillFeedsWire>,
    /// The washes of the file at work.
    pub(crate) washes: Vec<WashFeedsWire>,
    /// The broker of the file at work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) broker: Option<BrokerWire>,
}

/// The broker.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct BrokerWire {
    /// Where it is.
    pub(crate) address: String,
    /// What the topics begin with by which it is told of runs; none where it is not told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) tells: Option<String>,
    /// Whether it is connected to be told.
    pub(crate) connected: bool,
    /// Why it is not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) why: Option<String>,
}

/// Why a file is refused.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FeedsRefusedWire {
    /// All of it in a sentence.
    pub(crate) what: String,
    /// Line, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) line: Option<usize>,
    /// Path of the key.
    pub(crate) key: String,
    /// What stands there.
    pub(crate) value: String,
    /// What is wrong, or what is allowed.
    pub(crate) bound: String,
    /// What to do.
    pub(crate) hint: String,
}

/// The feeds of one still.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct StillFeedsWire {
    /// Its name, as plans have it.
    pub(crate) still: String,
    /// Rows that were stored since the file was read.
    pub(crate) rows: u64,
    /// How long ago the last of them was, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) row_age_s: Option<f64>,
    /// Why the last row was not stored.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) refused: Option<String>,
    /// Every value of every source, channel by channel, first speaker first.
    pub(crate) values: Vec<FeedValueWire>,
}

/// The feeds of one wash.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct WashFeedsWire {
    /// Its title, or its name in the record.
    pub(crate) wash: String,
    /// Readings that became entries since the file was read; few, since a wash moves in hours.
    pub(crate) rows: u64,
    /// How long ago the last of them was, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) row_age_s: Option<f64>,
    /// Why the last one was not taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) refused: Option<String>,
    /// Every value of every source, channel by channel, first speaker first.
    pub(crate) values: Vec<FeedValueWire>,
}

/// One value of one source.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct FeedValueWire {
    /// The channel it feeds, as `head_c`.
    pub(crate) channel: String,
    /// What the channel is called.
    pub(crate) words: String,
    /// The source.
    pub(crate) source: String,
    /// `one_wire`, `serial`, `file` or `mqtt`.
    pub(crate) kind: String,
    /// File or device; of a broker where it is, and the topic.
    pub(crate) path: String,
    /// What it sent last, in its own unit.
    pub(crate) raw: Option<f64>,
    /// Its own unit.
    pub(crate) raw_unit: String,
    /// The same in the unit of the channel.
    pub(crate) value: Option<f64>,
    /// Unit of the channel.
    pub(crate) unit: String,
    /// How old that is, s.
    pub(crate) age_s: Option<f64>,
    /// How often it is read, s.
    pub(crate) every_s: Option<f64>,
    /// How far it can be trusted by itself; a run judges it again beside the others, and a wash's
    /// forecast beside its whole log.
    pub(crate) quality: QualityWire,
    /// Whether it speaks for the channel.
    pub(crate) speaks: bool,
    /// What is wrong with it, or why it does not speak.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) why: Option<String>,
}

impl From<View> for FeedsWire {
    fn from(view: View) -> Self {
        let View { path, refused, stills, broker } = view;
        let broker = broker.map(|(broker, told)| BrokerWire {
            address: broker.address(),
            tells: broker.publish.map(|publish| publish.topic),
            connected: told.connected,
            why: told.why,
        });
        let (stills, washes): (Vec<_>, Vec<_>) =
            stills.into_iter().partition(|view| view.still.whose == Whose::Still);
        Self {
            file: path.display().to_string(),
            refused: refused.map(FeedsRefusedWire::from),
            stills: stills.into_iter().map(StillFeedsWire::from).collect(),
            washes: washes.into_iter().map(WashFeedsWire::from).collect(),
            broker,
        }
    }
}

impl From<FeedsError> for FeedsRefusedWire {
    fn from(error: FeedsError) -> Self {
        let what = error.to_string();
        let FeedsError { line, key, value, bound, hint, .. } = error;
        Self { what, line, key, value, bound, hint: hint.to_owned() }
    }
}

impl From<StillView> for StillFeedsWire {
    fn from(view: StillView) -> Self {
        let StillView { still, rows, row_age_s, refused, says } = view;
        let values = says.into_iter().map(|say| value(&still, say)).collect();
        Self { still: still.name, rows, row_age_s, refused, values }
    }
}

impl From<StillView> for WashFeedsWire {
    fn from(view: StillView) -> Self {
        let StillFeedsWire { still: wash, rows, row_age_s, refused, values } = view.into();
        Self { wash, rows, row_age_s, refused, values }
    }
}

fn value(still: &feeds::FeedsOf, say: Say) -> FeedValueWire {
    let source = &still.sources[say.source];
    FeedValueWire {
        channel: say.probe.column().to_owned(),
        words: say.probe.words().to_owned(),
        source: source.name.clone(),
        kind: source.kind.word().to_owned(),
        path: source.place_of(say.probe),
        raw: say.raw,
        raw_unit: say.raw_unit.to_owned(),
        value: say.value,
        unit: say.probe.unit().to_owned(),
        age_s: say.age_s,
        every_s: say.every_s,
        quality: quality(say.standing),
        speaks: say.speaks,
        why: say.why,
    }
}

const fn quality(standing: Standing) -> QualityWire {
    match standing {
        Standing::Absent => QualityWire::Absent,
        Standing::Good => QualityWire::Good,
        Standing::Bad => QualityWire::Bad,
        Standing::Stale => QualityWire::Stale,
    }
}
