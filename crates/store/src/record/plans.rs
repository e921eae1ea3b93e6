//! Plans kept under a name, and which runs a person leaves out of the learning: what the log of the
//! house says last.

use std::collections::{BTreeMap, BTreeSet};

use quantities::TypedValue;

use super::act::{KeptPlan, LearningChoice};
use super::entry::Entry;
use super::open::Store;
use super::run_id::RunId;
use crate::error::StoreError;

/// Most plans that are kept; judgement: a list nobody reads through is none.
const PLANS_MAX: usize = 200;

impl Store {
    /// The plans that are kept, by name.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn plans(&self) -> Result<Vec<KeptPlan>, StoreError> {
        let mut plans = BTreeMap::new();
        self.for_each_of_house(&["plan_kept", "plan_dropped"], |logged| {
            match logged.entry {
                Entry::PlanKept(kept) => drop(plans.insert(kept.name.clone(), *kept)),
                Entry::PlanDropped { name } => drop(plans.remove(&name)),
                _ => {}
            }
            Ok(())
        })?;
        Ok(plans.into_values().collect())
    }

    /// Keeps a plan under a name, in place of one of that name.
    ///
    /// # Errors
    /// [`StoreError::Plan`], [`StoreError::Entry`] for a name that is none, or one too many.
    pub fn keep_plan(&self, kept: &KeptPlan, now_ms: i64) -> Result<(), StoreError> {
        self.keep_plan_typed(kept, Vec::new(), now_ms)
    }

    /// As [`Store::keep_plan`], with how the numbers of the plan were typed.
    ///
    /// # Errors
    /// As [`Store::keep_plan`].
    pub fn keep_plan_typed(
        &self,
        kept: &KeptPlan,
        typed: Vec<TypedValue>,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        let plans = self.plans()?;
        if plans.len() >= PLANS_MAX && plans.iter().all(|plan| plan.name != kept.name) {
            let value = format!("{} plans", plans.len() + 1);
            return Err(StoreError::Entry {
                field: "name",
                value,
                bound: "must be 200 plans at most",
            });
        }
        self.say_in_house_typed(Entry::PlanKept(Box::new(kept.clone())), typed, now_ms).map(drop)
    }

    /// Keeps the plan of that name no more; what stands in the log stays there.
    ///
    /// # Errors
    /// [`StoreError::NoPlan`]; else as [`Store::append`].
    pub fn drop_plan(&self, name: &str, now_ms: i64) -> Result<(), StoreError> {
        if self.plans()?.iter().all(|plan| plan.name != name) {
            return Err(StoreError::NoPlan { name: crate::rows::shown(name) });
        }
        self.say_in_house(Entry::PlanDropped { name: name.to_owned() }, now_ms).map(drop)
    }

    /// Lets a run count for what is learned, or leaves it out.
    ///
    /// # Errors
    /// [`StoreError::NoRun`]; else as [`Store::append`].
    pub fn count_run(&self, run: &RunId, counts: bool, now_ms: i64) -> Result<(), StoreError> {
        self.length(run)?;
        if self.left_out()?.contains(run) != counts {
            return Ok(());
        }
        let choice = LearningChoice { run: run.clone(), counts };
        self.say_in_house(Entry::Learning(choice), now_ms).map(drop)
    }

    /// The runs that are left out of the learning.
    pub(super) fn left_out(&self) -> Result<BTreeSet<RunId>, StoreError> {
        let mut left_out = BTreeSet::new();
        self.for_each_of_house(&["learning"], |logged| {
            if let Entry::Learning(choice) = logged.entry {
                if choice.counts {
                    left_out.remove(&choice.run);
                } else {
                    left_out.insert(choice.run);
                }
            }
            Ok(())
        })?;
        Ok(left_out)
    }
}
