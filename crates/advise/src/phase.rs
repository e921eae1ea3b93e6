//! In which phase a run stands, as far as alarms go.

use still::plan::StepKind;

use crate::engine::Live;
use crate::heat::STILL_BOILS_S;
use crate::rules::Phase;

impl Live {
    /// The phase of now.
    pub(crate) fn phase(&self) -> Phase {
        let heat = &self.course.heat;
        if !self.begun() {
            return Phase::BeforeHeat;
        }
        let Some(off_s) = heat.off_since_s() else {
            return if self.vapour_about() { Phase::Boil } else { Phase::HeatUp };
        };
        let stopped = self.course.steps.kind() == StepKind::Stop && self.is_cool();
        if heat.has_cooled() || stopped {
            Phase::Cold
        } else if self.vapour_about() && self.now_s - off_s <= STILL_BOILS_S {
            Phase::Boil
        } else {
            Phase::Cooling
        }
    }
}
