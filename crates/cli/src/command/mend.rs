//! `middlecut restore` and `accept-loss`: a record is put back, a loss is said to be known.

use serde::Serialize;
use server::Clock;
use store::{Loss, Store};

use super::data;
use crate::args::{AcceptLossArgs, RestoreArgs};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct RestoredWire {
    entries: i64,
    digest: String,
    lost: Vec<String>,
    kept: Vec<String>,
}

#[derive(Debug, Serialize)]
struct AcceptedWire {
    accepted: usize,
    lost: Vec<String>,
}

fn words<'a>(losses: impl Iterator<Item = &'a Loss>) -> Vec<String> {
    losses.filter(|loss| loss.accepted.is_none()).map(ToString::to_string).collect()
}

/// Puts a backup in the place of the record.
pub(crate) fn restore(args: &RestoreArgs, json: bool) -> Result<(), CliError> {
    let restored = Store::restore(&data::folder(args.data.as_deref())?, &args.file)?;
    let (lost, kept) = (words(restored.losses.iter()), restored.kept);
    let (entries, digest) = (restored.head.entries, restored.head.digest);
    if json {
        print::json(&RestoredWire { entries, digest, lost, kept })?;
        return Ok(());
    }
    let mut said = format!("restored  {entries} entries\ndigest    {digest}\n");
    said.extend(kept.iter().map(|name| format!("kept      {name}\n")));
    said.extend(lost.iter().map(|loss| format!("lost      {loss}\n")));
    if !lost.is_empty() {
        said.push_str("Say that this is known on the page, or with `middlecut accept-loss`.\n");
    }
    print::text(&said)?;
    Ok(())
}

/// Writes down that every loss found so far is known.
pub(crate) fn accept_loss(args: &AcceptLossArgs, json: bool) -> Result<(), CliError> {
    let store = Store::open(&data::folder(args.data.as_deref())?)?;
    let lost = words(store.losses()?.iter());
    let accepted =
        store.accept_losses(&args.reason, args.by.as_deref(), Clock::default().now_ms())?;
    if json {
        print::json(&AcceptedWire { accepted, lost })?;
        return Ok(());
    }
    let mut said = lost.join("\n");
    if said.is_empty() {
        said.push_str("nothing is lost");
    }
    said.push('\n');
    print::text(&said)?;
    Ok(())
}
