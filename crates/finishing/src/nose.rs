//! Smelling the jars again without knowing which is which, and whether the nose says the same.

use crate::check::Bound;
use crate::error::FinishingError;

/// Most glasses in one round (judgement: a nose tires; more are smelled on another day).
pub const GLASSES_MAX: usize = 40;

/// One glass of a round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Glass {
    /// What stands on it: A, B, ... Z, AA, ...
    pub letter: String,
    /// The jar it was filled from.
    pub jar: u32,
    /// Whether that jar stands in the round a second time.
    pub again: bool,
}

/// What the nose says of a glass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Belongs to the hearts.
    Keep,
    /// Could go either way.
    Doubtful,
    /// Belongs to the feints.
    Leave,
}

/// The next number of a repeatable sequence: `SplitMix64` (source: Steele, Lea and Flood 2014).
fn next(state: &mut u64) -> u64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

fn shuffle<T>(things: &mut [T], state: &mut u64) {
    for last in (1..things.len()).rev() {
        let pick = next(state) % (last as u64 + 1);
        things.swap(last, usize::try_from(pick).unwrap_or(0));
    }
}

/// The letters of a glass, counted from 0.
fn letter(mut place: usize) -> String {
    let mut letters = String::new();
    loop {
        let digit = u8::try_from(place % 26).unwrap_or(0);
        letters.insert(0, char::from(b'A' + digit));
        if place < 26 {
            return letters;
        }
        place = place / 26 - 1;
    }
}

/// A round of these jars in an order that only the seed knows, with `repeats` of them poured twice.
/// The same seed gives the same round.
///
/// # Errors
/// [`FinishingError`] naming `jars` or `repeats`.
pub fn round(jars: &[u32], repeats: usize, seed: u64) -> Result<Vec<Glass>, FinishingError> {
    let hint = "two jars at least, no more than one nose can tell apart";
    let glasses = Bound::new(2.0, GLASSES_MAX as f64, "glasses", hint);
    glasses.check("jars", jars.len() as f64)?;
    let most = jars.len().min(GLASSES_MAX - jars.len()) as f64;
    Bound::new(0.0, most, "jars", "each jar is poured twice at most")
        .check("repeats", repeats as f64)?;
    let mut state = seed;
    let mut twice = jars.to_vec();
    shuffle(&mut twice, &mut state);
    let again = twice.into_iter().take(repeats).map(|jar| (jar, true));
    let mut order: Vec<(u32, bool)> = jars.iter().map(|&jar| (jar, false)).chain(again).collect();
    shuffle(&mut order, &mut state);
    let glasses = order.into_iter().enumerate();
    Ok(glasses.map(|(place, (jar, again))| Glass { letter: letter(place), jar, again }).collect())
}

/// How well the nose agrees with itself: glasses of the same jar that were told alike, of all that
/// stood twice.
#[must_use]
pub fn agreement(glasses: &[Glass], verdicts: &[Verdict]) -> Option<(usize, usize)> {
    if glasses.len() != verdicts.len() {
        return None;
    }
    let told = |jar: u32, again: bool| {
        let place = glasses.iter().position(|glass| glass.jar == jar && glass.again == again)?;
        Some(verdicts[place])
    };
    let twice = glasses.iter().filter(|glass| glass.again);
    let pairs: Vec<bool> =
        twice.filter_map(|glass| Some(told(glass.jar, true)? == told(glass.jar, false)?)).collect();
    Some((pairs.iter().filter(|alike| **alike).count(), pairs.len()))
}

#[cfg(test)]
mod tests {
    use super::{Verdict, agreement, letter, round};

    #[test]
    fn prop_a_round_holds_each_jar_once_and_the_same_seed_gives_the_same_round() {
        let jars: Vec<u32> = (1..=12).collect();
        for seed in 0..50 {
            let glasses = round(&jars, 3, seed).unwrap();
            assert_eq!(glasses, round(&jars, 3, seed).unwrap());
            let mut once: Vec<u32> =
                glasses.iter().filter(|glass| !glass.again).map(|glass| glass.jar).collect();
            once.sort_unstable();
            assert_eq!(once, jars);
            assert_eq!(glasses.len(), 15);
        }
        assert_ne!(round(&jars, 0, 1).unwrap(), round(&jars, 0, 2).unwrap());
        assert!(round(&jars, 13, 1).is_err() && round(&[1], 0, 1).is_err());
    }

    #[test]
    fn every_place_is_as_likely_for_every_jar() {
        let mut first = [0_u32; 3];
        for seed in 0..3000 {
            let glasses = round(&[0, 1, 2], 0, seed).unwrap();
            first[usize::try_from(glasses[0].jar).unwrap()] += 1;
        }
        assert!(first.iter().all(|count| (900..1100).contains(count)), "{first:?}");
    }

    #[test]
    fn the_nose_is_held_against_itself() {
        let glasses = round(&[4, 5], 2, 9).unwrap();
        let alike: Vec<Verdict> = glasses
            .iter()
            .map(|glass| if glass.jar == 4 { Verdict::Keep } else { Verdict::Leave })
            .collect();
        assert_eq!(agreement(&glasses, &alike), Some((2, 2)));
        let mut apart = alike;
        let place = glasses.iter().position(|glass| glass.again).unwrap();
        apart[place] = Verdict::Doubtful;
        assert_eq!(agreement(&glasses, &apart), Some((1, 2)));
        assert_eq!(agreement(&glasses, &[]), None);
        assert_eq!((letter(0), letter(25), letter(26)), ("A".into(), "Z".into(), "AA".into()));
    }
}
