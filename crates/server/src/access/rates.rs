//! How often somebody may ask, knock and guess: a bounded number of buckets that fill with time.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};

use crate::problem::{ApiError, Refusal};

/// What a bucket holds, and how fast it fills again.
#[derive(Debug, Clone, Copy)]
struct Measure {
    most: f64,
    per_s: f64,
}

/// Somebody who was let in. Judgement: a page that opens asks some thirty times, a board at 10 Hz ten
/// times a second.
const ASKS: Measure = Measure { most: 300.0, per_s: 50.0 };
/// Somebody who was not. Judgement: a page that pairs asks six times.
const KNOCKS: Measure = Measure { most: 60.0, per_s: 5.0 };
/// Wrong codes of one address: five at once, then one in two minutes. Judgement: a person mistypes
/// twice.
const GUESSES: Measure = Measure { most: 5.0, per_s: 1.0 / 120.0 };
/// Wrong codes of all addresses together. Judgement.
const ALL_GUESSES: Measure = Measure { most: 50.0, per_s: 0.1 };

/// Most buckets that are kept; judgement: far more than a house has devices.
const BUCKETS_MAX: usize = 1024;

/// Whose bucket.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Whose {
    Asks(String),
    Knocks(IpAddr),
    Guesses(IpAddr),
    AllGuesses,
}

#[derive(Debug, Clone, Copy)]
struct Bucket {
    left: f64,
    at_ms: i64,
}

/// All buckets.
#[derive(Debug, Default)]
pub(crate) struct Rates(Mutex<HashMap<Whose, Bucket>>);

impl Rates {
    /// Somebody who was let in asks.
    pub(super) fn must_ask_slowly(&self, id: &str, now_ms: i64) -> Result<(), ApiError> {
        self.take(Whose::Asks(id.to_owned()), ASKS, now_ms)
    }

    /// Somebody who was not let in asks.
    pub(super) fn must_knock_slowly(&self, ip: IpAddr, now_ms: i64) -> Result<(), ApiError> {
        self.take(Whose::Knocks(net_of(ip)), KNOCKS, now_ms)
    }

    /// Somebody tells a code: refused while too many wrong ones were told.
    pub(super) fn must_guess_slowly(&self, ip: IpAddr, now_ms: i64) -> Result<(), ApiError> {
        self.must_hold(&Whose::Guesses(net_of(ip)), GUESSES, now_ms)?;
        self.must_hold(&Whose::AllGuesses, ALL_GUESSES, now_ms)
    }

    /// It was wrong.
    pub(super) fn note_wrong_guess(&self, ip: IpAddr, now_ms: i64) {
        // It was checked before that there is one left; of two at once the second finds none.
        let _ = self.take(Whose::Guesses(net_of(ip)), GUESSES, now_ms);
        let _ = self.take(Whose::AllGuesses, ALL_GUESSES, now_ms);
    }

    fn must_hold(&self, whose: &Whose, measure: Measure, now_ms: i64) -> Result<(), ApiError> {
        let buckets = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let left = buckets.get(whose).map_or(measure.most, |bucket| bucket.now(measure, now_ms));
        must_be_one(left, measure)
    }

    fn take(&self, whose: Whose, measure: Measure, now_ms: i64) -> Result<(), ApiError> {
        let mut buckets = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= BUCKETS_MAX && !buckets.contains_key(&whose) {
            // The one that was not used for longest is the fullest of its kind, or nearly.
            let oldest = buckets.iter().min_by_key(|(_, bucket)| bucket.at_ms);
            if let Some(oldest) = oldest.map(|(whose, _)| whose.clone()) {
                buckets.remove(&oldest);
            }
        }
        let full = Bucket { left: measure.most, at_ms: now_ms };
        let bucket = buckets.entry(whose).or_insert(full);
        let left = bucket.now(measure, now_ms);
        must_be_one(left, measure)?;
        *bucket = Bucket { left: left - 1.0, at_ms: now_ms };
        Ok(())
    }
}

impl Bucket {
    fn now(self, measure: Measure, now_ms: i64) -> f64 {
        let passed_s = (now_ms - self.at_ms).max(0) as f64 / 1000.0;
        (self.left + passed_s * measure.per_s).min(measure.most)
    }
}

fn must_be_one(left: f64, measure: Measure) -> Result<(), ApiError> {
    if left >= 1.0 {
        return Ok(());
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some seconds")]
    let wait_s = ((1.0 - left) / measure.per_s).ceil().max(1.0) as u64;
    Err(ApiError::Door(Refusal::TooOften { wait_s }))
}

/// Of an address of IPv6 the net: a device has as many addresses in it as it likes (RFC 4291).
fn net_of(ip: IpAddr) -> IpAddr {
    match ip.to_canonical() {
        IpAddr::V6(v6) => IpAddr::V6((v6.to_bits() >> 64 << 64).into()),
        v4 @ IpAddr::V4(_) => v4,
    }
}

#[cfg(test)]
mod tests {
    use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

    use super::{BUCKETS_MAX, Rates};

    #[test]
    fn guesses_run_out_for_one_address_and_then_for_all() {
        let rates = Rates::default();
        let ip = |last: u8| IpAddr::V4(Ipv4Addr::new(10, 0, 0, last));
        let guess = |last: u8, now_ms: i64| {
            rates.must_guess_slowly(ip(last), now_ms)?;
            rates.note_wrong_guess(ip(last), now_ms);
            Ok::<(), crate::problem::ApiError>(())
        };
        assert!((0..5).all(|_| guess(1, 0).is_ok()));
        assert!(guess(1, 0).is_err() && guess(1, 60_000).is_err());
        assert!(guess(2, 60_000).is_ok(), "another address may");
        assert!(guess(1, 121_000).is_ok() && guess(1, 121_000).is_err());
        assert!((10..).take(60).any(|last| guess(last, 121_000).is_err()), "all of them together");
    }

    #[test]
    fn asking_is_bounded_and_so_is_what_is_remembered() {
        let rates = Rates::default();
        assert!((0..300).all(|_| rates.must_ask_slowly("a", 0).is_ok()));
        assert!(rates.must_ask_slowly("a", 0).is_err());
        assert!(rates.must_ask_slowly("b", 0).is_ok());
        assert!(rates.must_ask_slowly("a", 1000).is_ok());
        for net in 0..2 * BUCKETS_MAX as u128 {
            let _ = rates.must_knock_slowly(IpAddr::V6(Ipv6Addr::from_bits(net << 64)), 2000);
        }
        assert!(rates.0.lock().unwrap().len() <= BUCKETS_MAX);
    }
}
