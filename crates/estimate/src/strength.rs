//! Strength of what runs now: the simulated one, put right by the jars gauged last and by the head
//! where the head can tell it.
//!
//! The fit weighs a whole run; what the last jars read over it is an error of the model there and
//! then, and it carries on for a while.

use still::track::{Point, Track};

use super::believe::{DRIFT, GLASS, HEAD_OFFSET};
use super::measured::{Measured, Measurement};
use super::model::{Simulated, Unknowns};
use sense::numbers::median;

/// Time after which a jar's difference counts a third, s.
const MEMORY_S: f64 = 2400.0;
/// Spread of one jar's reading and of the model's wandering error, % vol.
const JAR_VOL: f64 = 0.25;
const WANDER_VOL: f64 = 0.7;
/// Spread of the head's reading as a difference to the model's head, K.
const HEAD_K: f64 = 0.12;
/// A head that has risen by less tells nothing: of a pot; of a column where it is simulated so with
/// spirit that weakens, % vol, and where it is seen; the edge of its plateau, K.
const RISEN_K: f64 = 0.15;
const KNEE_K: f64 = 0.08;
const KNEE_SEEN_K: f64 = 0.25;
const WEAKER_VOL: f64 = 0.5;
const EDGE_K: f64 = 0.03;
/// Spread of a rise: steps of the probe and draughts, K.
const RISE_K: f64 = 0.06;
/// The plateau that a rise is counted from lies this far back, s.
const PLATEAU_S: std::ops::Range<f64> = 1500.0..7200.0;
/// Share of the simulated change since a jar that its difference may not hold for, in a column.
const CHANGED: f64 = 0.5;
/// Share of the simulated fall since the last gauged jar that is not proven, in a pot, where the next
/// jar shows it: on 500 forecasts of simulated pots by two generators the error grew by .10 to .15 of
/// the fall, by both alike, and the spread did not (judgement between).
const FALL_UNPROVEN: f64 = 0.13;
/// Spread of strength at a given head, % vol.
const OWN_VOL: f64 = 0.25;
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
    let Some(now_vol) = track.at(now_s).map(|at| at.drum_vol()) else { return (0.0, WANDER_VOL) };
    let (mut sum, mut weight) = (0.0, 1.0 / (WANDER_VOL * WANDER_VOL));
    let mut last = (0.0, now_vol);
    for (measurement, _) in &measured.list {
        let Measurement::Glass(from_s, to_s, vol) = *measurement else { continue };
        let Some(simulated) = mean_vol(track, from_s, to_s) else { continue };
        let age_s = now_s - 0.5 * (from_s + to_s);
        if to_s >= last.0 {
            last = (to_s, simulated);
        }
        let changed = if measured.pot { 0.0 } else { CHANGED * (simulated - now_vol) };
        let w = (-age_s / MEMORY_S).exp() / (JAR_VOL * JAR_VOL + changed * changed);
        sum += w * (vol - unknowns[GLASS] - simulated);
        weight += w;
    }
    if let Some((difference, sd)) = by_head(measured, track, unknowns, now_s) {
        sum += difference / (sd * sd);
        weight += 1.0 / (sd * sd);
    }
    let fall = if measured.pot { FALL_UNPROVEN * (last.1 - now_vol) } else { 0.0 };
    (sum / weight, (1.0 / weight).sqrt().hypot(fall))
}

fn mean_vol(track: &Track, from_s: f64, to_s: f64) -> Option<f64> {
    let (low, high) = (track.at(from_s)?, track.at(to_s)?);
    let drawn = high.drawn_since(&low);
    Some(if drawn.litres_20c > 1e-4 { drawn.strength() } else { high.drum_vol() })
}

/// What the head says now: in a pot its difference to the simulated head times how the strength
/// follows it; in a column the strength that the simulated still has where its head has risen as
/// much.
fn by_head(
    measured: &Measured,
    track: &Track,
    unknowns: &Unknowns,
    now_s: f64,
) -> Option<(f64, f64)> {
    let heads = || {
        measured.list.iter().rev().filter_map(|(measurement, _)| match *measurement {
            Measurement::Head(time_s, kelvin) => Some((time_s, kelvin)),
            _ => None,
        })
    };
    let (time_s, kelvin) = heads().next().filter(|head| head.0 >= now_s - HEAD_S)?;
    let at = track.at(time_s)?;
    if !measured.pot {
        let earlier = |head: &(f64, f64)| PLATEAU_S.contains(&(time_s - head.0));
        let plateau: Vec<(f64, f64)> = heads().filter(earlier).collect();
        let drift = unknowns[DRIFT] * time_s / 3600.0;
        let rises = plateau.iter().filter_map(|&(before_s, before_k)| {
            let drifted = drift - unknowns[DRIFT] * before_s / 3600.0;
            Some(kelvin - drifted - before_k + track.at(before_s)?.head_k)
        });
        let seen_k = median(&mut rises.collect::<Vec<f64>>())?;
        return on_the_knee(track, seen_k, &at);
    }
    let before = track.at(time_s - 1800.0)?;
    let warmed = at.head_k - before.head_k;
    if warmed < RISEN_K {
        return None;
    }
    let slope = ((at.drum_vol() - before.drum_vol()) / warmed).clamp(-6.0, 0.0);
    let difference = kelvin - unknowns[HEAD_OFFSET] - measured.head_bias_k() - at.head_k;
    Some((slope * difference, (slope * HEAD_K).abs().hypot(OWN_VOL)))
}

/// On the plateau strength and head do not go together: only a head that has begun to rise tells,
/// measured or simulated. The simulated knee may come too early or too late by minutes; what
/// strength goes with what head on it is the same.
fn on_the_knee(track: &Track, kelvin: f64, at: &Point) -> Option<(f64, f64)> {
    let lowest_k = track.lowest_head_k?;
    let past = track.points.iter().take_while(|point| point.time_s <= at.time_s);
    let strongest = past.map(Point::drum_vol).fold(0.0, f64::max);
    // Light heads that leave let the head rise too, but not the strength fall.
    let simulated = at.head_k - lowest_k >= KNEE_K && strongest - at.drum_vol() >= WEAKER_VOL;
    if !(simulated || kelvin - lowest_k >= KNEE_SEEN_K) {
        return None;
    }
    let vol_at = |kelvin: f64| {
        let kelvin = kelvin.max(lowest_k + EDGE_K);
        let rising = track.points.windows(2).rev().find(|pair| pair[0].head_k < kelvin)?;
        let share = (kelvin - rising[0].head_k) / (rising[1].head_k - rising[0].head_k).max(1e-6);
        let (low, high) = (rising[0].drum_vol(), rising[1].drum_vol());
        Some(low + (high - low) * share.clamp(0.0, 1.0))
    };
    let vol = vol_at(kelvin)?;
    let slope = (vol_at(kelvin + RISE_K)? - vol_at(kelvin - RISE_K)?) / (2.0 * RISE_K);
    Some((vol - at.drum_vol(), (slope * RISE_K).abs().hypot(OWN_VOL)))
}
