//! The wash that a probe means: the one of that name that is not ended.

use super::entry::Entry;
use super::open::Store;
use super::run_id::RunId;
use super::wash_state::WashState;
use crate::error::StoreError;

/// Kinds of entries that say what a wash is called and whether it is over.
const OUTLINE: [&str; 4] = ["wash_opened", "wash_recipe", "wash_withdrawn", "wash_ended"];

impl Store {
    /// The wash of that title, or of that name in the record, which takes readings. What was read of
    /// the washes is not looked at.
    ///
    /// # Errors
    /// [`StoreError::NoWash`] where none has that name, [`StoreError::WashOver`] where all that have
    /// are ended, [`StoreError::Entry`] where more than one goes on.
    pub fn wash_that_goes_on(&self, name: &str) -> Result<RunId, StoreError> {
        let (mut open, mut over) = (Vec::new(), None);
        for (id, _) in self.wash_lengths()? {
            let outline = self.wash_outline(&id)?;
            if id.as_str() != name && outline.recipe.title != name {
                continue;
            }
            match outline.ended {
                None => open.push(id),
                Some(_) => over = Some(outline.recipe.title),
            }
        }
        let wash = crate::rows::shown(name);
        match (open.pop(), open.is_empty(), over) {
            (Some(id), true, _) => Ok(id),
            (Some(_), false, _) => {
                let bound = "must be the name of one wash: more than one of this title goes on";
                Err(StoreError::Entry { field: "wash", value: wash, bound })
            }
            (None, _, Some(title)) => Err(StoreError::WashOver { wash: title }),
            (None, _, None) => Err(StoreError::NoWash { wash }),
        }
    }

    fn wash_outline(&self, id: &RunId) -> Result<WashState, StoreError> {
        let mut outline: Option<WashState> = None;
        self.for_each_of(id, &OUTLINE, |logged| {
            let Entry::Wash(entry) = logged.entry else { return Ok(()) };
            match &mut outline {
                None => outline = Some(WashState::opened(id, *entry, logged.stored_ms)?),
                Some(outline) => outline.take(logged.number, logged.stored_ms, *entry),
            }
            Ok(())
        })?;
        outline.ok_or_else(|| StoreError::NoWash { wash: id.to_string() })
    }
}
