//! What a command of the bench reckoned, taken into the book with `--enter`: looked at, or entered
//! once however often it is told.

use std::path::Path;

use account::{AccountError, Entry, EntryKind, Place, Profile};
use finishing::entering::{Act, AgainstBook, Stand};
use quantities::TypedValue;
use serde::Serialize;
use server::{AccountEntryWire, AgainstBookWire, Clock};
use store::{ActEntries, Store, StoreError};

use super::account::{by, entry_text, profile};
use super::data;
use crate::args::{BookedArgs, ByArgs, PlacesArgs, ProfileName};
use crate::error::CliError;
use crate::print;

/// What became of an act in the book.
#[derive(Debug, Serialize)]
pub(super) struct BookWire {
    entered: bool,
    known: bool,
    entries: Vec<AccountEntryWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    against_book: Option<AgainstBookWire>,
}

/// What was reckoned, with what became of it in the book.
#[derive(Debug, Serialize)]
struct WithBook<'a, T: Serialize> {
    #[serde(flatten)]
    of: &'a T,
    #[serde(skip_serializing_if = "Option::is_none")]
    book: Option<BookWire>,
}

/// An act in the book, entered or looked at.
pub(super) struct Booked {
    act: ActEntries,
    against_book: Option<AgainstBook>,
    is_look: bool,
    profile: Profile,
}

/// What a refusal of the account is here.
pub(super) fn refused(error: AccountError) -> CliError {
    StoreError::from(error).into()
}

/// The stand that an option names; it must be given with `--enter`.
pub(super) fn stand(option: &'static str, typed: Option<&str>) -> Result<Stand, CliError> {
    let typed = typed.ok_or_else(|| CliError::Typed {
        option,
        value: String::new(),
        bound: "must be given with --enter, as PLACE/LOT",
        hint: "where it stands in the book, as tank:T1/L-14; `middlecut lots` lists them"
            .to_owned(),
    })?;
    Stand::of_text(typed).map_err(refused)
}

/// Both stands of a move; where only one is named and `stays`, it stays where it is.
pub(super) fn stands(args: &PlacesArgs, stays: bool) -> Result<(Stand, Stand), CliError> {
    let out_of = stand("--out-of", args.out_of.as_deref())?;
    let into = match &args.into {
        None if stays => out_of.clone(),
        typed => stand("--into", typed.as_deref())?,
    };
    Ok((out_of, into))
}

/// The place that an option names, where it was given.
pub(super) fn place(typed: Option<&str>) -> Result<Option<Place>, CliError> {
    typed.map(Place::of_text).transpose().map_err(refused)
}

/// Enters an act where that was asked, or looks at it; `typed` is kept with it.
pub(super) fn book(
    args: &BookedArgs,
    named: Option<&Path>,
    typed: Vec<TypedValue>,
    make: impl FnOnce() -> Result<Act, CliError>,
) -> Result<Option<Booked>, CliError> {
    if !args.enter {
        return Ok(None);
    }
    let act = make()?;
    let by_args = ByArgs {
        by: args.by.clone().unwrap_or_default(),
        read_by: args.read_by.clone(),
        checked_by: args.checked_by.clone(),
        act: args.act.clone(),
        note: args.note.clone(),
        dry_run: args.dry_run,
        data: named.map(Path::to_path_buf),
    };
    let entry = Entry { typed, ..by(EntryKind::Transfer, &by_args)? };
    let key = act.key(args.act.as_deref());
    let folder = data::existing(named)?;
    let make = |ledger: &account::Ledger| act.entries(ledger, &entry);
    let entered = if args.dry_run {
        Store::open_read_only(&folder)?.look_at_act(&key, make)?
    } else {
        Store::open(&folder)?.enter_act(&key, make, Clock::default().now_ms())?
    };
    let against_book = match &act {
        Act::Jars(jars) => {
            let of: Vec<Entry> = entered.entries.iter().map(|one| one.entry.clone()).collect();
            jars.against_book(&of)
        }
        Act::Moved(_) | Act::Regauged(_) => None,
    };
    let (is_look, profile) = (args.dry_run, profile(ProfileName::Metric)?);
    Ok(Some(Booked { act: entered, against_book, is_look, profile }))
}

impl Booked {
    fn wire(&self) -> BookWire {
        let told = |one| AccountEntryWire::new(one, None, &self.profile);
        BookWire {
            entered: !self.is_look && !self.act.known,
            known: self.act.known,
            entries: self.act.entries.iter().map(told).collect(),
            against_book: self.against_book.map(AgainstBookWire::from),
        }
    }

    fn text(&self) -> String {
        let head = match (self.act.known, self.is_look) {
            (true, _) => "\nin the book already; nothing was entered\n",
            (false, true) => "\nnot entered: this is what it would be\n",
            (false, false) => "\nentered in the book\n",
        };
        let entries = self.act.entries.iter().map(|one| entry_text(one, None, &self.profile));
        let against = self.against_book.map(|of| format!("{}\n", of.words()));
        std::iter::once(head.to_owned()).chain(entries).chain(against).collect()
    }
}

/// Prints what was reckoned, and what became of it in the book.
pub(super) fn say<T: Serialize>(
    wire: &T,
    text: &str,
    booked: Option<&Booked>,
    json: bool,
) -> Result<(), CliError> {
    if json {
        print::json(&WithBook { of: wire, book: booked.map(Booked::wire) })?;
    } else {
        print::text(&format!("{text}{}", booked.map(Booked::text).unwrap_or_default()))?;
    }
    Ok(())
}
