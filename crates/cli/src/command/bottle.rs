//! `middlecut bottle`: whether a lot is what its label says, what to fill, and how many bottles.

use finishing::bottling::{CountInput, Counted, Gauges, Labelled, Tank, count, gauged, labelled};
use finishing::entering::{Act, Bottled, bottled};
use finishing::fill::{FillInput, Filled, WANTED_CHANCE, Way, fill};
use finishing::profile::{self, Profile};
use serde::Serialize;

use super::entering::{book, place, refused, say, stands};
use super::kept::kept;
use crate::args::BottleArgs;
use crate::error::CliError;
use crate::print::{Sheet, number};

#[derive(Debug, Serialize)]
struct BottleWire {
    strength_vol: f64,
    strength_sd: f64,
    label_vol: f64,
    label_proof: f64,
    best_label_vol: f64,
    label_tolerance_vol: f64,
    label_source: &'static str,
    label_from_memory: bool,
    chance_label: f64,
    chance_under: f64,
    chance_over: f64,
    room_vol: Option<f64>,
    nominal_ml: f64,
    fill_mean_ml: f64,
    fill_kg: f64,
    fill_ml_at_celsius: f64,
    fill_tolerance_ml: f64,
    fill_source: &'static str,
    fill_from_memory: bool,
    fill_shared_sd_ml: f64,
    chance_fill_each: f64,
    chance_fill_lot: f64,
    fill_mean_wanted_ml: Option<f64>,
    grows_to_30c_ml: f64,
    bottles: u32,
    left_over_l: f64,
    pure_alcohol_l: f64,
    unexplained_l: Option<f64>,
    unexplained_sd_l: f64,
    unexplained_is_seen: bool,
}

/// All that is reckoned of a lot.
struct Lot {
    profile: Profile,
    tank: Tank,
    label: Labelled,
    fill: Filled,
    count: Counted,
}

/// Reckons a lot of bottles.
pub(crate) fn run(args: &BottleArgs, json: bool) -> Result<(), CliError> {
    let lot = reckon(args)?;
    let typed = kept([
        ("bottling.litres", Some(&args.litres)),
        ("bottling.reading", Some(&args.reading)),
        ("bottling.celsius", Some(&args.at)),
        ("bottling.label", Some(&args.label)),
    ]);
    let booked = book(&args.book, args.places.data.as_deref(), typed, || {
        let of = Bottled {
            count: lot.count,
            counted: args.counted,
            size_ml: args.size,
            strength_vol: lot.tank.strength_vol,
        };
        let act = bottled(stands(&args.places, false)?, of, place(args.lost_to.as_deref())?);
        Ok(Act::Moved(act.map_err(refused)?))
    })?;
    say(&wire(args, &lot), &sheet(args, &lot).to_string(), booked.as_ref(), json)
}

fn reckon(args: &BottleArgs) -> Result<Lot, CliError> {
    let profile = profile::of(&args.country, args.size, args.macerated)?;
    let with = Gauges {
        step_vol: args.step,
        thermometer_k: args.thermometer,
        glasses: args.glasses,
        readings: args.readings,
    };
    let tank = gauged(args.reading.value, args.at.value, with)?;
    let label = labelled(tank, args.label.value, profile.strength)?;
    let counting = |mean_ml, mean_sd_ml| CountInput {
        tank_litres: args.litres.value,
        tank_litres_sd: args.litres_sd,
        strength_vol: tank.strength_vol,
        mean_ml,
        mean_sd_ml,
        heel_litres: args.heel,
        counted: args.counted,
    };
    let possible = count(&counting(args.size + args.over, 0.0))?;
    let way = if args.by_volume {
        Way::Volume { measure_sd_ml: args.measure_sd }
    } else {
        Way::Weight { balance_sd_g: args.measure_sd }
    };
    let fill = fill(&FillInput {
        nominal_ml: args.size,
        over_ml: args.over,
        strength_vol: tank.strength_vol,
        celsius: args.at.value,
        celsius_sd: args.thermometer / 3.0_f64.sqrt(),
        way,
        each_sd_ml: args.each_sd,
        bottles: args.counted.unwrap_or(possible.bottles).max(1),
        rule: profile.fill,
    })?;
    let count = count(&counting(fill.mean_ml, fill.shared_sd_ml))?;
    Ok(Lot { profile, tank, label, fill, count })
}

fn wire(args: &BottleArgs, lot: &Lot) -> BottleWire {
    let Lot { profile, tank, label, fill, count } = lot;
    BottleWire {
        strength_vol: tank.strength_vol,
        strength_sd: tank.strength_sd,
        label_vol: label.label_vol,
        label_proof: label.label_proof,
        best_label_vol: label.best_label_vol,
        label_tolerance_vol: profile.strength.tolerance,
        label_source: profile.strength.source,
        label_from_memory: profile.strength.from_memory,
        chance_label: label.chance,
        chance_under: label.chance_under_over.0,
        chance_over: label.chance_under_over.1,
        room_vol: label.room_vol,
        nominal_ml: args.size,
        fill_mean_ml: fill.mean_ml,
        fill_kg: fill.shown_g / 1000.0,
        fill_ml_at_celsius: fill.ml_at_celsius,
        fill_tolerance_ml: profile.fill.tolerance,
        fill_source: profile.fill.source,
        fill_from_memory: profile.fill.from_memory,
        fill_shared_sd_ml: fill.shared_sd_ml,
        chance_fill_each: fill.chance_each,
        chance_fill_lot: fill.chance_lot,
        fill_mean_wanted_ml: fill.mean_wanted_ml,
        grows_to_30c_ml: fill.grows_to_30c_ml,
        bottles: count.bottles,
        left_over_l: count.left_over_l,
        pure_alcohol_l: count.pure_alcohol_l,
        unexplained_l: count.unexplained_l,
        unexplained_sd_l: count.unexplained_sd_l,
        unexplained_is_seen: count.is_seen,
    }
}

/// Where a rule comes from, with what is not sure of it.
fn from(source: &str, from_memory: bool) -> String {
    if from_memory { format!("{source}; from memory, not read again") } else { source.to_owned() }
}

fn sheet(args: &BottleArgs, lot: &Lot) -> Sheet {
    let Lot { profile, tank, label, fill, count } = lot;
    let mut sheet = Sheet::new();
    let sd = format!("± {} % vol true", number(tank.strength_sd, 2));
    sheet.row("the tank is", tank.strength_vol, 2, &sd);
    let rule = format!(
        "% vol ± {} ({})",
        profile.strength.tolerance,
        from(profile.strength.source, profile.strength.from_memory)
    );
    sheet.row("the label says", label.label_vol, 1, &rule);
    sheet.row("chance it is so", 100.0 * label.chance, 1, "%, for the whole lot alike");
    if label.chance < WANTED_CHANCE {
        let (under, over) = label.chance_under_over;
        let side = if under > over { "too weak" } else { "too strong" };
        sheet.row(side, 100.0 * under.max(over), 1, "%");
        sheet.remark(match label.room_vol {
            Some(room) => {
                format!("Trim until the gauge is within {} % vol of the label.", number(room, 2))
            }
            None => "These instruments cannot tell this label: take a finer glass, a second one, \
                     a better thermometer."
                .to_owned(),
        });
    }
    let ml = format!(
        "g on the balance, or {} mL at {} °C",
        number(fill.ml_at_celsius, 1),
        args.at.value
    );
    sheet.row("fill each with", fill.shown_g, 1, &ml);
    let rule = format!(
        "mL ± {} ({})",
        number(profile.fill.tolerance, 1),
        from(profile.fill.source, profile.fill.from_memory)
    );
    sheet.row("which is", fill.mean_ml, 1, &rule);
    sheet.row("chance of the lot", 100.0 * fill.chance_lot, 1, "%");
    if fill.chance_lot < WANTED_CHANCE {
        sheet.remark(match fill.mean_wanted_ml {
            Some(mean) => format!("Aim at {} mL for {} %.", number(mean, 1), 100.0 * WANTED_CHANCE),
            None => "No aim is sure enough: fill more evenly, or with a better balance.".to_owned(),
        });
    }
    sheet.row("grows by", fill.grows_to_30c_ml, 1, "mL at 30 °C: leave it room");
    sheet.row("bottles", f64::from(count.bottles), 0, "");
    sheet.row("left over", count.left_over_l, 3, "L");
    sheet.row("pure alcohol", count.pure_alcohol_l, 3, "L in bottles");
    if let Some(litres) = count.unexplained_l {
        let seen = if count.is_seen {
            "more than the gauges can have wrong"
        } else {
            "the gauges cannot see it"
        };
        let words = format!("L ± {}: {seen}", number(count.unexplained_sd_l, 3));
        sheet.row("not explained", litres, 3, &words);
    }
    sheet
}
