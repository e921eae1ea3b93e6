//! `middlecut jars`: what each jar holds, where the cuts fall, and what they come to.

mod read;
mod text;
mod told;

use finishing::cuts::{Cuts, Table, charge_with};
use finishing::entering::{Act, JarsMixed, feints_stand};
use finishing::limits::{self, Limit};
use finishing::nose::round;
use server::CutsWire;
use still::plan::StepKind;

use super::entering::{book, refused, say, stand};
use crate::args::{Amount, JarsArgs};
use crate::error::CliError;
use read::Bench;
use told::Told;

/// Where a line of one's own comes from.
const OWN: &str = "your own line";

/// Gauges the jars, cuts them, prints.
pub(crate) fn run(args: &JarsArgs, json: bool) -> Result<(), CliError> {
    let bench = Bench::read(args)?;
    let mut limits = limits::of(&args.category)?;
    limits.extend(args.own.iter().map(|line| Limit {
        category: "own",
        words: OWN,
        substance: line.substance,
        most_g_per_hl_pa: line.most,
        from_memory: false,
        source: OWN,
    }));
    let table =
        Table { jars: &bench.jars, congeners: bench.congeners.as_deref(), factor: bench.factor };
    let cuts = table.cut(&chosen(args, &bench), &limits)?;
    let next = match (&args.wash, &cuts.feints) {
        (Some(wash), Some(feints)) => {
            let litres = match wash.amount {
                Amount::Litres(litres) => litres,
                Amount::Kilograms(kg) => {
                    alcoholometry::weighing::weighed_litres(kg, wash.strength_vol, 20.0)?
                }
            };
            Some(charge_with(litres, wash.strength_vol, feints)?)
        }
        _ => None,
    };
    let glasses = match args.noses {
        Some(seed) => {
            let numbers: Vec<u32> = bench.jars.iter().map(|jar| jar.number).collect();
            round(&numbers, args.twice, seed)?
        }
        None => Vec::new(),
    };
    let booked = book(&args.book, args.data.as_deref(), Vec::new(), || {
        mixed(args, bench.id.as_deref(), &cuts)
    })?;
    let told = Told { bench, cuts, next, glasses };
    say(&wire(&told), &text::write(&told), booked.as_ref(), json)
}

fn wire(told: &Told) -> CutsWire {
    let Told { bench, cuts, next, glasses } = told;
    let congeners = bench.congeners.as_deref();
    CutsWire {
        run: bench.run.clone(),
        left_out: bench.left_out.clone(),
        next_charge: next.map(Into::into),
        glasses: glasses.iter().cloned().map(Into::into).collect(),
        ..CutsWire::new(&bench.jars, congeners, Some(cuts), bench.charged_l)
    }
}

/// The jars as an act of the book: of a run of the record, as it is recorded.
fn mixed(args: &JarsArgs, id: Option<&str>, cuts: &Cuts) -> Result<Act, CliError> {
    let run = id.filter(|_| args.jar.is_empty()).ok_or_else(|| CliError::Typed {
        option: "--enter",
        value: "jars typed, or of a folder".to_owned(),
        bound: "must be with --last or --of: the book has the jars of runs of the record",
        hint: "record what a jar holds on the page of its run, then take the run into the book"
            .to_owned(),
    })?;
    let feints = match args.feints_into.as_deref() {
        None => feints_stand(run).map_err(refused)?,
        typed => stand("--feints-into", typed)?,
    };
    let into = stand("--into", args.into.as_deref())?;
    let run = run.to_owned();
    Ok(Act::Jars(Box::new(JarsMixed { run, into, feints, cuts: cuts.clone() })))
}

/// The jars that are in: those named, or those recorded as hearts.
fn chosen(args: &JarsArgs, bench: &Bench) -> Vec<u32> {
    if args.hearts.is_empty() {
        let hearts = bench.jars.iter().filter(|jar| jar.cut == Some(StepKind::Hearts));
        return hearts.map(|jar| jar.number).collect();
    }
    let known = |number: &u32| bench.jars.iter().any(|jar| jar.number == *number);
    let spans = args.hearts.iter().map(|span| span.0.clone());
    // A range takes the jars that are there; a number alone must be.
    let named = spans.flat_map(|span| {
        let alone = span.start() == span.end();
        span.filter(move |number| alone || known(number)).collect::<Vec<_>>()
    });
    named.collect()
}
