//! Whether the still has heat, since when, and whether it has cooled down.

/// A still goes on boiling for this long at most when the heat is off, s: judgement. It is not cool
/// before, whatever its head reads.
pub(crate) const STILL_BOILS_S: f64 = 300.0;
/// Without heat for this long a still counts as cooled down, s, where its head is cool or not
/// read: a pot of 200 L gives off no vapour to speak of after half an hour. Judgement.
const COOLED_S: f64 = 1800.0;
/// Heated again after that, vapour is reckoned with after this long, s: judgement.
const AGAIN_S: f64 = 300.0;

/// Heat over time.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Heat {
    on: bool,
    /// Since when it is as it is, s.
    since_s: f64,
    cooled: bool,
}

impl Heat {
    /// Takes the heat of a second; says whether it went on or off.
    pub(crate) fn follow(&mut self, now_s: f64, on: bool, cool: bool) -> bool {
        let turned = on != self.on;
        if turned {
            (self.on, self.since_s) = (on, now_s);
        }
        let passed_s = now_s - self.since_s;
        if !on && cool && passed_s >= COOLED_S {
            self.cooled = true;
        } else if on && (!cool || passed_s >= AGAIN_S) {
            self.cooled = false;
        }
        turned
    }

    /// Whether there is heat.
    pub(crate) const fn is_on(&self) -> bool {
        self.on
    }

    /// Whether the still has cooled down since it had heat.
    pub(crate) const fn has_cooled(&self) -> bool {
        self.cooled
    }

    /// Since when there is heat, where there is.
    pub(crate) fn on_since_s(&self) -> Option<f64> {
        self.on.then_some(self.since_s)
    }

    /// Since when there is no heat, where there is none.
    pub(crate) fn off_since_s(&self) -> Option<f64> {
        (!self.on).then_some(self.since_s)
    }
}
