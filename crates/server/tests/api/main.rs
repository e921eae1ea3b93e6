//! The server over real sockets: its document, its refusals, its sessions, its feed.

#[cfg(test)]
mod acts;
mod alarms;
mod bad_input;
mod clock;
#[cfg(test)]
mod common;
mod contract;
#[cfg(test)]
mod course;
mod feeding;
mod late;
mod listening;
mod one_number;
mod outlook;
mod probe_off;
mod runs;
mod squeezed;
mod standing;
mod stills;
mod telling;
mod times;

#[path = "../broker/mod.rs"]
mod broker;
