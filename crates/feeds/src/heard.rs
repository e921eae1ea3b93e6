//! What one value of a source said last, how old it is and what is wrong with it.

use sense::{Cadence, LastGood, Reason, Sensor, impossible};

use crate::file::Wanted;
use crate::unread::Unread;

/// A reading as it came and in the unit of its channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Read {
    /// When, s.
    pub(crate) at_s: f64,
    /// As the source sent it.
    pub(crate) raw: f64,
    /// In the unit of the channel.
    pub(crate) value: f64,
}

/// How far a value can be trusted by itself; a run judges it again beside the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Never read.
    Absent,
    /// Fresh, and can be true.
    Good,
    /// What came last cannot be true, or nothing could be read.
    Bad,
    /// Too old.
    Stale,
}

/// What was heard of one value.
#[derive(Debug, Clone, Default)]
pub(crate) struct Heard {
    /// Readings that can be true.
    good: Cadence,
    /// Readings of any kind.
    any: Cadence,
    /// The last that a record keeps.
    last: Option<Read>,
    /// The last that can be true.
    before: Option<LastGood>,
    /// What is wrong with the last look.
    wrong: Option<String>,
    /// What should be known beside: nothing is wrong with what is read.
    beside: Option<String>,
}

impl Heard {
    /// A value of that channel, of which nothing was heard; how often it is read, where the file says
    /// so, s.
    pub(crate) fn of(probe: Sensor, every_s: Option<f64>) -> Self {
        let cadence = Cadence::of(probe).stated(every_s);
        Self { good: cadence, any: cadence, ..Self::default() }
    }

    /// Takes what a look gave, and gives the reading that it is. One that is not later than the
    /// last reading is passed over.
    pub(crate) fn take(
        &mut self,
        at_s: f64,
        told: &Result<f64, Unread>,
        wanted: &Wanted,
    ) -> Option<f64> {
        let raw = match told {
            Ok(raw) => *raw,
            Err(unread @ Unread::AnotherTopic { .. }) => {
                self.beside = Some(unread.to_string());
                return None;
            }
            Err(unread) => {
                self.wrong = Some(unread.to_string());
                return None;
            }
        };
        self.any.take(at_s)?;
        let value = wanted.value(raw);
        let (low, high) = wanted.probe.kept();
        if !(low..=high).contains(&value) {
            let (column, unit) = (wanted.probe.column(), wanted.probe.unit());
            self.wrong = Some(format!(
                "sent {raw}, as {column} {value}: must lie from {low} to {high} {unit}"
            ));
            return None;
        }
        self.last = Some(Read { at_s, raw, value });
        self.wrong = self.doubt(at_s, raw, value, wanted).map(Reason::words);
        if self.wrong.is_none() {
            self.before = Some(LastGood::after(self.before, at_s, value));
            // A reading that is later than all others is later than the good ones.
            let _ = self.good.take(at_s);
        }
        Some(value)
    }

    /// Why the one reader would not believe it. The signs of a broken probe are looked for before
    /// an offset hides them.
    fn doubt(&self, at_s: f64, raw: f64, value: f64, wanted: &Wanted) -> Option<Reason> {
        let bare = wanted.unit.convert(raw);
        let before = self.before.map(|last| LastGood { value: last.value - wanted.offset, ..last });
        let sign = impossible(wanted.probe, at_s, bare, before)
            .filter(|reason| wanted.scale == 1.0 && matches!(reason, Reason::Sentinel(_)));
        sign.or_else(|| impossible(wanted.probe, at_s, value, self.before))
    }

    /// Says what is wrong with the source of it.
    pub(crate) fn trouble(&mut self, what: &str) {
        self.wrong = Some(what.to_owned());
        self.beside = None;
    }

    /// Whether it can be true and is fresh.
    pub(crate) fn fresh(&self, now_s: f64) -> bool {
        self.good.last_s().is_some() && !self.good.stale(now_s)
    }

    /// Whether something came of late, true or not.
    pub(crate) fn comes(&self, now_s: f64) -> bool {
        self.last.is_some() && !self.any.stale(now_s)
    }

    pub(crate) const fn last(&self) -> Option<Read> {
        self.last
    }

    pub(crate) fn every_s(&self) -> Option<f64> {
        self.any.usual_s()
    }

    /// How far it can be trusted.
    pub(crate) fn standing(&self, now_s: f64) -> Standing {
        match (&self.last, &self.wrong) {
            (None, None) => Standing::Absent,
            (_, Some(_)) => Standing::Bad,
            _ if self.fresh(now_s) => Standing::Good,
            _ => Standing::Stale,
        }
    }

    /// What is wrong with it, where something is.
    pub(crate) fn why(&self, now_s: f64) -> Option<String> {
        if self.wrong.is_some() {
            return self.wrong.clone();
        }
        let Some(age_s) = self.good.age_s(now_s) else {
            return Some("was never read".to_owned());
        };
        let most_s = self.good.stale_after_s();
        let stale = self.good.stale(now_s).then(|| {
            format!("{}: for {age_s:.0} s, where {most_s:.0} s are the most", Reason::Stale.words())
        });
        let seldom = self.any.told_each_s().filter(|_| self.any.too_seldom()).map(|each_s| {
            format!("comes every {each_s:.0} s: too seldom to watch the coolant or the vent")
        });
        stale.or(seldom).or_else(|| self.beside.clone())
    }
}
