//! The account of pure alcohol: balance, lots, entries, findings; and what may be entered.

use account::{Balance, Finding, Flow, Ledger, Leg, Numbered, Profile, PureAlcohol, Recall};
use serde::{Deserialize, Serialize};
use store::time::format_start;
use utoipa::{IntoParams, ToSchema};

use super::bench::ScaleWire;

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
}

/// Whose bounds hold.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct ProfileAsk {
    /// Absent = metric.
    #[serde(default)]
    #[param(inline)]
    pub(crate) profile: ProfileName,
}

/// Which entries.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct EntriesAsk {
    /// After this serial; absent = from the first.
    #[serde(default)]
    pub(crate) after: Option<u64>,
    /// At most so many, to 1000; absent = 100.
    #[serde(default)]
    #[param(minimum = 1, maximum = 1000)]
    pub(crate) limit: Option<usize>,
}

/// An amount at a place, or what came from it or is gone to it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct PlaceAmountWire {
    /// As `loss:vapour`.
    place: String,
    /// L of pure alcohol at 20 °C.
    pure_alcohol_l: f64,
    /// In the unit of the profile, rounded once.
    reported: String,
}

/// One kind of stock.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct StockLineWire {
    /// As `tank`.
    place: String,
    /// At the beginning, L.
    opening_l: f64,
    /// Came in, L.
    in_l: f64,
    /// Went out, L.
    out_l: f64,
    /// At the end, L.
    closing_l: f64,
    /// The end in the unit of the profile.
    reported: String,
}

/// What flowed between kinds of places.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct FlowWire {
    /// As `pot`.
    from: String,
    /// As `jar` or `loss:vapour`.
    to: String,
    /// L of pure alcohol at 20 °C.
    pure_alcohol_l: f64,
}

/// The balance from sugar to bottle.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AccountBalanceWire {
    /// The unit of what is `reported`.
    unit: String,
    /// Entries in the book.
    entries: u64,
    /// Until when it is closed, ms of UTC.
    closed_ms: Option<i64>,
    /// In stock at the beginning, L.
    opening_l: f64,
    /// What came.
    came: Vec<PlaceAmountWire>,
    /// What is gone, each loss by its name.
    gone: Vec<PlaceAmountWire>,
    /// Gone and not explained, L.
    not_explained_l: f64,
    /// That as a share of all there was to account for, %.
    not_explained_percent: Option<f64>,
    /// What stands where.
    stocks: Vec<StockLineWire>,
    /// In stock at the end, L.
    closing_l: f64,
    /// What the account is off, L: 0.
    off_l: f64,
    /// Bottles filled.
    bottles: u64,
    /// L of pure alcohol in them.
    bottled_l: f64,
    /// Energy of all acts, kWh.
    energy_kwh: Option<f64>,
    /// Water, L.
    water_l: Option<f64>,
    /// Money.
    cost: Option<f64>,
    /// For a drawing.
    flows: Vec<FlowWire>,
    /// What the user's authority must accept.
    authority: String,
}

impl AccountBalanceWire {
    /// Of a balance and its flows.
    pub(crate) fn new(
        ledger: &Ledger,
        balance: &Balance,
        flows: &[Flow],
        profile: &Profile,
    ) -> Self {
        let amount = |(place, alcohol): &(account::Place, PureAlcohol)| PlaceAmountWire {
            place: place.to_string(),
            pure_alcohol_l: alcohol.litres(),
            reported: profile.reported(*alcohol),
        };
        let stock = |line: &account::StockLine| StockLineWire {
            place: line.kind.word().to_owned(),
            opening_l: line.opening.litres(),
            in_l: line.into.litres(),
            out_l: line.out.litres(),
            closing_l: line.closing.litres(),
            reported: profile.reported(line.closing),
        };
        let flow = |flow: &Flow| FlowWire {
            from: flow.from.word().to_owned(),
            to: flow.to.to_string(),
            pure_alcohol_l: flow.alcohol.litres(),
        };
        Self {
            unit: profile.unit_word().to_owned(),
            entries: ledger.length(),
            closed_ms: ledger.closed().map(|(upto_ms, _)| upto_ms),
            opening_l: balance.opening.litres(),
            came: balance.sources.iter().map(amount).collect(),
            gone: balance.gone.iter().map(amount).collect(),
            not_explained_l: balance.not_explained.litres(),
            not_explained_percent: balance.not_explained_percent(),
            stocks: balance.stocks.iter().map(stock).collect(),
            closing_l: balance.closing.litres(),
            off_l: balance.off.litres(),
            bottles: balance.bottles,
            bottled_l: balance.bottled.litres(),
            energy_kwh: balance.spent.energy_kwh,
            water_l: balance.spent.water_l,
            cost: balance.spent.cost,
            flows: flows.iter().map(flow).collect(),
            authority: profile.accepts.clone(),
        }
    }
}

/// A lot in a place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LotWire {
    /// Its name.
    pub(crate) lot: String,
    /// Where it stands, as `tank:T1`.
    pub(crate) place: String,
    /// L of pure alcohol there.
    pub(crate) pure_alcohol_l: f64,
}

/// Where some of a lot came, or came from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct TraceWire {
    /// As `bottles:shelf`.
    place: String,
    /// None where it came from outside or is gone.
    lot: Option<String>,
    /// How much of it, L of pure alcohol.
    pure_alcohol_l: f64,
    /// How much of it stands there now, L.
    now_l: f64,
}

/// A lot followed both ways.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LotRecallWire {
    /// Which.
    lot: String,
    /// What it is made of.
    made_of: Vec<TraceWire>,
    /// What had some of it.
    went_to: Vec<TraceWire>,
}

impl LotRecallWire {
    /// Of both ways.
    pub(crate) fn new(lot: String, made_of: &Recall, went_to: &Recall) -> Self {
        let one = |trace: &account::Trace| TraceWire {
            place: trace.place.to_string(),
            lot: trace.lot.as_ref().map(ToString::to_string),
            pure_alcohol_l: trace.alcohol.litres(),
            now_l: trace.now.litres(),
        };
        let all = |recall: &Recall| recall.traces.iter().map(one).collect();
        Self { lot, made_of: all(made_of), went_to: all(went_to) }
    }
}

/// One side of a move.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LegWire {
    /// As `tank:T1`.
    place: String,
    /// What stands there.
    lot: Option<String>,
    /// L of pure alcohol at 20 °C.
    pure_alcohol_l: f64,
    /// Litres of liquid at 20 °C.
    litres_20c: Option<f64>,
    /// Its strength, % vol.
    strength_vol: Option<f64>,
    /// Bottles.
    bottles: Option<u32>,
    /// What one holds, mL.
    bottle_ml: Option<f64>,
}

/// An entry of the account.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AccountEntryWire {
    /// Its serial.
    serial: u64,
    /// Which act.
    kind: String,
    /// When it was done, RFC 3339.
    act: String,
    /// When it was entered, RFC 3339.
    entered: String,
    /// Whether it was entered more than a day after.
    late: bool,
    /// What goes out.
    from: Vec<LegWire>,
    /// What comes in.
    to: Vec<LegWire>,
    /// L of pure alcohol moved.
    pure_alcohol_l: f64,
    /// Who entered it.
    by: String,
    /// Who read.
    read_by: Option<String>,
    /// Who checked.
    checked_by: Option<String>,
    /// In words.
    note: Option<String>,
    /// The entry in whose place this one stands.
    corrects: Option<u64>,
    /// The entry that stands in its place.
    corrected_by: Option<u64>,
    /// The run of the record it was taken from.
    run: Option<String>,
}

/// Milliseconds after which an entry is late: a day.
const LATE_MS: i64 = 86_400_000;

impl AccountEntryWire {
    /// Of an entry, and what took its place.
    pub(crate) fn new(numbered: &Numbered, corrected_by: Option<u64>) -> Self {
        let entry = &numbered.entry;
        let moment = |ms| format_start(ms, entry.zone_minutes).unwrap_or_default();
        let leg = |leg: &Leg| LegWire {
            place: leg.place.to_string(),
            lot: leg.lot.as_ref().map(ToString::to_string),
            pure_alcohol_l: leg.alcohol.litres(),
            litres_20c: leg.litres_20c,
            strength_vol: leg.strength_vol,
            bottles: leg.bottles,
            bottle_ml: leg.bottle_ml,
        };
        Self {
            serial: numbered.number,
            kind: entry.kind.word().to_owned(),
            act: moment(entry.act_ms),
            entered: moment(entry.entered_ms),
            late: entry.kind.moves() && entry.entered_ms - entry.act_ms > LATE_MS,
            from: entry.from.iter().map(leg).collect(),
            to: entry.to.iter().map(leg).collect(),
            pure_alcohol_l: entry.moved().litres(),
            by: entry.people.entered.clone(),
            read_by: entry.people.read.clone(),
            checked_by: entry.people.checked.clone(),
            note: entry.note.clone(),
            corrects: entry.corrects,
            corrected_by,
            run: entry.run.clone(),
        }
    }
}

/// What a reviewer would ask about.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct FindingWire {
    /// Which check found it.
    check: String,
    /// Which entry; none where it is of the whole book.
    entry: Option<u64>,
    /// In words.
    text: String,
}

impl From<Finding> for FindingWire {
    fn from(finding: Finding) -> Self {
        let Finding { check, entry, text } = finding;
        Self { check: check.word().to_owned(), entry, text }
    }
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
