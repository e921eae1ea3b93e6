//! An estimate and what it is about: what is printed.

use estimate::Outlook;

use super::moment::Moment;

/// One estimate and what it is about.
pub(super) struct Estimated<'a> {
    pub(super) run: &'a str,
    pub(super) title: &'a str,
    pub(super) moment: Moment,
    /// Run time of the last thing that was recorded by then, s.
    pub(super) recorded_s: f64,
    pub(super) learned_runs: usize,
    pub(super) outlook: &'a Outlook,
}
