//! Keys of requests: one that comes again gets the same answer and changes nothing.

use std::collections::{HashMap, VecDeque};

use store::KEY_CHARACTERS_MAX;

use crate::problem::ApiError;

/// Most keys that a run remembers, the newest; judgement: no sender tries again that late.
const KEYS_MAX: usize = 10_000;

/// What a request brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Brought {
    /// The entry that was answered.
    pub(crate) entry: u64,
    /// All entries of the act.
    pub(crate) entries: Vec<u64>,
    /// How many rows of readings.
    pub(crate) rows: Option<u32>,
}

/// The keys of a run.
#[derive(Debug, Default)]
pub(crate) struct Keys {
    known: HashMap<String, Brought>,
    order: VecDeque<String>,
}

impl Keys {
    /// What the request of that key brought, where it came before.
    ///
    /// # Errors
    /// [`ApiError::Field`] for a key that is none.
    pub(crate) fn find(&self, key: Option<&str>) -> Result<Option<Brought>, ApiError> {
        let Some(key) = key else { return Ok(None) };
        let length = key.chars().count();
        if !(1..=KEY_CHARACTERS_MAX).contains(&length) || key.contains('\0') {
            let bound = format!("must be a text of 1 to {KEY_CHARACTERS_MAX} characters");
            return Err(ApiError::field("key", key, bound, "a number counted up will do"));
        }
        Ok(self.known.get(key).cloned())
    }

    /// Remembers what a request brought.
    pub(crate) fn keep(&mut self, key: String, brought: Brought) {
        if self.order.len() >= KEYS_MAX
            && let Some(oldest) = self.order.pop_front()
        {
            self.known.remove(&oldest);
        }
        self.order.push_back(key.clone());
        self.known.insert(key, brought);
    }
}

#[cfg(test)]
mod tests {
    use super::{Brought, KEYS_MAX, Keys};

    #[test]
    fn keys_are_remembered_to_a_bounded_number_the_newest() {
        let mut keys = Keys::default();
        for entry in 0..KEYS_MAX as u64 + 5 {
            keys.keep(entry.to_string(), Brought { entry, entries: vec![entry], rows: None });
        }
        assert!(keys.find(Some("4")).unwrap().is_none());
        assert_eq!(keys.find(Some("5")).unwrap().unwrap().entry, 5);
        assert_eq!(keys.known.len(), KEYS_MAX);
        assert!(keys.find(Some("")).is_err() && keys.find(Some(&"x".repeat(65))).is_err());
    }
}
