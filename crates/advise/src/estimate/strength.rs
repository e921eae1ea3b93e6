//! Strength of what runs now: the simulated one, put right by the jars gauged last and by the head
//! where the head can tell it.
//!
//! The fit weighs a whole run; what the last jars read over it is an error of the model there and
//! then, and it carries on for a while.

use still::track::Track;

use super::believe::{GLASS, HEAD_OFFSET};
use super::measured::{Measured, Measurement};
use super::model::{Simulated, Unknowns};

/// Time after which a jar's difference counts a third, s.
const MEMORY_S: f64 = 2400.0;
/// Spread of one jar's reading and of the model's wandering error, % vol.
const JAR_VOL: f64 = 0.25;
const WANDER_VOL: f64 = 0.7;
/// Spread of the head's reading as a difference to the model's head, K.
const HEAD_K: f64 = 0.12;
/// Head readings this recent count, s.
const HEAD_S: f64 = 420.0;

/// How much stronger the spirit runs than simulated, % vol, and how sure that is (sd).
pub(super) fn put_right(
    measured: &Measured,
    simulated: &Simulated,
    unknowns: &Unknowns,
    now_s: f64,
) -> (f64, f64) {
    let track = &simulated.track;
    let (mut sum, mut weight) = (0.0, 1.0 / (WANDER_VOL * WANDER_VOL));
    for (measurement, _) in &measured.list {
        let Measurement::Glass(from_s, to_s, vol) = *measurement else { continue };
        let Some(simulated) = mean_vol(track, from_s, to_s) else { continue };
        let age_s = now_s - 0.5 * (from_s + to_s);
        let w = (-age_s / MEMORY_S).exp() / (JAR_VOL * JAR_VOL);
        sum += w * (vol - unknowns[GLASS] - simulated);
        weight += w;
    }
    if let Some((difference, sd)) = by_head(measured, track, unknowns, now_s) {
        sum += difference / (sd * sd);
        weight += 1.0 / (sd * sd);
    }
    (sum / weight, (1.0 / weight).sqrt())
}

fn mean_vol(track: &Track, from_s: f64, to_s: f64) -> Option<f64> {
    let (low, high) = (track.at(from_s)?, track.at(to_s)?);
    let (litres, vol) = high.drawn_since(&low);
    Some(if litres > 1e-4 { vol } else { high.drum_vol() })
}

/// What the head says now: its difference to the simulated head times how the strength follows it.
fn by_head(
    measured: &Measured,
    track: &Track,
    unknowns: &Unknowns,
    now_s: f64,
) -> Option<(f64, f64)> {
    let mut recent = measured.list.iter().rev().filter_map(|(measurement, _)| match *measurement {
        Measurement::Head(time_s, kelvin) if time_s >= now_s - HEAD_S => Some((time_s, kelvin)),
        _ => None,
    });
    let (time_s, kelvin) = recent.next()?;
    let at = track.at(time_s)?;
    let before = track.at(time_s - 1800.0)?;
    let warmed = at.head_k - before.head_k;
    // On the plateau strength and head do not go together: only a head that has begun to rise tells.
    if warmed < 0.15 {
        return None;
    }
    let slope = ((at.drum_vol() - before.drum_vol()) / warmed).clamp(-6.0, 0.0);
    let difference = kelvin - unknowns[HEAD_OFFSET] - measured.head_bias_k() - at.head_k;
    let difference = if measured.pot { difference } else { difference.clamp(-1.5, 1.5) };
    Some((slope * difference, (slope * HEAD_K).abs().hypot(0.25)))
}
