//! Keys of requests: one that comes again gets the same answer and changes nothing; under a key that
//! came before nothing else is taken.

use std::collections::{HashMap, VecDeque};

use std::fmt::Debug;

use store::KEY_CHARACTERS_MAX;

use crate::problem::ApiError;

/// Most keys that a run remembers, the newest; judgement: no sender tries again that late.
const KEYS_MAX: usize = 10_000;

/// Characters of the digest of what was asked: 64 bits tell the requests of a run apart.
const DIGEST_CHARACTERS: usize = 16;

/// The key of a request, with a digest of what it asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Key {
    /// What the sender calls it.
    pub(crate) key: String,
    /// What it asks, as a digest.
    pub(crate) asked: String,
}

impl Key {
    /// The key of a request that asks that; none where it has no key. When it was is no part of what is
    /// asked: one that waited says so when it is sent again.
    ///
    /// # Errors
    /// [`ApiError::Field`] for a key that is none.
    pub(crate) fn of(key: Option<&str>, asked: impl Debug) -> Result<Option<Self>, ApiError> {
        let Some(key) = key else { return Ok(None) };
        let length = key.chars().count();
        if !(1..=KEY_CHARACTERS_MAX).contains(&length) || key.contains('\0') {
            let bound = format!("must be a text of 1 to {KEY_CHARACTERS_MAX} characters");
            return Err(ApiError::field("key", key, bound, "draw it at random for each request"));
        }
        let digest = blake3::hash(format!("{asked:?}").as_bytes()).to_hex();
        Ok(Some(Self { key: key.to_owned(), asked: digest[..DIGEST_CHARACTERS].to_owned() }))
    }
}

/// What a request brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Brought {
    /// The entry that was answered.
    pub(crate) entry: u64,
    /// All entries of the act.
    pub(crate) entries: Vec<u64>,
    /// How many rows of readings.
    pub(crate) rows: Option<u32>,
    /// What was asked, as a digest; none where the record does not say.
    pub(crate) asked: Option<String>,
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
    /// [`ApiError::Conflict`] where something else came under it.
    pub(crate) fn find(&self, key: Option<&Key>) -> Result<Option<Brought>, ApiError> {
        let Some(key) = key else { return Ok(None) };
        let known = self.known.get(&key.key);
        if known.is_some_and(|known| known.asked.as_ref().is_some_and(|was| *was != key.asked)) {
            let what = format!("the key {} came before, with something else", key.key);
            let hint = "nothing was recorded: send it with a key of its own, drawn at random";
            return Err(ApiError::Conflict { code: "key_used", what, hint });
        }
        Ok(known.cloned())
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
    use super::{Brought, KEYS_MAX, Key, Keys};

    fn key(key: &str, asked: &str) -> Option<Key> {
        Key::of(Some(key), asked).unwrap()
    }

    #[test]
    fn keys_are_remembered_to_a_bounded_number_the_newest() {
        let mut keys = Keys::default();
        for entry in 0..KEYS_MAX as u64 + 5 {
            let brought = Brought { entry, entries: vec![entry], rows: None, asked: None };
            keys.keep(entry.to_string(), brought);
        }
        assert!(keys.find(key("4", "").as_ref()).unwrap().is_none());
        assert_eq!(keys.find(key("5", "").as_ref()).unwrap().unwrap().entry, 5);
        assert_eq!(keys.known.len(), KEYS_MAX);
        assert!(Key::of(Some(""), "").is_err() && Key::of(Some(&"x".repeat(65)), "").is_err());
    }

    #[test]
    fn under_a_key_that_came_before_nothing_else_is_taken() {
        let (mut keys, first) = (Keys::default(), key("1", "glass 74").unwrap());
        let asked = Some(first.asked.clone());
        keys.keep("1".into(), Brought { entry: 7, entries: vec![7], rows: None, asked });
        assert_eq!(keys.find(Some(&first)).unwrap().unwrap().entry, 7);
        let said = keys.find(key("1", "glass 70").as_ref()).unwrap_err().to_string();
        assert!(said.contains("came before, with something else"), "{said}");
    }
}
