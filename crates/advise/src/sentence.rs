//! The snapshot: state, sentence, next, and everything else a screen shows.

use still::plan::StepKind;

use super::advice::{Advice, Estimate, Jar, Next, State};
use super::engine::Live;
use super::jars::cleanliness;

/// Jars that are shown ahead: while a run goes on, and before heat, when the whole plan is.
const EXPECTED_JARS: usize = 8;
const PLANNED_JARS: usize = 100;

impl Live {
    /// Everything that is known now.
    #[must_use]
    pub fn advice(&self) -> Advice {
        let state = self.state();
        let plateau = self.plateau.present_c();
        let litres = Estimate {
            value: self.drawn.ml() / 1000.0,
            low: (self.drawn.ml() - self.drawn.band_ml()).max(0.0) / 1000.0,
            high: (self.drawn.ml() + self.drawn.band_ml()) / 1000.0,
            basis: "take-off, put right by measured jars".to_owned(),
        };
        let anything = self.steps.kind.draws() || self.drawn.ml() > 0.0;
        Advice {
            time_s: self.now_s,
            state,
            step_index: self.steps.index,
            step: self.steps.kind,
            step_started_s: self.steps.started_s,
            headline: self.headline(state),
            expectation: self.expectation(state),
            next: self.next(state),
            cannot_know: self.cannot_know(),
            plateau_c: plateau.map(|(c, _)| c + self.barometer.shift_k()),
            plateau_provisional: plateau.is_some_and(|(_, provisional)| provisional),
            rise_k: self.rise_k(),
            trigger_rise_k: self
                .plan
                .steps
                .get(self.steps.index)
                .and_then(|step| step.until_rise_k),
            strength_now: self.strength_now(),
            hearts_strength: self.hearts_strength(),
            pure_alcohol_l: anything.then(|| self.alcohol(&litres)),
            litres: anything.then_some(litres),
            pot_alcohol_l: self.begun().then(|| self.pot_alcohol()),
            takeoff_ml_per_min: self.rate_estimate(),
            heater_w: self.begun().then(|| self.heater_w()),
            coolant_l_per_min: self.coolant_l_per_min(),
            channels: self.shown_channels(),
            boundaries: self.boundaries(),
            jars: self.shown_jars(),
            alarms: self.alarms.shown(),
            seen: self.alarms.seen_codes(),
            prompts: self.prompts.due(),
            quiet: self.alarms.quiet(),
            attendant_left_s: self.attendant_left_s(),
            outlook: self.asking.outlook.clone(),
            end: self.end.clone(),
        }
    }

    fn alcohol(&self, litres: &Estimate) -> Estimate {
        let value = self.drawn.alcohol_ml() / 1000.0;
        let share = if litres.value > 0.0 { value / litres.value } else { 0.0 };
        Estimate {
            value,
            low: (litres.low * share * 0.99).min(value),
            high: litres.high * (share * 1.01).min(1.0),
            basis: "litres times reckoned strength, put right by gauged jars".to_owned(),
        }
    }

    fn hearts_strength(&self) -> Option<Estimate> {
        let (ml, alcohol_ml) = self.drawn.hearts_ml().filter(|(ml, _)| *ml > 1.0)?;
        let value = (100.0 * alcohol_ml / ml).min(97.2);
        let basis = "reckoned and gauged strengths of the hearts so far".to_owned();
        Some(Estimate { value, low: (value - 0.7).max(0.0), high: (value + 0.7).min(97.2), basis })
    }

    /// State of the run.
    pub(super) fn state(&self) -> State {
        if self.end.is_some() {
            return State::Ended;
        }
        if !self.begun() {
            return State::BeforeHeat;
        }
        match self.steps.kind {
            StepKind::Stop => State::CoolingDown,
            _ if !self.heater_on() => State::Interrupted,
            StepKind::Heat => State::Heating,
            StepKind::Equalise => State::Equalising,
            StepKind::Foreshots => State::Foreshots,
            StepKind::Heads => State::Heads,
            StepKind::Hearts if self.plan.is_slow_phase(self.steps.index) => State::SlowHearts,
            StepKind::Hearts => State::Hearts,
            StepKind::Tails => State::Tails,
        }
    }

    fn headline(&self, state: State) -> String {
        let jar = self
            .jars
            .open
            .as_ref()
            .map_or(String::new(), |open| format!(" into jar {}", open.number));
        match state {
            State::BeforeHeat => "Not heating.".to_owned(),
            State::Heating if self.vapour_s.is_some() => "Heating; the column fills.".to_owned(),
            State::Heating => "Heating.".to_owned(),
            State::Equalising => "Equalising.".to_owned(),
            State::Foreshots => format!("Taking foreshots{jar}."),
            State::Heads => format!("Taking heads{jar}."),
            State::Hearts => "Collecting hearts.".to_owned(),
            State::SlowHearts => "Hearts, slowly.".to_owned(),
            State::Tails => "Taking tails.".to_owned(),
            State::CoolingDown if self.is_cool() => "Heat is off and the still is cool.".to_owned(),
            State::CoolingDown => {
                "Heat is off; coolant on until the head is under 50 °C.".to_owned()
            }
            State::Interrupted => {
                "The heat is off in mid-run; the jars so far stay valid.".to_owned()
            }
            State::Ended => "The run is over.".to_owned(),
        }
    }

    fn cannot_know(&self) -> Option<String> {
        let hearts = matches!(self.steps.kind, StepKind::Hearts);
        if hearts && self.head_c().is_none() {
            return Some(
                "The head is not read: the end of the hearts cannot be seen coming.".to_owned(),
            );
        }
        if !hearts || self.is_pot() {
            return None;
        }
        match self.plateau.present_c() {
            Some((_, false)) if self.rise_k().is_some_and(|rise| rise < 0.1) => Some(
                "The head cannot show this yet; it comes from the charge and what you collected."
                    .to_owned(),
            ),
            None | Some((_, true)) => Some(
                "This run's plateau is known only after 20 min of hearts; until then the rise is provisional."
                    .to_owned(),
            ),
            Some(_) => None,
        }
    }

    fn next(&self, state: State) -> Option<Next> {
        if let Some(prompt) = self.prompts.due().into_iter().next() {
            let due_s = prompt.within_s.map(|left| prompt.time_s + left);
            return Some(Next { code: prompt.code, text: lower_first(&prompt.to_do), due_s });
        }
        let end = self.step_end().map(|span| span.likely_s);
        let flow = self.plan.site.coolant_l_per_min;
        let next =
            |code: &'static str, text: String, due_s: Option<f64>| Some(Next { code, text, due_s });
        match state {
            State::BeforeHeat => next("coolant_on", "try the coolant, then heat".to_owned(), None),
            State::Heating if !self.coolant_on() => {
                let due_s = self.earliest_boil_s().map(|boil| (boil - 600.0).max(self.now_s));
                next("coolant_on", format!("open the coolant to {flow:.1} L/min"), due_s)
            }
            State::Heating => {
                let due_s = self.first_vapour().map(|span| span.earliest_s);
                next("first_vapour", "stand by for the first vapour".to_owned(), due_s)
            }
            State::Equalising => next("head_steady", self.begin_next_words(), end),
            State::Interrupted => next("heat", "heat, then equalise again".to_owned(), None),
            State::CoolingDown => next(
                "coolant_off",
                "close the coolant when the head is under 50 °C".to_owned(),
                end,
            ),
            State::Ended => None,
            State::Foreshots | State::Heads | State::Hearts | State::SlowHearts | State::Tails => {
                self.next_drawing(end)
            }
        }
    }

    /// While drawing: the next jar, or the next step, whichever comes first.
    fn next_drawing(&self, end: Option<f64>) -> Option<Next> {
        let rate = self.rate_ml_min();
        let left_ml = self.open_jar_ml().map(|ml| (0.9 * self.jar_ml - ml).max(0.0));
        let jar_s = left_ml.filter(|_| rate > 0.1).map(|ml| self.now_s + 60.0 * ml / rate);
        if let Some(jar_s) = jar_s
            && end.is_none_or(|end| jar_s < end)
        {
            let text = format!("get jar {} ready", self.jars.next_number());
            return Some(Next { code: "jar_change", text, due_s: Some(jar_s) });
        }
        let code = match (self.steps.kind, self.steps.next_kind(&self.plan)?) {
            (_, StepKind::Stop) => "stop",
            (StepKind::Foreshots, _) => "foreshots_done",
            (StepKind::Heads, _) => "heads_done",
            (StepKind::Hearts, StepKind::Hearts) => "slow_phase",
            _ => "hearts_end_near",
        };
        let text =
            if code == "stop" { "turn the heater off".to_owned() } else { self.begin_next_words() };
        Some(Next { code, text, due_s: end })
    }

    fn shown_jars(&self) -> Vec<Jar> {
        // Light heads press a provisional plateau down: a rise above it says nothing of lateness.
        let known = self.plateau.present_c().is_some_and(|(_, provisional)| !provisional);
        let rise = if known { self.rise_k().unwrap_or(0.0) } else { 0.0 };
        let filled = self.jars.filled.iter().map(|jar| Jar {
            number: jar.number,
            cut: jar.cut,
            start_s: jar.start_s,
            end_s: Some(jar.end_s),
            volume_ml: jar.ml,
            measured: jar.measured,
            strength_vol: jar.strength_vol,
            status: "filled",
            cleanliness: cleanliness(jar.cut, 0.5, 0.0),
        });
        let mut jars: Vec<Jar> = filled.collect();
        jars.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let rate = self.rate_ml_min();
        if let Some(open) = &self.jars.open {
            let (ml, alcohol_ml) = self.drawn.between(open.start_s, self.now_s);
            let drawing = self.steps.kind.draws() && rate > 0.1 && self.end.is_none();
            let left_s = 60.0 * (self.jar_ml - ml).max(0.0) / rate.max(0.1);
            jars.push(Jar {
                number: open.number,
                cut: open.cut,
                start_s: open.start_s,
                end_s: drawing.then_some(self.now_s + left_s),
                volume_ml: ml,
                measured: false,
                strength_vol: (ml > 0.0).then(|| 100.0 * alcohol_ml / ml),
                status: "open",
                cleanliness: cleanliness(open.cut, 0.5, rise),
            });
        }
        if self.end.is_none() {
            self.expected_jars(&mut jars);
        }
        jars
    }

    /// Jars to come: each step's litres cut into jars over its time.
    fn expected_jars(&self, jars: &mut Vec<Jar>) {
        let mut number = self.jars.next_number();
        let mut start_s = self.now_s;
        let mut left = if self.begun() { EXPECTED_JARS } else { PLANNED_JARS };
        for boundary in self.boundaries() {
            let end_s = boundary.likely_s;
            let length_s = end_s - start_s;
            let course = self.forecasts.as_ref().and_then(|f| f.step_litres(boundary.step_index));
            let running = boundary.step_index == self.steps.index;
            let step_ml = if running {
                let open_ml = self.open_jar_ml().filter(|_| self.jars.open.is_some());
                let until_full = open_ml.map_or(0.0, |ml| (self.jar_ml - ml).max(0.0));
                self.rate_ml_min() * length_s / 60.0 - until_full
            } else {
                1000.0 * course.unwrap_or(0.0)
            };
            if !boundary.step.draws() || step_ml <= 1.0 || length_s <= 0.0 {
                start_s = end_s;
                continue;
            }
            let count = (step_ml / self.jar_ml).ceil().max(1.0);
            let each_s = length_s / count;
            let mut place = 0.0;
            while place < count && left > 0 {
                let from_s = start_s + each_s * place;
                let ml = (step_ml - self.jar_ml * place).min(self.jar_ml);
                let share = place / count;
                jars.push(Jar {
                    number,
                    cut: boundary.step,
                    start_s: from_s,
                    end_s: Some(from_s + each_s),
                    volume_ml: ml,
                    measured: false,
                    strength_vol: None,
                    status: "expected",
                    cleanliness: cleanliness(boundary.step, share, 0.0),
                });
                number += 1;
                left -= 1;
                place += 1.0;
            }
            if left == 0 {
                return;
            }
            start_s = end_s;
        }
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
