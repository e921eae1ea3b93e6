//! The account from outside: what it refuses, what always holds, recall, review, profiles.

mod laws;
mod profiles;
mod recall;
mod refusals;
mod review;
mod support;
mod typed;
