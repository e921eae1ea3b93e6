//! A small stand-in for a broker, and a small client of any: CONNECT, SUBSCRIBE, PUBLISH with QoS 0
//! and 1, retained messages and last wills of MQTT 3.1.1 (packets from memory of the standard).

mod client;
mod packet;
mod stand_in;

pub(crate) use client::Client;
pub(crate) use stand_in::StandIn;
