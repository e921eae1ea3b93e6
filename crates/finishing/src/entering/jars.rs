//! The jars of a run in the book: those chosen mixed as a lot, the rest kept as feints, the
//! foreshots thrown away.

use account::{AccountError, Entry, EntryKind, Ledger, Leg, Name, Place, PureAlcohol};

use super::stand::Stand;
use super::{held, of_kind};
use crate::cuts::{Cuts, Lot};

/// Most characters of a list of jars in a key; a longer one is told by a number made of it.
const LIST_CHARACTERS_MAX: usize = 120;

/// Where a jar of a run stands in the book.
///
/// # Errors
/// [`AccountError::OutOfRange`] for a run whose id can be no name.
pub fn jar_stand(run: &str, number: u32) -> Result<Stand, AccountError> {
    let lot = format!("{run}-{number}");
    Ok(Stand { place: Place::of_text(&format!("jar:{lot}"))?, lot: Name::new(&lot)? })
}

/// Where the feints of a run stand in the book.
///
/// # Errors
/// As [`jar_stand`].
pub fn feints_stand(run: &str) -> Result<Stand, AccountError> {
    let place = Place::of_text(&format!("feints:{run}"))?;
    Ok(Stand { place, lot: Name::new(&format!("{run}-feints"))? })
}

/// Jars that are mixed, and what became of the others.
#[derive(Debug, Clone, PartialEq)]
pub struct JarsMixed {
    /// The run.
    pub run: String,
    /// Where the chosen ones come together.
    pub into: Stand,
    /// Where the rest is kept.
    pub feints: Stand,
    /// What each choice comes to.
    pub cuts: Cuts,
}

/// What jars hold by their gauges, and what the book has in them: that is what is entered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstBook {
    /// Pure alcohol by the gauges, L.
    pub gauged_l: f64,
    /// Pure alcohol in the book, L.
    pub book_l: f64,
    /// By how much the gauges have more, L.
    pub more_l: f64,
}

impl AgainstBook {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { gauged_l, book_l, more_l } = self;
        let differ = if more_l.abs() < 0.000_05 {
            "as much".to_owned()
        } else {
            format!("{:.4} L {}", more_l.abs(), if *more_l < 0.0 { "more" } else { "less" })
        };
        format!(
            "The gauges of these jars come to {gauged_l:.4} L of pure alcohol, the book has {book_l:.4} L, {differ}: the book's figure is entered."
        )
    }
}

impl JarsMixed {
    pub(super) fn key(&self) -> String {
        let list = |lot: &Lot| {
            let list = lot.jars.iter().map(u32::to_string).collect::<Vec<_>>().join(",");
            if list.len() <= LIST_CHARACTERS_MAX { list } else { numbered(&lot.jars) }
        };
        let Self { run, into, feints, cuts } = self;
        let rest = [("feints", &cuts.feints), ("thrown away", &cuts.discarded)];
        let rest: String = rest
            .iter()
            .filter_map(|(word, lot)| Some(format!(", {word} {}", list(lot.as_ref()?))))
            .collect();
        format!("jars {} of {run} into {into}{rest} into {feints}", list(&cuts.hearts))
    }

    /// How the gauges of the jars that were mixed and the book differ; `entries` are those of this act.
    #[must_use]
    pub fn against_book(&self, entries: &[Entry]) -> Option<AgainstBook> {
        let gauged_l = self.cuts.hearts.pure_alcohol_l;
        let book_l = entries.first()?.moved().litres();
        Some(AgainstBook { gauged_l, book_l, more_l: gauged_l - book_l })
    }

    pub(super) fn entries(
        &self,
        ledger: &Ledger,
        entry: &Entry,
    ) -> Result<Vec<Entry>, AccountError> {
        let words = |what: &str| format!("jars of run {}: {what}", self.run);
        let mut made = vec![self.mixed(ledger, entry)?];
        if let Some(lot) = &self.cuts.feints {
            let mut kept =
                of_kind(entry, EntryKind::Feints, || words("the rest, for another charge"));
            let all;
            (kept.from, all) = self.jars(lot, ledger, entry)?;
            kept.to = vec![self.feints.liquid(all, lot.strength_vol_20c)];
            made.push(kept);
        }
        if let Some(lot) = &self.cuts.discarded {
            let mut thrown =
                of_kind(entry, EntryKind::Lose, || words("first runnings thrown away"));
            let all;
            (thrown.from, all) = self.jars(lot, ledger, entry)?;
            thrown.to = vec![Leg::new(Place::of_text("loss:foreshots")?, None, all)];
            made.push(thrown);
        }
        Ok(made)
    }

    fn mixed(&self, ledger: &Ledger, entry: &Entry) -> Result<Entry, AccountError> {
        let lot = &self.cuts.hearts;
        let mut mixed =
            of_kind(entry, EntryKind::Blend, || format!("jars of run {} mixed", self.run));
        let all;
        (mixed.from, all) = self.jars(lot, ledger, entry)?;
        mixed.to = vec![self.into.liquid(all, lot.strength_vol_20c)];
        Ok(mixed)
    }

    /// What the book has in the jars of a lot.
    fn jars(
        &self,
        lot: &Lot,
        ledger: &Ledger,
        entry: &Entry,
    ) -> Result<(Vec<Leg>, PureAlcohol), AccountError> {
        let one = |number: &u32| {
            let stand = jar_stand(&self.run, *number)?;
            let held = held(ledger, &stand, entry).map_err(|_| AccountError::OutOfRange {
                field: "jars",
                value: stand.to_string(),
                bound: "must hold some pure alcohol in the book at the moment of the act",
                hint: "take the run into the book first: `middlecut book run`, or Books on the page; a jar that was mixed already holds nothing",
            })?;
            Ok(stand.leg(held))
        };
        let legs = lot.jars.iter().map(one).collect::<Result<Vec<Leg>, AccountError>>()?;
        let all = legs.iter().map(|leg| leg.alcohol).sum();
        Ok((legs, all))
    }
}

/// A number that tells lists of jars apart (FNV-1a, 64 bits).
fn numbered(jars: &[u32]) -> String {
    let bytes = jars.iter().flat_map(|jar| jar.to_le_bytes());
    let hash = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{} jars {hash:016x}", jars.len())
}
