//! Whether the inputs of some minutes ago, gone on, are those of now.

use still::plan::TakeOff;
use still::track::Span;

use super::past::Inputs;

/// Inputs that differ by no more than this share, as a mean over the run, are the same.
const SAME: f64 = 0.005;
/// What goes on now is the same within this share.
const SAME_NOW: f64 = 0.02;

impl Inputs {
    /// Whether later inputs are these, gone on: what moves on is only the present, and what jars
    /// and meters put right is little.
    pub(super) fn near(&self, later: &Self) -> bool {
        let same = |a: f64, b: f64| (a - b).abs() <= SAME_NOW * a.abs().max(b.abs());
        self.metered == later.metered
            && self.past.vapour_s == later.past.vapour_s
            && self.past.hearts_s == later.past.hearts_s
            && self.pause_s <= 0.0
            && later.pause_s <= 0.0
            && same(self.heater_w, later.heater_w)
            && same(openness(self.take_off), openness(later.take_off))
            && alike(&self.past.spans, &later.past.spans, later.past.until_s)
    }
}

/// A take-off as one figure: its rate, or its share of the vapour.
fn openness(take_off: TakeOff) -> f64 {
    match take_off {
        TakeOff::Closed => 0.0,
        TakeOff::MlPerMin(rate) => rate,
        TakeOff::RefluxRatio(ratio) => 1.0 / (ratio + 1.0),
        TakeOff::RefluxWatts(watts) => watts,
    }
}

/// Whether two pasts put in nearly the same heat and take nearly the same off, minute for minute.
fn alike(before: &[Span], after: &[Span], until_s: f64) -> bool {
    let mut marks: Vec<f64> = before.iter().chain(after).map(|span| span.start_s).collect();
    marks.push(until_s);
    marks.sort_by(f64::total_cmp);
    let ratio = |span: &Span| match span.take_off {
        TakeOff::Closed | TakeOff::MlPerMin(_) => 0,
        TakeOff::RefluxRatio(_) => 1,
        TakeOff::RefluxWatts(_) => 2,
    };
    let (mut apart, mut whole) = ([0.0; 2], [1e-9; 2]);
    for pair in marks.windows(2) {
        let width_s = (pair[1].min(until_s) - pair[0]).max(0.0);
        let at = |spans: &[Span]| spans.iter().rev().find(|s| s.start_s <= pair[0]).copied();
        let (Some(a), Some(b)) = (at(before), at(after)) else { continue };
        if width_s > 0.0 && ratio(&a) != ratio(&b) {
            return false;
        }
        let figures = [(a.heater_w, b.heater_w), (openness(a.take_off), openness(b.take_off))];
        for (place, (a, b)) in figures.into_iter().enumerate() {
            apart[place] += (a - b).abs() * width_s;
            whole[place] += a.abs().max(b.abs()) * width_s;
        }
    }
    apart.iter().zip(whole).all(|(apart, whole)| *apart <= SAME * whole)
}
