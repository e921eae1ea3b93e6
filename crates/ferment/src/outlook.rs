//! One possible wash carried on from the moment to its rest, and what it then is.

use crate::belief::Unknowns;
use crate::chance::Chance;
use crate::course::Course;
use crate::problem::Problem;
use crate::steps::step_h;
use crate::wash::Wash;

/// How long a wash is followed beyond the moment, h: 45 days.
const FOLLOWED_H: f64 = 1080.0;
/// A wash is at its end when it falls by less than [`END_FALL`] in so many hours, from then on.
const END_SPAN_H: f64 = 72.0;
const END_FALL: f64 = 0.001;
/// So long after the moment a wash that falls by less than this in the span is not followed further.
const AT_REST_AFTER_H: f64 = 480.0;
const AT_REST: f64 = 0.0001;
/// How far the air around may change after the moment, K (judgement).
const WEATHER_K: f64 = 1.5;
/// Chance that a heater gives out in the time that is followed (judgement).
const HEATER_FAILS: f64 = 0.06;

/// What the model itself does not know of an end: the time left, longer and wider, h beside it,
/// gravity, and strength in % vol (judgement, from how it fares on simulated washes).
const TAIL_LONGER: f64 = 0.0;
const TAIL_SD: f64 = 0.12;
const END_SD_H: f64 = 2.0;
const GRAVITY_SD: f64 = 0.0005;
const STRENGTH_SD: f64 = 0.02;

/// Hours after the moment at which the gravity to come is told: close at first, wide in the tail.
pub(crate) const AHEAD_H: [f64; 24] = [
    0.0, 6.0, 12.0, 18.0, 24.0, 36.0, 48.0, 60.0, 72.0, 96.0, 120.0, 144.0, 168.0, 192.0, 216.0,
    264.0, 312.0, 360.0, 432.0, 504.0, 600.0, 720.0, 888.0, 1080.0,
];

/// What one possible wash becomes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct End {
    pub(crate) end_h: f64,
    pub(crate) gravity: f64,
    /// The same before what the model itself does not know.
    pub(crate) rest: f64,
    pub(crate) strength_vol: f64,
    pub(crate) pure_alcohol_l: f64,
    pub(crate) gravity_now: f64,
    /// Gravity with all gone that could ferment.
    pub(crate) limit: f64,
    /// Fall in the 48 h around the moment.
    pub(crate) fall_48h: f64,
    /// It ends more than this over its limit: stuck.
    pub(crate) stuck: bool,
    /// Gravity at each of [`AHEAD_H`].
    pub(crate) ahead: [f64; AHEAD_H.len()],
}

/// A line through points in time.
struct Track(Vec<(f64, f64)>);

impl Track {
    fn at(&self, time_h: f64) -> f64 {
        let next = self.0.partition_point(|row| row.0 < time_h);
        match (next.checked_sub(1).map(|i| self.0[i]), self.0.get(next)) {
            (Some((t0, g0)), Some(&(t1, g1))) => {
                g0 + (g1 - g0) * (time_h - t0) / (t1 - t0).max(1e-9)
            }
            (Some((_, g0)), None) => g0,
            (None, Some(&(_, g1))) => g1,
            (None, None) => 1.0,
        }
    }

    fn fall(&self, from_h: f64, hours: f64) -> f64 {
        self.at(from_h) - self.at(from_h + hours)
    }

    /// The first hour from which on it falls by less than [`END_FALL`] in every [`END_SPAN_H`].
    fn end_h(&self) -> f64 {
        let last = self.0.last().map_or(0.0, |row| row.0) - END_SPAN_H;
        let rows = &self.0[..self.0.partition_point(|row| row.0 <= last)];
        let Some(place) = rows.iter().rposition(|row| self.fall(row.0, END_SPAN_H) >= END_FALL)
        else {
            return 0.0;
        };
        let (mut low, mut high) = (rows[place].0, rows.get(place + 1).map_or(last, |row| row.0));
        for _ in 0..6 {
            let middle = 0.5 * (low + high);
            if self.fall(middle, END_SPAN_H) >= END_FALL { low = middle } else { high = middle }
        }
        high
    }
}

/// Carries a wash on.
pub(crate) fn carry_on(problem: &Problem<'_>, z: &Unknowns, chance: &mut Chance) -> End {
    let wash = Wash::of(problem, z);
    let mut course = Course::begin(problem, &wash);
    let weather = WEATHER_K * chance.normal();
    let fails = problem.recipe.room.heater_w.is_some() && chance.unit() < HEATER_FAILS;
    let fails_h = problem.at_h + 400.0 * chance.unit();
    let mut track = Track(vec![(0.0, course.now.liquid(&wash).gravity())]);
    let last = problem.at_h + FOLLOWED_H + END_SPAN_H;
    let mut changed = false;
    let mut failed = false;
    while course.now.time_h < last {
        let time_h = course.now.time_h;
        let mut next = time_h + step_h(time_h);
        if time_h < problem.at_h && next >= problem.at_h {
            next = problem.at_h;
        }
        if !changed && time_h >= problem.at_h {
            course.now.ambient_off += weather;
            changed = true;
        }
        if fails && !failed && time_h >= fails_h {
            course.now.heater_fails();
            failed = true;
        }
        course.lead(next);
        track.0.push((next, course.now.liquid(&wash).gravity()));
        if next > problem.at_h + AT_REST_AFTER_H
            && track.fall(next - END_SPAN_H, END_SPAN_H) < AT_REST
        {
            break;
        }
    }
    let end = judge(problem, &wash, &course, &track);
    let left_h = (end.end_h - problem.at_h).max(0.0);
    let later = left_h * (TAIL_LONGER + TAIL_SD * chance.normal()).exp() - left_h;
    let stronger = STRENGTH_SD * chance.normal();
    End {
        end_h: end.end_h + later + END_SD_H * chance.normal().abs().min(3.0),
        gravity: end.gravity + GRAVITY_SD * chance.normal(),
        strength_vol: (end.strength_vol + stronger).max(0.0),
        pure_alcohol_l: (end.pure_alcohol_l * (1.0 + stronger / end.strength_vol.max(1.0)))
            .max(0.0),
        ..end
    }
}

fn judge(problem: &Problem<'_>, wash: &Wash, course: &Course<'_>, track: &Track) -> End {
    let end_h = track.end_h();
    let gravity = track.at(end_h + END_SPAN_H);
    let liquid = course.now.liquid(wash);
    let limit = course.now.fermented_out(wash).gravity();
    let first = track.at(0.0);
    let at = problem.at_h;
    // From the moment's track the strength after the end differs from that after 45 days by less
    // than what is read off here: the share of the way that is left.
    let share = ((first - gravity) / (first - liquid.gravity()).max(1e-6)).clamp(0.0, 1.0);
    let strength_vol = liquid.strength_vol() * share;
    let litres = problem.recipe.litres - problem.sampled_l;
    let shrunk = 1.0 - 0.0004 * strength_vol;
    End {
        end_h,
        gravity,
        rest: gravity,
        strength_vol,
        pure_alcohol_l: strength_vol / 100.0 * litres * shrunk,
        gravity_now: track.at(at),
        limit,
        fall_48h: track.fall((at - 24.0).max(0.0), 48.0),
        stuck: gravity > limit + 0.004,
        ahead: AHEAD_H.map(|hours| track.at(at + hours)),
    }
}
