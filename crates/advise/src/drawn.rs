//! How much was drawn: reckoned from the take-off second by second, put right by every jar whose
//! volume was measured.

mod in_doubt;
mod unseen;

use sense::ValveTurn;
use sense::jar::{GLASS_SD_VOL, JUG_SD};
use still::plan::TakeOff;

pub(super) use unseen::InDoubt;
use unseen::Unseen;

/// Where the present take-off comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// The plan: nothing was recorded.
    Planned,
    /// A person changed it.
    Set,
    /// A person timed it into a jug.
    Measured,
}

impl Source {
    /// Half-width of the 95 % band of what is reckoned with it, relative.
    const fn band(self, take_off: TakeOff) -> f64 {
        match (self, take_off) {
            (Self::Measured, _) => 0.05,
            (Self::Set, TakeOff::MlPerMin(_)) => 0.08,
            _ => 0.15,
        }
    }
}

/// Half-width of the 95 % band of what a jug measured, relative, and of what a glass read, % vol.
const JAR_BAND: f64 = 2.0 * JUG_SD;
const GLASS_BAND_VOL: f64 = 2.0 * GLASS_SD_VOL;
/// And of what a scale under the jar weighed, relative: judgement; its strength, so its density, is
/// known to 1 in 100.
const SCALE_BAND: f64 = 0.02;
/// What no reckoning is better than, mL.
const LEAST_BAND_ML: f64 = 10.0;
/// How far a jar may put the valve right.
const VALVE_RANGE: std::ops::RangeInclusive<f64> = 0.6..=1.6;
/// How far a scale may: a valve that was turned and not recorded runs at what is weighed (judgement).
const SCALE_RANGE: std::ops::RangeInclusive<f64> = 0.1..=10.0;
/// A jar smaller than this says nothing about the valve, mL.
const VALVE_JAR_ML: f64 = 100.0;
/// Time between two points of the remembered course, s, and most points remembered.
const COURSE_SPACING_S: f64 = 10.0;
/// A take-off that changes by more than this share gets a point of its own: jars are changed there.
const KINK: f64 = 0.02;
const COURSE_MAX: usize = 8640;

#[derive(Debug, Clone, Copy, PartialEq)]
struct Point {
    time_s: f64,
    ml: f64,
    alcohol_ml: f64,
}

/// Most times that hearts can begin: gone back to, not phases.
const HEARTS_MAX: usize = 50;

/// The account at a moment: mL, mL of pure alcohol, time in s.
type Mark = (f64, f64, f64);

/// Where a recorded moment stands in the account: what is recorded in a second holds for all of it.
fn edge(time_s: f64) -> f64 {
    time_s.ceil() - 1.0
}

fn difference(start: Point, end: Point) -> (f64, f64) {
    ((end.ml - start.ml).max(0.0), (end.alcohol_ml - start.alcohol_ml).max(0.0))
}

/// The account of what was drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    pub(super) take_off: TakeOff,
    pub(super) source: Source,
    pub(super) since_s: f64,
    /// Take-off before it was changed last.
    before: TakeOff,
    valve: f64,
    /// Take-off of the second before, mL/min.
    rate_ml_min: f64,
    reckoned: Point,
    course: Vec<Point>,
    /// What measured jars add to the reckoning.
    jar_ml: f64,
    jar_alcohol_ml: f64,
    /// Measured jars whose strength was read, mL: of spirit, of pure alcohol in it.
    read_ml: f64,
    read_alcohol_ml: f64,
    /// What the charge holds, mL: of liquid, of pure alcohol.
    charge_ml: (f64, f64),
    /// Width of the band so far, mL: of what was reckoned, and of what was measured.
    reckoned_band_ml: f64,
    measured_ml: f64,
    /// Account at the start of the running step.
    step_start: Mark,
    /// Account at the starts and ends of what was drawn as hearts.
    hearts: Vec<(Mark, Option<Mark>)>,
    unseen: Unseen,
    /// Whether a scale weighs what runs now.
    pub(super) weighed: bool,
}

impl Drawn {
    /// Nothing drawn, take-off as planned.
    pub(super) fn new(take_off: TakeOff, charge_ml: (f64, f64)) -> Self {
        let nothing = Point { time_s: 0.0, ml: 0.0, alcohol_ml: 0.0 };
        Self {
            take_off,
            source: Source::Planned,
            since_s: 0.0,
            before: TakeOff::Closed,
            valve: 1.0,
            rate_ml_min: 0.0,
            reckoned: nothing,
            course: vec![nothing],
            jar_ml: 0.0,
            jar_alcohol_ml: 0.0,
            read_ml: 0.0,
            read_alcohol_ml: 0.0,
            charge_ml,
            reckoned_band_ml: 0.0,
            measured_ml: 0.0,
            step_start: (0.0, 0.0, 0.0),
            hearts: Vec::new(),
            unseen: Unseen::default(),
            weighed: false,
        }
    }

    /// The take-off is now another; the valve's error is unknown again.
    pub(super) fn change(&mut self, time_s: f64, take_off: TakeOff, source: Source) {
        self.before = self.take_off;
        self.take_off = take_off;
        self.source = source;
        self.since_s = time_s;
        self.valve = 1.0;
    }

    /// Whether a rate timed into a jug is of what ran before the valve was turned.
    pub(super) fn timed_before(&self, time_s: f64, timed: TakeOff) -> bool {
        let turn = ValveTurn { time_s: self.since_s, before: self.before, set: self.take_off };
        self.source == Source::Set && turn.is_of_before(time_s, timed)
    }

    /// Whether anything runs into the receiver.
    pub(super) fn open(&self) -> bool {
        match self.take_off {
            TakeOff::Closed => false,
            TakeOff::RefluxRatio(_) | TakeOff::RefluxWatts(_) => true,
            TakeOff::MlPerMin(rate) => rate > 0.0,
        }
    }

    /// Factor by which the valve draws more than it says, as the last jars show.
    pub(super) const fn valve(&self) -> f64 {
        self.valve
    }

    /// Relative half-width of the 95 % band of the present take-off.
    pub(super) fn rate_band(&self) -> f64 {
        if self.weighed { SCALE_BAND } else { self.source.band(self.take_off) }
    }

    /// A scale shows that so many times what is reckoned runs: so does the valve from now on.
    pub(super) fn valve_shows(&mut self, factor: f64, weight: f64) {
        let shown = self.valve * factor;
        if SCALE_RANGE.contains(&shown) {
            self.valve += weight * (shown - self.valve);
        }
    }

    /// Adds `seconds` at `rate` mL/min of that strength (a late action gives a difference).
    pub(super) fn add(&mut self, now_s: f64, seconds: f64, rate_ml_min: f64, strength_vol: f64) {
        let ml = rate_ml_min * seconds / 60.0;
        let before = std::mem::replace(&mut self.rate_ml_min, rate_ml_min);
        if (rate_ml_min - before).abs() > KINK * before.max(rate_ml_min) {
            self.keep_point();
        }
        self.reckoned.time_s = now_s;
        self.reckoned.ml += ml;
        self.reckoned.alcohol_ml += ml * strength_vol / 100.0;
        self.reckoned_band_ml += ml * self.rate_band();
        let due = self.course.last().is_none_or(|last| now_s - last.time_s >= COURSE_SPACING_S);
        if due && ml.abs() > 0.0 {
            self.keep_point();
        }
    }

    /// Remembers where the account stands; every second point goes where there are too many.
    fn keep_point(&mut self) {
        if self.course.last().is_some_and(|last| last.time_s >= self.reckoned.time_s) {
            return;
        }
        if self.course.len() >= COURSE_MAX {
            let mut keep = false;
            self.course.retain(|_| {
                keep = !keep;
                keep
            });
        }
        self.course.push(self.reckoned);
    }

    fn reckoned_at(&self, time_s: f64) -> Point {
        if time_s >= self.reckoned.time_s {
            return self.reckoned;
        }
        let after = self.course.partition_point(|point| point.time_s <= time_s);
        let Some(low) = self.course.get(after.wrapping_sub(1)).copied() else {
            return Point { time_s, ml: 0.0, alcohol_ml: 0.0 };
        };
        let high = self.course.get(after).copied().unwrap_or(self.reckoned);
        let width = high.time_s - low.time_s;
        let share = if width > 0.0 { ((time_s - low.time_s) / width).clamp(0.0, 1.0) } else { 0.0 };
        Point {
            time_s,
            ml: low.ml + share * (high.ml - low.ml),
            alcohol_ml: low.alcohol_ml + share * (high.alcohol_ml - low.alcohol_ml),
        }
    }

    /// What was reckoned between two moments that were recorded: mL at 20 °C, mL of pure alcohol.
    pub(super) fn between(&self, start_s: f64, end_s: f64) -> (f64, f64) {
        difference(self.reckoned_at(edge(start_s)), self.reckoned_at(edge(end_s)))
    }

    /// The same from a recorded moment on.
    pub(super) fn since(&self, start_s: f64) -> (f64, f64) {
        difference(self.reckoned_at(edge(start_s)), self.reckoned)
    }

    /// A jar was measured: `ml` at 20 °C, with its strength where it was gauged. `before` is what
    /// an earlier record of the same jar said; returns what is to be kept as such.
    pub(super) fn jar(
        &mut self,
        (start_s, end_s): (f64, f64),
        ml: f64,
        strength_vol: Option<f64>,
        before: Option<JarShare>,
    ) -> JarShare {
        if let Some(before) = before {
            self.apply(before, -1.0);
        }
        let (reckoned_ml, reckoned_alcohol) = self.between(start_s, end_s);
        let by_ratio = if reckoned_ml > 0.0 { reckoned_alcohol * ml / reckoned_ml } else { 0.0 };
        let read = strength_vol.map(|strength| (ml, ml * strength / 100.0));
        let alcohol_ml = read.map_or(by_ratio, |read| read.1);
        let share = JarShare {
            end_s,
            ml: ml - reckoned_ml,
            alcohol_ml: alcohol_ml - reckoned_alcohol,
            band_ml: reckoned_ml * self.rate_band(),
            measured_ml: ml,
            // A jug knows nothing of strength: what is reckoned is no evidence against the charge.
            read: read.unwrap_or_default(),
        };
        self.apply(share, 1.0);
        let seen = self.seen_by_jar((start_s, end_s));
        // What was weighed was weighed by the scale, not reckoned by the valve.
        if seen
            && !self.weighed
            && self.since_s <= start_s
            && reckoned_ml * self.valve >= VALVE_JAR_ML
        {
            let seen = ml / reckoned_ml * self.valve;
            if VALVE_RANGE.contains(&seen) {
                self.valve = 0.5 * (self.valve + seen);
            }
        }
        share
    }

    fn apply(&mut self, share: JarShare, sign: f64) {
        self.jar_ml += sign * share.ml;
        self.jar_alcohol_ml += sign * share.alcohol_ml;
        self.measured_ml += sign * share.measured_ml;
        self.read_ml += sign * share.read.0;
        self.read_alcohol_ml += sign * share.read.1;
        self.reckoned_band_ml = (self.reckoned_band_ml - sign * share.band_ml).max(0.0);
        // A jar that ended with the step before belongs to the time before.
        let hearts = self.hearts.iter_mut();
        let hearts = hearts.flat_map(|(start, end)| [Some(start), end.as_mut()]).flatten();
        let marks = std::iter::once(&mut self.step_start).chain(hearts);
        for mark in marks.filter(|mark| share.end_s <= mark.2 + 60.0) {
            mark.0 += sign * share.ml;
            mark.1 += sign * share.alcohol_ml;
        }
    }

    /// Everything drawn, mL at 20 °C.
    pub(super) fn ml(&self) -> f64 {
        let measured_ml = (self.measured_ml, JAR_BAND * self.measured_ml);
        held_to(self.reckoned.ml + self.jar_ml, measured_ml, self.charge_ml.0)
    }

    /// Pure alcohol in it, mL.
    pub(super) fn alcohol_ml(&self) -> f64 {
        let all_ml = self.reckoned.alcohol_ml + self.jar_alcohol_ml;
        let doubt_ml = JAR_BAND * self.read_alcohol_ml + GLASS_BAND_VOL / 100.0 * self.read_ml;
        held_to(all_ml, (self.read_alcohol_ml, doubt_ml), self.charge_ml.1)
    }

    /// Half-width of the 95 % band of [`Self::ml`], mL.
    pub(super) fn band_ml(&self) -> f64 {
        self.reckoned_band_ml + JAR_BAND * self.measured_ml + LEAST_BAND_ML
    }

    /// A step begins, which draws hearts or does not.
    pub(super) fn step_begins(&mut self, time_s: f64, hearts: bool) {
        self.step_start = (self.ml(), self.alcohol_ml(), time_s);
        let room = self.hearts.len() < HEARTS_MAX;
        let open = self.hearts.last_mut().filter(|(_, end)| end.is_none());
        match (open, hearts) {
            (Some((_, end)), false) => *end = Some(self.step_start),
            (None, true) if room => self.hearts.push((self.step_start, None)),
            _ => {}
        }
    }

    /// Drawn in the running step, mL.
    pub(super) fn step_ml(&self) -> f64 {
        (self.ml() - self.step_start.0).max(0.0)
    }

    /// When hearts were first drawn, s.
    pub(super) fn hearts_since_s(&self) -> Option<f64> {
        self.hearts.first().map(|(start, _)| start.2)
    }

    /// Drawn as hearts: mL, mL of pure alcohol; none before there were any.
    pub(super) fn hearts_ml(&self) -> Option<(f64, f64)> {
        let now = (self.ml(), self.alcohol_ml(), self.reckoned.time_s);
        let spans = self.hearts.iter().map(|(start, end)| {
            let end = end.unwrap_or(now);
            ((end.0 - start.0).max(0.0), (end.1 - start.1).max(0.0))
        });
        // What was taken out of the reckoning is out of both: hearts are part of what was drawn.
        let hearts = spans.reduce(|a, b| (a.0 + b.0, a.1 + b.1))?;
        Some((hearts.0.min(now.0), hearts.1.min(now.1)))
    }
}

/// What jars measured clearly over the charge was there, whatever the charge was said to hold; what
/// is only reckoned, or over it within the doubt of jug and glass, is held to it.
fn held_to(all_ml: f64, (measured_ml, doubt_ml): (f64, f64), charge_ml: f64) -> f64 {
    let clearly_over = measured_ml - doubt_ml > charge_ml;
    all_ml.clamp(0.0, if clearly_over { measured_ml } else { charge_ml.max(0.0) })
}

/// What one measured jar changes in the account.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct JarShare {
    end_s: f64,
    ml: f64,
    alcohol_ml: f64,
    band_ml: f64,
    measured_ml: f64,
    /// Where its strength was read, mL: of spirit, of pure alcohol in it.
    read: (f64, f64),
}

#[cfg(test)]
mod tests;
