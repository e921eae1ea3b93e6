//! The only place of the server that reads clocks: the wall's, which can be set, and one that only
//! runs and counts the time the computer sleeps.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{SystemTime, UNIX_EPOCH};

use store::{BootId, SteadyMark};

/// The computer's clocks, or a test's own.
#[derive(Debug, Clone, Default)]
pub struct Clock(Option<Arc<HandClock>>);

/// Both clocks, read together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Moment {
    /// Milliseconds since 1970 UTC, as the computer has it now: somebody may set it.
    pub(crate) wall_ms: i64,
    /// Milliseconds since some moment before the program began: never set, counts sleep.
    pub(crate) steady_ms: i64,
    /// The start of the computer since when the steady clock runs; none where it is not known
    /// whether a program that is started later reads the same clock.
    pub(crate) boot: Option<BootId>,
}

impl Moment {
    /// What the steady clock showed so long ago, for a program that is started later.
    pub(crate) fn steady_mark(self, ago_ms: i64) -> Option<SteadyMark> {
        self.boot.map(|boot| SteadyMark { boot, ms: self.steady_ms - ago_ms })
    }

    /// How long ago that was by the steady clock, ms; none if it began anew since.
    pub(crate) fn since_ms(self, mark: SteadyMark) -> Option<i64> {
        (self.boot == Some(mark.boot)).then(|| self.steady_ms.saturating_sub(mark.ms))
    }
}

/// Two clocks that stand until they are moved.
#[derive(Debug)]
pub struct HandClock {
    wall_ms: AtomicI64,
    steady_ms: AtomicI64,
    boot: Option<BootId>,
}

/// What the steady clock of a test begins with: it has nothing to do with the wall's.
const HAND_STEADY_MS: i64 = 86_400_000;

impl HandClock {
    /// Time passes: both clocks run.
    pub fn pass_ms(&self, ms: i64) {
        self.wall_ms.fetch_add(ms, Ordering::SeqCst);
        self.steady_ms.fetch_add(ms, Ordering::SeqCst);
    }

    /// Somebody sets the clock on the wall; no time passes.
    pub fn step_wall_ms(&self, ms: i64) {
        self.wall_ms.fetch_add(ms, Ordering::SeqCst);
    }
}

impl Clock {
    /// Clocks that stand until they are moved, of a computer that has no name for its starts.
    #[must_use]
    pub fn by_hand(now_ms: i64) -> (Self, Arc<HandClock>) {
        Self::by_hand_of(None, now_ms)
    }

    /// As [`Clock::by_hand`], of a computer that has just begun.
    #[must_use]
    pub fn by_hand_of(boot: Option<BootId>, now_ms: i64) -> (Self, Arc<HandClock>) {
        let (wall_ms, steady_ms) = (AtomicI64::new(now_ms), AtomicI64::new(HAND_STEADY_MS));
        let hand = Arc::new(HandClock { wall_ms, steady_ms, boot });
        (Self(Some(Arc::clone(&hand))), hand)
    }

    /// Now on the wall, ms UTC.
    #[must_use]
    pub fn now_ms(&self) -> i64 {
        self.moment().wall_ms
    }

    /// Now on both clocks.
    #[must_use]
    pub(crate) fn moment(&self) -> Moment {
        if let Some(hand) = &self.0 {
            let wall_ms = hand.wall_ms.load(Ordering::SeqCst);
            let steady_ms = hand.steady_ms.load(Ordering::SeqCst);
            return Moment { wall_ms, steady_ms, boot: hand.boot };
        }
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let wall_ms = i64::try_from(since.as_millis()).unwrap_or(i64::MAX);
        Moment { wall_ms, steady_ms: steady_ms(), boot: boot() }
    }
}

/// Time since the computer began, with the time it slept, ms.
#[cfg(target_os = "linux")]
fn steady_ms() -> i64 {
    use std::time::Duration;

    use rustix::time::{ClockId, clock_gettime};
    let since = Duration::try_from(clock_gettime(ClockId::Boottime)).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

/// The system's name for this start of the computer.
#[cfg(target_os = "linux")]
fn boot() -> Option<BootId> {
    use std::sync::OnceLock;
    static BOOT: OnceLock<Option<BootId>> = OnceLock::new();
    let read = || BootId::read(&std::fs::read_to_string("/proc/sys/kernel/random/boot_id").ok()?);
    *BOOT.get_or_init(read)
}

/// The clock here begins with the program.
#[cfg(not(target_os = "linux"))]
const fn boot() -> Option<BootId> {
    None
}

/// Time since the program first asked, ms. Whether sleep counts is up to the system.
#[cfg(not(target_os = "linux"))]
fn steady_ms() -> i64 {
    use std::sync::OnceLock;
    use std::time::Instant;
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    i64::try_from(BEGAN.get_or_init(Instant::now).elapsed().as_millis()).unwrap_or(i64::MAX)
}

/// The computer's offset from UTC at that moment, minutes east.
#[must_use]
pub fn zone_offset_minutes(at_ms: i64) -> i32 {
    let zone = jiff::tz::TimeZone::system();
    jiff::Timestamp::from_millisecond(at_ms).map_or(0, |at| zone.to_offset(at).seconds() / 60)
}

/// Milliseconds of a minute.
const MINUTE_MS: i64 = 60_000;

/// The last moment of a period as it is typed: of a month, as `2026-10`, in the zone of this computer,
/// or a moment with its zone. Nothing for any other text.
#[must_use]
pub fn period_end_ms(typed: &str) -> Option<i64> {
    if let Some((ms, _)) = store::time::parse_start(typed) {
        return Some(ms);
    }
    let first = store::time::parse_start(&format!("{typed}-01T00:00:00Z"));
    let (first_ms, _) = first.filter(|_| typed.len() == 7)?;
    let end_ms = account::month_end_ms(first_ms);
    Some(end_ms - i64::from(zone_offset_minutes(end_ms)) * MINUTE_MS)
}
