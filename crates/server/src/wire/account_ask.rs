//! What may be asked of the account of pure alcohol, and what may be entered into it.

use account::Profile;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};

use super::account::SpentWire;
use super::bench::ScaleWire;
use super::record::EnteredWire;

/// What a country asks of an account.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ProfileName {
    /// Litres of pure alcohol at 20 °C.
    #[default]
    Metric,
    /// US proof gallons at 60 °F.
    Us,
    /// Hectolitres of pure alcohol at 20 °C.
    Eu,
}

impl ProfileName {
    /// Its file.
    pub(crate) fn profile(self) -> Option<Profile> {
        store::book::profile(match self {
            Self::Metric => "metric",
            Self::Us => "us",
            Self::Eu => "eu",
        })
    }
}

/// Over which span, in which unit.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct BalanceAsk {
    /// First moment, ms of UTC; absent = from the first act.
    #[serde(default)]
    pub(crate) from_ms: Option<i64>,
    /// Last moment, ms of UTC; absent = to the last act.
    #[serde(default)]
    pub(crate) upto_ms: Option<i64>,
    /// Unit and rounding; absent = metric.
    #[serde(default)]
    #[param(inline)]
    pub(crate) profile: ProfileName,
    /// Of the example house.
    #[serde(default)]
    pub(crate) example: bool,
}

/// Whose bounds hold.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct ProfileAsk {
    /// Absent = metric.
    #[serde(default)]
    #[param(inline)]
    pub(crate) profile: ProfileName,
    /// Of the example house.
    #[serde(default)]
    pub(crate) example: bool,
}

/// The whole book.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct BookAsk {
    /// Absent = metric.
    #[serde(default)]
    #[param(inline)]
    pub(crate) profile: ProfileName,
    /// Persons by number and not by name; absent = by name.
    #[serde(default)]
    pub(crate) without_names: bool,
}

/// Which entries.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct EntriesAsk {
    /// After this serial; absent = from the first.
    #[serde(default)]
    pub(crate) after: Option<u64>,
    /// Before this serial, the last of them; goes before `after`.
    #[serde(default)]
    pub(crate) before: Option<u64>,
    /// At most so many, to 1000; absent = 100.
    #[serde(default)]
    #[param(minimum = 1, maximum = 1000)]
    pub(crate) limit: Option<usize>,
    /// The unit of what is `reported`; absent = metric.
    #[serde(default)]
    #[param(inline)]
    pub(crate) profile: ProfileName,
    /// Of the example house.
    #[serde(default)]
    pub(crate) example: bool,
}

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
    /// Where it goes to, in the same words; losses too. Proof gallons as `=0.7pg`, hectolitres as `=0.01hl`.
    #[serde(default)]
    pub(crate) to: Vec<String>,
    /// What was read.
    #[serde(default)]
    pub(crate) read: Option<ReadAsk>,
    /// Kind of spirit.
    #[serde(default)]
    pub(crate) spirit: Option<String>,
    /// What it took beside alcohol.
    #[serde(default)]
    pub(crate) spent: Option<SpentWire>,
    /// Only say what would be entered.
    #[serde(default)]
    pub(crate) only_look: bool,
    /// The entry in whose place this one stands.
    #[serde(default)]
    pub(crate) corrects: Option<u64>,
    /// The entry this one is about.
    #[serde(default)]
    pub(crate) about: Option<u64>,
    /// Numbers of `read` that were typed in another unit, as `read.celsius`. Those of `from` and `to`
    /// have theirs behind them: `=5 US gal@80 US proof`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
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
    /// What was found, pure alcohol in the unit of the profile.
    pub(crate) found: f64,
    /// Whose unit that is; absent = metric, L at 20 °C.
    #[serde(default)]
    pub(crate) profile: ProfileName,
    /// What a loss is put down to, as `loss:cask`; absent = not explained.
    #[serde(default)]
    pub(crate) lost_to: Option<String>,
    /// The count in whose place this one stands.
    #[serde(default)]
    pub(crate) corrects: Option<u64>,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}

/// The end of a period.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct CloseAsk {
    /// Its last moment with its zone, or a month as `2026-10`.
    pub(crate) upto: String,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}

/// A run of the record to take in.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct RunIntoBookAsk {
    /// Where its charge came from, as `wash:W1/W1`.
    pub(crate) from: String,
    /// Where the feints in it came from, as its plan has them; the only feints that stand where absent.
    #[serde(default)]
    pub(crate) feints_from: Option<String>,
    /// Energy, water and money as typed; what is absent is taken from the run's meters.
    #[serde(default)]
    pub(crate) spent: Option<SpentWire>,
    /// Money for a kilowatt hour.
    #[serde(default)]
    pub(crate) price_kwh: Option<f64>,
    /// Money for a cubic metre of water.
    #[serde(default)]
    pub(crate) price_water_m3: Option<f64>,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}
