//! Rehearsals: what is said of them, what is known of them, and whether their books close.

mod alarms;
mod balance;
mod cold_head;
mod common;
mod estimate;
mod examples;
mod hazards;
mod no_heat;
mod odd_plans;
mod prompts;
mod scale;
mod unseen;
mod walk;
mod whole_run;
