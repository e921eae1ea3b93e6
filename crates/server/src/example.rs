//! The example house, read-only and part of the program: `examples/<house>/<run>/run.toml`.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rust_embed::RustEmbed;
use still::plan::RunPlan;
use store::folder::WashFolder;
use store::{Store, StoreError, WashBy};

use crate::clock::zone_offset_minutes;

#[derive(RustEmbed)]
#[folder = "$CARGO_MANIFEST_DIR/../../examples"]
struct Bundle;

/// The table of its book.
const BOOK: &str = "hollowbank/book/book.csv";

/// The house and its plans.
#[derive(Debug)]
pub(crate) struct ExampleHouse {
    /// What it is called.
    pub(crate) name: String,
    /// Its plans with their ids, the earliest first.
    pub(crate) plans: Vec<(String, RunPlan)>,
}

/// The bundled house. A plan that cannot be read is left out, and a test says so.
pub(crate) fn house() -> &'static ExampleHouse {
    static HOUSE: OnceLock<ExampleHouse> = OnceLock::new();
    HOUSE.get_or_init(|| {
        let mut plans: Vec<(String, RunPlan)> = Bundle::iter()
            .filter(|path| path.ends_with("/run.toml"))
            .filter_map(|path| Some((path.split('/').nth(1)?.to_owned(), text(&path)?)))
            .filter_map(|(id, text)| Some((id, store::folder::parse_plan(&text).ok()?)))
            .collect();
        plans.sort_by(|a, b| a.1.start.cmp(&b.1.start));
        ExampleHouse { name: name().unwrap_or_else(|| "Example".to_owned()), plans }
    })
}

/// A wash of the house so old is put aside by a new one of the same title, ms: three weeks.
const WASH_OLD_MS: i64 = 21 * 24 * 3_600_000;
/// A new one was begun so long ago, ms: its last reading is some hours old.
const WASH_AGE_MS: i64 = 146 * 3_600_000;

/// Puts the bundled wash and book into the record of the house where they are not there: a wash that
/// ferments now, and a book that is over.
///
/// # Errors
/// Those of the record.
pub(crate) fn fill(store: &Store, now_ms: i64) -> Result<(), StoreError> {
    let (wash, book) = missing(store, now_ms)?;
    if let Some(wash) = wash.then(wash_files) {
        let mut folder = WashFolder::of_files(&wash)?;
        let begun_ms = now_ms - WASH_AGE_MS;
        let start = store::time::format_start(begun_ms, zone_offset_minutes(begun_ms));
        folder.recipe.start = start.unwrap_or(folder.recipe.start);
        store.take_wash_in(folder, WashBy::default(), now_ms)?;
    }
    if let Some(table) = Bundle::get(BOOK).filter(|_| book) {
        store.import_book(&store::book::read(&table.data)?.entries, |_| {}, now_ms)?;
    }
    Ok(())
}

/// Whether a wash that is no older than some weeks is missing, and whether the book is.
///
/// # Errors
/// Those of the record.
pub(crate) fn missing(store: &Store, now_ms: i64) -> Result<(bool, bool), StoreError> {
    let title = WashFolder::of_files(&wash_files())?.recipe.title;
    let young = |wash: &store::WashState| {
        wash.recipe.title == title && now_ms - wash.pitched_ms < WASH_OLD_MS
    };
    let wash = !store.washes()?.iter().any(young);
    Ok((wash, store.account(account::Ledger::length)? == 0))
}

/// The files of the bundled wash, by name.
fn wash_files() -> BTreeMap<String, String> {
    let files = Bundle::iter().filter_map(|path| {
        let name = path.split_once("/wash/")?.1.to_owned();
        Some((name, text(&path)?))
    });
    files.collect()
}

/// The first words of the house's own account of itself.
fn name() -> Option<String> {
    let path = Bundle::iter().find(|path| path.ends_with("README.md"))?;
    let text = text(&path)?;
    let heading = text.lines().find_map(|line| line.strip_prefix("# "))?;
    Some(heading.split(',').next().unwrap_or(heading).trim().to_owned())
}

fn text(path: &str) -> Option<String> {
    String::from_utf8(Bundle::get(path)?.data.into_owned()).ok()
}

#[cfg(test)]
mod tests {
    use super::{BOOK, Bundle, WASH_OLD_MS, fill, house, missing};

    /// A day of 2026, ms UTC.
    const NOW_MS: i64 = 1_795_000_000_000;

    #[test]
    fn wash_and_book_of_the_bundle_are_put_in_once_and_a_wash_again_when_it_is_old() {
        let folder = tempfile::tempdir().unwrap();
        let store = store::Store::open(folder.path()).unwrap();
        assert_eq!(missing(&store, NOW_MS).unwrap(), (true, true));
        fill(&store, NOW_MS).unwrap();
        fill(&store, NOW_MS).unwrap();
        assert_eq!(missing(&store, NOW_MS).unwrap(), (false, false));
        let washes = store.washes().unwrap();
        assert!(washes.len() == 1 && washes[0].folder().readings.len() > 5, "{washes:?}");
        let last = washes[0].lines.iter().map(|line| line.at_ms).max().unwrap();
        assert!((0..24 * 3_600_000).contains(&(NOW_MS - last)), "read within a day");
        fill(&store, NOW_MS + WASH_OLD_MS).unwrap();
        assert_eq!(store.washes().unwrap().len(), 2);
        store.verify().unwrap();
        let table = Bundle::get(BOOK).unwrap().data;
        let report = store::book::verify(&table, None, &[], NOW_MS);
        assert!(report.faults.is_empty() && report.findings.is_empty(), "{report:?}");
    }

    #[test]
    fn every_plan_of_the_bundle_can_be_run() {
        let files = Bundle::iter().filter(|path| path.ends_with("run.toml")).count();
        assert!(files > 0);
        assert_eq!(house().plans.len(), files);
        assert_eq!(house().name, "Hollowbank");
        assert!(house().plans.iter().all(|(_, plan)| plan.check().is_ok()));
    }
}
