//! What may be entered into the account of pure alcohol.

use serde::Deserialize;
use utoipa::ToSchema;

use super::bench::ScaleWire;

/// What was read.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadAsk {
    /// How much, as read.
    pub(crate) quantity: f64,
    /// `l`, `kg`, `us_gal` or `lb`.
    pub(crate) unit: String,
    /// What the glass read.
    pub(crate) reading: f64,
    /// The scale in the glass.
    #[serde(default)]
    pub(crate) scale: ScaleWire,
    /// Temperature of the liquid, °C.
    pub(crate) celsius: f64,
    /// With what: names of instruments.
    #[serde(default)]
    pub(crate) instruments: Vec<String>,
}

/// Who, when and why.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct ByAsk {
    /// Who enters it.
    pub(crate) by: String,
    /// Who read.
    #[serde(default)]
    pub(crate) read_by: Option<String>,
    /// Who checked.
    #[serde(default)]
    pub(crate) checked_by: Option<String>,
    /// When it was done, RFC 3339 with its zone; absent = now.
    #[serde(default)]
    pub(crate) act: Option<String>,
    /// In words.
    #[serde(default)]
    pub(crate) note: Option<String>,
    /// What the sender calls this request: sent again it changes nothing.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// An act to enter.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct EnterAsk {
    /// Which act, as `blend`.
    pub(crate) kind: String,
    /// Where it comes from, as `tank:T1/L1=1.25`, `=3.1@40`, `=12x700@40`, `=all`, `=rest`, `=gauged`.
    #[serde(default)]
    pub(crate) from: Vec<String>,
    /// Where it goes to, in the same words; losses too.
    #[serde(default)]
    pub(crate) to: Vec<String>,
    /// What was read.
    #[serde(default)]
    pub(crate) read: Option<ReadAsk>,
    /// Kind of spirit.
    #[serde(default)]
    pub(crate) spirit: Option<String>,
    /// The entry in whose place this one stands.
    #[serde(default)]
    pub(crate) corrects: Option<u64>,
    /// The entry this one is about.
    #[serde(default)]
    pub(crate) about: Option<u64>,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}

/// A count.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct StockTakeAsk {
    /// As `tank:T1`.
    pub(crate) place: String,
    /// Which lot.
    pub(crate) lot: String,
    /// What was found, L of pure alcohol at 20 °C.
    pub(crate) found_l: f64,
    /// What a loss is put down to, as `loss:cask`; absent = not explained.
    #[serde(default)]
    pub(crate) lost_to: Option<String>,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}

/// The end of a period.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct CloseAsk {
    /// Its last moment, ms of UTC.
    pub(crate) upto_ms: i64,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}
