//! What was weighed under the jar and is not yet in the account.

/// What the scale told last.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) enum Told {
    #[default]
    Nothing,
    Weighs,
    Lost,
    Frozen,
    /// No jar stands on it, or a hand does not leave it.
    Off,
}

/// What was weighed and is not yet in the account.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Weighing {
    /// Weighed less accounted, mL; less than nothing where too much was reckoned meanwhile.
    pub(crate) owed_ml: f64,
    /// Reckoned since the last reading that counted, mL.
    pub(crate) since_ml: f64,
    /// Since when it has weighed all that runs, s.
    pub(crate) since_s: Option<f64>,
    pub(crate) told: Told,
    /// When the scale showed another jar that nobody had recorded, s.
    pub(crate) jar_s: Option<f64>,
}

impl Weighing {
    /// Whether all that ran since then was weighed.
    pub(crate) fn all_since(&self, from_s: f64) -> bool {
        self.since_s.is_some_and(|since_s| since_s <= from_s)
    }

    /// So much is taken out of what was accounted and not weighed.
    pub(crate) fn taken_out(&mut self, ml: f64) {
        self.owed_ml += ml;
    }
}
