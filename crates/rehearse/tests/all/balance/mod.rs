//! Where the alcohol went: the causes on made-up runs whose truth is known, and on a measured one.

mod cases;
mod flask;
mod made_up;
