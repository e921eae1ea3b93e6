//! `middlecut book`: the book listed, looked through, written, checked, taken in, closed.

use std::path::Path;

use account::{EntryKind, Finding, Review};
use serde::Serialize;
use server::{AccountEntryWire, Clock, FindingWire};
use store::{Store, StoreError};

use super::told::text;
use super::{enter, files, moments, notes, profile, take_run};
use crate::args::{BookArgs, BookCommand, ProfileName};
use crate::command::data;
use crate::command::progress::Progress;
use crate::error::CliError;
use crate::print;

/// Fewest characters of a digest that say which one is meant.
const DIGEST_SHORTEST: usize = 16;

fn told_all(findings: Vec<Finding>) -> Vec<FindingWire> {
    findings.into_iter().map(FindingWire::from).collect()
}

#[derive(Debug, Serialize)]
struct ExportWire {
    folder: String,
    entries: u64,
    digest: String,
    authority: String,
}

#[derive(Debug, Serialize)]
struct FaultWire {
    file: &'static str,
    line: usize,
    what: String,
}

#[derive(Debug, Serialize)]
struct BookVerifyWire {
    ok: bool,
    entries: u64,
    digest: String,
    profile: String,
    names_left_out: bool,
    faults: Vec<FaultWire>,
    findings: Vec<FindingWire>,
}

/// Does what was asked.
pub(crate) fn run(args: &BookArgs, json: bool) -> Result<(), CliError> {
    match &args.command {
        BookCommand::List { after, limit, profile, data } => {
            list(*after, *limit, *profile, data.as_deref(), json)
        }
        BookCommand::Check { allowed, profile, data } => {
            check(allowed, *profile, data.as_deref(), json)
        }
        BookCommand::Export { folder, profile, without_names, data } => {
            export(folder, *profile, *without_names, data.as_deref(), json)
        }
        BookCommand::Verify { book, expect, allowed } => {
            verify(book, expect.as_deref(), allowed, json)
        }
        BookCommand::Import { book, data } => import(book, data.as_deref(), json),
        BookCommand::Notes { file, dry_run, data } => {
            notes::run(file, *dry_run, data.as_deref(), json)
        }
        BookCommand::Run(args) => take_run::run(args, json),
        BookCommand::Close { upto, by } => {
            let upto_ms = moments::end("--upto", upto)?;
            let entry = enter::by(EntryKind::Close, by)?;
            enter::put(by, ProfileName::Metric, json, |ledger| ledger.close(upto_ms, entry))
        }
    }
}

fn list(
    after: u64,
    limit: usize,
    name: ProfileName,
    named: Option<&Path>,
    json: bool,
) -> Result<(), CliError> {
    let store = Store::open_read_only(&data::folder(named)?)?;
    let entries = store.account_entries(after, limit)?;
    let corrected = store.account(|ledger| {
        entries.iter().map(|one| ledger.corrected_by(one.number)).collect::<Vec<_>>()
    })?;
    let (all, profile) = (entries.iter().zip(corrected), profile(name)?);
    if json {
        print::json(
            &all.map(|(one, by)| AccountEntryWire::new(one, by, &profile)).collect::<Vec<_>>(),
        )?;
    } else {
        print::text(&all.map(|(one, by)| text(one, by, &profile)).collect::<String>())?;
    }
    Ok(())
}

fn check(
    allowed: &[String],
    name: ProfileName,
    named: Option<&Path>,
    json: bool,
) -> Result<(), CliError> {
    let profile = profile(name)?;
    let store = Store::open_read_only(&data::folder(named)?)?;
    let ledger = store.account(Clone::clone)?;
    let progress = Progress::of_things(usize::try_from(ledger.length()).unwrap_or(usize::MAX));
    let mut review = Review::new(&profile, &ledger, allowed);
    store.for_each_account_entry(|numbered| {
        review.take(&numbered);
        progress.one_done();
        Ok(())
    })?;
    drop(progress);
    let findings = told_all(review.finish(Clock::default().now_ms()));
    if json {
        print::json(&findings)?;
    } else {
        print::text(&found(&findings))?;
    }
    Ok(())
}

fn found(findings: &[FindingWire]) -> String {
    let mut text = match findings.len() {
        0 => "nothing a reviewer would ask about\n".to_owned(),
        count => format!("{count} things a reviewer would ask about\n"),
    };
    for finding in findings {
        let entry = finding.entry.map_or_else(String::new, |entry| format!("entry {entry}: "));
        text.push_str(&[finding.check.as_str(), "  ", &entry, &finding.text, "\n"].concat());
    }
    text
}

fn export(
    folder: &Path,
    name: ProfileName,
    without_names: bool,
    named: Option<&Path>,
    json: bool,
) -> Result<(), CliError> {
    let profile = profile(name)?;
    let store = Store::open_read_only(&data::folder(named)?)?;
    let (entries, digest) = files::export(&store, folder, &profile.name, without_names)?;
    let folder = folder.display().to_string();
    if json {
        let authority = profile.accepts;
        print::json(&ExportWire { folder, entries, digest, authority })?;
    } else {
        print::text(&format!(
            "folder   {folder}\nentries  {entries}\ndigest   {digest}\nKeep the digest elsewhere: a book written anew has another. {}\n",
            profile.accepts
        ))?;
    }
    Ok(())
}

fn verify(
    book: &Path,
    expect: Option<&str>,
    allowed: &[String],
    json: bool,
) -> Result<(), CliError> {
    let (table, page) = files::bytes(book)?;
    let report = store::book::verify(&table, page.as_deref(), allowed, Clock::default().now_ms());
    let mut faults: Vec<FaultWire> = report
        .faults
        .into_iter()
        .map(|fault| FaultWire { file: fault.file, line: fault.line, what: fault.what })
        .collect();
    if let Some(expect) = expect {
        if expect.len() < DIGEST_SHORTEST || !expect.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(CliError::Typed {
                option: "--expect",
                value: expect.to_owned(),
                bound: "must be 16 to 64 hexadecimal digits",
                hint: "as `middlecut book export` printed it".to_owned(),
            });
        }
        if !report.head.starts_with(&expect.to_lowercase()) {
            let what = format!(
                "the last digest is {}, {expect} was expected: the book was written anew or goes on",
                report.head
            );
            let line = table.split(|byte| *byte == b'\n').count().saturating_sub(1);
            faults.push(FaultWire { file: store::book::TABLE_FILE, line, what });
        }
    }
    let first =
        faults.first().map(|fault| format!("{}, line {}: {}", fault.file, fault.line, fault.what));
    let findings = told_all(report.findings);
    let (ok, entries, digest) = (faults.is_empty(), report.entries, report.head);
    let names_left_out = report.names_left_out;
    if json {
        let profile = report.profile;
        print::json(&BookVerifyWire {
            ok,
            entries,
            digest,
            profile,
            names_left_out,
            faults,
            findings,
        })?;
    } else {
        let mut said = format!("entries  {entries}\ndigest   {digest}\n");
        if names_left_out {
            said.push_str("persons  by number: their names are left out\n");
        }
        for fault in &faults {
            let line = fault.line.to_string();
            said.push_str(&[fault.file, ", line ", &line, ": ", &fault.what, "\n"].concat());
        }
        said.push_str(&if ok { found(&findings) } else { String::new() });
        print::text(&said)?;
    }
    first.map_or(Ok(()), |what| Err(CliError::BookNotWhole { what }))
}

fn import(book: &Path, named: Option<&Path>, json: bool) -> Result<(), CliError> {
    let (table, _) = files::bytes(book)?;
    let whole = store::book::read(&table).map_err(StoreError::from)?;
    if whole.names_left_out {
        return Err(CliError::Typed {
            option: "DIR",
            value: book.display().to_string(),
            bound: "must be a book with its names",
            hint: "this one was exported without them: it can be checked, not taken in".to_owned(),
        });
    }
    let store = Store::open(&data::folder(named)?)?;
    let progress = Progress::of_things(whole.entries.len());
    let told = |done: usize| progress.doing(format!("{done} entries"));
    let added = store.import_book(&whole.entries, told, Clock::default().now_ms())?;
    drop(progress);
    let entries = whole.entries.len();
    if json {
        print::json(&serde_json::json!({ "entries": entries, "added": added }))?;
    } else {
        print::text(&format!("entries  {entries}\nadded    {added}\n"))?;
    }
    Ok(())
}
