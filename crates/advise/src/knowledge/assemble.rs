//! Puts the knowledge of this second together.

use still::plan::StepKind;

use super::words::step_name;
use super::{AlarmNow, Knowledge, Rise, State, StepNow};
use crate::alarms::Alarms;
use crate::engine::Live;
use crate::event::Event;
use crate::load::is_flood;
use crate::review::AlarmReview;

/// Coolant should run this long before the earliest boil, s: judgement.
pub(crate) const COOLANT_LEAD_S: f64 = 600.0;

impl Live {
    /// Everything that is known now.
    #[must_use]
    pub fn knowledge(&self) -> Knowledge {
        let state = self.state();
        let ends = self.ends(state);
        let prompts = self.due_prompts();
        let account = self.alcohol_account();
        let hearts = self.hearts_spirit();
        let to_come = self.hearts_to_come(&account);
        let jars = self.shown_jars(&ends);
        let rate = self.voice.alarms.rate(self.now_s);
        Knowledge {
            time_s: self.now_s,
            state,
            step: self.step_now(),
            headline: self.headline(state),
            instruction: self.instruction(state, &ends, &prompts),
            rise: self.shown_rise(),
            strength_now: self.strength_now(),
            hearts_in_all_l: self.hearts_in_all(hearts.as_ref(), to_come.as_ref()),
            jars_to_come: self.jars_to_come(to_come.as_ref(), &jars),
            hearts_to_come_l: to_come,
            hearts,
            drawn: self.drawn_spirit(),
            account,
            charge: self.charge_belief(),
            takeoff_ml_per_min: self.rate_value(),
            heater_w: self.begun().then(|| self.heater_w()),
            coolant_l_per_min: self.coolant_l_per_min(),
            channels: self.shown_channels(),
            jars,
            ends,
            alarms: self.voice.alarms.shown(),
            seen: self.voice.alarms.seen_codes(),
            alarm_list: self.alarms_now().into_iter().map(|(alarm, _)| alarm).collect(),
            suppressed: Alarms::suppressed(self.phase()),
            alarms_in_10_min: rate,
            alarm_flood: is_flood(rate),
            prompts,
            quiet: self.voice.alarms.quiet(),
            attendant_left_s: self.attendant_left_s(),
            doubts: self.doubts(),
            unknown: self.unknown(),
            would_help: self.would_help(),
            estimate_made_at_s: self.outlook().map(|outlook| outlook.made_at_s),
            estimate_fresh: self.fresh_outlook().is_some(),
            end: self.course.end().cloned(),
        }
    }

    /// Every alarm that is not normal, in the order of their rules, each with what it says.
    #[must_use]
    pub fn alarms_now(&self) -> Vec<(AlarmNow, Event)> {
        self.voice.alarms.list(self.now_s)
    }

    /// Why an alarm may not be made quiet now; none where it may.
    #[must_use]
    pub fn quiet_refused(&self, code: &str, minutes: f64, reason: &str) -> Option<&'static str> {
        self.voice.alarms.not_quiet(code, minutes, reason)
    }

    /// The alarms of the run so far.
    #[must_use]
    pub fn alarm_review(&self) -> AlarmReview {
        self.voice.alarms.review(self.now_s)
    }

    fn step_now(&self) -> StepNow {
        StepNow {
            index: self.course.steps.index(),
            kind: self.course.steps.kind(),
            name: step_name(&self.plan, self.course.steps.index()),
            slow: self.plan.is_slow_phase(self.course.steps.index()),
            started_s: self.course.steps.started().seconds(),
        }
    }

    /// Prompts that are due and not done, the most urgent first, then the newest.
    fn due_prompts(&self) -> Vec<Event> {
        let mut due = self.voice.prompts.due(|code, occasion, at| self.is_done(code, occasion, at));
        due.sort_by(|a, b| b.priority.cmp(&a.priority).then(b.time_s.total_cmp(&a.time_s)));
        due
    }

    fn shown_rise(&self) -> Option<Rise> {
        let kelvin = self.rise_k()?;
        let plateau_c = self.course.steps.plateau().plateau()? + self.probes.shift_k();
        let trigger_k =
            self.plan.steps.get(self.course.steps.index()).and_then(|step| step.until_rise_k);
        Some(Rise { kelvin, trigger_k, plateau_c })
    }

    /// State of the run.
    pub(crate) fn state(&self) -> State {
        if self.course.is_over() {
            return State::Ended;
        }
        if !self.begun() {
            return State::BeforeHeat;
        }
        match self.course.steps.kind() {
            StepKind::Stop => State::CoolingDown,
            _ if !self.heater_on() => State::Interrupted,
            StepKind::Heat => State::Heating,
            StepKind::Equalise => State::Equalising,
            StepKind::Foreshots => State::Foreshots,
            StepKind::Heads => State::Heads,
            StepKind::Hearts if self.plan.is_slow_phase(self.course.steps.index()) => {
                State::SlowHearts
            }
            StepKind::Hearts => State::Hearts,
            StepKind::Tails => State::Tails,
        }
    }
}
