//! Proves that the log is whole: every digest, every chain, every head, nothing missing.

use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row};

use super::chain::Link;
use super::entry::Entry;
use super::failure::VerifyFailure;
use super::loss::accepted;
use super::open::Store;
use super::pages::check_file;
use super::rolling::head_of;
use super::run_id::EntryNumber;
use super::seal::{self, Seal};

/// What a whole log holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VerifyReport {
    /// Runs, the log of the house among them.
    pub runs: i64,
    /// Entries.
    pub entries: i64,
    /// Digest over all of them: what is printed outside, to hold the record against later.
    pub digest: String,
    /// Losses that somebody said are known.
    pub losses_accepted: usize,
}

fn failure(run: &str, entry: EntryNumber, what: impl Into<String>) -> VerifyFailure {
    VerifyFailure { run: crate::rows::shown(run), entry, what: what.into() }
}

/// A damaged file can fail at any read.
fn unreadable(run: &str, entry: EntryNumber) -> impl Fn(rusqlite::Error) -> VerifyFailure {
    move |error| failure(run, entry, format!("cannot be read: {error}"))
}

/// One row of `head`.
struct Head {
    run: String,
    ordinal: i64,
    entries: i64,
    digest: String,
    opening_digest: String,
}

impl Store {
    /// Whether a seal lies beside the file; without one a lost end is not found.
    #[must_use]
    pub fn is_sealed(&self) -> bool {
        seal::path_of(self.path()).exists()
    }

    /// Checks the whole log; works on a record opened for reading only, also while it is written.
    ///
    /// # Errors
    /// [`VerifyFailure`] naming run and entry: a changed byte, a missing entry, a cut-off tail, a
    /// missing or surplus run, a damaged file, an account beside the record that does not follow
    /// from it.
    pub fn verify(&self) -> Result<VerifyReport, VerifyFailure> {
        let report = self.verify_entries()?;
        self.check_ahead()?;
        Ok(report)
    }

    fn verify_entries(&self) -> Result<VerifyReport, VerifyFailure> {
        // Read before the snapshot is taken: an entry is sealed only after it is in the database.
        let acknowledged = Seal::read(self.path());
        let mut connection = self.reader();
        // One snapshot for all reads, whatever is written meanwhile.
        let snapshot = connection.transaction().map_err(unreadable("-", 0))?;
        let heads = heads(&snapshot)?;
        let (mut opening, mut entries) = (String::new(), 0);
        for (head, ordinal) in heads.iter().zip(1..) {
            check_run(&snapshot, head, &opening)?;
            if head.ordinal != ordinal {
                let what = format!("the run before it is missing (place {ordinal})");
                return Err(failure(&head.run, 0, what));
            }
            opening.clone_from(&head.opening_digest);
            entries += head.entries;
        }
        let runs = i64::try_from(heads.len()).unwrap_or(i64::MAX);
        check_seal(&snapshot, runs, entries, &opening)?;
        let accepted = accepted(&snapshot).map_err(unreadable("-", 0))?;
        let losses_accepted = acknowledged.check(&snapshot, &accepted)?;
        check_file(&snapshot).map_err(|what| failure("-", 0, what))?;
        let digest = head_of(&snapshot).map_err(unreadable("-", 0))?.digest;
        Ok(VerifyReport { runs, entries, digest, losses_accepted })
    }
}

fn heads(connection: &Connection) -> Result<Vec<Head>, VerifyFailure> {
    let read = || -> Result<Vec<Head>, rusqlite::Error> {
        let mut statement = connection.prepare(
            "SELECT run_id, ordinal, entries, digest, opening_digest FROM head ORDER BY ordinal",
        )?;
        let rows = statement.query_map([], |row| {
            Ok(Head {
                run: row.get(0)?,
                ordinal: row.get(1)?,
                entries: row.get(2)?,
                digest: row.get(3)?,
                opening_digest: row.get(4)?,
            })
        })?;
        rows.collect()
    };
    read().map_err(unreadable("-", 0))
}

/// Walks the chain of one run.
fn check_run(connection: &Connection, head: &Head, before: &str) -> Result<(), VerifyFailure> {
    let mut statement = connection
        .prepare_cached(
            "SELECT site_id, still_id, run_id, number, kind, payload_version, measured_ms, \
             stored_ms, payload, previous_digest, digest FROM entry WHERE run_id = $1 \
             ORDER BY number",
        )
        .map_err(unreadable(&head.run, 0))?;
    let mut rows = statement.query([&head.run]).map_err(unreadable(&head.run, 0))?;
    let (mut number, mut previous) = (0, before.to_owned());
    while let Some(row) = rows.next().map_err(unreadable(&head.run, number + 1))? {
        number += 1;
        previous = check_entry(row, head, number, &previous)?;
        if number == 1 && previous != head.opening_digest {
            return Err(failure(&head.run, 1, "is not the entry this run was opened with"));
        }
    }
    if number < head.entries {
        let what = format!("is missing: {} entries were written, {number} are there", head.entries);
        return Err(failure(&head.run, number + 1, what));
    }
    if number > head.entries {
        return Err(failure(&head.run, head.entries + 1, "was added outside the program"));
    }
    if previous != head.digest {
        return Err(failure(&head.run, number, "does not match the stored head digest"));
    }
    Ok(())
}

fn check_entry(
    row: &Row<'_>,
    head: &Head,
    number: EntryNumber,
    previous: &str,
) -> Result<String, VerifyFailure> {
    let run = head.run.as_str();
    let text = |column: usize| match row.get_ref(column) {
        Ok(ValueRef::Text(bytes) | ValueRef::Blob(bytes)) => std::str::from_utf8(bytes)
            .map_err(|_| failure(run, number, "was changed: it is no text any more")),
        Ok(_) => Err(failure(run, number, "was changed: a text is missing")),
        Err(error) => Err(unreadable(run, number)(error)),
    };
    let whole = |column: usize| match row.get_ref(column) {
        Ok(ValueRef::Integer(value)) => Ok(value),
        Ok(_) => Err(failure(run, number, "was changed: a number is none any more")),
        Err(error) => Err(unreadable(run, number)(error)),
    };
    if whole(3)? != number {
        return Err(failure(run, number, format!("is missing: entry {} follows", whole(3)?)));
    }
    if text(9)? != previous {
        return Err(failure(run, number, "does not follow from the entry before it"));
    }
    let link = Link {
        site_id: text(0)?,
        still_id: text(1)?,
        run_id: text(2)?,
        number,
        kind: text(4)?,
        payload_version: whole(5)?,
        measured_ms: whole(6)?,
        stored_ms: whole(7)?,
        payload: text(8)?,
        previous_digest: previous,
    };
    let digest = link.digest();
    if digest != text(10)? {
        return Err(failure(run, number, "was changed: its digest does not match its bytes"));
    }
    Entry::from_payload(link.kind, link.payload_version, link.payload)
        .map_err(|what| failure(run, number, format!("cannot be understood: {what}")))?;
    Ok(digest)
}

/// The counts of the whole log, and entries that belong to no run.
fn check_seal(
    connection: &Connection,
    named_runs: i64,
    named: i64,
    opening: &str,
) -> Result<(), VerifyFailure> {
    let (runs, entries, sealed, stored): (i64, i64, String, i64) = connection
        .query_row(
            "SELECT runs, entries, opening_digest, (SELECT COUNT(*) FROM entry) FROM seal \
             WHERE id = 1",
            [],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)),
        )
        .map_err(unreadable("-", 0))?;
    if runs != named_runs || sealed != opening {
        let what = format!("a run is missing: {runs} were opened, {named_runs} are there");
        return Err(failure("-", 0, what));
    }
    if entries != named || stored != named {
        let what =
            format!("{entries} entries were written, the runs name {named}, {stored} are there");
        return Err(failure("-", 0, what));
    }
    Ok(())
}
