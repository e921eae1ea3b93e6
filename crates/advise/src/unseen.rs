//! Times in which nothing showed the still: what was reckoned in them is in doubt, and what is found
//! not to have run is taken out of the account.

use quantities::Band;
use sense::{HOT_C, Idle};
use still::plan::StepKind;

use crate::drawn::InDoubt;
use crate::engine::Live;
use crate::event::Event;
use crate::finding::state_event;
use crate::numbers::minutes;

/// What a person measures at the spout shows that it runs for so long, s (judgement, as for readings
/// that are typed).
const SPOUT_S: f64 = 600.0;
/// A still that is heated again is back at the boil after this at the latest, s: judgement. A head
/// that is cold for longer is no sign that nothing runs.
const WARMS_S: f64 = 1800.0;
/// Of a time after which a still was found not to boil, it may have boiled for so much of it, 90 and
/// 97.5 % points: judgement.
const BOILED_SHARE: (f64, f64) = (0.25, 1.0);
/// Less than this is not told, mL: judgement.
const TOLD_FROM_ML: f64 = 5.0;

impl Live {
    /// Since when neither a reading nor a person at the spout shows what the still does, s; none
    /// while something does, and where no probe is read often.
    pub(crate) fn unseen_since_s(&self) -> Option<f64> {
        let from_s = self.probes.unseen().since_s(self.now_s)?;
        match self.hand.spout_s.filter(|at_s| *at_s > from_s) {
            Some(spout_s) => (self.now_s - spout_s > SPOUT_S).then_some(spout_s),
            None => Some(from_s),
        }
    }

    /// Follows what runs unseen.
    pub(crate) fn follow_unseen(&mut self) {
        if let Some(from_s) = self.unseen_since_s().filter(|_| !self.weighs()) {
            self.spirit.drawn.unseen(from_s, self.now_s);
        }
    }

    /// The readings that came back show that the still did not boil: what was reckoned meanwhile
    /// does not count.
    pub(crate) fn was_idle(&mut self, idle: Idle) -> Vec<Event> {
        let out_ml = self.spirit.drawn.did_not_run((idle.from_s, idle.to_s));
        if self.probes.reader().scale().counted_s().is_some() {
            self.spirit.weighing.taken_out(out_ml);
        }
        for jar in self.spirit.jars.filled.iter_mut().filter(|jar| !jar.measured) {
            jar.ml = self.spirit.drawn.between(jar.start_s, jar.end_s).0;
        }
        if out_ml < TOLD_FROM_ML {
            return Vec::new();
        }
        self.foresight.reasons.note(self.now_s, "the still did not boil while nothing was read");
        let text = format!(
            "Nothing was read for {} and the still did not boil: the {out_ml:.0} mL reckoned \
             meanwhile do not count as drawn.",
            minutes(idle.to_s - idle.from_s)
        );
        let how = "by the first readings after; the jar tells what really ran";
        vec![state_event(idle.to_s, "did_not_boil", text, how)]
    }

    /// Whether the still, which was at the boil before, has to warm up again: its head is read and
    /// colder than any vapour. Nothing runs then.
    pub(crate) fn warms_again(&self) -> bool {
        let since_s = self.probes.unseen().back_s().unwrap_or(0.0);
        let heated_s = self.course.heat.on_since_s().unwrap_or(self.now_s);
        let lately = self.now_s - since_s.max(heated_s) <= WARMS_S;
        lately
            && self.course.vapour_s().is_some()
            && self.course.steps.kind() != StepKind::Heat
            && self.head_in_vapour_c().is_some_and(|head_c| head_c < HOT_C)
    }
}

/// A band of what was drawn that reaches down to what was surely drawn, and up to what perhaps was.
pub(crate) fn reaching(band: Band, less: f64, more: f64) -> Band {
    let [p025, p10, p50, p90, p975] = band.to_array();
    let more = (BOILED_SHARE.0 * more, BOILED_SHARE.1 * more);
    Band::from_array([p025 - less, p10 - less, p50, p90 + more.0, p975 + more.1])
}

impl InDoubt {
    /// The band of litres that are still there, or still to come, where what was drawn is in doubt.
    pub(crate) fn still_there(&self, band: Band) -> Band {
        let [p025, p10, p50, p90, p975] = band.to_array();
        let (less_l, more_l) = (self.less_alcohol_ml / 1000.0, self.more_alcohol_ml / 1000.0);
        let more_l = (BOILED_SHARE.0 * more_l, BOILED_SHARE.1 * more_l);
        let low = [p025 - more_l.1, p10 - more_l.0];
        Band::from_array([low[0], low[1], p50, p90 + less_l, p975 + less_l])
    }
}
