//! `middlecut enter` and `stock-take`: one entry, judged against the book before it is written.

use account::{
    AccountError, Count, Draft, Entry, EntryKind, Instrument, Numbered, Place, Raw, Spent,
    TypedLeg, Unit,
};
use finishing::entering::Stand;
use serde::Serialize;
use server::{AccountEntryWire, Clock};
use store::{Store, StoreError};

use super::moments::moment;
use super::profile;
use super::told::text;
use crate::args::{ByArgs, EnterArgs, ProfileName, StockTakeArgs};
use crate::command::data;
use crate::command::gauge::scale;
use crate::command::kept::kept;
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct EnteredWire {
    entered: bool,
    entry: AccountEntryWire,
}

fn refused(error: AccountError) -> CliError {
    StoreError::from(error).into()
}

/// An entry with its moments and people.
pub(crate) fn by(kind: EntryKind, args: &ByArgs) -> Result<Entry, CliError> {
    let (act_ms, zone_minutes) = moment("--act", args.act.as_deref())?;
    let mut entry = Entry::new(kind, act_ms, &args.by);
    entry.entered_ms = Clock::default().now_ms();
    entry.zone_minutes = zone_minutes;
    entry.people.read.clone_from(&args.read_by);
    entry.people.checked.clone_from(&args.checked_by);
    entry.note.clone_from(&args.note);
    Ok(entry)
}

/// The kind of a word.
pub(super) fn kind(word: &str) -> Result<EntryKind, AccountError> {
    EntryKind::of_word(word).ok_or_else(|| AccountError::OutOfRange {
        field: "kind",
        value: word.to_owned(),
        bound: "must be a kind of entry",
        hint: "one of ferment, receive, charge, distil, blend, feints, reduce, carbon, macerate, fill_cask, regauge, dump_cask, bottle, transfer, sample, remove, destroy, lose, gain, void",
    })
}

/// The legs of some texts.
pub(super) fn legs<'a>(
    texts: impl IntoIterator<Item = &'a str>,
) -> Result<Vec<TypedLeg>, AccountError> {
    texts.into_iter().map(TypedLeg::of_text).collect()
}

/// An instrument of `NAME` or `NAME|DUE`.
pub(super) fn instrument(typed: &str) -> Result<Instrument, AccountError> {
    let (id, due) = typed.split_once('|').unwrap_or((typed, ""));
    let refused = || AccountError::OutOfRange {
        field: "instrument",
        value: typed.to_owned(),
        bound: "must be NAME or NAME|DUE",
        hint: "the day its calibration ends, as glass-3|2027-03-01T00:00:00Z",
    };
    let due_ms = match due {
        "" => None,
        due => Some(store::time::parse_start(due).ok_or_else(refused)?.0),
    };
    Ok(Instrument { id: id.to_owned(), due_ms, calibration: None })
}

fn draft(args: &EnterArgs) -> Result<Draft, CliError> {
    let mut entry = by(kind(&args.kind).map_err(refused)?, &args.by)?;
    entry.corrects = args.corrects;
    entry.about = args.about;
    entry.spirit.clone_from(&args.spirit);
    let spent = Spent { energy_kwh: args.energy, water_l: args.water, cost: args.cost };
    entry.spent = (spent != Spent::default()).then_some(spent);
    let quantities = [
        (args.litres.as_ref().map(|typed| typed.value), Unit::L),
        (args.kg.as_ref().map(|typed| typed.value), Unit::Kg),
        (args.us_gal, Unit::UsGal),
        (args.lb, Unit::Lb),
    ];
    let quantity = quantities.into_iter().find_map(|(amount, unit)| Some((amount?, unit)));
    entry.typed = kept([
        ("read.quantity", args.litres.as_ref().or(args.kg.as_ref())),
        ("read.celsius", args.reading.map(|_| &args.at)),
    ]);
    let raw = quantity.zip(args.reading).map(|((quantity, unit), reading)| Raw {
        quantity,
        unit,
        reading,
        scale: scale(args.scale),
        celsius: args.at.value,
        quantity_sd: None,
    });
    let instruments: Result<Vec<_>, _> =
        args.instrument.iter().map(|typed| instrument(typed)).collect();
    let instruments = instruments.map_err(refused)?;
    Ok(Draft {
        entry,
        from: legs(args.from.iter().map(String::as_str)).map_err(refused)?,
        to: legs(args.to.iter().map(String::as_str)).map_err(refused)?,
        read: raw.map(|raw| (raw, instruments)),
    })
}

/// Enters one act.
pub(crate) fn enter(args: &EnterArgs, json: bool) -> Result<(), CliError> {
    let draft = draft(args)?;
    put(&args.by, args.profile, json, |ledger| draft.resolve(ledger))
}

/// Enters a count.
pub(crate) fn stock_take(args: &StockTakeArgs, json: bool) -> Result<(), CliError> {
    let Stand { place, lot } = Stand::of_text(&args.what).map_err(refused)?;
    let unit = profile(args.profile)?.unit;
    let found = unit.alcohol(args.found).map_err(refused)?;
    let lost_to = args.lost_to.as_deref().map(Place::of_text).transpose().map_err(refused)?;
    let mut entry = by(EntryKind::StockTake, &args.by)?;
    entry.corrects = args.corrects;
    entry.typed = unit.typed("found_l", args.found).into_iter().collect();
    let count = Count { place, lot, found, lost_to };
    put(&args.by, args.profile, json, |ledger| ledger.stock_take(&count, entry))
}

/// Writes what `make` makes, or only shows it.
pub(super) fn put(
    args: &ByArgs,
    name: ProfileName,
    json: bool,
    make: impl FnOnce(&account::Ledger) -> Result<Entry, AccountError>,
) -> Result<(), CliError> {
    let folder = data::folder(args.data.as_deref())?;
    let numbered = if args.dry_run {
        Store::open_read_only(&folder)?
            .account(|ledger| {
                let entry = make(ledger)?;
                ledger.judge(&entry)?;
                Ok::<_, AccountError>(Numbered { number: ledger.length() + 1, entry })
            })?
            .map_err(refused)?
    } else {
        Store::open(&folder)?.enter(make, Clock::default().now_ms())?
    };
    let (entered, profile) = (!args.dry_run, profile(name)?);
    if json {
        print::json(&EnteredWire {
            entered,
            entry: AccountEntryWire::new(&numbered, None, &profile),
        })?;
    } else {
        let words = if entered { "" } else { "not entered: this is what it would be\n" };
        print::text(&format!("{}{words}", text(&numbered, None, &profile)))?;
    }
    Ok(())
}
