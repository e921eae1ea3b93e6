//! `middlecut balance`: the account of pure alcohol from sugar to bottle.

use account::{Balance, Profile, PureAlcohol, Span};
use server::AccountBalanceWire;
use store::Store;

use super::moments::{end, moment};
use super::profile;
use crate::args::BalanceArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print::{self, columns};

/// Entries that are named in a line. Judgement: a line of a terminal.
const OVERDUE_SHOWN: usize = 12;

/// Reckons and prints it.
pub(crate) fn run(args: &BalanceArgs, json: bool) -> Result<(), CliError> {
    let profile = profile(args.profile)?;
    let from_ms = match args.from.as_deref() {
        Some(typed) => moment("--from", Some(typed))?.0,
        None => i64::MIN,
    };
    let upto_ms = args.upto.as_deref().map_or(Ok(i64::MAX), |typed| end("--upto", typed))?;
    let span = Span { from_ms, upto_ms };
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    if json {
        print::json(&store.account(|ledger| AccountBalanceWire::of(ledger, span, &profile))?)?;
    } else {
        let balance = store.account(|ledger| ledger.balance(span))?;
        print::text(&text(&balance, &profile))?;
    }
    Ok(())
}

fn text(balance: &Balance, profile: &Profile) -> String {
    let mut rows = vec![vec![
        "what".to_owned(),
        "L pure alcohol at 20 °C".to_owned(),
        profile.unit_word().to_owned(),
    ]];
    let mut row = |what: String, alcohol: PureAlcohol| {
        rows.push(vec![what, alcohol.to_string(), profile.reported(alcohol)]);
    };
    row("in stock at the beginning".to_owned(), balance.opening);
    for (place, alcohol) in &balance.sources {
        row(format!("came: {place}"), *alcohol);
    }
    for (place, alcohol) in &balance.gone {
        row(format!("gone: {place}"), *alcohol);
    }
    row("gone, not explained".to_owned(), balance.not_explained);
    for line in &balance.stocks {
        row(format!("in stock: {}", line.kind.word()), line.closing);
    }
    row("the account is off by".to_owned(), balance.off);
    let mut text = columns(&rows);
    let mut add = |words: String| {
        text.push_str(&words);
        text.push('\n');
    };
    if let Some(percent) = balance.not_explained_percent() {
        let seen = match (balance.gauges_see_it(), balance.gauges_tell()) {
            (Some(true), Some(tell)) => format!("; more than the gauges' own doubt of {tell} L"),
            (Some(false), Some(tell)) => format!("; less than the gauges can see ({tell} L)"),
            _ => String::new(),
        };
        add(format!("not explained: {percent:.2} % of all there was to account for{seen}"));
    }
    if balance.bottles > 0 {
        add(format!("{} bottles with {} L of pure alcohol", balance.bottles, balance.bottled));
    }
    if !balance.gauged_overdue.is_empty() {
        let numbers: Vec<String> =
            balance.gauged_overdue.iter().take(OVERDUE_SHOWN).map(u64::to_string).collect();
        let more = balance.gauged_overdue.len().saturating_sub(OVERDUE_SHOWN);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        add(format!(
            "gauged with an instrument that was overdue then: entries {}{more}",
            numbers.join(", ")
        ));
    }
    let (all, litre, bottle) =
        (balance.spent, balance.spent_per_litre(), balance.spent_per_bottle());
    let each = [
        ("energy", "kWh", all.energy_kwh, litre.energy_kwh, bottle.energy_kwh),
        ("water", "L", all.water_l, litre.water_l, bottle.water_l),
        ("cost", "", all.cost, litre.cost, bottle.cost),
    ];
    for (what, unit, amount, litre, bottle) in each {
        let Some(amount) = amount else { continue };
        let litre = litre.map_or_else(String::new, |litre| {
            format!(", {litre:.2} for each litre of pure alcohol bottled")
        });
        let bottle =
            bottle.map_or_else(String::new, |bottle| format!(", {bottle:.3} for each bottle"));
        add(format!("{what}: {amount:.2} {unit}{litre}{bottle}"));
    }
    add(format!("This is no legal record by itself. {}", profile.accepts));
    text
}
