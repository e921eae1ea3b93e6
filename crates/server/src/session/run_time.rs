//! Run time: what has passed since heater on, by a clock that nobody sets; and what the clock on
//! the wall showed meanwhile. Pure.

use store::ClockAnchor;

use crate::clock::Moment;

/// A clock that is off by less than this was not set; judgement: a feeder may be off by as much.
const STEP_LEAST_MS: i64 = 2000;
/// Most steps of the clock that one run takes note of.
const STEPS_MAX: usize = 200;
/// Longest stop of the program that counts as run time: a day. A still that was hot then is not
/// hot now; and of the clock on the wall no more is believed, for a board without a clock of its own
/// begins years back and jumps forward once it has heard the time.
const STOP_MAX_MS: i64 = 86_400_000;
/// How far ahead of this computer's clock a stamp may lie, s.
pub(super) const AHEAD_MAX_S: f64 = 5.0;

/// Why the clocks are written down again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cause {
    /// The clock on the wall was set while the program ran.
    Set,
    /// It was set while the program was stopped and the steady clock ran on.
    SetMeanwhile,
    /// After a stop the clock on the wall is all there is, and it cannot be believed.
    Unbelieved,
    /// By the steady clock the stop was longer than counts as run time.
    LongStop,
    /// After a stop the clock on the wall was believed: the steady one began anew.
    Anew,
}

/// What the clocks show is to be written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ClockStep {
    /// What they show now, and the run time.
    pub(super) anchor: ClockAnchor,
    /// How far apart they are, ms, or how long the stop was; forward is positive.
    pub(super) by_ms: i64,
    /// Why.
    pub(super) cause: Cause,
}

/// Run time after a stop of the program.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Resumed {
    /// As it goes on.
    pub(super) time: RunTime,
    /// What is to be written down of the clocks.
    pub(super) step: Option<ClockStep>,
    /// Whether the steady clock ran on, so that how long the stop was is known.
    pub(super) steady: bool,
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

/// Run time by the steady clock; none where it began anew since.
fn steady_run_ms(anchor: ClockAnchor, now: Moment) -> Option<i64> {
    Some(ms(anchor.time_s).saturating_add(now.since_ms(anchor.steady?)?))
}

impl RunTime {
    /// Run time 0 was so long ago.
    pub(super) fn begun(now: Moment, ago_ms: i64) -> Self {
        let (utc_ms, steady) = (now.wall_ms - ago_ms, now.steady_mark(ago_ms));
        let anchors = vec![ClockAnchor { time_s: 0.0, utc_ms, steady }];
        Self { zero_steady_ms: now.steady_ms - ago_ms, anchors }
    }

    /// Run time after a stop of the program: by the steady clock where that ran on, else by the one
    /// on the wall as far as it can be believed, never before `last_s`, the last that was stored.
    pub(super) fn resumed(anchors: Vec<ClockAnchor>, last_s: f64, now: Moment) -> Option<Resumed> {
        let (last, last_ms) = (*anchors.last()?, ms(last_s));
        let by_steady_ms =
            steady_run_ms(last, now).filter(|run_ms| *run_ms >= last_ms - ms(AHEAD_MAX_S));
        let by_wall_ms = run_ms(last, now.wall_ms);
        let off_ms = by_steady_ms.unwrap_or(by_wall_ms).saturating_sub(last_ms);
        let (elapsed_ms, cause) = match by_steady_ms {
            Some(run_ms) if off_ms <= STOP_MAX_MS => (run_ms, Cause::SetMeanwhile),
            Some(_) => (last_ms, Cause::LongStop),
            None if (-STEP_LEAST_MS..=STOP_MAX_MS).contains(&off_ms) => {
                (by_wall_ms.max(last_ms), Cause::Anew)
            }
            None => (last_ms, Cause::Unbelieved),
        };
        let mut time = Self { zero_steady_ms: now.steady_ms - elapsed_ms, anchors };
        let step = match cause {
            Cause::SetMeanwhile => time.look_for(now, cause),
            Cause::Anew if now.boot.is_none() => None,
            _ => time.set(now, off_ms, cause),
        };
        Some(Resumed { time, step, steady: by_steady_ms.is_some() })
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
        self.look_for(now, Cause::Set)
    }

    fn look_for(&mut self, now: Moment, cause: Cause) -> Option<ClockStep> {
        let should_be_ms = wall_ms(*self.anchors.last()?, self.elapsed_ms(now));
        let by_ms = now.wall_ms.saturating_sub(should_be_ms);
        if by_ms.saturating_abs() < STEP_LEAST_MS {
            return None;
        }
        self.set(now, by_ms, cause)
    }

    fn set(&mut self, now: Moment, by_ms: i64, cause: Cause) -> Option<ClockStep> {
        if self.anchors.len() > STEPS_MAX {
            return None;
        }
        let time_s = self.elapsed_ms(now) as f64 / 1000.0;
        let anchor = ClockAnchor { time_s, utc_ms: now.wall_ms, steady: now.steady_mark(0) };
        self.anchors.push(anchor);
        Some(ClockStep { anchor, by_ms, cause })
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

#[cfg(test)]
mod tests {
    use store::BootId;

    use super::{Cause, RunTime};
    use crate::clock::Moment;

    const NOON_MS: i64 = 1_790_000_000_000;

    /// So long after heater on, with a clock that is off by so much, s.
    fn at(run_s: i64, off_s: i64) -> Moment {
        let wall_ms = NOON_MS + (run_s + off_s) * 1000;
        Moment { wall_ms, steady_ms: 5_000 + run_s * 1000, boot: None }
    }

    #[test]
    fn a_clock_set_back_or_forward_is_said_once_and_does_not_move_run_time() {
        for off_s in [-600, 100_000, 3] {
            let mut time = RunTime::begun(at(0, 0), 0);
            assert_eq!(time.look(at(100, 0)), None);
            let step = time.look(at(200, off_s)).expect("a step");
            assert_eq!((step.by_ms, step.cause), (off_s * 1000, Cause::Set));
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

    /// Run time in seconds after a stop, and what is written down of the clocks.
    fn resumed(began: Moment, last_s: f64, now: Moment) -> (i64, Option<Cause>) {
        let anchors = RunTime::begun(began, 0).anchors;
        let resumed = RunTime::resumed(anchors, last_s, now).expect("it had begun");
        (resumed.time.elapsed_ms(now) / 1000, resumed.step.map(|step| step.cause))
    }

    #[test]
    fn after_a_stop_run_time_goes_by_the_wall_within_bounds() {
        let after = |now: Moment| resumed(at(0, 0), 900.0, now);
        assert_eq!(after(at(1500, 0)), (1500, None));
        assert_eq!(after(at(899, 0)), (900, None));
        assert_eq!(after(at(900, -600)), (900, Some(Cause::Unbelieved)), "back");
        let far = after(at(900, 200_000));
        assert_eq!(far, (900, Some(Cause::Unbelieved)), "forward by more than a day");
        assert!(RunTime::resumed(Vec::new(), 0.0, at(0, 0)).is_none());
    }

    #[test]
    fn after_a_stop_on_the_same_start_run_time_goes_by_the_steady_clock() {
        let on = |boot: &str, moment: Moment| Moment { boot: BootId::read(boot), ..moment };
        let (one, other) = (&"1".repeat(32), &"2".repeat(32));
        let after = |now: Moment| resumed(on(one, at(0, 0)), 900.0, now);
        assert_eq!(after(on(one, at(1500, 0))), (1500, None));
        assert_eq!(after(on(one, at(897, 0))), (897, None), "a row had been stamped ahead");
        for off_s in [21_600, -600, 200_000, -40_000_000] {
            assert_eq!(after(on(one, at(1500, off_s))), (1500, Some(Cause::SetMeanwhile)));
        }
        assert_eq!(after(on(one, at(200_000, 0))), (900, Some(Cause::LongStop)));
        // A clock that is behind what it showed is another one, whatever its name.
        assert_eq!(after(on(one, at(300, 900))), (1200, Some(Cause::Anew)));
        assert_eq!(after(on(other, at(1500, 600))), (2100, Some(Cause::Anew)));
        assert_eq!(after(on(other, at(1500, -1000))), (900, Some(Cause::Unbelieved)));
        assert_eq!(after(at(1500, 0)), (1500, None), "no name: nothing new to write down");
    }
}
