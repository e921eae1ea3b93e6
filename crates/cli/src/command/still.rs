//! `middlecut still`: the whole still from what a person can measure, with what each key came from.

use std::fmt::Write as _;

use serde::Serialize;
use still::plan::{Derived, HeadPlace, HeatSource, Measured, OwnStill, Still, StillKind};

use crate::args::{Heat, Kind, Metal, Place, StillArgs, Wall};
use crate::error::CliError;
use crate::print::{self, number};

#[derive(Debug, Serialize)]
struct StillWire<'a> {
    still: &'a Still,
    derived: Vec<DerivedWire<'a>>,
    heat_w: f64,
    run_w: f64,
}

#[derive(Debug, Serialize)]
struct DerivedWire<'a> {
    key: &'static str,
    from: &'a str,
}

/// Derives and prints.
pub(crate) fn run(args: &StillArgs, json: bool) -> Result<(), CliError> {
    let own = OwnStill {
        kind: match args.kind {
            Kind::Pot => StillKind::Pot,
            Kind::Column => StillKind::Column,
        },
        boiler_litres: args.boiler,
        elements_watts: if args.elements.is_empty() {
            vec![HeatSource::usual_power(args.boiler).watts()]
        } else {
            args.elements.clone()
        },
    };
    let measured = measured(args);
    let checked = own.check().and_then(|()| measured.check());
    checked.map_err(still::StillError::Plan)?;
    let (mut still, derived) = own.derive(&args.name, &measured);
    still.elements_watts.clone_from(&args.elements);
    still.heat_source = match args.heat {
        Heat::Electric => HeatSource::Electric,
        Heat::Steam => HeatSource::Steam,
        Heat::Gas => HeatSource::Gas,
        Heat::Fire => HeatSource::Fire,
    };
    still.head_place = match args.thermometer {
        Place::Above => HeadPlace::Above,
        Place::Below => HeadPlace::Below,
    };
    still.check().map_err(still::StillError::Plan)?;
    let (heat, run) = own.heater_powers(&measured);
    let (heat_w, run_w) = (heat.watts(), run.watts());
    if json {
        let derived = derived.iter().map(|one| DerivedWire { key: one.key, from: &one.from });
        print::json(&StillWire { still: &still, derived: derived.collect(), heat_w, run_w })?;
    } else {
        print::text(&written(&still, &derived, heat_w, run_w))?;
    }
    Ok(())
}

fn measured(args: &StillArgs) -> Measured {
    Measured {
        diameter_mm: args.diameter,
        height_mm: args.height,
        column_probe_mm: args.column_probe,
        filling: args.filling.map(|filling| filling.0),
        column_lagged: wrapped(args.column),
        boiler_lagged: wrapped(args.boiler_wall),
        metal: metal(args.metal),
    }
}

/// Whether a wall is wrapped, where that was said.
pub(super) fn wrapped(wall: Option<Wall>) -> Option<bool> {
    wall.map(|wall| wall == Wall::Wrapped)
}

/// What the walls are made of, where that was said.
pub(super) fn metal(given: Option<Metal>) -> Option<still::plan::Metal> {
    given.map(|metal| match metal {
        Metal::Steel => still::plan::Metal::Steel,
        Metal::Copper => still::plan::Metal::Copper,
    })
}

/// The section of a run file; each derived key with what it came from.
fn written(still: &Still, derived: &[Derived], heat_w: f64, run_w: f64) -> String {
    let keys = toml::to_string(still).unwrap_or_default();
    let width = keys.lines().map(|line| line.chars().count()).max().unwrap_or_default();
    let mut text = "[still]\n".to_owned();
    for line in keys.lines() {
        let key = line.split(' ').next().unwrap_or_default();
        let from = derived.iter().find(|one| one.key == key);
        let _ = match from {
            Some(one) => writeln!(text, "{line:<width$}  # {}", one.from),
            None => writeln!(text, "{line}"),
        };
    }
    let _ = if still.power_unstated() {
        writeln!(
            text,
            "\n# Power not stated: about {} W are counted on until the heat-up tells; leave watts out of the steps.",
            number(heat_w, 0)
        )
    } else {
        writeln!(
            text,
            "\n# Heater to begin with: {} W to heat up (all elements), {} W to run.",
            number(heat_w, 0),
            number(run_w, 0)
        )
    };
    text.push_str("# First guesses: a run teaches what is true of this still (middlecut learn).\n");
    text
}
