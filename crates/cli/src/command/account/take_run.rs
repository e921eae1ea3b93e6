//! `middlecut book run`: a run of the record taken into the book.

use account::{EntryKind, Leg, Numbered, PureAlcohol, Spent};
use finishing::entering::Stand;
use server::{AccountEntryWire, BalanceError, Clock, work_out_balance};
use store::{IntoBook, Prices, RunId, Store, StoreError};

use super::told::text;
use super::{enter, profile};
use crate::args::{ProfileName, RunIntoBookArgs};
use crate::command::data;
use crate::error::CliError;
use crate::print;

/// Takes it in, or only says what it would be.
pub(super) fn run(args: &RunIntoBookArgs, json: bool) -> Result<(), CliError> {
    let leg = |text: &str| -> Result<Leg, StoreError> {
        Ok(Stand::of_text(text)?.leg(PureAlcohol::ZERO))
    };
    let from = leg(&args.from)?;
    let feints = args.feints_from.as_deref().map(leg).transpose()?;
    let mut entry = enter::by(EntryKind::Charge, &args.by)?;
    let spent = Spent { energy_kwh: args.energy, water_l: args.water, cost: args.cost };
    entry.spent = (spent != Spent::default()).then_some(spent);
    let prices = Prices { kwh: args.price_kwh, water_m3: args.price_water };
    let into = IntoBook { from, feints, entry, prices };
    let (folder, run) = (data::existing(args.by.data.as_deref())?, RunId::new(&args.run));
    let entered = !args.by.dry_run;
    let numbered: Vec<Numbered> = if entered {
        let (store, now_ms) = (Store::open(&folder)?, Clock::default().now_ms());
        work_out_balance(&store, &run, now_ms).map_err(|error| match error {
            BalanceError::Store(error) => CliError::Store(error),
            BalanceError::Estimate(error) => CliError::Estimate(error),
        })?;
        store.run_into_book(&run, &into, now_ms)?
    } else {
        let store = Store::open_read_only(&folder)?;
        let next = store.account(account::Ledger::length)? + 1;
        let entries = store.run_entries(&run, &into)?;
        (next..).zip(entries).map(|(number, entry)| Numbered { number, entry }).collect()
    };
    let profile = profile(ProfileName::Metric)?;
    if json {
        let told = |one| AccountEntryWire::new(one, None, &profile);
        let entries = numbered.iter().map(told).collect::<Vec<_>>();
        print::json(&serde_json::json!({ "entered": entered, "entries": entries }))?;
    } else {
        print::text(&numbered.iter().map(|one| text(one, None, &profile)).collect::<String>())?;
    }
    Ok(())
}
