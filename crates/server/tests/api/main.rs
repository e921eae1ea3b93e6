//! The server over real sockets: its document, its refusals, its sessions, its feed.

mod account;
#[cfg(test)]
mod acts;
mod alarms;
mod amended;
mod attacks;
mod bad_input;
mod broker_cipher;
mod cipher;
mod clock;
#[cfg(test)]
mod common;
mod contract;
#[cfg(test)]
mod course;
mod devices;
mod door;
mod feeding;
mod guarded;
mod instruments;
mod late;
mod listener;
mod listening;
mod one_number;
mod outlook;
mod probe_off;
mod runs;
mod several;
mod squeezed;
mod standing;
mod stills;
mod telling;
mod tending;
mod times;
mod wash_feeds;
mod washes;
mod who_did;

#[path = "../broker/mod.rs"]
mod broker;
