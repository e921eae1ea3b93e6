//! A loss of coolant while the still was hot: how it shows, and when it was mended.

use sense::coolant::{CARRIED_S, CoolantSeen, TRICKLE_L_PER_MIN};
use sense::numbers::median;
use sense::{Action, HEATER_OFF_W};
use still::plan::{RunPlan, StepKind};

/// So many readings in a row make a failure of the coolant (judgement).
const COOLANT_ROWS: usize = 3;
/// So long after heat and coolant are both back the still runs as the plan counts on, s
/// (judgement: a column that stood cold for ten minutes has filled again).
const SETTLED_S: f64 = 600.0;

/// How a loss of coolant shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shows {
    /// The flow meter lost it.
    Metered,
    /// A person closed it in the boil.
    Closed,
    /// The heat went off in the middle of the run, and before it came back the coolant was set anew.
    SetAnew,
}

/// A loss of coolant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CoolantLoss {
    pub(super) lost_s: f64,
    pub(super) shows: Shows,
    /// When heat and coolant were both back; none while one of them is not.
    pub(super) mended_s: Option<f64>,
}

/// What is known of the still beside its coolant.
pub(super) struct Beside<'a> {
    pub(super) plan: &'a RunPlan,
    /// When vapour reached the head.
    pub(super) vapour_s: Option<f64>,
    /// Steps as they began: time, position in the plan.
    pub(super) steps: &'a [(f64, usize)],
    /// Heater as set: time, W.
    pub(super) heaters: &'a [(f64, f64)],
    /// Heat taken up by the coolant: time, W.
    pub(super) duty: &'a [(f64, f64)],
}

/// The run as far as coolant goes.
struct Story<'a> {
    still: Beside<'a>,
    /// Coolant as set by a person: time, L/min.
    set: Vec<(f64, f64)>,
    /// Times at which the readings show that it fails.
    failing: Vec<f64>,
}

impl CoolantLoss {
    /// The first loss that the run shows.
    pub(super) fn of(
        still: Beside<'_>,
        actions: &[&(f64, Action)],
        read: &[(f64, CoolantSeen)],
    ) -> Option<Self> {
        let set = actions.iter().filter_map(|(time_s, action)| match action {
            Action::Coolant { l_per_min } => Some((*time_s, *l_per_min)),
            _ => None,
        });
        let mut story = Story { still, set: set.collect(), failing: Vec::new() };
        story.failing = story.failing(read);
        let by_hand = story.set.iter().find_map(|&(time_s, flow)| story.by_hand(time_s, flow));
        let metered = story.failing.first().map(|&time_s| (time_s, Shows::Metered));
        let first = [by_hand, metered].into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0));
        let (lost_s, shows) = first?;
        Some(Self { lost_s, shows, mended_s: story.mended_s(lost_s, read) })
    }

    /// Whether the still does not run as the plan counts on.
    pub(super) fn stands(&self, now_s: f64) -> bool {
        self.mended_s.is_none_or(|mended_s| now_s < mended_s + SETTLED_S)
    }
}

impl Story<'_> {
    /// Whether the still was hot and not yet to be stopped: then it needs coolant.
    fn needs_coolant(&self, time_s: f64) -> bool {
        let stop = |step: &(f64, usize)| self.still.plan.steps[step.1].kind == StepKind::Stop;
        let stopped = self.still.steps.iter().any(|step| stop(step) && step.0 <= time_s);
        self.still.vapour_s.is_some_and(|vapour_s| time_s > vapour_s) && !stopped
    }

    /// A loss that a person's hand at the coolant shows.
    fn by_hand(&self, time_s: f64, l_per_min: f64) -> Option<(f64, Shows)> {
        if !self.needs_coolant(time_s) {
            return None;
        }
        if l_per_min <= TRICKLE_L_PER_MIN {
            return Some((time_s, Shows::Closed));
        }
        let before = self.still.heaters.iter().rev().find(|row| row.0 < time_s);
        before.filter(|row| row.1 <= HEATER_OFF_W).map(|row| (row.0, Shows::SetAnew))
    }

    /// When the readings show that the coolant fails, by the rule of `sense` and several in a row.
    fn failing(&self, read: &[(f64, CoolantSeen)]) -> Vec<f64> {
        let mut in_a_row = 0;
        let needed = read.iter().filter(|row| self.needs_coolant(row.0));
        let fails = needed.filter_map(|&(time_s, coolant)| {
            // What it took up a while before is asked for only where it can matter.
            let fails = !coolant.leaves_cold() && {
                let to_carry_w = self.carried_w(time_s);
                CoolantSeen { to_carry_w, ..coolant }.trouble().is_some()
            };
            in_a_row = if fails { in_a_row + 1 } else { 0 };
            (in_a_row >= COOLANT_ROWS).then_some(time_s)
        });
        fails.collect()
    }

    /// Heat that the coolant took up a while before, W.
    fn carried_w(&self, time_s: f64) -> Option<f64> {
        let duty = self.still.duty;
        let from = duty.partition_point(|row| row.0 < time_s - CARRIED_S.1);
        let to = duty.partition_point(|row| row.0 <= time_s - CARRIED_S.0);
        median(&mut duty[from..to].iter().map(|row| row.1).collect::<Vec<f64>>())
    }

    /// When heat and coolant were both back for good after a loss; none while one of them is not
    /// known to be. A meter that failed and fell silent shows nothing: it is to be read again, or
    /// the coolant set anew.
    fn mended_s(&self, lost_s: f64, read: &[(f64, CoolantSeen)]) -> Option<f64> {
        let hot_s = last_turned_on(self.still.heaters, HEATER_OFF_W)?;
        let open_s = last_turned_on(&self.set, TRICKLE_L_PER_MIN)?;
        let flows_s = match self.failing.last() {
            None => lost_s,
            Some(&failed_s) => {
                let metered = read.iter().any(|row| row.1.flow_l_per_min.is_some());
                let tells = |row: &&(f64, CoolantSeen)| {
                    row.0 > failed_s && (row.1.flow_l_per_min.is_some() || !metered)
                };
                let read = read.iter().find(tells).map(|row| row.0);
                let again = self.set.iter().map(|row| row.0).find(|time_s| *time_s > failed_s);
                read.into_iter().chain(again).reduce(f64::min)?
            }
        };
        Some(lost_s.max(hot_s).max(open_s).max(flows_s))
    }
}

/// When what was set came over `off` for the last time; 0 where it was never at or under it, none
/// while it is.
fn last_turned_on(rows: &[(f64, f64)], off: f64) -> Option<f64> {
    let Some(last) = rows.iter().rposition(|row| row.1 <= off) else { return Some(0.0) };
    rows.get(last + 1).map(|row| row.0)
}
