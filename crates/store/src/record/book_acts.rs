//! An act of the bench taken into the account: looked at first where asked, entered once however
//! often it is told.

use account::{AccountError, Entry, Ledger, Numbered, Serial};

use super::open::Store;
use crate::error::StoreError;

/// Most entries of one act, and most times that one act was entered and taken back.
const PARTS_MAX: usize = 16;
const AGAIN_MAX: usize = 100;

/// What an act is in the book, or would be.
#[derive(Debug, Clone, PartialEq)]
pub struct ActEntries {
    /// Its entries with their serials.
    pub entries: Vec<Numbered>,
    /// Whether they were in the book before.
    pub known: bool,
}

/// What the parts of an act are called.
fn part(key: &str, place: usize) -> String {
    if place == 0 { key.to_owned() } else { format!("{key} (part {})", place + 1) }
}

/// What the act is called now, and whether it stands in the book so. One that was entered and then
/// corrected or taken back may be entered again.
fn named(ledger: &Ledger, key: &str) -> Result<(String, Option<Serial>), AccountError> {
    for times in 0..AGAIN_MAX {
        let name = if times == 0 { key.to_owned() } else { format!("{key} (again {times})") };
        match ledger.of_key(&name) {
            None => return Ok((name, None)),
            Some(number) if ledger.corrected_by(number).is_none() => {
                return Ok((name, Some(number)));
            }
            Some(_) => {}
        }
    }
    let why = "is an act that was entered and taken back too often: name another lot";
    Err(AccountError::NotCorrectable { entry: ledger.of_key(key).unwrap_or_default(), why })
}

impl Store {
    /// What an act would be in the book, judged as if it were entered.
    ///
    /// # Errors
    /// [`StoreError::Account`] where it may not join; [`StoreError::Unreadable`].
    pub fn look_at_act(
        &self,
        key: &str,
        make: impl FnOnce(&Ledger) -> Result<Vec<Entry>, AccountError>,
    ) -> Result<ActEntries, StoreError> {
        let ledger = self.account(Clone::clone)?;
        let (name, known) = named(&ledger, key)?;
        if known.is_some() {
            return self.known_act(&ledger, &name);
        }
        let mut after = ledger.clone();
        let mut entries = Vec::new();
        for (place, entry) in make(&ledger)?.into_iter().take(PARTS_MAX).enumerate() {
            let entry = Entry { key: Some(part(&name, place)), ..entry };
            let numbered = Numbered { number: after.length() + 1, entry };
            after.take(&numbered)?;
            entries.push(numbered);
        }
        Ok(ActEntries { entries, known: false })
    }

    /// Enters an act, all of its entries or none; one that is in the book already changes nothing.
    ///
    /// # Errors
    /// As [`Store::look_at_act`] and [`Store::enter_all`].
    pub fn enter_act(
        &self,
        key: &str,
        make: impl FnOnce(&Ledger) -> Result<Vec<Entry>, AccountError>,
        now_ms: i64,
    ) -> Result<ActEntries, StoreError> {
        let act = self.look_at_act(key, make)?;
        if !act.known {
            let entries: Vec<Entry> = act.entries.iter().map(|one| one.entry.clone()).collect();
            self.enter_all(&entries, now_ms)?;
        }
        Ok(act)
    }

    fn known_act(&self, ledger: &Ledger, name: &str) -> Result<ActEntries, StoreError> {
        let numbers = (0..PARTS_MAX).map_while(|place| ledger.of_key(&part(name, place)));
        let entries = numbers.map(|number| self.account_entry(number)).collect::<Result<_, _>>()?;
        Ok(ActEntries { entries, known: true })
    }
}
