//! The scale under the jar in the account: what is weighed goes before every rate that was planned,
//! set or timed. A jar that a person measured still rules over it, as over all that was reckoned
//! ([`crate::drawn::Drawn::jar`]). While the scale tells nothing the take-off is reckoned with again,
//! put right by what was weighed last.

use sense::{Anew, Probe, Weighed, expected_kg_per_s, litres_of_kg};

use crate::engine::Live;
use crate::event::Event;
use crate::finding::state_event;
use crate::weighing::Told;

/// What is weighed comes into the account within this, s: judgement.
const PAID_S: f64 = 20.0;
/// Weight of one reading in what the valve gives over what it is set to: judgement.
const VALVE_WEIGHT: f64 = 0.1;
/// A weight that stands for longer than this is not learned from, s: judgement.
const STANDS_S: f64 = 20.0;
/// Something is done to a scale for this long, and it is told, s: judgement, a jar is swapped in less.
const OFF_S: f64 = 120.0;
/// A jar recorded so long before the scale shows another is that one; one recorded so long after is
/// the one that the scale showed, s: judgement.
const RECORDED_BEFORE_S: f64 = 180.0;
const RECORDED_AFTER_S: f64 = 300.0;

/// A rate that is weighed is that of so many minutes ([`sense::Scale::rate_kg_per_s`]), and known to
/// half a gram at either end of them, mL (judgement: kitchen scales have steps of a gram).
const RATE_MIN: f64 = 3.0;
const STEP_ML: f64 = 0.9;

impl Live {
    /// What is expected on the scale, kg/s.
    pub(crate) fn expected_kg_per_s(&self) -> f64 {
        if !self.may_weigh() {
            return 0.0;
        }
        expected_kg_per_s(self.spirit.drawn.take_off, self.heater_w())
    }

    fn may_weigh(&self) -> bool {
        self.course.vapour_s().is_some() || self.course.steps.kind().draws()
    }

    /// Millilitres at 20 °C of so much of the spirit that runs.
    fn ml_of(&self, kg: f64) -> f64 {
        1000.0 * litres_of_kg(kg, self.running_strength())
    }

    /// Whether what runs is weighed now. Between weights that a person types it is reckoned, and put
    /// right by each.
    pub(crate) fn weighs(&self) -> bool {
        let often = !self.probes.reader().of(Probe::Receiver).typed();
        often && self.may_weigh() && self.probes.reader().scale().speaks(self.now_s)
    }

    /// Take-off as weighed, mL/min at 20 °C; none while the scale tells none.
    pub(crate) fn weighed_ml_min(&self) -> Option<f64> {
        let scale = self.probes.reader().scale();
        let kg_per_s = scale.rate_kg_per_s().filter(|_| self.weighs())?;
        let runs = !scale.rests();
        Some(if runs { 60.0 * self.ml_of(kg_per_s.max(0.0)) } else { 0.0 })
    }

    /// Half of the 95 % band of the present take-off, relative: a slow one that is weighed is known no
    /// better than the gram's step of the scale tells it.
    pub(crate) fn rate_doubt(&self) -> f64 {
        let band = self.spirit.drawn.rate_band();
        let weighed = self.weighed_ml_min().filter(|rate| *rate > 0.0);
        weighed.map_or(band, |rate| band.hypot(STEP_ML / (rate * RATE_MIN)).min(1.0))
    }

    /// Take-off that times are reckoned with, mL/min: as set and put right by what was weighed, which
    /// is steadier, while what is weighed now does not clearly say another.
    pub(crate) fn steady_ml_min(&self) -> f64 {
        let set = self.set_ml_min();
        let weighed = self.weighed_ml_min();
        weighed.filter(|rate| (rate - set).abs() > self.rate_doubt() * rate).unwrap_or(set)
    }

    /// What comes into the account in a second, mL/min: what was weighed and is owed, over a while;
    /// what is reckoned where nothing is weighed.
    pub(crate) fn accounted_ml_min(&mut self, rate_ml_min: f64, seconds: f64) -> f64 {
        let weighs = self.weighs();
        self.spirit.drawn.weighed = weighs;
        let weighing = &mut self.spirit.weighing;
        weighing.since_s = if weighs { weighing.since_s.or(Some(self.now_s)) } else { None };
        if seconds <= 0.0 {
            return 0.0;
        }
        let reckoned = if weighs { 0.0 } else { rate_ml_min };
        let reckoned_ml = reckoned * seconds / 60.0;
        let due_ml = weighing.owed_ml * (seconds / PAID_S).min(1.0);
        let paid_ml = due_ml.max(-reckoned_ml.max(0.0));
        weighing.owed_ml -= paid_ml;
        weighing.since_ml += reckoned_ml;
        reckoned + 60.0 * paid_ml / seconds
    }

    /// Takes what the scale's reading of that moment told.
    pub(crate) fn weigh(&mut self, time_s: f64) -> Vec<Event> {
        let scale = self.probes.reader().scale();
        let Some(weighed) = scale.told(time_s).filter(|_| self.may_weigh()) else {
            return Vec::new();
        };
        match weighed {
            Weighed::Ran(kg) => {
                let ml = self.ml_of(kg);
                let weighing = &mut self.spirit.weighing;
                weighing.owed_ml += ml - weighing.since_ml;
                weighing.since_ml = 0.0;
                self.learn_valve();
            }
            Weighed::Rests => self.spirit.weighing.since_ml = 0.0,
            Weighed::Anew(why) => {
                self.spirit.weighing.since_ml = 0.0;
                if why == Anew::Changed {
                    return self.jar_changed(time_s).into_iter().collect();
                }
            }
        }
        Vec::new()
    }

    /// So that what is reckoned where the scale is lost goes on as it ran.
    fn learn_valve(&mut self) {
        // A rate that falls because the scale stands still tells nothing of the valve.
        let stands_s = self.probes.reader().of(Probe::Receiver).same_for_s();
        let Some(weighed) = self.weighed_ml_min().filter(|_| stands_s <= STANDS_S) else { return };
        let set = self.set_ml_min();
        if set > 0.0 {
            self.spirit.drawn.valve_shows(weighed / set, VALVE_WEIGHT);
        }
    }

    /// The scale shows another jar: the next is open, unless one was recorded just before.
    fn jar_changed(&mut self, time_s: f64) -> Option<Event> {
        let recorded = |open: &crate::jars::Open| time_s - open.start_s <= RECORDED_BEFORE_S;
        if !self.course.steps.kind().draws() || self.spirit.jars.open.as_ref().is_some_and(recorded)
        {
            return None;
        }
        let number = self.spirit.jars.next_number();
        self.spirit.weighing.jar_s = None;
        self.new_jar(time_s, number);
        self.spirit.weighing.jar_s = Some(time_s);
        let text = format!("Another jar stands under the spout: it counts as jar {number}.");
        let how = "by the scale; record the jar where it has another number";
        Some(state_event(time_s, "jar_weighed", text, how))
    }

    /// Whether a jar that is recorded now is the one that the scale showed; it then takes its number.
    pub(crate) fn is_weighed_jar(&mut self, time_s: f64) -> bool {
        let shown_s = self.spirit.weighing.jar_s.take();
        shown_s.is_some_and(|at_s| (0.0..=RECORDED_AFTER_S).contains(&(time_s - at_s)))
    }

    /// Whether the scale, which weighed before, has told nothing for more than a moment.
    pub(crate) fn scale_is_silent(&self) -> bool {
        matches!(self.spirit.weighing.told, Told::Lost | Told::Frozen | Told::Off)
    }

    /// Says where the scale that weighed what runs no longer does, and where it does again.
    pub(crate) fn follow_scale(&mut self, said: &mut Vec<Event>) {
        let scale = self.probes.reader().scale();
        let typed = self.probes.reader().of(Probe::Receiver).typed();
        if typed || scale.counted_s().is_none() || !self.may_weigh() || self.course.is_over() {
            return;
        }
        let before = self.spirit.weighing.told;
        let frozen_s = scale.frozen_since_s();
        let now = if self.probes.reader().of(Probe::Receiver).stale(self.now_s) {
            Told::Lost
        } else if frozen_s.is_some() {
            Told::Frozen
        } else if scale.moved_since_s().is_some_and(|since_s| self.now_s - since_s >= OFF_S) {
            Told::Off
        } else {
            Told::Weighs
        };
        self.spirit.weighing.told = now;
        if before == now || (before == Told::Nothing && now == Told::Weighs) {
            return;
        }
        let reckoned = "what runs is reckoned from the take-off until then";
        let (code, text) = match now {
            Told::Lost => (
                "scale_lost",
                "The scale under the jar is not read any more; the take-off counts as it ran last.",
            ),
            Told::Frozen => {
                self.reckon_since(frozen_s.unwrap_or(self.now_s));
                (
                    "scale_frozen",
                    "The scale has not moved by one digit though spirit should run: look whether \
                     it runs, and into the jar.",
                )
            }
            Told::Off => (
                "scale_off",
                "No jar has stood on the scale for two minutes; the take-off counts as it ran last.",
            ),
            Told::Nothing | Told::Weighs => ("scale_back", "The scale weighs what runs again."),
        };
        self.foresight.reasons.note(self.now_s, "the scale was lost or came back");
        said.push(state_event(self.now_s, code, text.to_owned(), reckoned));
    }

    /// What was weighed as nothing since then is reckoned after all.
    fn reckon_since(&mut self, from_s: f64) {
        let late_s = self.now_s - from_s;
        let rate = self.set_ml_min();
        self.spirit.weighing.since_ml += rate * late_s / 60.0;
        self.draw(late_s, rate);
    }
}
