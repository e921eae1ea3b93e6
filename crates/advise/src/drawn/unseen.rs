//! The times in which nothing showed the still, counted or not.

/// Most such times that are remembered; more are taken together.
const UNSEEN_MAX: usize = 100;

/// Times from and to, s.
pub(super) type Times = (f64, f64);

/// Both parts of the doubt: mL at 20 °C, mL of pure alcohol.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct InDoubt {
    /// Counted, and perhaps it did not run.
    pub(crate) less_ml: f64,
    pub(crate) less_alcohol_ml: f64,
    /// Not counted, and perhaps some of it ran.
    pub(crate) more_ml: f64,
    pub(crate) more_alcohol_ml: f64,
}

/// What was taken out of the account.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TakenOut {
    pub(super) times: Times,
    pub(super) ml: f64,
    pub(super) alcohol_ml: f64,
}

/// The times in which nothing showed the still.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Unseen {
    pub(super) counted: Vec<Times>,
    pub(super) out: Vec<TakenOut>,
    /// Up to when they are entered, s.
    to_s: f64,
}

/// What of `times` lies in `within`.
pub(super) fn overlap(times: Times, within: Times) -> Option<Times> {
    let both = (times.0.max(within.0), times.1.min(within.1));
    (both.1 > both.0).then_some(both)
}

impl Unseen {
    /// Nothing shows the still since then.
    pub(super) fn enter(&mut self, from_s: f64, now_s: f64) {
        let from_s = from_s.max(self.to_s);
        self.to_s = self.to_s.max(now_s);
        let full = self.counted.len() >= UNSEEN_MAX;
        match self.counted.last_mut() {
            Some(last) if full || last.1 >= from_s => last.1 = now_s,
            _ => self.counted.push((from_s, now_s)),
        }
    }

    /// What ran in those times was measured.
    pub(super) fn settle(&mut self, measured: Times) {
        let rest = |times: &Times| {
            [(times.0, times.1.min(measured.0)), (times.0.max(measured.1), times.1)]
        };
        let left = self.counted.iter().flat_map(rest).filter(|times| times.1 > times.0);
        self.counted = left.collect();
        for out in &mut self.out {
            let known = overlap(out.times, measured).map_or(0.0, |both| both.1 - both.0);
            let left = 1.0 - known / (out.times.1 - out.times.0);
            out.ml *= left;
            out.alcohol_ml *= left;
        }
    }

    /// Whether any of those times is in doubt.
    pub(super) fn touches(&self, within: Times) -> bool {
        let out = self.out.iter().map(|out| out.times);
        self.counted.iter().copied().chain(out).any(|times| overlap(times, within).is_some())
    }

    /// What was not counted of a time.
    pub(super) fn take_out(&mut self, out: TakenOut) {
        if self.out.len() < UNSEEN_MAX {
            self.out.push(out);
        }
    }
}
