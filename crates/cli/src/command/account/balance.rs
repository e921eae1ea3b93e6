//! `middlecut balance`: the account of pure alcohol from sugar to bottle.

use account::{Balance, Place, Profile, PureAlcohol, Span};
use serde::Serialize;
use store::Store;

use super::moments::{end, moment};
use super::profile;
use crate::args::BalanceArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print::{self, columns};

#[derive(Debug, Serialize)]
struct AmountWire {
    place: String,
    pure_alcohol_l: f64,
    reported: String,
}

#[derive(Debug, Serialize)]
struct StockWire {
    place: &'static str,
    opening_l: f64,
    in_l: f64,
    out_l: f64,
    closing_l: f64,
    reported: String,
}

#[derive(Debug, Serialize)]
struct FlowWire {
    from: &'static str,
    to: String,
    pure_alcohol_l: f64,
}

#[derive(Debug, Serialize)]
struct BalanceWire {
    unit: &'static str,
    opening_l: f64,
    came: Vec<AmountWire>,
    gone: Vec<AmountWire>,
    not_explained_l: f64,
    not_explained_percent: Option<f64>,
    stocks: Vec<StockWire>,
    closing_l: f64,
    off_l: f64,
    bottles: u64,
    bottled_l: f64,
    energy_kwh: Option<f64>,
    water_l: Option<f64>,
    cost: Option<f64>,
    flows: Vec<FlowWire>,
    authority: String,
}

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
    let (balance, flows) =
        store.account(|ledger| (ledger.balance(span), json.then(|| ledger.flows(span))))?;
    if json {
        let flow = |flow: account::Flow| FlowWire {
            from: flow.from.word(),
            to: flow.to.to_string(),
            pure_alcohol_l: flow.alcohol.litres(),
        };
        let flows = flows.unwrap_or_default().into_iter().map(flow).collect();
        print::json(&wire(&balance, &profile, flows))?;
    } else {
        print::text(&text(&balance, &profile))?;
    }
    Ok(())
}

fn wire(balance: &Balance, profile: &Profile, flows: Vec<FlowWire>) -> BalanceWire {
    let amounts = |all: &[(Place, PureAlcohol)]| {
        let one = |(place, alcohol): &(Place, PureAlcohol)| AmountWire {
            place: place.to_string(),
            pure_alcohol_l: alcohol.litres(),
            reported: profile.reported(*alcohol),
        };
        all.iter().map(one).collect()
    };
    let stock = |line: &account::StockLine| StockWire {
        place: line.kind.word(),
        opening_l: line.opening.litres(),
        in_l: line.into.litres(),
        out_l: line.out.litres(),
        closing_l: line.closing.litres(),
        reported: profile.reported(line.closing),
    };
    BalanceWire {
        unit: profile.unit_word(),
        opening_l: balance.opening.litres(),
        came: amounts(&balance.sources),
        gone: amounts(&balance.gone),
        not_explained_l: balance.not_explained.litres(),
        not_explained_percent: balance.not_explained_percent(),
        stocks: balance.stocks.iter().map(stock).collect(),
        closing_l: balance.closing.litres(),
        off_l: balance.off.litres(),
        bottles: balance.bottles,
        bottled_l: balance.bottled.litres(),
        energy_kwh: balance.spent.energy_kwh,
        water_l: balance.spent.water_l,
        cost: balance.spent.cost,
        flows,
        authority: profile.accepts.clone(),
    }
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
        add(format!("not explained: {percent:.2} % of all there was to account for"));
    }
    if balance.bottles > 0 {
        add(format!("{} bottles with {} L of pure alcohol", balance.bottles, balance.bottled));
    }
    let spent = balance.spent;
    let each = [
        ("energy", spent.energy_kwh, "kWh"),
        ("water", spent.water_l, "L"),
        ("cost", spent.cost, ""),
    ];
    for (what, amount, unit) in each {
        let Some(amount) = amount else { continue };
        let litres = balance.bottled.litres();
        let per_litre = if litres > 0.0 {
            format!(", {:.2} for each litre of pure alcohol bottled", amount / litres)
        } else {
            String::new()
        };
        let per_bottle = if balance.bottles > 0 {
            format!(", {:.3} for each bottle", amount / balance.bottles as f64)
        } else {
            String::new()
        };
        add(format!("{what}: {amount:.2} {unit}{per_litre}{per_bottle}"));
    }
    add(format!("This is no legal record by itself. {}", profile.accepts));
    text
}
