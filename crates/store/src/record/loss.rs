//! What the record has lost, by its seal, and a person's word that it is known.

use rusqlite::Connection;

use super::aside;
use super::entry::Entry;
use super::event::{StoredEvent, StoredKind, StoredPriority};
use super::known_loss::LossAccepted;
use super::open::Store;
use super::run_id::{EntryNumber, RunId};
use super::seal::{Acknowledged, Lost, Seal};
use crate::error::StoreError;

/// Code of the event that tells of a loss.
pub const LOST_CODE: &str = "record_lost";

/// Entries that were acknowledged and are gone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// The run; none where the seal itself was changed.
    pub run: Option<RunId>,
    /// The first entry that is gone.
    pub first_lost: EntryNumber,
    /// The last one that was acknowledged.
    pub acknowledged: EntryNumber,
    /// Its digest.
    pub digest: String,
    /// Whether somebody said that it is known: the words, who, and when (milliseconds of UTC).
    pub accepted: Option<(String, Option<String>, i64)>,
}

impl std::fmt::Display for Loss {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { first_lost, acknowledged, .. } = self;
        match &self.run {
            None => f.write_str(
                "the seal beside the record was changed: whether entries are lost cannot be told",
            ),
            Some(run) if first_lost == acknowledged => {
                write!(f, "run {run}: entry {first_lost} was acknowledged and is lost")
            }
            Some(run) => write!(
                f,
                "run {run}: entries {first_lost} to {acknowledged} were acknowledged and are lost"
            ),
        }
    }
}

/// The losses that somebody said are known, inside a connection.
pub(super) fn accepted(connection: &Connection) -> Result<Vec<Acknowledged>, rusqlite::Error> {
    let mut statement = connection
        .prepare("SELECT payload FROM entry WHERE run_id = $1 AND kind = 'loss_accepted'")?;
    let rows = statement.query_map([RunId::HOUSE], |row| row.get::<_, String>(0))?;
    let mut said = Vec::new();
    for text in rows {
        // One that cannot be read accepts nothing; its chain is checked by itself.
        said.extend(serde_json::from_str(&text?).ok().map(acknowledged));
    }
    Ok(said)
}

/// The entry that a person's word is about.
fn acknowledged(known: LossAccepted) -> Acknowledged {
    Acknowledged { run: known.run, number: known.acknowledged, digest: known.digest }
}

impl Store {
    /// What was acknowledged and is gone, as far as the seal beside the record can tell.
    ///
    /// # Errors
    /// Where the record cannot be read.
    pub fn losses(&self) -> Result<Vec<Loss>, StoreError> {
        let mut said = Vec::new();
        self.for_each_of_house(&["loss_accepted"], |logged| {
            if let Entry::LossAccepted(accepted) = logged.entry {
                said.push((accepted, logged.stored_ms));
            }
            Ok(())
        })?;
        let seal = Seal::read(self.path());
        let found = seal.lost(&self.reader())?;
        let loss = |lost: Lost| {
            let accepted =
                said.iter().find(|(accepted, _)| acknowledged(accepted.clone()) == lost.said);
            let accepted = accepted.map(|(by, at_ms)| (by.reason.clone(), by.by.clone(), *at_ms));
            Loss {
                run: (!lost.is_of_the_seal()).then(|| RunId::new(&lost.said.run)),
                first_lost: lost.first,
                acknowledged: lost.said.number,
                digest: lost.said.digest,
                accepted,
            }
        };
        Ok(found.into_iter().map(loss).collect())
    }

    /// Writes down that every loss found so far is known; gives how many that were.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a reason or a name that is none; else as [`Store::append`].
    pub fn accept_losses(
        &self,
        reason: &str,
        by: Option<&str>,
        now_ms: i64,
    ) -> Result<usize, StoreError> {
        let new = self.losses()?.into_iter().filter(|loss| loss.accepted.is_none());
        let mut count = 0;
        for loss in new {
            let accepted = LossAccepted {
                run: loss.run.map_or(Lost::OF_THE_SEAL.to_owned(), |run| run.to_string()),
                acknowledged: loss.acknowledged,
                digest: loss.digest,
                reason: reason.to_owned(),
                by: by.map(str::to_owned),
            };
            self.say_in_house(Entry::LossAccepted(accepted), now_ms)?;
            count += 1;
        }
        Ok(count)
    }

    /// Says in every run that lost entries, once, that it did; runs that are gone altogether
    /// cannot be told anything.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn note_losses(&self, now_ms: i64) -> Result<(), StoreError> {
        for loss in self.losses()?.into_iter().filter(|loss| loss.accepted.is_none()) {
            let Some(run) = &loss.run else { continue };
            let state = match self.run(run) {
                Ok(state) => state,
                Err(StoreError::NoRun { .. }) => continue,
                Err(error) => return Err(error),
            };
            let event = event_of(&loss, state.last_time_s);
            let told = state.events.iter().any(|(_, said)| said.text == event.text);
            if !told {
                self.append(run, &Entry::Event(event), now_ms, now_ms)?;
            }
        }
        Ok(())
    }

    /// Names of the files that are kept beside the record: what was damaged or replaced.
    #[must_use]
    pub fn kept_files(&self) -> Vec<String> {
        aside::kept(self.path())
    }
}

fn event_of(loss: &Loss, time_s: f64) -> StoredEvent {
    StoredEvent {
        time_s,
        kind: StoredKind::State,
        code: LOST_CODE.into(),
        priority: StoredPriority::High,
        text: format!("The record has a gap: {loss}."),
        how_sure: "The seal beside the record names what was acknowledged.".into(),
        to_do: "Write down again what you know of it.".into(),
        within_s: None,
    }
}
