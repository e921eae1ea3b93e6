//! What is due: the prompts, and whether the knee of the hearts shows.

use still::outcome::EndedBy;
use still::plan::{StepKind, TakeOff};

use super::engine::Live;
use super::event::{Event, Priority};
use super::finding::Finding;
use super::numbers::minutes;
use crate::heat::STILL_BOILS_S;
use crate::knowledge::{COOL_C, COOLANT_LEAD_S};
use quantities::FOUR_IN_FIVE;
use sense::Probe;

/// A pot this warm needs coolant whatever the forecast says, °C.
const COOLANT_POT_C: f64 = 70.0;
/// Slope at which the head counts as steady: 0.10 K in 10 min.
const STEADY_K_PER_S: f64 = 0.10 / 600.0;
/// The end of hearts is near when it may come within this, or likely comes within that, s.
const NEAR_EARLIEST_S: f64 = 600.0;
const NEAR_LIKELY_S: f64 = 900.0;
/// A knee is believed when the estimate's earliest end is no further than this, s.
const KNEE_LATEST_S: f64 = 1800.0;
/// The occasion of a prompt that a step is done: its index and this, so that it is another one
/// than that the end is near.
pub(super) const STEP_DONE: u64 = 1000;
/// How long it must show, s.
const KNEE_HOLD_S: f64 = 45.0;
/// A jar is changed when it is this full.
const JAR_FULL: f64 = 0.90;
/// Time after heat off at which a still without head readings counts as cool, s.
const COOL_UNREAD_S: f64 = 2700.0;

impl Live {
    /// Whether the head is hot and its slope over `span_s` is at most `factor` times the steady one.
    pub(super) fn steady(&self, span_s: f64, factor: f64) -> bool {
        let hot = self.head_c().is_some_and(|head| head > 60.0);
        let slope = self.probes.head().slope_per_s(self.now_s, span_s);
        hot && slope.is_some_and(|slope| slope.abs() <= factor * STEADY_K_PER_S)
    }

    /// Says what is due, and repeats what was not done.
    pub(super) fn prompt(&mut self, said: &mut Vec<Event>) {
        let index = self.course.steps.index() as u64;
        let due = [
            (0, self.coolant_on_due()),
            (0, self.first_vapour_due()),
            (index, self.head_steady_due()),
            (index, self.hearts_end_near_due()),
            (index + STEP_DONE, self.step_done_due()),
            (self.spirit.jars.changes, self.jar_change_due()),
            (0, self.coolant_off_due()),
            (self.hand.actions, self.still_here_due()),
            (self.barometer_steps(), self.barometer_due()),
        ];
        for (occasion, finding) in due {
            if let Some(finding) = finding {
                self.voice.prompts.say(self.now_s, occasion, finding, said);
            }
        }
        let mut prompts = std::mem::take(&mut self.voice.prompts);
        prompts.go_on(self.now_s, |code, occasion, at| self.is_done(code, occasion, at), said);
        self.voice.prompts = prompts;
    }

    pub(super) fn is_done(&self, code: &str, occasion: u64, said_s: f64) -> bool {
        let acted = self.hand.last_s >= said_s && self.hand.last_s > 0.0;
        let moved = |base: u64| self.course.steps.index() as u64 + base != occasion;
        match code {
            "coolant_on" => self.coolant_on(),
            "first_vapour" => self.course.steps.kind() != StepKind::Heat,
            "head_steady" => self.course.steps.kind() != StepKind::Equalise,
            "foreshots_done" | "heads_done" | "slow_phase" => moved(STEP_DONE),
            "hearts_end_near" if occasion >= STEP_DONE => moved(STEP_DONE),
            "hearts_end_near" => acted || moved(0),
            "stop" => {
                self.course.steps.kind() == StepKind::Stop || !self.heater_on() || moved(STEP_DONE)
            }
            "jar_change" => {
                self.spirit.jars.changes != occasion || !self.course.steps.kind().draws()
            }
            "coolant_off" => !self.coolant_on(),
            // It is told and needs no act: it is not said twice.
            "barometer_moved" => true,
            _ => acted,
        }
    }

    fn coolant_on_due(&self) -> Option<Finding> {
        if self.course.steps.kind() == StepKind::Stop || self.coolant_on() || !self.heater_on() {
            return None;
        }
        let boil_s = self.earliest_boil_s();
        let pot_c = self.probes.reader().fresh(Probe::Pot, self.now_s);
        let warm = pot_c.is_some_and(|pot| pot >= COOLANT_POT_C);
        let near = boil_s.is_some_and(|boil| boil - self.now_s <= COOLANT_LEAD_S);
        let due = warm || near || boil_s.is_none();
        let flow = self.plan.site.coolant_l_per_min;
        due.then(|| Finding {
            code: "coolant_on",
            priority: Priority::High,
            text: "The first vapour is near and no coolant is recorded.".to_owned(),
            how_sure: match (warm, boil_s) {
                (true, _) if !near => {
                    format!("the pot already reads {:.0} °C", pot_c.unwrap_or(0.0))
                }
                (_, Some(_)) => {
                    "earliest boil by the forecast, pot and heater; 1 in 40 comes sooner".to_owned()
                }
                _ => "without a forecast the time of the boil is not known".to_owned(),
            },
            to_do: format!("Open the coolant to {flow:.1} L/min and see it run out."),
            within_s: boil_s.map(|boil| (boil - self.now_s).max(0.0)),
        })
    }

    fn first_vapour_due(&self) -> Option<Finding> {
        let at = self.course.vapour_s()?;
        if self.course.steps.kind() != StepKind::Heat || self.now_s - at > 600.0 {
            return None;
        }
        let next_index = (self.course.steps.index() + 1).min(self.plan.steps.len() - 1);
        let watts = self.plan.step_power(next_index).watts();
        let next = match self.next_kind() {
            Some(StepKind::Equalise) => "begin to equalise when the reflux runs",
            _ => "put the first jar under the spout and begin the foreshots",
        };
        let (text, sure) = if self.course.head_never_hot() {
            (
                "Vapour should be at the head.",
                "the pot boils; the head thermometer does not show it",
            )
        } else if self.probes.head().last().is_some() {
            ("The first vapour is at the head.", "the head has left ambient by 20 K")
        } else {
            let sure = "the head is not read: from the pot or the forecast";
            ("The first vapour is at the head.", sure)
        };
        Some(Finding {
            code: "first_vapour",
            priority: Priority::High,
            text: text.to_owned(),
            how_sure: sure.to_owned(),
            to_do: format!(
                "Feel that the condenser is cold, bring the heater to {watts:.0} W, and {next}."
            ),
            within_s: Some(120.0),
        })
    }

    fn head_steady_due(&self) -> Option<Finding> {
        if self.course.steps.kind() != StepKind::Equalise {
            return None;
        }
        let passed_s = self.now_s - self.course.steps.started().seconds();
        let slope = self.probes.head().slope_per_s(self.now_s, 600.0);
        let (text, how_sure) = if passed_s >= 600.0 && self.steady(600.0, 1.0) {
            let slope = 600.0 * slope.unwrap_or(0.0);
            (
                "The head is steady.".to_owned(),
                format!(
                    "its slope is {slope:+.2} K in 10 min, pressure-corrected; 0.10 K is allowed"
                ),
            )
        } else if let Some((_, how)) = self.trigger_reached() {
            let seen = slope.map_or("its slope cannot be read".to_owned(), |slope| {
                format!("its slope is {:+.2} K in 10 min", 600.0 * slope)
            });
            ("The planned time of equalising is over.".to_owned(), format!("{how}; {seen}"))
        } else {
            return None;
        };
        Some(Finding {
            code: "head_steady",
            priority: Priority::Medium,
            text,
            how_sure,
            to_do: format!("Put a jar under the spout and {}.", self.begin_next_words()),
            within_s: Some(1200.0),
        })
    }

    fn hearts_end_near_due(&self) -> Option<Finding> {
        // Once a run: in the slow phase only where it began before anything was near.
        if self.course.steps.kind() != StepKind::Hearts
            || self.voice.prompts.first_said_s("hearts_end_near").is_some()
            || self.trigger_reached().is_some()
        {
            return None;
        }
        let knee = self.course.knee_s().is_some_and(|at| self.now_s - at >= KNEE_HOLD_S);
        let foreseen = self.fresh_outlook().filter(|_| !self.blind()).and_then(|o| o.end);
        let shown = self.shown_hearts_end();
        let near = match (&foreseen, &shown) {
            (Some(end), _) => end.time_s.p10 - self.now_s <= NEAR_EARLIEST_S,
            (None, Some(end)) => {
                end.at.p10 - self.now_s <= NEAR_EARLIEST_S
                    || end.at.p50 - self.now_s <= NEAR_LIKELY_S
            }
            (None, None) => false,
        };
        // A rise while everything measured says that much is left is a head that settles.
        let knee = knee && foreseen.is_none_or(|end| end.time_s.p025 - self.now_s <= KNEE_LATEST_S);
        if !knee && !near {
            return None;
        }
        let how_sure = match (&shown, self.rise_k()) {
            (_, Some(rise)) if knee => {
                format!("the head has left the plateau by {rise:.2} K and rises")
            }
            (Some(end), _) => format!(
                "between {} and {} from now, {FOUR_IN_FIVE}; from {}",
                minutes(end.at.p10 - self.now_s),
                minutes(end.at.p90 - self.now_s),
                end.basis
            ),
            _ => "from the head alone, there is no forecast".to_owned(),
        };
        Some(Finding {
            code: "hearts_end_near",
            priority: Priority::Medium,
            text: "The end of the hearts is near.".to_owned(),
            how_sure,
            to_do: "Stay at the spout, get small jars ready, and smell each one.".to_owned(),
            within_s: shown.map(|end| (end.at.p50 - self.now_s).max(0.0)).or(Some(300.0)),
        })
    }

    /// The running step is done: the prompt that leads to the next.
    fn step_done_due(&self) -> Option<Finding> {
        let kind = self.course.steps.kind();
        if !kind.draws() {
            return None;
        }
        let (by, how) = self.trigger_reached()?;
        let next = self.plan.steps.get(self.course.steps.next_index(by))?.kind;
        let (code, text) = match (kind, next) {
            _ if by == EndedBy::ElementCover => {
                ("stop", "The run must stop here: the elements would stand bare.".to_owned())
            }
            (_, StepKind::Stop) => ("stop", "The plan is through.".to_owned()),
            (StepKind::Foreshots, _) => ("foreshots_done", "The foreshots are drawn.".to_owned()),
            (StepKind::Heads, _) => ("heads_done", "The heads are drawn.".to_owned()),
            (StepKind::Hearts, StepKind::Hearts) => {
                ("slow_phase", "The fast part of the hearts is over.".to_owned())
            }
            (StepKind::Hearts, _) => ("hearts_end_near", "The hearts end here.".to_owned()),
            _ => return None,
        };
        let to_do = if code == "stop" {
            "Turn the heater off; leave the coolant on and the vent open.".to_owned()
        } else {
            format!("Change the jar and {}.", self.begin_next_words())
        };
        let hurry = matches!(kind, StepKind::Hearts);
        Some(Finding {
            code,
            priority: Priority::High,
            text,
            how_sure: format!("{how}; your nose has the last word"),
            to_do,
            within_s: Some(if hurry { 120.0 } else { 300.0 }),
        })
    }

    /// "begin the heads, take-off to 12 mL/min, heater to 1700 W".
    pub(super) fn begin_next_words(&self) -> String {
        let index = (self.course.steps.index() + 1).min(self.plan.steps.len() - 1);
        let step = &self.plan.steps[index];
        let slow = self.plan.is_slow_phase(index);
        let name = if slow { "slow hearts" } else { step.kind.name() };
        let take_off = match step.take_off() {
            _ if !step.kind.draws() => String::new(),
            TakeOff::Closed => ", take-off closed".to_owned(),
            TakeOff::RefluxRatio(ratio) if ratio < 1e-9 => String::new(),
            TakeOff::RefluxRatio(ratio) => format!(", reflux ratio {}", as_planned(ratio)),
            TakeOff::RefluxWatts(watts) => format!(", partial condenser to {watts:.0} W"),
            TakeOff::MlPerMin(rate) => format!(", take-off to {} mL/min", as_planned(rate)),
        };
        let watts = self.plan.step_power(index).watts();
        let heater = if step.kind != StepKind::Stop && (watts - self.heater_w()).abs() > 50.0 {
            format!(", heater to {watts:.0} W")
        } else {
            String::new()
        };
        format!("begin the {name}{take_off}{heater}")
    }

    fn jar_change_due(&self) -> Option<Finding> {
        let fill = self.open_jar_ml()? / self.spirit.jar_ml;
        let rate = self.rate_ml_min();
        if fill < JAR_FULL || rate <= 0.1 {
            return None;
        }
        let left_s = (60.0 * (1.0 - fill) * self.spirit.jar_ml / rate).max(0.0);
        let open = self.spirit.jars.open.as_ref().map(|open| format!("Jar {}", open.number));
        let jar = open.unwrap_or_else(|| "What stands under the spout".to_owned());
        Some(Finding {
            code: "jar_change",
            priority: Priority::Medium,
            text: format!("{jar} should be full in {}.", minutes(left_s)),
            how_sure: match self.unseen_since_s() {
                Some(from_s) => format!(
                    "reckoned from the take-off, and nothing was read for {}; look at the jar",
                    minutes(self.now_s - from_s)
                ),
                None => "reckoned from the take-off; look at the jar".to_owned(),
            },
            to_do: format!("Put jar {} under the spout.", self.spirit.jars.next_number()),
            within_s: Some(left_s),
        })
    }

    /// What should be in the jar under the spout, mL at 20 °C; without a record of it, since the
    /// last one was closed or drawing began.
    pub(super) fn open_jar_ml(&self) -> Option<f64> {
        if !self.course.steps.kind().draws() {
            return None;
        }
        let closed_s = self.spirit.jars.last_closed_s();
        let start_s = self.spirit.jars.open.as_ref().map_or(closed_s, |open| open.start_s);
        Some(self.spirit.drawn.since(start_s).0)
    }

    /// Whether no vapour comes any more: the head is cool and has had the time to grow so.
    pub(super) fn is_cool(&self) -> bool {
        let Some(off_s) = self.course.heat.off_since_s() else { return false };
        let passed_s = self.now_s - off_s;
        match self.head_in_vapour_c() {
            Some(head_c) => head_c < COOL_C && passed_s >= STILL_BOILS_S,
            None => passed_s >= COOL_UNREAD_S,
        }
    }

    /// What has to be for the still to be cool, in words.
    pub(crate) fn cool_when(&self) -> String {
        match self.head_in_vapour_c() {
            Some(_) => format!("the head is under {COOL_C:.0} °C"),
            None => format!("{} have passed since the heat went off", minutes(COOL_UNREAD_S)),
        }
    }

    fn coolant_off_due(&self) -> Option<Finding> {
        let stopped = self.course.steps.kind() == StepKind::Stop && !self.heater_on();
        if !stopped || !self.is_cool() || !self.coolant_on() {
            return None;
        }
        let how_sure = self.head_in_vapour_c().map_or_else(
            || format!("the head is not read in its place: {}", self.cool_when()),
            |head_c| format!("the head reads {head_c:.0} °C, under 50 °C"),
        );
        Some(Finding {
            code: "coolant_off",
            priority: Priority::Low,
            text: "The still is cool enough to close the coolant.".to_owned(),
            how_sure,
            to_do: "See that nothing drips, cap the jars, close the coolant; open the vent before draining.".to_owned(),
            within_s: None,
        })
    }

    fn still_here_due(&self) -> Option<Finding> {
        let left_s = self.attendant_left_s();
        (self.heater_on() && left_s <= 120.0 && left_s > 0.0).then(|| Finding {
            code: "attendant_absent",
            priority: Priority::Medium,
            text: "Nobody has touched anything for 8 min.".to_owned(),
            how_sure: "from the recorded actions".to_owned(),
            to_do: "Press Still here, at the still.".to_owned(),
            within_s: Some(left_s),
        })
    }
}

/// A number of the plan as it stands there, to a tenth: 9, 1.5.
fn as_planned(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::as_planned;

    #[test]
    fn a_ratio_of_one_and_a_half_is_not_told_as_two() {
        assert_eq!([as_planned(1.5), as_planned(9.0), as_planned(12.04)], ["1.5", "9", "12"]);
    }
}
