//! The server over real sockets: its document, its refusals, its sessions, its feed.

mod acts;
mod bad_input;
mod clock;
#[cfg(test)]
mod common;
mod contract;
mod late;
mod outlook;
mod runs;
mod stills;
