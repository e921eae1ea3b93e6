//! The hours before a trial: a still rehearsed up to some minutes of its hearts.

use std::path::Path;

use advise::{Live, LiveOptions};
use rehearse::{Manner, Rehearsal};
use sense::{Action, RecordedRun};
use still::plan::{RunPlan, StepKind};

/// Longest rehearsal, s: the server takes four hours of past.
const LONGEST_S: u64 = 14_000;

/// What was read and done before.
#[derive(Clone)]
pub(crate) struct Past {
    pub(crate) plan: RunPlan,
    pub(crate) rows: RecordedRun,
    /// When its hearts began, s.
    pub(crate) hearts_s: f64,
}

/// The mains go for a while, and the readings with them; times in s of hearts.
#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Cut {
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
}

/// A plan of the example house.
pub(crate) fn example(name: &str) -> RunPlan {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hollowbank");
    store::folder::read_plan(&examples.join(name).join("run.toml")).expect("the plan is whole")
}

/// The plan rehearsed until its hearts have run for so long.
pub(crate) fn rehearsed(plan: &RunPlan, seed: u64, hearts_for_s: f64, cut: Option<Cut>) -> Past {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut live = Live::new(plan.clone(), options).expect("the plan is sound");
    let mut still = Rehearsal::attended(plan, seed, Manner::Careful).expect("it can be simulated");
    let (mut rows, mut due, mut hearts_s) = (RecordedRun::default(), Vec::new(), None);
    let (mut watts, mut dark) = (0.0, false);
    for second in 0..LONGEST_S {
        let now_s = second as f64;
        let since_s = hearts_s.map(|hearts_s: f64| now_s - hearts_s);
        let no_mains = since_s
            .zip(cut)
            .is_some_and(|(since_s, cut)| (cut.from_s..cut.to_s).contains(&since_s));
        if no_mains != dark {
            dark = no_mains;
            // Nobody records it: the heater stays as it was told.
            still.person(now_s, &Action::Heater { watts: if dark { 0.0 } else { watts } });
        }
        let mut new = still.second(second, &due).expect("the still can be simulated");
        if dark {
            new.readings.clear();
        }
        for (at_s, action) in &new.actions {
            match action {
                Action::Heater { watts: set } => watts = *set,
                Action::Step { kind: StepKind::Hearts } => {
                    hearts_s.get_or_insert(*at_s);
                }
                _ => {}
            }
        }
        due = live.rows(&new);
        due.extend(live.tick(second));
        rows.append(new);
        if since_s.is_some_and(|since_s| since_s >= hearts_for_s) {
            break;
        }
    }
    let hearts_s = hearts_s.expect("the rehearsal comes to its hearts");
    Past { plan: plan.clone(), rows, hearts_s }
}

/// The whole of a rehearsal.
pub(crate) fn whole(plan: &RunPlan, seed: u64) -> RecordedRun {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut rows = RecordedRun::default();
    rehearse::rehearse_as(plan, seed, options, &mut |_, _| {}, &mut |more| {
        rows.append(more.clone());
    })
    .expect("the plan can be rehearsed");
    rows
}
