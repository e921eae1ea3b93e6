//! Says why a forecast moved: the middle of an end never jumps without an event that names a cause.

use std::collections::VecDeque;

use super::{Band, End, Evidence, What};

/// How far back a move is looked for, s.
const LOOK_BACK_S: f64 = 120.0;
/// A middle that moves by more than this share of its 80 % band is a move.
const SHARE: f64 = 0.5;
/// Most moments remembered of one end, and most ends.
const MOMENTS_MAX: usize = 128;
const ENDS_MAX: usize = 40;
/// A cause this old explains nothing any more, s.
const CAUSE_S: f64 = 180.0;
/// Most causes remembered.
const CAUSES_MAX: usize = 16;

/// What happened lately that may move a forecast.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Reasons(VecDeque<(f64, String)>);

impl Reasons {
    /// Takes note of a cause, in words that follow "because".
    pub(crate) fn note(&mut self, time_s: f64, words: impl Into<String>) {
        self.0.push_back((time_s, words.into()));
        while self.0.len() > CAUSES_MAX {
            self.0.pop_front();
        }
    }

    /// The latest cause, where it is fresh.
    fn latest(&self, now_s: f64) -> Option<&str> {
        let last = self.0.iter().rev().find(|(at, _)| now_s - at <= CAUSE_S && *at <= now_s + 1.0);
        last.map(|(_, words)| words.as_str())
    }
}

/// What was told of one end: which, when, the middle.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    what: What,
    step_index: Option<usize>,
    moments: VecDeque<(f64, f64)>,
}

/// What was told lately of every end.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Moved(Vec<Told>);

/// A move that must be said.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Move {
    /// What moved, as a whole phrase.
    pub(crate) words: String,
    /// By how much, s; later is more.
    pub(crate) by_s: f64,
    /// Why.
    pub(crate) why: String,
}

impl Moved {
    /// Takes the ends of this second and returns the moves that must be said.
    pub(crate) fn take(&mut self, now_s: f64, ends: &[End], reasons: &Reasons) -> Vec<Move> {
        self.0.retain(|told| ends.iter().any(|end| same(told, end)));
        // What waits for an end that is seen and not yet acted on moves on with the time: the
        // instruction says so.
        let waits = ends.iter().any(|end| end.evidence == Evidence::Seen);
        let mut moves = Vec::new();
        for end in ends {
            let place = self.0.iter().position(|told| same(told, end));
            let Some(place) = place else {
                if self.0.len() < ENDS_MAX {
                    let moments = VecDeque::from([(now_s, end.at.p50)]);
                    self.0.push(Told { what: end.what, step_index: end.step_index, moments });
                }
                continue;
            };
            let told = &mut self.0[place];
            if end.evidence == Evidence::Seen {
                // It is now, and the prompt says so.
                told.moments.clear();
                continue;
            }
            while told.moments.front().is_some_and(|(at, _)| now_s - at > LOOK_BACK_S) {
                told.moments.pop_front();
            }
            if let Some(by_s) = moved(&told.moments, &end.at, waits.then_some(now_s)) {
                told.moments.clear();
                let why =
                    reasons.latest(now_s).unwrap_or("the readings of the last minutes say so");
                moves.push(Move { words: end.words.clone(), by_s, why: why.to_owned() });
            }
            if told.moments.len() < MOMENTS_MAX {
                told.moments.push_back((now_s, end.at.p50));
            }
        }
        moves
    }
}

fn same(told: &Told, end: &End) -> bool {
    told.what == end.what && told.step_index == end.step_index
}

/// How far the middle has moved, where that is too far to go unsaid; with `waits_s`, the
/// present, it waits for an end that is seen and may have moved on with the time.
fn moved(moments: &VecDeque<(f64, f64)>, now: &Band, waits_s: Option<f64>) -> Option<f64> {
    let limit = SHARE * now.width_80();
    let farthest = moments
        .iter()
        .map(|(at_s, middle)| {
            let by_s = now.p50 - middle;
            by_s - waits_s.map_or(0.0, |now_s| by_s.clamp(0.0, (now_s - at_s).max(0.0)))
        })
        .max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    (farthest.abs() > limit.max(1.0)).then_some(farthest)
}
