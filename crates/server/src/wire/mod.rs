//! What goes over the wire: hand-written twins of the inner types, with their schemas. Nothing
//! here computes; an inner type may change its shape without the wire noticing.

pub(crate) mod access;
pub(crate) mod account;
pub(crate) mod account_ask;
pub(crate) mod account_entry;
pub(crate) mod account_lots;
pub(crate) mod alarms;
pub(crate) mod attending;
pub(crate) mod bench;
pub(crate) mod calibrated;
pub(crate) mod entering;
pub(crate) mod event;
pub(crate) mod feeds;
pub(crate) mod finishing;
pub(crate) mod forecast;
pub(crate) mod house;
pub(crate) mod instrument;
pub(crate) mod knowledge;
pub(crate) mod measured;
pub(crate) mod plan;
pub(crate) mod reading;
pub(crate) mod record;
pub(crate) mod run;
pub(crate) mod standing;
pub(crate) mod still;
pub(crate) mod stored;
pub(crate) mod to_bottle;
pub(crate) mod treating;
pub(crate) mod twin;
pub(crate) mod upkeep;
pub(crate) mod wash;
pub(crate) mod wash_ask;
pub(crate) mod wash_forecast;
pub(crate) mod wash_recipe;
