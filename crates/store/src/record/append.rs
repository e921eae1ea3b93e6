//! Adds to the log: each call is one transaction, durable when it returns.

use quantities::TypedValue;
use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::belong::belongs;
use super::chain::Link;
use super::entry::{Entry, OwnStillRecord};
use super::new_run::NewRun;
use super::open::Store;
use super::payload::PAYLOAD_VERSION;
use super::run_id::{EntryNumber, RunId};
use super::seal::Acknowledged;
use super::units::EnteredUnits;
use crate::error::StoreError;

/// The site of the person's own runs.
const OWN_SITE: &str = "own house";
/// The site of rehearsals of the example house.
const EXAMPLE_SITE: &str = "example house";
/// Most tries for a free id within one second.
const ID_TRIES_MAX: u32 = 65_536;

/// The end of a run's chain.
struct Head {
    entries: i64,
    digest: String,
    site: String,
    still: String,
}

impl Head {
    /// The site and the still that an entry is about: its own where it names one, else those of
    /// the entry before it.
    fn place<'a>(&'a self, entry: &'a Entry) -> [&'a str; 2] {
        let own = |still: &'a str| [OWN_SITE, still];
        match entry {
            Entry::Opened(run) => {
                let site = if run.example { EXAMPLE_SITE } else { OWN_SITE };
                [site, &run.plan.still.name]
            }
            Entry::Plan(plan) => [&self.site, &plan.still.name],
            Entry::OwnStill(record) => own(&record.still.name),
            Entry::Learned(lesson) => own(&lesson.still),
            Entry::StillReset(reset) => own(&reset.still),
            Entry::Calibrated(calibration) => own(&calibration.still.name),
            Entry::CalibrationDropped(dropped) => own(&dropped.still),
            Entry::PlanKept(kept) => own(&kept.plan.still.name),
            _ => [&self.site, &self.still],
        }
    }
}

impl Store {
    /// Opens a run and writes its first entry.
    ///
    /// # Errors
    /// [`StoreError::Plan`] for a plan that cannot be run, [`StoreError::DiskFull`],
    /// [`StoreError::ReadOnly`].
    pub fn create_run(&self, run: &NewRun, now_ms: i64) -> Result<RunId, StoreError> {
        Ok(RunId(self.writing(|transaction| open_run(transaction, run, now_ms))?.run))
    }

    /// Adds one entry to a run; it is durable when this returns its number.
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Row`] and [`StoreError::Entry`] for what a run cannot
    /// hold, [`StoreError::DiskFull`] (nothing is kept then), [`StoreError::ReadOnly`].
    pub fn append(
        &self,
        run: &RunId,
        entry: &Entry,
        measured_ms: i64,
        stored_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        self.append_all(run, std::slice::from_ref(&(measured_ms, entry.clone())), stored_ms)
    }

    /// Adds entries with the times they were measured at, all or none; gives the last number.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn append_all(
        &self,
        run: &RunId,
        entries: &[(i64, Entry)],
        stored_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        Ok(self.writing(|transaction| add(transaction, run, entries, stored_ms))?.number)
    }

    /// Writes down the owner's still; the last one counts.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn set_own_still(&self, own: &OwnStillRecord, now_ms: i64) -> Result<(), StoreError> {
        self.say_in_house(Entry::OwnStill(Box::new(own.clone())), now_ms).map(drop)
    }

    /// Adds an entry to the log of the house; gives its number.
    pub(super) fn say_in_house(
        &self,
        entry: Entry,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        self.say_in_house_typed(entry, Vec::new(), now_ms)
    }

    /// As [`Store::say_in_house`], with how the numbers of the entry were typed, both or neither.
    pub(super) fn say_in_house_typed(
        &self,
        entry: Entry,
        typed: Vec<TypedValue>,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        let units = EnteredUnits::after(typed);
        let behind = EntryNumber::from(units.is_some());
        let last = self.writing(|transaction| {
            let said = add_to_house(transaction, entry, now_ms)?;
            let Some(units) = units else { return Ok(said) };
            add_to_house(transaction, Entry::Units(units), now_ms)
        })?;
        Ok(last.number - behind)
    }
}

/// Adds an entry to the log of the house inside a transaction; the first one opens it.
pub(super) fn add_to_house(
    transaction: &Transaction<'_>,
    entry: Entry,
    now_ms: i64,
) -> Result<Acknowledged, StoreError> {
    let house = RunId::new(RunId::HOUSE);
    if head(transaction, &house)?.is_some() {
        return add(transaction, &house, &[(now_ms, entry)], now_ms);
    }
    belongs(transaction, &house, &entry)?;
    first(transaction, &house, &entry, [now_ms, now_ms])
}

/// Adds entries of the account to the log of the book inside a transaction; the first one opens it.
pub(super) fn add_to_book(
    transaction: &Transaction<'_>,
    entries: &[account::Entry],
    now_ms: i64,
) -> Result<Acknowledged, StoreError> {
    let book = RunId::new(RunId::BOOK);
    let logged = |entry: &account::Entry| (entry.act_ms, Entry::Account(Box::new(entry.clone())));
    let mut rest = entries;
    let opened = match (head(transaction, &book)?, entries.split_first()) {
        (None, Some((opening, others))) => {
            rest = others;
            let (act_ms, entry) = logged(opening);
            Some(first(transaction, &book, &entry, [act_ms, now_ms])?)
        }
        _ => None,
    };
    let rest: Vec<(i64, Entry)> = rest.iter().map(logged).collect();
    match opened {
        Some(opened) if rest.is_empty() => Ok(opened),
        _ => add(transaction, &book, &rest, now_ms),
    }
}

/// Opens a run inside a transaction.
pub(super) fn open_run(
    transaction: &Transaction<'_>,
    run: &NewRun,
    now_ms: i64,
) -> Result<Acknowledged, StoreError> {
    open_log(transaction, "", &Entry::Opened(Box::new(run.clone())), now_ms)
}

/// Opens a log whose name begins so inside a transaction.
pub(super) fn open_log(
    transaction: &Transaction<'_>,
    begins: &str,
    entry: &Entry,
    now_ms: i64,
) -> Result<Acknowledged, StoreError> {
    let id = free_id(transaction, begins, &entry.payload()?, now_ms)?;
    first(transaction, &id, entry, [now_ms, now_ms])
}

/// A new id: the second in UTC, then four digits from a digest, so that ids sort by time.
fn free_id(
    connection: &Connection,
    begins: &str,
    payload: &str,
    now_ms: i64,
) -> Result<RunId, StoreError> {
    let bound = "must be milliseconds of UTC between the years -9999 and 9999";
    let unusable = || StoreError::Entry { field: "now_ms", value: now_ms.to_string(), bound };
    let second = crate::time::compact_utc(now_ms).ok_or_else(unusable)?;
    for attempt in 0..ID_TRIES_MAX {
        let digest = blake3::hash(format!("{now_ms} {attempt} {payload}").as_bytes()).to_hex();
        let id = RunId(format!("{begins}{second}-{}", &digest[..4]));
        if head(connection, &id)?.is_none() {
            return Ok(id);
        }
    }
    Err(unusable())
}

fn head(connection: &Connection, run: &RunId) -> Result<Option<Head>, StoreError> {
    let mut statement = connection.prepare_cached(
        "SELECT head.entries, head.digest, entry.site_id, entry.still_id FROM head JOIN entry \
         ON entry.run_id = head.run_id AND entry.number = head.entries WHERE head.run_id = $1",
    )?;
    let found = statement.query_row([run.as_str()], |row| {
        let (entries, digest) = (row.get(0)?, row.get(1)?);
        Ok(Head { entries, digest, site: row.get(2)?, still: row.get(3)? })
    });
    Ok(found.optional()?)
}

/// Writes the first entry of a run, chained to the first entry of the run before.
fn first(
    transaction: &Transaction<'_>,
    run: &RunId,
    entry: &Entry,
    times_ms: [i64; 2],
) -> Result<Acknowledged, StoreError> {
    let (runs, before): (i64, String) =
        transaction.query_row("SELECT runs, opening_digest FROM seal WHERE id = 1", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
    let (site, still) = (OWN_SITE.to_owned(), String::new());
    let chain_end = Head { entries: 0, digest: before, site, still };
    let written = insert(transaction, run, &chain_end, entry, times_ms)?;
    transaction.execute(
        "INSERT INTO head (run_id, ordinal, entries, digest, opening_digest) VALUES ($1, $2, 1, $3, $3)",
        params![run.as_str(), runs + 1, written.digest],
    )?;
    transaction.execute(
        "UPDATE seal SET runs = $1, entries = entries + 1, opening_digest = $2 WHERE id = 1",
        params![runs + 1, written.digest],
    )?;
    Ok(Acknowledged { run: run.to_string(), number: 1, digest: written.digest })
}

/// Adds entries to a run inside a transaction.
pub(super) fn add(
    transaction: &Transaction<'_>,
    run: &RunId,
    entries: &[(i64, Entry)],
    stored_ms: i64,
) -> Result<Acknowledged, StoreError> {
    let mut end = head(transaction, run)?
        .ok_or_else(|| StoreError::NoRun { run: crate::rows::shown(run.as_str()) })?;
    let before = end.entries;
    for (measured_ms, entry) in entries {
        belongs(transaction, run, entry)?;
        end = insert(transaction, run, &end, entry, [*measured_ms, stored_ms])?;
    }
    if end.entries > before {
        transaction
            .prepare_cached("UPDATE head SET entries = $1, digest = $2 WHERE run_id = $3")?
            .execute(params![end.entries, end.digest, run.as_str()])?;
        transaction
            .prepare_cached("UPDATE seal SET entries = entries + $1 WHERE id = 1")?
            .execute([end.entries - before])?;
    }
    Ok(Acknowledged { run: run.to_string(), number: end.entries, digest: end.digest })
}

fn insert(
    transaction: &Transaction<'_>,
    run: &RunId,
    end: &Head,
    entry: &Entry,
    [measured_ms, stored_ms]: [i64; 2],
) -> Result<Head, StoreError> {
    let payload = entry.payload()?;
    let [site_id, still_id] = end.place(entry);
    let link = Link {
        site_id,
        still_id,
        run_id: run.as_str(),
        number: end.entries + 1,
        kind: entry.kind(),
        payload_version: PAYLOAD_VERSION,
        measured_ms,
        stored_ms,
        payload: &payload,
        previous_digest: &end.digest,
    };
    let digest = link.digest();
    link.insert(transaction, &digest)?;
    let (entries, site, still) = (link.number, site_id.to_owned(), still_id.to_owned());
    Ok(Head { entries, digest, site, still })
}
