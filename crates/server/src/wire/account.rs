//! The balance of the account of pure alcohol, as it is told here and by the command line.

use account::{Ledger, Place, Profile, PureAlcohol, Span, Spent, Stage};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// An amount at a place, or what came from it or is gone to it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct PlaceAmountWire {
    /// As `loss:vapour` or `tank`.
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

/// One stage of the river from sugar to bottles: what was there and what came is what went, what
/// fell away and what stays.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct StageWire {
    /// `wash`, `pot`, `jar` (with feints), `tank` (with casks and beds) or `bottles`.
    place: String,
    /// All that was in it, L of pure alcohol.
    through_l: f64,
    /// The same in the unit of the profile.
    reported: String,
    /// There at the beginning, L.
    opening_l: f64,
    /// What came, by source or stage.
    came: Vec<PlaceAmountWire>,
    /// What went to other stages.
    went: Vec<PlaceAmountWire>,
    /// What fell away, each loss by its name.
    away: Vec<PlaceAmountWire>,
    /// What stays, by the kind of vessel.
    stays: Vec<PlaceAmountWire>,
}

/// Energy, water and money.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SpentWire {
    /// kWh.
    pub energy_kwh: Option<f64>,
    /// L.
    pub water_l: Option<f64>,
    /// In the money of the house.
    pub cost: Option<f64>,
}

impl From<Spent> for SpentWire {
    fn from(Spent { energy_kwh, water_l, cost }: Spent) -> Self {
        Self { energy_kwh, water_l, cost }
    }
}

impl From<SpentWire> for Spent {
    fn from(SpentWire { energy_kwh, water_l, cost }: SpentWire) -> Self {
        Self { energy_kwh, water_l, cost }
    }
}

/// The balance from sugar to bottle.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AccountBalanceWire {
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
    /// All there was to account for: opening and what came.
    there: PlaceAmountWire,
    /// What is gone, each loss by its name.
    gone: Vec<PlaceAmountWire>,
    /// Gone and not explained, L.
    not_explained_l: f64,
    /// The same in the unit of the profile.
    not_explained_reported: String,
    /// That as a share of all there was to account for, %.
    not_explained_percent: Option<f64>,
    /// What the gauges behind it can tell, twice their standard deviation, L; none where one of them
    /// did not say.
    gauges_tell_l: Option<f64>,
    /// The same in the unit of the profile.
    gauges_tell_reported: Option<String>,
    /// Whether what is not explained is more than the gauges' own doubt.
    gauges_see_it: Option<bool>,
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
    /// The same in the unit of the profile.
    bottled_reported: String,
    /// That as a share of all there was to account for, %.
    bottled_percent: Option<f64>,
    /// What stands in low wines and feints as such a share, %.
    feints_percent: Option<f64>,
    /// Energy of all acts, kWh.
    energy_kwh: Option<f64>,
    /// Their water, L.
    water_l: Option<f64>,
    /// Their money, of the house.
    cost: Option<f64>,
    /// The same for each litre of pure alcohol bottled.
    per_litre: SpentWire,
    /// The same for each bottle.
    per_bottle: SpentWire,
    /// Entries gauged with an instrument that was overdue then.
    gauged_overdue: Vec<u64>,
    /// What flowed between kinds of places.
    flows: Vec<FlowWire>,
    /// For a drawing: stage after stage.
    river: Vec<StageWire>,
    /// What the user's authority must accept.
    authority: String,
}

/// Amounts as a profile reports them.
struct Told<'a>(&'a Profile);

impl Told<'_> {
    fn amount(&self, place: &str, alcohol: PureAlcohol) -> PlaceAmountWire {
        PlaceAmountWire {
            place: place.to_owned(),
            pure_alcohol_l: alcohol.litres(),
            reported: self.0.reported(alcohol),
        }
    }

    fn places(&self, all: &[(Place, PureAlcohol)]) -> Vec<PlaceAmountWire> {
        all.iter().map(|(place, alcohol)| self.amount(&place.to_string(), *alcohol)).collect()
    }

    fn kinds(&self, all: &[(account::PlaceKind, PureAlcohol)]) -> Vec<PlaceAmountWire> {
        all.iter().map(|(kind, alcohol)| self.amount(kind.word(), *alcohol)).collect()
    }

    fn stock(&self, line: &account::StockLine) -> StockLineWire {
        StockLineWire {
            place: line.kind.word().to_owned(),
            opening_l: line.opening.litres(),
            in_l: line.into.litres(),
            out_l: line.out.litres(),
            closing_l: line.closing.litres(),
            reported: self.0.reported(line.closing),
        }
    }

    fn stage(&self, stage: &Stage) -> StageWire {
        StageWire {
            place: stage.kind.word().to_owned(),
            through_l: stage.through().litres(),
            reported: self.0.reported(stage.through()),
            opening_l: stage.opening.litres(),
            came: self.kinds(&stage.came),
            went: self.kinds(&stage.went),
            away: self.places(&stage.away),
            stays: self.kinds(&stage.stays),
        }
    }
}

impl AccountBalanceWire {
    /// The balance of a span of acts, told in the unit of a profile.
    #[must_use]
    pub fn of(ledger: &Ledger, span: Span, profile: &Profile) -> Self {
        let (balance, flows) = (ledger.balance(span), ledger.flows(span));
        let told = Told(profile);
        let flow = |flow: &account::Flow| FlowWire {
            from: flow.from.word().to_owned(),
            to: flow.to.to_string(),
            pure_alcohol_l: flow.alcohol.litres(),
        };
        let tell = balance.gauges_tell();
        Self {
            unit: profile.unit_word().to_owned(),
            entries: ledger.length(),
            closed_ms: ledger.closed().map(|(upto_ms, _)| upto_ms),
            opening_l: balance.opening.litres(),
            came: told.places(&balance.sources),
            there: told.amount("there", balance.opening.plus(balance.came())),
            gone: told.places(&balance.gone),
            not_explained_l: balance.not_explained.litres(),
            not_explained_reported: profile.reported(balance.not_explained),
            not_explained_percent: balance.not_explained_percent(),
            gauges_tell_l: tell.map(PureAlcohol::litres),
            gauges_tell_reported: tell.map(|tell| profile.reported(tell)),
            gauges_see_it: balance.gauges_see_it(),
            stocks: balance.stocks.iter().map(|line| told.stock(line)).collect(),
            closing_l: balance.closing.litres(),
            off_l: balance.off.litres(),
            bottles: balance.bottles,
            bottled_l: balance.bottled.litres(),
            bottled_reported: profile.reported(balance.bottled),
            bottled_percent: balance.bottled_percent(),
            feints_percent: balance.feints_percent(),
            energy_kwh: balance.spent.energy_kwh,
            water_l: balance.spent.water_l,
            cost: balance.spent.cost,
            per_litre: balance.spent_per_litre().into(),
            per_bottle: balance.spent_per_bottle().into(),
            flows: flows.iter().map(flow).collect(),
            gauged_overdue: balance.gauged_overdue.clone(),
            river: account::river(&balance, &flows).iter().map(|one| told.stage(one)).collect(),
            authority: profile.accepts.clone(),
        }
    }
}
