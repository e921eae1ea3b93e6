//! `middlecut cask`: how full and how strong a cask should be, and what the angels take.

use finishing::cask::{Cask, CaskInput, Climate, Contents, Regauged, Year, ahead, climate};
use finishing::entering::{Act, Regauged as FoundAgain, cask_filled};
use quantities::Band;
use serde::Serialize;

use super::entering::{book, say, stand, stands};
use super::kept::kept;
use super::spirit::Spirit;
use crate::args::CaskArgs;
use crate::error::CliError;
use crate::print::{Sheet, columns, number};

#[derive(Debug, Serialize)]
struct BandWire {
    p025: f64,
    p10: f64,
    p50: f64,
    p90: f64,
    p975: f64,
}

#[derive(Debug, Serialize)]
struct YearWire {
    years: f64,
    litres_20c: BandWire,
    strength_vol: BandWire,
    pure_alcohol_l: BandWire,
    share_l: BandWire,
}

#[derive(Debug, Serialize)]
struct RegaugedWire {
    lost_l: f64,
    percent_a_year: f64,
    strength_a_year: f64,
    is_above_usual: bool,
    is_gain: bool,
}

#[derive(Debug, Serialize)]
struct CaskWire {
    filled_litres_20c: f64,
    filled_pure_alcohol_l: f64,
    ullage_l: f64,
    years: Vec<YearWire>,
    regauged: Option<RegaugedWire>,
    source: &'static str,
    from_memory: bool,
}

/// Looks a cask ahead.
pub(crate) fn run(args: &CaskArgs, json: bool) -> Result<(), CliError> {
    let strength_vol = args.vol.value;
    let amount = Spirit::of(args.litres.as_ref(), args.kg.as_ref(), strength_vol, 20.0)?;
    let filled = Contents { litres_20c: amount.map_or(0.0, |spirit| spirit.litres), strength_vol };
    let store = climate(&args.climate)?;
    let regauged = args.regauged.map(|then| {
        (then.years, Contents { litres_20c: then.litres, strength_vol: then.strength_vol })
    });
    let cask = ahead(&CaskInput {
        filled,
        cask_litres: args.holds,
        climate: store,
        humidity_percent: args.humidity,
        regauged,
        years: args.years,
    })?;
    let typed = kept([
        ("cask.litres", args.litres.as_ref()),
        ("cask.kg", args.kg.as_ref()),
        ("cask.vol", Some(&args.vol)),
    ]);
    let booked = book(&args.book, args.places.data.as_deref(), typed, || act(args, filled))?;
    say(&wire(filled, &store, &cask), &text(filled, &store, &cask), booked.as_ref(), json)
}

/// The regauge where there is one, else the fill.
fn act(args: &CaskArgs, filled: Contents) -> Result<Act, CliError> {
    let Some(then) = args.regauged else {
        return Ok(Act::Moved(cask_filled(stands(&args.places, false)?, filled)));
    };
    Ok(Act::Regauged(FoundAgain {
        cask: stand("--out-of", args.places.out_of.as_deref())?,
        litres_20c: then.litres,
        strength_vol: then.strength_vol,
        years: then.years,
    }))
}

const fn band(of: Band) -> BandWire {
    let Band { p025, p10, p50, p90, p975 } = of;
    BandWire { p025, p10, p50, p90, p975 }
}

fn wire(filled: Contents, store: &Climate, cask: &Cask) -> CaskWire {
    let year = |year: &Year| YearWire {
        years: year.years,
        litres_20c: band(year.litres_20c),
        strength_vol: band(year.strength_vol),
        pure_alcohol_l: band(year.pure_alcohol_l),
        share_l: band(year.share_l),
    };
    let regauged = |of: Regauged| RegaugedWire {
        lost_l: of.lost_l,
        percent_a_year: of.percent_a_year,
        strength_a_year: of.strength_a_year,
        is_above_usual: of.is_above_usual,
        is_gain: of.is_gain,
    };
    CaskWire {
        filled_litres_20c: filled.litres_20c,
        filled_pure_alcohol_l: filled.pure_alcohol_l(),
        ullage_l: cask.ullage_l,
        years: cask.years.iter().map(year).collect(),
        regauged: cask.regauged.map(regauged),
        source: store.source,
        from_memory: store.from_memory,
    }
}

fn text(filled: Contents, store: &Climate, cask: &Cask) -> String {
    let head = ["year", "L at 20 °C", "4 in 5", "% vol", "4 in 5", "angels, L pure", "4 in 5"];
    let head: Vec<String> = head.map(str::to_owned).to_vec();
    let range = |of: Band, d| format!("{} to {}", number(of.p10, d), number(of.p90, d));
    let rows = cask.years.iter().map(|year| {
        vec![
            number(year.years, usize::from(year.years.fract() != 0.0)),
            number(year.litres_20c.p50, 2),
            range(year.litres_20c, 2),
            number(year.strength_vol.p50, 1),
            range(year.strength_vol, 1),
            number(year.share_l.p50, 2),
            range(year.share_l, 2),
        ]
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    let mut sheet = Sheet::new();
    sheet.row("filled", filled.litres_20c, 2, "L at 20 °C");
    sheet.row("pure alcohol", filled.pure_alcohol_l(), 3, "L");
    sheet.row("room left above it", cask.ullage_l, 2, "L; its vapour can catch fire");
    if let Some(of) = cask.regauged {
        sheet.row("lost since", of.lost_l, 3, "L of pure alcohol");
        sheet.row("a year", of.percent_a_year, 1, "% of the pure alcohol");
        sheet.row("strength a year", of.strength_a_year, 2, "% vol");
        if of.is_gain {
            sheet.remark("More pure alcohol than was filled: one of the two gauges is wrong.");
        } else if of.is_above_usual {
            sheet.remark("More than such a store should take: look for a leak, and gauge again.");
        }
        sheet.remark("The years go by this cask's own loss.");
    } else {
        let memory = if store.from_memory { ", judgement" } else { "" };
        sheet.remark(format!(
            "The years go by {}{memory}; regauge to know this cask.",
            store.source
        ));
    }
    format!("{}\n{sheet}", columns(&rows))
}
