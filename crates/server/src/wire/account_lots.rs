//! Lots of the account, what may be entered, and what a reviewer would ask about, as they are told
//! here and by the command line.

use account::{EntryKind, Finding, LOSSES, PlaceKind, Profile, Recall, Trace};
use serde::Serialize;
use store::StandingLot;
use utoipa::ToSchema;

use super::account_entry::GaugedWithWire;

/// A lot in a place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StandingLotWire {
    /// Its name.
    pub lot: String,
    /// Where it stands, as `tank:T1`.
    pub place: String,
    /// L of pure alcohol there.
    pub pure_alcohol_l: f64,
    /// In the unit of the profile.
    pub reported: String,
    /// Litres at 20 °C, where its strength is known.
    pub litres_20c: Option<f64>,
    /// % vol at 20 °C, where all of it came in by one act that says it.
    pub strength_vol: Option<f64>,
    /// Whole bottles, where it was filled into such.
    pub bottles: Option<u32>,
    /// With what the act that brought it was gauged, where it was and all came in by one act.
    pub gauged_with: Vec<GaugedWithWire>,
    /// When something last came in, ms of UTC.
    pub since_ms: i64,
}

impl StandingLotWire {
    /// Of a lot, told in the unit of a profile.
    #[must_use]
    pub fn new(one: &StandingLot, profile: &Profile) -> Self {
        Self {
            lot: one.lot.to_string(),
            place: one.place.to_string(),
            pure_alcohol_l: one.alcohol.litres(),
            reported: profile.reported(one.alcohol),
            litres_20c: one.litres_20c,
            strength_vol: one.strength_vol,
            bottles: one.bottles,
            gauged_with: one.gauged.iter().map(|(one, at)| GaugedWithWire::new(one, *at)).collect(),
            since_ms: one.since_ms,
        }
    }
}

/// Where some of a lot came, or came from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TraceWire {
    /// As `bottles:shelf`.
    pub place: String,
    /// None where it came from outside or is gone.
    pub lot: Option<String>,
    /// How much of it, L of pure alcohol.
    pub pure_alcohol_l: f64,
    /// In the unit of the profile.
    pub reported: String,
    /// How much of it stands there now, L.
    pub now_l: f64,
}

/// A lot followed both ways.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LotRecallWire {
    /// Which.
    pub lot: String,
    /// What it is made of.
    pub made_of: Vec<TraceWire>,
    /// The entries that made it, in the order of the acts.
    pub made_by: Vec<u64>,
    /// What had some of it.
    pub went_to: Vec<TraceWire>,
    /// The entries that moved it.
    pub moved_by: Vec<u64>,
}

impl LotRecallWire {
    /// Of both ways, told in the unit of a profile.
    #[must_use]
    pub fn new(lot: String, made_of: &Recall, went_to: &Recall, profile: &Profile) -> Self {
        let one = |trace: &Trace| TraceWire {
            place: trace.place.to_string(),
            lot: trace.lot.as_ref().map(ToString::to_string),
            pure_alcohol_l: trace.alcohol.litres(),
            reported: profile.reported(trace.alcohol),
            now_l: trace.now.litres(),
        };
        let all = |recall: &Recall| recall.traces.iter().map(one).collect();
        let (made_by, moved_by) = (made_of.entries.clone(), went_to.entries.clone());
        Self { lot, made_of: all(made_of), made_by, went_to: all(went_to), moved_by }
    }
}

/// Which acts there are, and between which places each moves alcohol.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct EntryKindsWire {
    /// From sugar to bottle.
    kinds: Vec<EntryKindWire>,
    /// What alcohol can be lost to; any act may name one.
    losses: Vec<NamedLossWire>,
}

/// One kind of entry.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct EntryKindWire {
    /// As `blend`.
    kind: String,
    /// Kinds of place it takes from.
    from: Vec<String>,
    /// Kinds of place it brings to, beside losses, samples and what nobody explains.
    to: Vec<String>,
}

/// What alcohol can be lost to.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct NamedLossWire {
    /// As `loss:vapour`.
    place: String,
    /// In words.
    words: String,
}

impl EntryKindsWire {
    /// All of them.
    pub(crate) fn all() -> Self {
        let words = |kinds: &[PlaceKind]| kinds.iter().map(|kind| kind.word().to_owned()).collect();
        let act = |kind: &EntryKind| EntryKindWire {
            kind: kind.word().to_owned(),
            from: words(kind.takes_from()),
            to: words(kind.brings_to()),
        };
        let loss = |(name, words): &(&str, &str)| NamedLossWire {
            place: format!("loss:{name}"),
            words: (*words).to_owned(),
        };
        Self {
            kinds: EntryKind::ALL.iter().map(act).collect(),
            losses: LOSSES.iter().map(loss).collect(),
        }
    }
}

/// The digest that stands for the whole book.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct BookDigestWire {
    /// Entries it stands for.
    pub(crate) entries: u64,
    /// Of the last line of the table in this profile.
    pub(crate) digest: String,
}

/// What a reviewer would ask about.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FindingWire {
    /// Which check found it.
    pub check: String,
    /// Which entry; none where it is of the whole book.
    pub entry: Option<u64>,
    /// In words.
    pub text: String,
}

impl From<Finding> for FindingWire {
    fn from(finding: Finding) -> Self {
        let Finding { check, entry, text } = finding;
        Self { check: check.word().to_owned(), entry, text }
    }
}
