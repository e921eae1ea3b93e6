//! What `middlecut washes` writes.

use ferment::{Charge, Tasted};
use quantities::TypedValue;
use server::Clock;
use store::folder::{WASH_HOURS_MAX, WashFolder};
use store::rows::{WashAct, WashReading};
use store::{
    Store, WashBy, WashCharge, WashDone, WashEnd, WashEntry, WashRead, WashRecipe, WashState,
    WashWithdrawn,
};

use super::named::{by, moment, named, recipe_of, show};
use crate::args::{
    WashActArgs, WashByArgs, WashChargeArgs, WashImportArgs, WashOpenArgs, WashPourArgs,
    WashReadArgs, WashRecipeArgs, WashStrikeArgs,
};
use crate::command::data;
use crate::error::CliError;

/// Figures after the point to which a charge is written: millilitres and thousandths of % vol.
const CHARGE_STEPS: f64 = 1000.0;

fn writing(args: &WashByArgs) -> Result<Store, CliError> {
    Ok(Store::open(&data::existing(args.data.as_deref())?)?)
}

fn put(
    wash: &str,
    args: &WashByArgs,
    json: bool,
    make: impl FnOnce(i64, WashBy) -> WashEntry,
) -> Result<(), CliError> {
    put_typed(wash, args, json, None, make)
}

fn put_typed(
    wash: &str,
    args: &WashByArgs,
    json: bool,
    typed: Option<TypedValue>,
    make: impl FnOnce(i64, WashBy) -> WashEntry,
) -> Result<(), CliError> {
    let store = writing(args)?;
    let state = named(&store, wash)?;
    let entry = make(moment(args)?.0, by(args));
    let (typed, now_ms) = (typed.into_iter().collect(), Clock::default().now_ms());
    show(&store.write_wash_typed(&state.id, vec![entry], typed, now_ms)?, json)
}

/// Opens a wash.
pub(super) fn open(args: &WashOpenArgs, json: bool) -> Result<(), CliError> {
    let mut recipe = recipe_of(&args.recipe)?;
    if recipe.start.trim().is_empty() {
        let (at_ms, zone) = moment(&args.by)?;
        recipe.start = store::time::format_start(at_ms, zone).unwrap_or_default();
    }
    let store = Store::open(&data::folder(args.by.data.as_deref())?)?;
    let id = store.open_wash(recipe, by(&args.by), Clock::default().now_ms())?;
    show(&store.wash(&id)?, json)
}

/// Takes a folder in.
pub(super) fn import(args: &WashImportArgs, json: bool) -> Result<(), CliError> {
    let folder = WashFolder::read(&args.folder, f64::INFINITY)?;
    let store = Store::open(&data::folder(args.by.data.as_deref())?)?;
    let id = store.take_wash_in(folder, by(&args.by), Clock::default().now_ms())?;
    show(&store.wash(&id)?, json)
}

/// Enters a reading.
pub(super) fn read(args: &WashReadArgs, json: bool) -> Result<(), CliError> {
    let tasted = Tasted { no_sugar: args.no_sugar, gas_stopped: args.gas_stopped };
    let row = WashReading {
        gravity: args.gravity.map(|read| read.gravity),
        temperature_c: args.celsius,
        weight_kg: args.kg,
        ph: args.ph,
        note: WashReading::noted(args.cooled, tasted, &args.note),
    };
    let corrects = args.corrects;
    let typed = args.gravity.and_then(|read| read.plato).map(|value| TypedValue {
        field: "gravity".to_owned(),
        value,
        unit: "Plato".to_owned(),
    });
    put_typed(&args.wash, &args.by, json, typed, |at_ms, by| {
        WashEntry::Read(WashRead { at_ms, row, corrects, units: Vec::new(), by })
    })
}

/// Enters an act.
pub(super) fn act(args: &WashActArgs, json: bool) -> Result<(), CliError> {
    let row = WashAct {
        action: args.action.clone(),
        value: args.amount,
        note: args.note.trim().to_owned(),
    };
    let corrects = args.corrects;
    put(&args.wash, &args.by, json, |at_ms, by| {
        WashEntry::Done(WashDone { at_ms, row, corrects, by })
    })
}

/// Strikes an entry through.
pub(super) fn strike(args: &WashStrikeArgs, json: bool) -> Result<(), CliError> {
    let (entry, reason) = (args.entry, args.reason.clone());
    put(&args.wash, &args.by, json, |_, by| {
        WashEntry::Withdrawn(WashWithdrawn { entry, reason, by })
    })
}

/// States the recipe anew. One without a start keeps the one there was.
pub(super) fn recipe(args: &WashRecipeArgs, json: bool) -> Result<(), CliError> {
    let mut recipe = recipe_of(&args.recipe)?;
    let store = writing(&args.by)?;
    let state = named(&store, &args.wash)?;
    if recipe.start.trim().is_empty() {
        recipe.start.clone_from(&state.recipe.start);
    }
    let (reason, by) = (args.reason.clone(), by(&args.by));
    let entry = WashEntry::Recipe(WashRecipe { recipe, reason, by });
    show(&store.write_wash(&state.id, vec![entry], Clock::default().now_ms())?, json)
}

/// The charge a wash makes, by its forecast where nothing was typed.
fn charge_of(state: &WashState, args: &WashChargeArgs, at_ms: i64) -> Result<WashCharge, CliError> {
    let at_h = state.hours(at_ms).min(WASH_HOURS_MAX);
    let forecast = ferment::forecast(&state.recipe, &state.log(at_h), at_h)
        .map_err(|error| store::StoreError::from(Box::new(error)))?;
    let Charge { litres, litres_sd, strength_vol, strength_sd } = Charge::of(&forecast);
    let rounded = |value: f64| (value * CHARGE_STEPS).round() / CHARGE_STEPS;
    Ok(WashCharge {
        litres: args.litres.unwrap_or_else(|| rounded(litres)),
        litres_sd: rounded(litres_sd),
        strength_vol: args.strength.unwrap_or_else(|| rounded(strength_vol)),
        strength_sd: rounded(strength_sd),
        lot: args.lot.clone().unwrap_or_else(|| state.id.to_string()),
    })
}

/// Ends a wash as a charge.
pub(super) fn charge(args: &WashChargeArgs, json: bool) -> Result<(), CliError> {
    let store = writing(&args.by)?;
    let state = named(&store, &args.wash)?;
    let (at_ms, zone) = moment(&args.by)?;
    let charge = Some(charge_of(&state, args, at_ms)?);
    let end = WashEnd { at_ms, charge, reason: String::new(), by: by(&args.by) };
    show(&store.charge_wash(&state.id, end, zone, Clock::default().now_ms())?, json)
}

/// Ends a wash that was poured away.
pub(super) fn pour(args: &WashPourArgs, json: bool) -> Result<(), CliError> {
    let reason = args.reason.clone();
    put(&args.wash, &args.by, json, |at_ms, by| {
        WashEntry::Ended(WashEnd { at_ms, charge: None, reason, by })
    })
}
