//! What one place holds of one lot, act after act.

use std::collections::BTreeMap;

use crate::amount::PureAlcohol;
use crate::entry::{Leg, Serial};
use crate::name::Name;
use crate::place::{Place, Side};

/// A moment of the account: the act, then the serial where two acts have one moment.
pub type Position = (i64, Serial);

/// What one entry did to one place and lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Event {
    /// When.
    pub at: Position,
    /// Taken out; before anything came in.
    pub out: i64,
    /// Brought in.
    pub into: i64,
    /// What is there after it.
    pub after: i64,
}

impl Event {
    /// What was there before it.
    #[must_use]
    pub const fn before(&self) -> i64 {
        self.after - self.into + self.out
    }
}

/// One lot in one place, or what came from or is gone to a place.
#[derive(Debug, Clone)]
pub struct Holding {
    /// The place.
    pub place: Place,
    /// The lot.
    pub lot: Option<Name>,
    /// What happened to it, in the order of the acts.
    pub events: Vec<Event>,
}

impl Holding {
    /// What it holds after everything.
    #[must_use]
    pub fn now(&self) -> PureAlcohol {
        PureAlcohol::of_nanolitres(self.events.last().map_or(0, |event| event.after))
    }

    /// What it holds after every act before a position.
    #[must_use]
    pub fn before(&self, at: Position) -> PureAlcohol {
        let earlier = self.events.partition_point(|event| event.at < at);
        let after = earlier.checked_sub(1).map_or(0, |last| self.events[last].after);
        PureAlcohol::of_nanolitres(after)
    }

    /// Place and lot in one text.
    #[must_use]
    pub fn whereabouts(&self) -> String {
        Leg::new(self.place.clone(), self.lot.clone(), PureAlcohol::ZERO).whereabouts()
    }

    pub(crate) fn is_stock(&self) -> bool {
        self.place.kind().side() == Side::Stock
    }
}

/// The holdings of a lot: most stand in one place for all their life.
#[derive(Debug, Clone)]
pub(crate) enum OfLot {
    One(u32),
    Many(BTreeMap<Place, u32>),
}

impl OfLot {
    /// One more, at its place among the holdings.
    pub(crate) fn add(&mut self, holding: &Holding, at: u32, holdings: &[Holding]) {
        match self {
            Self::Many(all) => drop(all.insert(holding.place.clone(), at)),
            Self::One(first) => {
                let place = holdings[*first as usize].place.clone();
                *self = Self::Many([(place, *first), (holding.place.clone(), at)].into());
            }
        }
    }

    pub(crate) fn numbers(&self) -> impl Iterator<Item = u32> {
        let (one, many) = match self {
            Self::One(one) => (Some(*one), None),
            Self::Many(many) => (None, Some(many.values().copied())),
        };
        one.into_iter().chain(many.into_iter().flatten())
    }
}
