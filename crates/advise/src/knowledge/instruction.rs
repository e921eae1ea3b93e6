//! What is to be done next: the prompt that is due, else what comes by the plan.

use still::plan::StepKind;

use super::{Act, End, Ground, Instruction, State, What};
use crate::engine::Live;
use crate::event::{Event, Priority};

impl Live {
    /// What is to be done next; `now` only for a prompt, whose trigger was seen.
    pub(super) fn instruction(
        &self,
        state: State,
        ends: &[End],
        prompts: &[Event],
    ) -> Option<Instruction> {
        if let Some(prompt) = prompts.first() {
            return Some(self.prompted(prompt));
        }
        let due = |what: What| ends.iter().find(|end| end.what == what).map(|end| end.at);
        let plan = |code, text: &str, due| Instruction {
            code,
            text: text.to_owned(),
            now: false,
            due,
            from: Ground::Plan,
            act: None,
        };
        let flow = self.plan.site.coolant_l_per_min;
        match state {
            State::BeforeHeat => Some(plan("coolant_on", "try the coolant, then heat", None)),
            State::Heating if !self.coolant_on() => {
                let vapour = due(What::FirstVapour);
                let lead = vapour
                    .map(|at| at.map(|t| (t - super::assemble::COOLANT_LEAD_S).max(self.now_s)));
                let text = format!("open the coolant to {flow:.1} L/min");
                let act = Some(Act::Coolant { l_per_min: flow });
                Some(Instruction { act, ..plan("coolant_on", &text, lead) })
            }
            State::Heating => {
                Some(plan("first_vapour", "stand by for the first vapour", due(What::FirstVapour)))
            }
            State::Interrupted if self.is_pot() => Some(plan("heat", "heat, then go on", None)),
            State::Interrupted => {
                Some(plan("heat", "close the take-off, heat, then equalise again", None))
            }
            State::CoolingDown => {
                let text = format!("close the coolant when {}", self.cool_when());
                Some(plan("coolant_off", &text, due(What::Cool)))
            }
            State::Ended => None,
            _ => self.next_of_plan(ends),
        }
    }

    /// A prompt as an instruction, with what one key may do for it.
    fn prompted(&self, prompt: &Event) -> Instruction {
        Instruction {
            code: prompt.code,
            text: lower_first(&prompt.to_do),
            now: prompt.code != "hearts_end_near" || prompt.priority >= Priority::High,
            due: None,
            from: Ground::Seen,
            act: self.act_for(prompt),
        }
    }

    fn act_for(&self, prompt: &Event) -> Option<Act> {
        let begin = |step| Some(Act::Begin { step, after: self.course.steps.index() });
        let next = self.course.steps.index() + 1;
        match prompt.code {
            "coolant_on" => Some(Act::Coolant { l_per_min: self.plan.site.coolant_l_per_min }),
            "coolant_off" => Some(Act::Coolant { l_per_min: 0.0 }),
            "jar_change" => Some(Act::Jar { number: self.spirit.jars.next_number() }),
            "attendant_absent" => Some(Act::Here),
            // A prompt leads on from its own step only.
            "first_vapour" if self.course.steps.kind() == StepKind::Heat => begin(next),
            "head_steady" if self.course.steps.kind() == StepKind::Equalise => begin(next),
            "foreshots_done" if self.course.steps.kind() == StepKind::Foreshots => begin(next),
            "heads_done" if self.course.steps.kind() == StepKind::Heads => begin(next),
            "slow_phase" if self.course.steps.kind() == StepKind::Hearts => begin(next),
            "stop" => begin(self.plan.steps.len() - 1),
            // Said twice under one code: near is only a word, here is the end of the step.
            "hearts_end_near" if prompt.priority >= Priority::High => begin(next),
            _ => None,
        }
    }

    /// While equalising or drawing: the next jar, or the next step, whichever comes first.
    fn next_of_plan(&self, ends: &[End]) -> Option<Instruction> {
        let end = ends.iter().find(|end| end.step_index == Some(self.course.steps.index()));
        let rate = self.rate_ml_min();
        let left_ml = self.open_jar_ml().map(|ml| (0.9 * self.spirit.jar_ml - ml).max(0.0));
        let jar_s = left_ml.filter(|_| rate > 0.1).map(|ml| self.now_s + 60.0 * ml / rate);
        if let Some(jar_s) = jar_s
            && end.is_none_or(|end| jar_s < end.at.p50)
        {
            let band = self.spirit.drawn.rate_band();
            let left_s = jar_s - self.now_s;
            let due = super::Band::of_half_95(jar_s, band * left_s).at_least(self.now_s);
            return Some(Instruction {
                code: "jar_change",
                text: format!("get jar {} ready", self.spirit.jars.next_number()),
                now: false,
                due: Some(due),
                from: Ground::Forecast,
                act: None,
            });
        }
        let code = match (self.course.steps.kind(), self.next_kind()?) {
            (_, StepKind::Stop) => "stop",
            (StepKind::Equalise, _) => "head_steady",
            (StepKind::Foreshots, _) => "foreshots_done",
            (StepKind::Heads, _) => "heads_done",
            (StepKind::Hearts, StepKind::Hearts) => "slow_phase",
            _ => "hearts_end_near",
        };
        let text =
            if code == "stop" { "turn the heater off".to_owned() } else { self.begin_next_words() };
        let from = if end.is_some() { Ground::Forecast } else { Ground::Plan };
        Some(Instruction { code, text, now: false, due: end.map(|end| end.at), from, act: None })
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => {
            first.to_lowercase().chain(letters).collect::<String>().trim_end_matches('.').to_owned()
        }
        None => String::new(),
    }
}
