//! What carbon, solids, water, a cask and bottles are in the book, from what was reckoned of them.

use account::{AccountError, EntryKind, Name, Place};

use super::moved::Moved;
use super::stand::Stand;
use crate::bottling::Counted;
use crate::cask::Contents;
use crate::steps::Steps;

/// Carbon: what came out, and what stayed in it, as a loss or in a bed that may give it back.
///
/// # Errors
/// [`AccountError`] for what cannot be a place.
pub fn carbon(
    stands: (Stand, Stand),
    (litres, vol): (f64, f64),
    out_vol: f64,
    lost_l: f64,
    bed: Option<Name>,
) -> Result<Moved, AccountError> {
    let mut moved = Moved::new(EntryKind::Carbon, stands, litres * vol / 100.0, out_vol);
    let stays = match bed {
        Some(bed) => {
            let lot = moved.out_of.lot.clone();
            (Place::new(account::PlaceKind::Bed, Some(bed))?, Some(lot), lost_l)
        }
        None => (Place::of_text("loss:carbon")?, None, lost_l),
    };
    moved.apart = vec![stays];
    "through carbon; what stayed is reckoned".clone_into(&mut moved.words);
    Ok(moved)
}

/// A maceration: what drained off, and what stayed in the solids.
///
/// # Errors
/// [`AccountError`] for what cannot be a place.
pub fn macerated(
    stands: (Stand, Stand),
    (litres, vol): (f64, f64),
    out_vol: f64,
    lost_l: f64,
) -> Result<Moved, AccountError> {
    let mut moved = Moved::new(EntryKind::Macerate, stands, litres * vol / 100.0, out_vol);
    moved.apart = vec![(Place::of_text("loss:maceration")?, None, lost_l)];
    "off the solids; what stayed in them is reckoned".clone_into(&mut moved.words);
    Ok(moved)
}

/// A cask that is filled.
#[must_use]
pub fn cask_filled(stands: (Stand, Stand), filled: Contents) -> Moved {
    Moved::new(EntryKind::FillCask, stands, filled.pure_alcohol_l(), filled.strength_vol)
}

/// A reduction as far as it was gauged, or to its aim where it was not. A gauge that finds less than
/// there was, by more than two deviations, has lost it: to `lost_to`, or not explained.
///
/// # Errors
/// [`AccountError::OutOfRange`] for a gauge that finds more than there was.
pub fn reduced(
    stands: (Stand, Stand),
    steps: &Steps,
    lost_to: Option<Place>,
) -> Result<Moved, AccountError> {
    let gauged: Vec<f64> = steps.steps.iter().filter_map(|step| step.gauged).collect();
    let aim = steps.steps.last().map_or(0.0, |step| step.to);
    let vol = gauged.last().copied().unwrap_or(aim);
    let mut moved = Moved::new(EntryKind::Reduce, stands, steps.pure_alcohol_l, vol);
    let missing_l = steps.pure_alcohol_l - steps.pure_alcohol_now_l;
    let seen_l = 2.0 * steps.difference_sd_l;
    if missing_l < -seen_l {
        return Err(more_came_out("gauged", -missing_l));
    }
    if missing_l > seen_l {
        moved.apart = vec![(lost_to.map_or_else(not_explained, Ok)?, None, missing_l)];
    }
    let kg = (1000.0 * steps.water_kg).round() / 1000.0;
    moved.words = match gauged.len() {
        0 => format!("{kg} kg of water in all; the strength is reckoned, not gauged"),
        done => format!("{done} of {} steps, gauged after each", steps.steps.len()),
    };
    Ok(moved)
}

/// Bottles as they were counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bottled {
    /// What the count says; bottles must have been counted.
    pub count: Counted,
    /// How many.
    pub counted: Option<u32>,
    /// Nominal content, mL.
    pub size_ml: f64,
    /// Strength, % vol.
    pub strength_vol: f64,
}

/// Bottles that were filled. What neither they nor the heel hold is lost to `lost_to`; without one
/// to the bottling where the gauges cannot see it, else not explained. The heel stays where it was.
///
/// # Errors
/// [`AccountError::OutOfRange`] for bottles that were not counted, and for more than the tank had.
pub fn bottled(
    stands: (Stand, Stand),
    of: Bottled,
    lost_to: Option<Place>,
) -> Result<Moved, AccountError> {
    let (Some(counted), Some(unexplained)) = (of.counted, of.count.unexplained_l) else {
        return Err(AccountError::OutOfRange {
            field: "counted",
            value: "not given".to_owned(),
            bound: "must be given where bottles are entered",
            hint: "count the bottles once they are filled",
        });
    };
    let lost_l = unexplained.max(0.0) * of.strength_vol / 100.0;
    if unexplained < 0.0 && of.count.is_seen {
        return Err(more_came_out("counted", -unexplained * of.strength_vol / 100.0));
    }
    // More in the bottles than the tank had, but no more than the gauges may have wrong.
    let over_l = (-unexplained).max(0.0) * of.strength_vol / 100.0;
    let moved_l = of.count.pure_alcohol_l - over_l + lost_l;
    let mut moved = Moved::new(EntryKind::Bottle, stands, moved_l, of.strength_vol);
    let place = match lost_to {
        Some(place) => place,
        None if of.count.is_seen => not_explained()?,
        None => Place::of_text("loss:bottling")?,
    };
    moved.apart = vec![(place, None, lost_l)];
    moved.bottles = Some((counted, of.size_ml));
    Ok(moved)
}

fn not_explained() -> Result<Place, AccountError> {
    Place::of_text("not_explained")
}

fn more_came_out(field: &'static str, litres: f64) -> AccountError {
    AccountError::OutOfRange {
        field,
        value: format!("{litres:.3} L of pure alcohol more than there was"),
        bound: "must not be more than the gauges can have wrong",
        hint: "gauge both again at rest; what is really more is entered as a gain",
    }
}
