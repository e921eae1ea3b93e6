//! Strength of what runs now: the glass just read, the fresh estimate, or reckoned.

use sense::jar::GLASS_SD_VOL;
use still::plan::StepKind;

use super::{Band, Value};
use crate::engine::Live;

/// A glass reading is the answer for this long, s: judgement.
const GLASS_S: f64 = 120.0;
/// Half of the 95 % band of a glass reading, % vol.
const GLASS_BAND: f64 = 2.0 * GLASS_SD_VOL;
/// A head so much colder than on the plateau shows a column that still fills, K: judgement.
pub(crate) const FILLING_K: f64 = 5.0;

impl Live {
    /// Strength of what runs now, % vol; none where nothing runs or the probe that shows it is lost.
    pub(crate) fn strength_now(&self) -> Option<Value> {
        if !self.spirit_may_run() || self.column_fills() {
            return None;
        }
        if let Some((at, strength)) = self.spirit.gauged.last
            && self.now_s - at <= GLASS_S
        {
            return Some(self.value(banded(strength, GLASS_BAND), "read by the glass just now"));
        }
        if self.blind() {
            return None;
        }
        if let Some(outlook) = self.fresh_outlook() {
            let basis = "everything measured so far".to_owned();
            let made_at_s = outlook.made_at_s;
            return Some(Value { at: outlook.strength_now, basis, made_at_s });
        }
        self.reckoned_strength()
    }

    /// Whether the stages of a column are not full yet: its top is not what it should become.
    fn column_fills(&self) -> bool {
        if self.is_pot() || self.head_is_below() {
            return false;
        }
        let plateau_c = self.probes.head_of(self.plateau_vol());
        match self.course.steps.kind() {
            StepKind::Heat => true,
            StepKind::Equalise => self.head_c().is_some_and(|c| c < plateau_c - FILLING_K),
            _ => false,
        }
    }

    /// The strength of what runs now where something of this step shows it: the glass, the
    /// estimate, or the head. A forecast alone ends no step.
    pub(crate) fn strength_seen(&self) -> Option<Value> {
        let head_shows = if self.is_pot() { self.head_c() } else { self.head_rise_k() }.is_some();
        let step_s = self.course.steps.started().seconds();
        let gauged = self.spirit.gauged.last.is_some_and(|(at, _)| at >= step_s);
        let seen = head_shows || gauged || self.fresh_outlook().is_some();
        self.strength_now().filter(|_| seen)
    }

    /// A value found now.
    pub(super) fn value(&self, at: Band, basis: &str) -> Value {
        Value { at, basis: basis.to_owned(), made_at_s: self.now_s }
    }
}

/// Strongest spirit that can run, % vol: the azeotrope (handbook).
const STRONGEST_VOL: f64 = 97.2;

/// A strength with half of its 95 % band.
pub(crate) fn banded(strength_vol: f64, half: f64) -> Band {
    Band::of_half_95(strength_vol, half).map(|vol| vol.clamp(0.0, STRONGEST_VOL))
}
