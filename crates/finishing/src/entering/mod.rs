//! What was reckoned at the bench, as entries of the account: the pure alcohol of each closes, each
//! loss has its name, and an act that is told twice has the same key.
//!
//! What a place holds is the book's own figure; what was reckoned says which part of it moved and
//! what was lost on the way, so that the rest of it is in what came out.

mod jars;
mod makes;
mod moved;
mod stand;

use account::{AccountError, Entry, EntryKind, Ledger, Leg, Place, PureAlcohol};

pub use jars::{AgainstBook, JarsMixed, feints_stand, jar_stand};
pub use makes::{Bottled, bottled, carbon, cask_filled, macerated, reduced};
pub use moved::Moved;
pub use stand::Stand;

/// What the book has and what was reckoned are taken as the same up to this share: then all of it
/// moves, and no crumb stays behind. Two gauges of a spirit of 40 % vol, each of
/// `GAUGE_SD_VOL`, differ by no more in 19 of 20 (reckoned; judgement).
pub const SAME_SHARE: f64 = 0.01;

/// A cask that was gauged again.
#[derive(Debug, Clone, PartialEq)]
pub struct Regauged {
    /// Where it stands.
    pub cask: Stand,
    /// Litres found, at 20 °C.
    pub litres_20c: f64,
    /// Strength found, % vol.
    pub strength_vol: f64,
    /// How long after the fill, years.
    pub years: f64,
}

/// An act of the bench that can be entered.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Jars of a run are mixed, the rest of them kept as feints or thrown away.
    Jars(Box<JarsMixed>),
    /// From one place to another, with what stayed on the way.
    Moved(Moved),
    /// A cask was gauged again: what is missing went through its wood.
    Regauged(Regauged),
}

impl Act {
    /// What this act is called, so that telling it again enters it once; `dated` is the moment where
    /// one was said.
    #[must_use]
    pub fn key(&self, dated: Option<&str>) -> String {
        let what = match self {
            Self::Jars(mixed) => mixed.key(),
            Self::Moved(moved) => moved.key(),
            Self::Regauged(Regauged { cask, litres_20c, strength_vol, years }) => {
                format!(
                    "regauge {cask}: {litres_20c} L of {strength_vol} % vol after {years} years"
                )
            }
        };
        dated.map_or_else(|| what.clone(), |dated| format!("{what}, at {dated}"))
    }

    /// Its entries, in the order in which they join; `entry` has the moments, the people and the
    /// words.
    ///
    /// # Errors
    /// [`AccountError`] where the book has nothing to move, or the figures do not fit it.
    pub fn entries(&self, ledger: &Ledger, entry: &Entry) -> Result<Vec<Entry>, AccountError> {
        let mut entries = match self {
            Self::Jars(mixed) => mixed.entries(ledger, entry)?,
            Self::Moved(moved) => vec![moved.entry(ledger, entry)?],
            Self::Regauged(regauged) => vec![regauged.entry(ledger, entry)?],
        };
        // What was typed was typed once.
        entries.iter_mut().skip(1).for_each(|further| further.typed.clear());
        Ok(entries)
    }
}

impl Regauged {
    fn entry(&self, ledger: &Ledger, entry: &Entry) -> Result<Entry, AccountError> {
        let held = held(ledger, &self.cask, entry)?;
        let found = PureAlcohol::of_liquid(self.litres_20c, self.strength_vol)?;
        let found = if same(held, found) { found.min(held) } else { found };
        if found > held {
            return Err(AccountError::OutOfRange {
                field: "regauged",
                value: format!("{found} L of pure alcohol"),
                bound: "must not be more than the book has in the cask: wood gives none back",
                hint: "gauge it again; where the fill was entered wrong, correct that entry",
            });
        }
        let mut made = of_kind(entry, EntryKind::Regauge, || {
            format!("gauged {} years after the fill", self.years)
        });
        made.from = vec![self.cask.leg(held)];
        made.to = vec![self.cask.liquid(found, self.strength_vol)];
        let lost = held.less(found);
        if lost > PureAlcohol::ZERO {
            made.to.push(Leg::new(Place::of_text("loss:cask")?, None, lost));
        }
        Ok(made)
    }
}

/// An entry of a kind with the moments and people of another; its words where none were said.
fn of_kind(entry: &Entry, kind: EntryKind, words: impl FnOnce() -> String) -> Entry {
    let note = entry.note.clone().or_else(|| Some(words()).filter(|words| !words.is_empty()));
    Entry { kind, note, ..entry.clone() }
}

/// Whether two amounts differ by no more than nobody asks about.
fn same(book: PureAlcohol, reckoned: PureAlcohol) -> bool {
    book.less(reckoned).litres().abs() <= SAME_SHARE * book.litres()
}

/// What the book has somewhere at the moment of the entry: some at least.
fn held(ledger: &Ledger, stand: &Stand, entry: &Entry) -> Result<PureAlcohol, AccountError> {
    let at = (entry.act_ms, ledger.length() + 1);
    let held = ledger.held(&stand.place, Some(&stand.lot), at);
    if held > PureAlcohol::ZERO {
        return Ok(held);
    }
    Err(AccountError::OutOfRange {
        field: "out_of",
        value: stand.to_string(),
        bound: "must hold some pure alcohol in the book at the moment of the act",
        hint: "enter first what came into it; `middlecut lots` lists what stands where",
    })
}
