//! A shed under load: stills whose ten channels are fed by a broker, a serial line, a 1-wire
//! thermometer and a growing table at ten readings a second, and what became of every reading.

mod broker;
mod follower;
mod judge;
mod load;
mod writers;

#[path = "../../../server/tests/broker/mod.rs"]
#[expect(dead_code, reason = "the server's tests use the rest")]
mod small;

pub(crate) use load::{Load, run};
pub(crate) use writers::By;
