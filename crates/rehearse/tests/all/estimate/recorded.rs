//! Rehearsed runs to the end, with what really came, each made once.

use std::cell::RefCell;
use std::ops::Deref;
use std::sync::LazyLock;

use advise::{Event, Live, LiveOptions};
use estimate::{Outlook, Settings, estimate};
use rehearse::Rehearsal;
use sense::Action;
use sense::RecordedRun;
use still::plan::{RunPlan, StepKind};

use crate::common::{pot, short_column};

/// A run that is over.
#[derive(Clone)]
pub(crate) struct Recorded {
    pub(crate) plan: RunPlan,
    pub(crate) rows: RecordedRun,
    /// First hearts begin, the plan's last hearts end, s.
    pub(crate) hearts_s: (f64, f64),
    /// Litres measured in jars of hearts.
    pub(crate) hearts_l: f64,
}

impl Recorded {
    /// Rehearses a plan to its end.
    pub(crate) fn of(plan: RunPlan, seed: u64) -> Self {
        Self::with(plan, seed, |_, _| ())
    }

    /// The same, with what happens to the still that nobody notes down.
    pub(crate) fn with(plan: RunPlan, seed: u64, happens: impl Fn(u64, &mut Rehearsal)) -> Self {
        let options = LiveOptions { estimate: false, ..LiveOptions::default() };
        let mut live = Live::new(plan.clone(), options).expect("the plan is sound");
        let mut rehearsal = Rehearsal::new(&plan, seed, true).expect("the plan is sound");
        let (mut due, mut rows): (Vec<Event>, _) = (Vec::new(), RecordedRun::default());
        for second in 0..60_000 {
            happens(second, &mut rehearsal);
            let part = rehearsal.second(second, &due).expect("the still can be simulated");
            due = live.rows(&part);
            due.extend(live.tick(second));
            rows.append(part);
            if live.end().is_some() || rehearsal.finished() {
                break;
            }
        }
        let begun = |kinds: &[StepKind]| {
            rows.actions.iter().find_map(|(at_s, action)| match action {
                Action::Step { kind } if kinds.contains(kind) => Some(*at_s),
                _ => None,
            })
        };
        let from_s = begun(&[StepKind::Hearts]).expect("the rehearsal comes to hearts");
        let to_s = begun(&[StepKind::Tails, StepKind::Stop]).expect("hearts come to an end");
        let hearts = rows.jars.iter().filter(|jar| jar.cut == Some(StepKind::Hearts));
        let hearts_l = hearts.map(|jar| jar.volume_ml / 1000.0).sum();
        Self { plan, rows, hearts_s: (from_s, to_s), hearts_l }
    }

    /// The second at this share of the hearts.
    pub(crate) fn at(&self, share: f64) -> f64 {
        (self.hearts_s.0 + share * (self.hearts_s.1 - self.hearts_s.0)).floor()
    }

    /// What was known at this share of the hearts, with the first seed.
    pub(crate) fn outlook(&self, share: f64) -> Outlook {
        known(&self.plan, &self.rows, self.at(share))
    }

    /// The rows up to a moment and no later.
    pub(crate) fn cut_off(&self, at_s: f64) -> RecordedRun {
        let mut rows = self.rows.clone();
        rows.readings.retain(|row| row.0 <= at_s);
        rows.actions.retain(|row| row.0 <= at_s);
        rows.jars.retain(|jar| jar.end_s <= at_s);
        rows
    }
}

/// What is known from these rows, with the first seed.
pub(crate) fn known(plan: &RunPlan, rows: &RecordedRun, at_s: f64) -> Outlook {
    estimate(plan, rows, at_s, None, Settings::default()).expect("the plan is sound")
}

/// The bench column, of seven stages, and the bench pot.
pub(crate) static COLUMN: LazyLock<Recorded> = LazyLock::new(|| Recorded::of(short_column(), 11));
pub(crate) static POT: LazyLock<Recorded> = LazyLock::new(|| Recorded::of(pot(), 12));

/// A run that is over, and what was known of it at the moments that were asked for.
pub(crate) struct Told {
    run: Recorded,
    heard: RefCell<Vec<(f64, Outlook)>>,
}

impl Told {
    pub(crate) fn of(run: Recorded) -> Self {
        Self { run, heard: RefCell::default() }
    }

    /// As [`Recorded::outlook`], reckoned once.
    pub(crate) fn outlook(&self, share: f64) -> Outlook {
        let heard = self.heard.borrow().iter().find(|heard| heard.0 == share).cloned();
        let (_, outlook) = heard.unwrap_or_else(|| {
            let told = (share, self.run.outlook(share));
            self.heard.borrow_mut().push(told.clone());
            told
        });
        outlook
    }
}

impl Deref for Told {
    type Target = Recorded;

    fn deref(&self) -> &Recorded {
        &self.run
    }
}
