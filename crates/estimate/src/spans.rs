//! What was done, span by span: those of nearly the same power and take-off as one, since each
//! boundary costs a simulation a step, and those without heat.

use std::ops::Range;

use sense::HEATER_OFF_W;
use still::plan::TakeOff;
use still::track::Span;

/// Powers within this share of a block's mean, and rates, belong to it: what meters and jars
/// scatter by.
const SAME_POWER: f64 = 0.01;
const SAME_RATE: f64 = 0.03;
/// Longest block, s: a slow change is still followed.
const BLOCK_S: f64 = 3600.0;

/// A block of spans: their means over time.
struct Block {
    start_s: f64,
    width_s: f64,
    heater_w: f64,
    take_off: TakeOff,
}

impl Block {
    /// Takes a span in, if it is alike.
    fn takes(&mut self, span: &Span, width_s: f64) -> bool {
        let near = |mean: f64, value: f64, share: f64| (mean - value).abs() <= share * mean.abs();
        let whole_s = self.width_s + width_s;
        if whole_s > BLOCK_S || !near(self.heater_w, span.heater_w, SAME_POWER) {
            return false;
        }
        let mean = |mean: f64, value: f64| mean + (value - mean) * width_s / whole_s;
        let take_off = match (self.take_off, span.take_off) {
            (TakeOff::MlPerMin(rate), TakeOff::MlPerMin(other)) if near(rate, other, SAME_RATE) => {
                TakeOff::MlPerMin(mean(rate, other))
            }
            (same, other) if same == other => same,
            _ => return false,
        };
        self.heater_w = mean(self.heater_w, span.heater_w);
        self.take_off = take_off;
        self.width_s = whole_s;
        true
    }
}

/// The spans in blocks that put in the same heat and take the same off.
pub(super) fn in_blocks(spans: &[Span], until_s: f64) -> Vec<Span> {
    let mut blocks: Vec<Block> = Vec::new();
    for (index, span) in spans.iter().enumerate() {
        let end_s = spans.get(index + 1).map_or(until_s, |next| next.start_s);
        let width_s = (end_s - span.start_s).max(0.0);
        if blocks.last_mut().is_some_and(|block| block.takes(span, width_s)) {
            continue;
        }
        let Span { start_s, heater_w, take_off } = *span;
        blocks.push(Block { start_s, width_s, heater_w, take_off });
    }
    let span = |b: Block| Span { start_s: b.start_s, heater_w: b.heater_w, take_off: b.take_off };
    blocks.into_iter().map(span).collect()
}

/// The times without heat, each longer by what it takes after the heat is back, s.
pub(super) fn unheated(spans: &[Span], longer_s: f64) -> Vec<Range<f64>> {
    let mut times = Vec::new();
    let mut off_s = None;
    for span in spans {
        if span.heater_w < HEATER_OFF_W {
            off_s.get_or_insert(span.start_s);
        } else if let Some(off_s) = off_s.take() {
            times.push(off_s..span.start_s + longer_s);
        }
    }
    times.extend(off_s.map(|off_s| off_s..f64::INFINITY));
    times
}

#[cfg(test)]
mod tests {
    use still::plan::TakeOff::{Closed, MlPerMin};
    use still::track::Span;

    use super::{in_blocks, unheated};

    #[test]
    fn a_time_without_heat_lasts_until_the_still_is_warm_again() {
        let span = |start_s, heater_w| Span { start_s, heater_w, take_off: Closed };
        let cut = [span(0.0, 2000.0), span(6100.0, 0.0), span(6300.0, 3.0), span(6540.0, 1900.0)];
        assert_eq!(unheated(&cut, 420.0), [6100.0..6960.0]);
        assert_eq!(unheated(&cut[..3], 420.0), [6100.0..f64::INFINITY], "still off");
        assert_eq!(unheated(&cut[..1], 420.0), []);
    }

    fn whole(spans: &[Span], until_s: f64) -> [f64; 2] {
        let mut sums = [0.0; 2];
        for (index, span) in spans.iter().enumerate() {
            let width_s = spans.get(index + 1).map_or(until_s, |next| next.start_s) - span.start_s;
            let rate = if let MlPerMin(rate) = span.take_off { rate } else { 0.0 };
            sums[0] += width_s * span.heater_w;
            sums[1] += width_s * rate;
        }
        sums
    }

    #[test]
    fn blocks_keep_heat_and_volume_and_what_really_changed() {
        let span = |start_s, heater_w, take_off| Span { start_s, heater_w, take_off };
        let spans = [
            span(0.0, 2000.0, Closed),
            span(600.0, 2010.0, Closed),
            span(1200.0, 2005.0, MlPerMin(20.0)),
            span(1500.0, 2000.0, MlPerMin(20.4)),
            span(2400.0, 2000.0, MlPerMin(12.0)),
            span(3000.0, 1500.0, MlPerMin(12.1)),
        ];
        let blocks = in_blocks(&spans, 4000.0);
        let starts: Vec<f64> = blocks.iter().map(|block| block.start_s).collect();
        assert_eq!(starts, [0.0, 1200.0, 2400.0, 3000.0]);
        for (before, after) in whole(&spans, 4000.0).iter().zip(whole(&blocks, 4000.0)) {
            assert!((before - after).abs() <= 1e-9 * before, "{before} and {after}");
        }
        assert_eq!(in_blocks(&[], 10.0), []);
    }
}
