//! Run time: what has passed since heater on, by a clock that nobody sets; and what the clock on
//! the wall showed meanwhile. Pure.

use advise::{Event, EventKind, Priority};
use store::ClockAnchor;

use crate::clock::Moment;

/// A clock that is off by less than this was not set; judgement: a feeder may be off by as much.
const STEP_LEAST_MS: i64 = 2000;
/// Most steps of the clock that one run takes note of.
const STEPS_MAX: usize = 200;
/// Longest stop of the program that is believed of the clock alone: a day. A board without a
/// clock of its own begins years back and jumps forward once it has heard the time.
const STOP_MAX_MS: i64 = 86_400_000;
/// A stop of the program that is told, ms; judgement: one draws a jar in some minutes.
const UNATTENDED_LEAST_MS: i64 = 60_000;
/// How far ahead of this computer's clock a stamp may lie, s.
pub(super) const AHEAD_MAX_S: f64 = 5.0;

/// The clock on the wall was set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ClockStep {
    /// What it shows now, and the run time.
    pub(super) anchor: ClockAnchor,
    /// How far, ms; forward is positive.
    by_ms: i64,
    /// Whether it happened while the program was stopped.
    stopped: bool,
}

/// Run time and the wall's clock beside it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RunTime {
    /// What the steady clock showed at run time 0.
    zero_steady_ms: i64,
    /// At least one; in the order of run time.
    anchors: Vec<ClockAnchor>,
}

/// The whole millisecond.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
fn ms(time_s: f64) -> i64 {
    (time_s * 1000.0).round() as i64
}

fn wall_ms(anchor: ClockAnchor, run_ms: i64) -> i64 {
    anchor.utc_ms + run_ms - ms(anchor.time_s)
}

fn run_ms(anchor: ClockAnchor, utc_ms: i64) -> i64 {
    ms(anchor.time_s).saturating_add(utc_ms.saturating_sub(anchor.utc_ms))
}

impl RunTime {
    /// Run time 0 was so long ago.
    pub(super) fn begun(now: Moment, ago_ms: i64) -> Self {
        let anchors = vec![ClockAnchor { time_s: 0.0, utc_ms: now.wall_ms - ago_ms }];
        Self { zero_steady_ms: now.steady_ms - ago_ms, anchors }
    }

    /// Run time after a stop of the program, by the clock on the wall as far as that can be
    /// believed: never before `last_s`, the last that was stored, and no more than a day after.
    pub(super) fn resumed(
        anchors: Vec<ClockAnchor>,
        last_s: f64,
        now: Moment,
    ) -> Option<(Self, Option<ClockStep>)> {
        let last_ms = ms(last_s);
        let by_wall_ms = run_ms(*anchors.last()?, now.wall_ms);
        let off_ms = by_wall_ms.saturating_sub(last_ms);
        let believed = (-STEP_LEAST_MS..=STOP_MAX_MS).contains(&off_ms);
        let elapsed_ms = if believed { by_wall_ms.max(last_ms) } else { last_ms };
        let mut time = Self { zero_steady_ms: now.steady_ms - elapsed_ms, anchors };
        let step = if believed { None } else { time.set(now, off_ms, true) };
        Some((time, step))
    }

    /// Run time of a run that is over, or that no clock moves on: only for looking up moments.
    pub(super) fn standing(anchors: Vec<ClockAnchor>, now: Moment) -> Option<Self> {
        (!anchors.is_empty()).then_some(Self { zero_steady_ms: now.steady_ms, anchors })
    }

    /// Milliseconds since heater on.
    pub(super) fn elapsed_ms(&self, now: Moment) -> i64 {
        (now.steady_ms - self.zero_steady_ms).max(0)
    }

    /// Takes note of a clock that was set since it was last looked at.
    pub(super) fn look(&mut self, now: Moment) -> Option<ClockStep> {
        let should_be_ms = wall_ms(*self.anchors.last()?, self.elapsed_ms(now));
        let by_ms = now.wall_ms.saturating_sub(should_be_ms);
        if by_ms.saturating_abs() < STEP_LEAST_MS {
            return None;
        }
        self.set(now, by_ms, false)
    }

    fn set(&mut self, now: Moment, by_ms: i64, stopped: bool) -> Option<ClockStep> {
        if self.anchors.len() > STEPS_MAX {
            return None;
        }
        let time_s = self.elapsed_ms(now) as f64 / 1000.0;
        let anchor = ClockAnchor { time_s, utc_ms: now.wall_ms };
        self.anchors.push(anchor);
        Some(ClockStep { anchor, by_ms, stopped })
    }

    /// A step that could not be stored: it is noticed again.
    pub(super) fn forget_last(&mut self) {
        if self.anchors.len() > 1 {
            self.anchors.pop();
        }
    }

    /// What the clock on the wall showed then, ms UTC.
    pub(super) fn utc_ms(&self, time_s: f64) -> i64 {
        let after = self.anchors.partition_point(|anchor| anchor.time_s <= time_s);
        let anchor = self.anchors.get(after.saturating_sub(1));
        anchor.map_or(0, |anchor| wall_ms(*anchor, ms(time_s)))
    }

    /// Run time 0 by the clock as it goes now, ms UTC.
    pub(super) fn zero_utc_ms(&self) -> i64 {
        self.anchors.last().map_or(0, |anchor| wall_ms(*anchor, 0))
    }

    /// Run time of a moment that somebody read off a clock; none before heater on, ahead of now,
    /// or where the clock was set past it. Of two the later.
    pub(super) fn of_utc_ms(&self, utc_ms: i64, now: Moment) -> Option<f64> {
        let mut until_s = self.elapsed_ms(now) as f64 / 1000.0 + AHEAD_MAX_S;
        for anchor in self.anchors.iter().rev() {
            let time_s = run_ms(*anchor, utc_ms) as f64 / 1000.0;
            if (anchor.time_s..=until_s).contains(&time_s) {
                return Some(time_s);
            }
            until_s = anchor.time_s;
        }
        None
    }
}

impl ClockStep {
    /// What is said of it.
    pub(super) fn event(&self) -> Event {
        let far = long((self.by_ms.saturating_abs() + 500) / 1000);
        let way = if self.by_ms < 0 { "back" } else { "forward" };
        let text = if self.stopped {
            let side = if self.by_ms < 0 { "before" } else { "after" };
            format!(
                "This computer's clock shows {far} {side} the last entry of this run. Run time \
                 goes on from that entry."
            )
        } else {
            format!("This computer's clock was set {way} by {far}. Run time goes on as before.")
        };
        Event {
            time_s: self.anchor.time_s,
            kind: EventKind::State,
            code: "clock_set",
            priority: Priority::Low,
            text,
            how_sure: "compared with run time, which no clock setting changes".to_owned(),
            to_do: String::new(),
            within_s: None,
        }
    }
}

/// That a run went on unattended from `last_s`, the last that was stored, until it was opened again;
/// none where that was not long.
pub(super) fn unattended(last_s: f64, now_s: f64) -> Option<Event> {
    let away_ms = ms(now_s - last_s);
    (away_ms >= UNATTENDED_LEAST_MS).then(|| Event {
        time_s: now_s,
        kind: EventKind::State,
        code: "unattended",
        priority: Priority::Low,
        text: format!(
            "The program did not attend this run for {}. Nothing of that time is known: what ran is \
             reckoned as it was set before. Look at the jar and at the still.",
            long(away_ms / 1000)
        ),
        how_sure: "from the last entry to now, by the clock of this computer".to_owned(),
        to_do: String::new(),
        within_s: None,
    })
}

/// A length of time in words, to two units.
fn long(seconds: i64) -> String {
    match seconds {
        ..60 => format!("{seconds} s"),
        60..3600 => format!("{} min {} s", seconds / 60, seconds % 60),
        3600..86_400 => format!("{} h {} min", seconds / 3600, seconds % 3600 / 60),
        _ => format!("{} d {} h", seconds / 86_400, seconds % 86_400 / 3600),
    }
}

#[cfg(test)]
mod tests {
    use super::{ClockAnchor, RunTime};
    use crate::clock::Moment;

    const NOON_MS: i64 = 1_790_000_000_000;

    /// So long after heater on, with a clock that is off by so much, s.
    fn at(run_s: i64, off_s: i64) -> Moment {
        Moment { wall_ms: NOON_MS + (run_s + off_s) * 1000, steady_ms: 5_000 + run_s * 1000 }
    }

    #[test]
    fn a_clock_set_back_or_forward_is_said_once_and_does_not_move_run_time() {
        for off_s in [-600, 100_000, 3] {
            let mut time = RunTime::begun(at(0, 0), 0);
            assert_eq!(time.look(at(100, 0)), None);
            let step = time.look(at(200, off_s)).expect("a step");
            assert_eq!(step.event().code, "clock_set");
            assert_eq!(time.look(at(201, off_s)), None, "once");
            assert_eq!(time.elapsed_ms(at(201, off_s)), 201_000);
            assert_eq!(time.zero_utc_ms(), NOON_MS + off_s * 1000);
        }
    }

    #[test]
    fn a_clock_that_goes_a_little_wrong_was_not_set() {
        let mut time = RunTime::begun(at(0, 0), 0);
        assert!(time.look(at(100, 1)).is_none() && time.look(at(100, -1)).is_none());
    }

    #[test]
    fn stamps_go_by_the_clock_as_it_was_then() {
        let mut time = RunTime::begun(at(0, 0), 0);
        time.look(at(1000, -600)).expect("a step");
        let now = at(1100, -600);
        let of = |run_s: i64, off_s: i64| time.of_utc_ms(at(run_s, off_s).wall_ms, now);
        assert_eq!(of(1050, -600), Some(1050.0), "after the step");
        assert_eq!(of(300, 0), Some(300.0), "before it");
        assert_eq!(of(-5, 0), None, "before heater on");
        assert_eq!(of(1107, -600), Some(507.0), "ahead of now: the first time round");
        assert_eq!(
            (time.utc_ms(300.0), time.utc_ms(1050.0)),
            (at(300, 0).wall_ms, at(1050, -600).wall_ms)
        );
        let mut time = RunTime::begun(at(0, 0), 0);
        time.look(at(1000, 90_000)).expect("a step");
        let skipped = time.of_utc_ms(at(5000, 0).wall_ms, at(1100, 90_000));
        assert_eq!(skipped, None, "the clock never showed it");
    }

    #[test]
    fn after_a_stop_run_time_goes_by_the_wall_within_bounds() {
        let anchors = vec![ClockAnchor { time_s: 0.0, utc_ms: NOON_MS }];
        let resumed = |at: Moment| {
            let (time, step) = RunTime::resumed(anchors.clone(), 900.0, at).expect("it had begun");
            (time.elapsed_ms(at), step.is_some())
        };
        assert_eq!(resumed(at(1500, 0)), (1_500_000, false));
        assert_eq!(resumed(at(899, 0)), (900_000, false));
        assert_eq!(resumed(at(900, -600)), (900_000, true), "back");
        assert_eq!(resumed(at(900, 200_000)), (900_000, true), "forward by more than a day");
        assert!(RunTime::resumed(Vec::new(), 0.0, at(0, 0)).is_none());
    }
}
