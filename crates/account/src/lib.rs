//! The account of pure alcohol, from sugar to bottle: every entry moves it from places to places,
//! nothing is rubbed out, every loss has a name.
//!
//! An entry takes from legs and brings to legs, both the same sum to the nanolitre. Sources are
//! what yeast made, what came from outside and what was found; stocks never hold less than
//! nothing, in the order of the acts; what is gone is a sample, a removal, a destruction, a named
//! loss, or not explained. Nothing here reads a clock or a file.

mod acts;
mod amount;
mod balance;
mod compact;
mod draft;
pub mod entry;
mod error;
pub mod gauge;
mod genealogy;
mod holding;
mod kind;
mod ledger;
mod name;
mod place;
pub mod profile;
mod review;
mod river;
mod spent;
mod typed;

pub use acts::Count;
pub use amount::PureAlcohol;
pub use balance::{Balance, Flow, Span, StockLine};
pub use draft::{Draft, TypedLeg};
pub use entry::{Entry, LEGS_MAX, Leg, Numbered, People, Serial};
pub use error::AccountError;
pub use gauge::{Gauge, Instrument, Raw, Unit};
pub use genealogy::{Recall, Trace};
pub use holding::{Event, Holding, Position};
pub use kind::EntryKind;
pub use ledger::Ledger;
pub use name::Name;
pub use place::{LOSSES, Place, PlaceKind, Side};
pub use profile::{AccountUnit, PROFILES, Profile};
pub use review::{Check, Finding, Review, month_end_ms};
pub use river::{Stage, river};
pub use spent::{Counted, Spent};
