//! What of the bench may be taken into the book, and what it is there.

use finishing::entering::AgainstBook;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::account_ask::ByAsk;
use super::account_entry::AccountEntryWire;
use super::record::EnteredWire;
use super::to_bottle::{BottlingAsk, StepsAsk};
use super::treating::{CarbonAsk, CaskAsk, MacerateAsk};

/// Between which places of the book, as `tank:T1/L-14`.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StandsAsk {
    /// Where it stands.
    pub(crate) out_of: String,
    /// Where it comes to; where it stands already where absent.
    #[serde(default)]
    pub(crate) into: Option<String>,
    /// What a loss is put down to, as `loss:transfer`, of a reduction or of bottles.
    #[serde(default)]
    pub(crate) lost_to: Option<String>,
    /// The bed that keeps what stays in carbon; lost where absent.
    #[serde(default)]
    pub(crate) bed: Option<String>,
}

/// The jars of a run, mixed.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct JarsAsk {
    /// The run.
    pub(crate) run: String,
    /// The jars that are in.
    pub(crate) jars: Vec<u32>,
    /// Where they come together, as `tank:T1/L-14`.
    pub(crate) into: String,
    /// Where the rest is kept; feints of the run where absent.
    #[serde(default)]
    pub(crate) feints_into: Option<String>,
}

/// What was done at the bench: one of them.
#[derive(Debug, Clone, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DoneAsk {
    /// Jars were mixed.
    #[serde(default)]
    pub(crate) jars: Option<JarsAsk>,
    /// Water was added.
    #[serde(default)]
    pub(crate) steps: Option<StepsAsk>,
    /// It was treated with carbon.
    #[serde(default)]
    pub(crate) carbon: Option<CarbonAsk>,
    /// It was macerated.
    #[serde(default)]
    pub(crate) macerate: Option<MacerateAsk>,
    /// A cask was filled, or gauged again.
    #[serde(default)]
    pub(crate) cask: Option<CaskAsk>,
    /// Bottles were filled.
    #[serde(default)]
    pub(crate) bottling: Option<BottlingAsk>,
}

/// An act of the bench for the book.
#[derive(Debug, Clone, Deserialize, ToSchema)]
pub(crate) struct ActAsk {
    /// Only look at the entries it would make.
    #[serde(default)]
    pub(crate) look: bool,
    /// What was done.
    pub(crate) done: DoneAsk,
    /// Numbers of `done` that were typed in another unit, as `carbon.vol`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// Between which places; not with jars.
    #[serde(default)]
    pub(crate) stands: Option<StandsAsk>,
    /// Who, when, why.
    #[serde(flatten)]
    pub(crate) by: ByAsk,
}

/// What an act is in the book, or would be.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct ActAnswer {
    /// Whether it was entered now.
    pub(crate) entered: bool,
    /// Whether it was in the book before.
    pub(crate) known: bool,
    /// Its entries.
    pub(crate) entries: Vec<AccountEntryWire>,
    /// Of jars that are mixed: what their gauges come to beside what the book has, which is entered.
    pub(crate) against_book: Option<AgainstBookWire>,
}

/// What jars hold by their gauges, and what the book has in them.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AgainstBookWire {
    /// Pure alcohol by the gauges, L.
    gauged_l: f64,
    /// Pure alcohol in the book, L.
    book_l: f64,
    /// By how much the gauges have more, L.
    more_l: f64,
    /// In words.
    words: String,
}

impl From<AgainstBook> for AgainstBookWire {
    fn from(of: AgainstBook) -> Self {
        let words = of.words();
        Self { gauged_l: of.gauged_l, book_l: of.book_l, more_l: of.more_l, words }
    }
}
