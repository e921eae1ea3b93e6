//! The list of ends to come: the estimate's where it is fresh and speaks of them, reckoned else.

use estimate::Outlook;
use still::outcome::EndedBy;
use still::plan::StepKind;

use super::reckoned::{HALF_LEAST_S, Reckoned, doubt_of};
use super::words::{end_short, end_words};
use super::{Band, End, Evidence, State, What};
use crate::engine::Live;

/// What a step that has not begun is known from.
const FORECAST: &str = "forecast of the plan";
/// A thermometer in the column is named where the band of the end is narrower for it by this share
/// (judgement).
const COLUMN_TOLD: f64 = 0.05;

/// The end of a step on its way to [`End`].
struct Draft {
    index: usize,
    of: Reckoned,
    made_at_s: f64,
    /// The middle as reckoned from step to step, s.
    plain_s: f64,
    /// How long the step should take, where it has not begun.
    length: Option<Band>,
    /// Whether the band is its own; else it follows those that are.
    told: bool,
    unsure: Option<String>,
}

impl Draft {
    fn new(index: usize, of: Reckoned, made_at_s: f64, told: bool) -> Self {
        let plain_s = of.at.p50;
        Self { index, of, made_at_s, plain_s, length: None, told, unsure: None }
    }
}

impl Live {
    /// What is to come, in order of time.
    pub(crate) fn ends(&self, state: State) -> Vec<End> {
        match state {
            State::Ended | State::Interrupted => Vec::new(),
            // The plan's own times say nothing of a still that nobody reads.
            State::Heating if self.all_is_lost() => Vec::new(),
            State::CoolingDown => {
                self.cool().map(|of| self.end_of(What::Cool, of)).into_iter().collect()
            }
            _ => self.ends_of_steps(),
        }
    }

    fn end_of(&self, what: What, of: Reckoned) -> End {
        let (words, short) = match what {
            What::FirstVapour => ("First vapour should come", "vapour"),
            _ => ("The head should be cool", "cool"),
        };
        End {
            what,
            step_index: None,
            words: words.to_owned(),
            short,
            ends_by: of.by,
            at: of.at,
            made_at_s: self.now_s,
            evidence: of.evidence,
            basis: of.basis,
            unsure: None,
        }
    }

    /// The end of the running hearts step as shown.
    pub(crate) fn shown_hearts_end(&self) -> Option<End> {
        let ends = self.ends_of_steps();
        ends.into_iter().find(|end| end.step_index == Some(self.course.steps.index()))
    }

    /// The ends of the running and the later steps.
    fn ends_of_steps(&self) -> Vec<End> {
        let mut ends = Vec::new();
        if self.course.steps.kind() == StepKind::Heat && self.course.vapour_s().is_none() {
            ends.extend(self.first_vapour().map(|of| self.end_of(What::FirstVapour, of)));
        }
        let last = self.plan.steps.iter().rposition(|step| step.kind != StepKind::Stop);
        for draft in self.drafts() {
            let index = draft.index;
            ends.push(End {
                what: if Some(index) == last {
                    What::Stop
                } else if index == 0 {
                    What::Filled
                } else {
                    What::StepEnd
                },
                step_index: Some(index),
                words: end_words(&self.plan, index).to_owned(),
                short: end_short(&self.plan, index),
                ends_by: draft.of.by,
                at: draft.of.at,
                made_at_s: draft.made_at_s,
                evidence: draft.of.evidence,
                basis: draft.of.basis,
                unsure: draft.unsure,
            });
        }
        ends
    }

    fn drafts(&self) -> Vec<Draft> {
        let mut drafts = self.reckoned_drafts();
        self.tell(&mut drafts);
        fit_between(self.now_s, &mut drafts);
        let mut before = Band::point(self.now_s);
        for draft in &mut drafts {
            draft.of.at = draft.of.at.not_before(&before);
            before = draft.of.at;
        }
        drafts
    }

    /// The end of the running step, then each later one a length after it.
    fn reckoned_drafts(&self) -> Vec<Draft> {
        let Some(running) = self.running_end() else { return Vec::new() };
        let mut drafts = vec![running];
        for index in self.course.steps.index() + 1..self.plan.steps.len() {
            if self.plan.steps[index].kind == StepKind::Stop {
                break;
            }
            let before = &drafts[drafts.len() - 1];
            let Some((length, by)) = self.length(index) else { break };
            let of = Reckoned::new(before.of.at.plus(&length), by, Evidence::Forecast, FORECAST);
            let plain_s = before.plain_s + length.p50;
            let draft = Draft::new(index, of, self.now_s, false);
            drafts.push(Draft { plain_s, length: Some(length), ..draft });
        }
        drafts
    }

    /// The end of the running step: seen, by the estimate, or reckoned; none where the probe that
    /// shows it was lost.
    fn running_end(&self) -> Option<Draft> {
        let index = self.course.steps.index();
        let draft = |of, told| Some(Draft::new(index, of, self.now_s, told));
        if self.course.steps.kind() == StepKind::Heat {
            return draft(self.filled()?, true);
        }
        if let Some((by, how)) = self.trigger_reached() {
            let at = Band::point(self.now_s);
            return draft(Reckoned::new(at, Some(by), Evidence::Seen, &how), true);
        }
        let counted = self.ends_by_count().into_iter().min_by(|a, b| a.at.p50.total_cmp(&b.at.p50));
        let counted = counted.map(|of| of.not_before(self.now_s));
        if let Some((outlook, at)) = self.estimated_end() {
            if let Some(of) = counted.filter(|of| of.at.p50 <= at.p50) {
                return draft(of, true);
            }
            let mut draft =
                Draft::new(index, self.measured(outlook, at, None), outlook.made_at_s, true);
            draft.unsure = unsure(outlook);
            return Some(draft);
        }
        let of = self.reckoned_end()?;
        let told = counted.is_some_and(|counted| counted.at == of.at);
        draft(of, told)
    }

    fn measured(&self, outlook: &Outlook, at: Band, by: Option<EndedBy>) -> Reckoned {
        Reckoned::new(at, by, Evidence::Measured, &rests_on(outlook)).not_before(self.now_s)
    }

    /// The estimate's end of the running step, made within it, where the course of the run ends it.
    fn estimated_end(&self) -> Option<(&Outlook, Band)> {
        let step = self.plan.steps.get(self.course.steps.index())?;
        let course = step.until_rise_k.is_some()
            || step.until_strength_vol.is_some()
            || step.until_pot_c.is_some();
        let outlook = self.fresh_outlook().filter(|_| course && !self.blind())?;
        let within = outlook.made_at_s >= self.course.steps.started().seconds();
        let last_hearts = self.last_hearts() == Some(self.course.steps.index());
        let at = if within {
            outlook.step_end_s
        } else {
            // Made before the step began, it still speaks of the end of all hearts.
            outlook.plan_end.map(|end| end.time_s).filter(|_| last_hearts)
        }?;
        at.after(self.now_s).map(|at| (outlook, at))
    }

    fn last_hearts(&self) -> Option<usize> {
        self.plan.steps.iter().rposition(|step| step.kind == StepKind::Hearts)
    }

    /// How long a later step should take, and what should end it.
    fn length(&self, index: usize) -> Option<(Band, Option<EndedBy>)> {
        let step = &self.plan.steps[index];
        let forecasts = self.foresight.forecasts.as_ref();
        let given = step.minutes.filter(|_| step.kind == StepKind::Equalise);
        let course = forecasts.and_then(|forecasts| forecasts.step(index));
        let by = course.map(|course| course.ended_by).or(given.map(|_| EndedBy::Minutes));
        let length_s = given.map(|minutes| 60.0 * minutes);
        let length_s = length_s.or(course.map(|course| course.end_s - course.start_s))?;
        let doubt = forecasts.map_or(0.15, |forecasts| doubt_of(forecasts, index));
        let half_s = (doubt * length_s).max(HALF_LEAST_S);
        let band = Band::of_eighty(length_s - half_s, length_s, length_s + half_s);
        Some((band.at_least(0.0), by))
    }

    /// Puts the estimate's own bands in place of later ends that it speaks of.
    fn tell(&self, drafts: &mut [Draft]) {
        let Some(outlook) = self.fresh_outlook() else { return };
        let last_hearts = self.last_hearts();
        let last = self.plan.steps.iter().rposition(|step| step.kind != StepKind::Stop);
        for draft in drafts.iter_mut().filter(|draft| draft.index > self.course.steps.index()) {
            let at = if Some(draft.index) == last_hearts {
                outlook.plan_end.map(|end| end.time_s)
            } else if Some(draft.index) == last {
                outlook.stop_s
            } else {
                None
            };
            if let Some(at) = at.and_then(|at| at.after(self.now_s)) {
                draft.of = self.measured(outlook, at, draft.of.by);
                (draft.made_at_s, draft.told) = (outlook.made_at_s, true);
                draft.unsure = unsure(outlook);
            }
        }
    }
}

/// What an estimate's ends rest on; a thermometer in the column is named where it told much.
fn rests_on(outlook: &Outlook) -> String {
    let all = "everything measured so far";
    match outlook.evidence.column.filter(|worth| worth.end_gain >= COLUMN_TOLD) {
        Some(worth) => format!(
            "{all}, the thermometer in the column among it (the band is narrower by {:.0} % for it)",
            100.0 * worth.end_gain
        ),
        None => all.to_owned(),
    }
}

/// Why the estimate's ends should not be trusted now.
fn unsure(outlook: &Outlook) -> Option<String> {
    outlook.untrusted.iter().find(|item| item.answer == "end").map(|item| item.why.clone())
}

/// Ends that no estimate speaks of keep their share of the time until the next one that it does
/// speak of; those after the last keep their lengths.
fn fit_between(now_s: f64, drafts: &mut [Draft]) {
    let mut before = (now_s, Band::point(now_s));
    for at in 0..drafts.len() {
        let next = drafts.iter().skip(at + 1).find(|later| later.told);
        let next = next.map(|next| (next.plain_s, next.of.at));
        let draft = &mut drafts[at];
        if !draft.told {
            if let Some((next_s, next)) = next {
                let share = (draft.plain_s - before.0) / (next_s - before.0).max(1.0);
                draft.of.at = before.1.towards(&next, share.clamp(0.0, 1.0));
            } else if let Some(length) = draft.length {
                draft.of.at = before.1.plus(&length);
            }
        }
        before = (draft.plain_s, draft.of.at);
    }
}
