//! Twins of the domain's results in the shape the command line promises as JSON.

pub(crate) mod forecast;
