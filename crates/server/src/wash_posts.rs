//! Devices that post readings of washes: what of each became entries, and what it was answered.

use std::collections::VecDeque;

use feeds::Thin;
use tokio::sync::{Mutex, MutexGuard};

use crate::wire::wash_ask::WashProbesWire;

/// Most devices that are remembered; one that was forgotten has its next reading kept (judgement).
const SENDERS_MAX: usize = 128;
/// Posts of a device whose answer is remembered (judgement: one that repeats an older one has waited
/// for hours).
const ANSWERS_MAX: usize = 16;

/// Those who posted, the latest last. They are served one after the other.
#[derive(Debug, Default)]
pub(crate) struct WashPosts(Mutex<VecDeque<Sender>>);

/// One who posts readings of one wash.
#[derive(Debug, Clone)]
pub(crate) struct Sender {
    /// Which device, of which wash.
    of: (String, String),
    /// What of it became entries.
    pub(crate) thin: Thin,
    /// What was answered to its last posts, by their keys.
    answers: VecDeque<(String, WashProbesWire)>,
}

impl WashPosts {
    /// The door: one post at a time.
    pub(crate) async fn enter(&self) -> MutexGuard<'_, VecDeque<Sender>> {
        self.0.lock().await
    }
}

impl Sender {
    /// The sender of a device and a wash as it is known, or a new one.
    pub(crate) fn known(known: &VecDeque<Self>, device: &str, wash: &str) -> Self {
        let of = (device.to_owned(), wash.to_owned());
        let new = || Self { of: of.clone(), thin: Thin::new(), answers: VecDeque::new() };
        known.iter().find(|one| one.of == of).cloned().unwrap_or_else(new)
    }

    /// What was answered to a post before.
    pub(crate) fn answered(&self, key: &str) -> Option<WashProbesWire> {
        self.answers.iter().find(|one| one.0 == key).map(|one| one.1.clone())
    }

    /// Remembers an answer, and the sender as the latest.
    pub(crate) fn remember(
        mut self,
        known: &mut VecDeque<Self>,
        key: Option<String>,
        answer: WashProbesWire,
    ) {
        if let Some(key) = key {
            self.answers.push_back((key, answer));
        }
        if self.answers.len() > ANSWERS_MAX {
            self.answers.pop_front();
        }
        known.retain(|one| one.of != self.of);
        if known.len() >= SENDERS_MAX {
            known.pop_front();
        }
        known.push_back(self);
    }
}
