//! The jars of the run: filled, open, and how full the open one is.

use still::plan::StepKind;

use super::drawn::JarShare;

/// Most jars remembered.
pub(super) const JARS_MAX: usize = 300;

/// A jar that was closed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Filled {
    pub(super) number: u32,
    pub(super) cut: StepKind,
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    pub(super) ml: f64,
    pub(super) measured: bool,
    pub(super) strength_vol: Option<f64>,
    /// Whether the strength was read by the glass.
    pub(super) read: bool,
    pub(super) share: Option<JarShare>,
    /// Rise of the head over its plateau as the jar was put there, K.
    pub(super) begun_rise_k: f64,
}

/// The jar under the spout.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Open {
    pub(super) number: u32,
    pub(super) cut: StepKind,
    pub(super) start_s: f64,
    /// Rise of the head over its plateau as the jar was put there, K.
    pub(super) begun_rise_k: f64,
}

/// All jars.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Jars {
    pub(super) filled: Vec<Filled>,
    pub(super) open: Option<Open>,
    /// How often a jar was changed.
    pub(super) changes: u64,
}

impl Jars {
    /// A jar is put under the spout; the one that stood there is closed and returned.
    pub(super) fn open(&mut self, jar: Open) -> Option<Open> {
        self.changes += 1;
        self.open.replace(jar)
    }

    /// Keeps a jar, in the place of an earlier record of the same number.
    pub(super) fn keep(&mut self, jar: Filled) {
        if let Some(place) = self.filled.iter().position(|filled| filled.number == jar.number) {
            self.filled[place] = jar;
        } else if self.filled.len() < JARS_MAX {
            self.filled.push(jar);
        }
    }

    /// Jar `number` was measured, closed at `end_s`: it no longer stands under the spout.
    pub(super) fn taken_away(&mut self, number: u32, end_s: f64) {
        let stands = |open: &mut Open| open.number == number && end_s > open.start_s;
        if self.open.take_if(stands).is_some() {
            self.changes += 1;
        }
    }

    /// When the last jar was closed, s; 0 where none was.
    pub(super) fn last_closed_s(&self) -> f64 {
        self.filled.iter().map(|jar| jar.end_s).fold(0.0, f64::max)
    }

    /// The record of a number, where there is one.
    pub(super) fn record(&self, number: u32) -> Option<&Filled> {
        self.filled.iter().find(|filled| filled.number == number)
    }

    /// The number after the highest so far.
    pub(super) fn next_number(&self) -> u32 {
        let highest = self.filled.iter().map(|jar| jar.number).max().unwrap_or(0);
        let open = self.open.as_ref().map_or(0, |open| open.number);
        highest.max(open).saturating_add(1)
    }
}

/// What the liquid of a jar should be like, by its cut, its place in it (0 first, 1 last) and the
/// head's rise in K as the jar began: what ran into it before a rise is most of it. Of the cuts only;
/// the nose has the last word.
pub(super) fn cleanliness(cut: StepKind, place: f64, begun_rise_k: f64) -> &'static str {
    match cut {
        StepKind::Foreshots => "discard",
        StepKind::Heads if place < 0.6 => "sharp",
        StepKind::Heads => "faint",
        StepKind::Tails => "oily",
        _ if begun_rise_k > 1.0 => "oily",
        _ if begun_rise_k > 0.3 => "faint_late",
        _ => "clean",
    }
}

#[cfg(test)]
mod tests {
    use super::{StepKind, cleanliness};

    #[test]
    fn hearts_of_a_jar_are_called_by_the_rise_it_began_with() {
        let hearts = |begun_rise_k| cleanliness(StepKind::Hearts, 0.5, begun_rise_k);
        assert_eq!([0.0, 0.31, 1.1].map(hearts), ["clean", "faint_late", "oily"]);
    }
}
