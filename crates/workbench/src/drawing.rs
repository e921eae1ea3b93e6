//! `workbench draw`: writes runs from a simulator apart from the product, several at a time.
#![expect(clippy::print_stdout, reason = "what was thrown away is to be seen")]

use std::collections::BTreeMap;

use rayon::prelude::*;
use workbench::drawn::{Drawn, Ranges, draw};

use crate::args::DrawArgs;
use crate::error::BenchError;

/// Draws and writes them all, and says what was thrown away.
pub(crate) fn run(args: &DrawArgs) -> Result<(), BenchError> {
    let ranges = if args.stress { Ranges::STRESS } else { Ranges::USUAL };
    let places: Vec<usize> = (0..args.count as usize).collect();
    let all: Result<Vec<Drawn>, BenchError> = places
        .par_iter()
        .map(|&place| {
            let drawn = draw(args.seed, place, &ranges)
                .map_err(|why| BenchError::Undrawn { place: place + 1, why: listed(&why) })?;
            let dir = args.folder.join(format!("{:03}", place + 1));
            store::folder::write(&dir, &drawn.folder)?;
            Ok(drawn)
        })
        .collect();
    let mut thrown_away: BTreeMap<&str, usize> = BTreeMap::new();
    for (why, times) in all?.iter().flat_map(|drawn| &drawn.thrown_away) {
        *thrown_away.entry(why).or_default() += times;
    }
    println!("{} runs written; thrown away: {}", args.count, listed(&thrown_away));
    Ok(())
}

fn listed(reasons: &BTreeMap<&str, usize>) -> String {
    let each: Vec<String> = reasons.iter().map(|(why, times)| format!("{times} {why}")).collect();
    if each.is_empty() { "none".to_owned() } else { each.join(", ") }
}
