//! The laws that the finishing of a spirit obeys, against published tables and a second route.

mod bottles;
mod casks;
mod entered;
mod jars;
mod reducing;
mod treated;
