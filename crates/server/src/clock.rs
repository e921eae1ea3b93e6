//! The only place of the server that reads a clock.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{SystemTime, UNIX_EPOCH};

/// Milliseconds since 1970 UTC: the computer's, or a test's own.
#[derive(Debug, Clone, Default)]
pub struct Clock(Option<Arc<AtomicI64>>);

impl Clock {
    /// A clock that stands until it is moved.
    #[must_use]
    pub fn by_hand(now_ms: i64) -> (Self, Arc<AtomicI64>) {
        let hand = Arc::new(AtomicI64::new(now_ms));
        (Self(Some(Arc::clone(&hand))), hand)
    }

    /// Now, ms UTC.
    #[must_use]
    pub fn now_ms(&self) -> i64 {
        if let Some(hand) = &self.0 {
            return hand.load(Ordering::SeqCst);
        }
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
    }
}

/// The computer's offset from UTC at that moment, minutes east.
pub(crate) fn zone_offset_minutes(at_ms: i64) -> i32 {
    let zone = jiff::tz::TimeZone::system();
    jiff::Timestamp::from_millisecond(at_ms).map_or(0, |at| zone.to_offset(at).seconds() / 60)
}
