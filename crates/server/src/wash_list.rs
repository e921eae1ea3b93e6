//! The list of washes: a wash is read again only where something was written of it.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use store::{RunId, Store, StoreError};

use crate::wire::wash::WashSummaryWire;

/// Most lines that are kept; with more they are all read anew (judgement: two records full of washes).
const LINES_MAX: usize = 2000;

/// The lines as they were told last, each with how many entries its wash had. A wash has its name
/// nowhere else: not in another record either.
#[derive(Debug, Default)]
pub(crate) struct WashList(Mutex<BTreeMap<String, (i64, WashSummaryWire)>>);

impl WashList {
    /// The washes of a record, the newest first.
    ///
    /// # Errors
    /// As [`Store::wash`].
    pub(crate) fn told(&self, store: &Store) -> Result<Vec<WashSummaryWire>, StoreError> {
        let mut lines = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if lines.len() > LINES_MAX {
            lines.clear();
        }
        let one = |(id, entries): (RunId, i64)| -> Result<WashSummaryWire, StoreError> {
            if let Some((_, line)) = lines.get(id.as_str()).filter(|known| known.0 == entries) {
                return Ok(line.clone());
            }
            let state = store.wash(&id)?;
            let line = WashSummaryWire::of(&state);
            lines.insert(id.to_string(), (state.last_entry, line.clone()));
            Ok(line)
        };
        store.wash_lengths()?.into_iter().rev().map(one).collect()
    }
}

#[cfg(test)]
mod tests {
    use store::rows::WashAct;
    use store::{Store, WashBy, WashDone, WashEntry};

    use super::WashList;
    use crate::example::fill;

    /// A day of 2026, and one of the next year, ms UTC.
    const MOMENTS_MS: [i64; 2] = [1_795_000_000_000, 1_830_000_000_000];

    #[test]
    fn a_wash_is_read_again_only_where_something_was_written_of_it() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        for now_ms in MOMENTS_MS {
            fill(&store, now_ms).unwrap();
        }
        let newest = store.washes().unwrap().remove(1);
        let list = WashList::default();
        let before = list.told(&store).unwrap();
        assert_eq!(before.len(), 2);
        // A line that is kept is told as it is kept: it was not read.
        let marked = before[1].clone();
        for known in list.0.lock().unwrap().values_mut() {
            known.1 = marked.clone();
        }
        assert_eq!(list.told(&store).unwrap(), [marked.clone(), marked.clone()]);
        let row = WashAct { action: "chalk".into(), value: Some(2.0), note: String::new() };
        let (at_ms, by) = (MOMENTS_MS[1], WashBy::default());
        let done = WashEntry::Done(WashDone { at_ms, row, corrects: None, by });
        let written = store.write_wash(&newest.id, vec![done], at_ms).unwrap();
        assert_eq!(written.last_entry, newest.last_entry + 1);
        assert_eq!(Store::open_read_only(dir.path()).unwrap().wash(&newest.id).unwrap(), written);
        assert_eq!(list.told(&store).unwrap(), [before[0].clone(), marked]);
    }
}
