//! The tables, laws and refusals of alcoholometry.

mod bad_input;
mod density_tables;
mod deviations;
mod dilution_tables;
mod gauging_tables;
mod laws;
mod support;
mod wash_tables;
