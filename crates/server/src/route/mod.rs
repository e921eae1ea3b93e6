//! The routes, one file per part of the API.

pub(crate) mod bench;
pub(crate) mod events;
pub(crate) mod plan;
pub(crate) mod runs;
pub(crate) mod server;
pub(crate) mod stills;
