//! Runs drawn by chance from a small simulator that shares no physics with the product, for holding
//! the estimate to stills nobody recorded.
//!
//! Only ethanol and water, molar overflow constant but for what the wall loses, stages that hold
//! liquid. A run that no owner could have is drawn again, and why is told.

mod attended;
mod boiling;
mod chance;
mod house;
mod in_column;
mod jars;
mod liquid;
mod outcome;
mod plant;
mod plateau;
mod seen;
mod stated;
mod weather;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chance::Chance;
use house::House;
pub use house::{Family, Ranges};
use in_column::InColumn;
use store::folder::RunFolder;

/// Draws for one run before it is given up.
const DRAWS_MAX: usize = 200;

/// A run, and why others were thrown away before it.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The run with its outcome.
    pub folder: RunFolder,
    /// How often each reason threw one away.
    pub thrown_away: BTreeMap<&'static str, usize>,
}

/// The kind of the run at a place of a collection: half columns by wash, a quarter by low wines, a
/// quarter pots.
#[must_use]
pub const fn family_at(place: usize) -> Family {
    match place % 4 {
        0 | 2 => Family::ColumnWeak,
        1 => Family::ColumnStrong,
        _ => Family::Pot,
    }
}

/// Draws the run at a place of the collection of that seed.
///
/// # Errors
/// The reasons, where none of two hundred draws gave a run that an owner could have had.
pub fn draw(
    seed: u64,
    place: usize,
    ranges: &Ranges,
) -> Result<Drawn, BTreeMap<&'static str, usize>> {
    drawn(seed, place, ranges, false)
}

/// The same run with a thermometer in the column; a pot has none.
///
/// # Errors
/// As [`draw`].
pub fn draw_with_column(
    seed: u64,
    place: usize,
    ranges: &Ranges,
) -> Result<Drawn, BTreeMap<&'static str, usize>> {
    drawn(seed, place, ranges, family_at(place) != Family::Pot)
}

fn drawn(
    seed: u64,
    place: usize,
    ranges: &Ranges,
    in_column: bool,
) -> Result<Drawn, BTreeMap<&'static str, usize>> {
    let mut chance = Chance::new(seed, place);
    let mut thrown_away = BTreeMap::new();
    for _ in 0..DRAWS_MAX {
        let name = format!("Drawn still {}", place + 1);
        let house = House::draw(&mut chance, family_at(place), ranges, &name);
        let house = if in_column { house.with_column(InColumn::draw(seed, place)) } else { house };
        let written = house.plan.check().map_err(|_| "the plan cannot be written down");
        let made = written.map(|()| attended::attend(&house, &mut chance));
        let told = made.and_then(|made| Ok((outcome::outcome(&house, &made, ranges)?, made.rows)));
        let why = match told {
            Err(why) => why,
            Ok((outcome, rows)) => {
                let run = RunFolder::new(house.plan, rows);
                return Ok(Drawn {
                    folder: RunFolder { outcome: Some(outcome), ..run },
                    thrown_away,
                });
            }
        };
        *thrown_away.entry(why).or_default() += 1;
    }
    Err(thrown_away)
}
