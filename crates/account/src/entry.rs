//! An entry of the account: what was done, when, by whom, what it moved, and what was read.

use quantities::TypedValue;
use serde::{Deserialize, Serialize};

use crate::amount::PureAlcohol;
use crate::error::AccountError;
use crate::gauge::Gauge;
use crate::kind::EntryKind;
use crate::name::{Name, check_words};
use crate::place::{Place, PlaceKind, Side};
use crate::spent::{Counted, Spent};
use crate::typed::check_typed;

/// Place of an entry in the book, counted from 1 without gaps, never used twice.
pub type Serial = u64;

/// Most legs of one side of an entry. Judgement: a blend of every jar of several runs.
pub const LEGS_MAX: usize = 200;
/// Most bottles of one leg. Judgement: far beyond a small house.
const BOTTLES_MAX: u32 = 1_000_000;
/// Farthest a zone lies from UTC, minutes; common practice: zones reach from -12 h to +14 h.
const ZONE_MINUTES_MAX: i32 = 14 * 60;
/// Earliest and latest moment of an act or an entry, ms of UTC: the years 1970 to 9999.
const MOMENT_MS: std::ops::RangeInclusive<i64> = 0..=253_402_300_799_999;
/// How far an act may lie after its entry, ms: clocks differ by less than an hour.
const AHEAD_MS_MAX: i64 = 3_600_000;

/// Alcohol that goes out of a place or comes into one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// The place.
    pub place: Place,
    /// The lot: what is in it, by its own name. None at sources and where it is gone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<Name>,
    /// Pure alcohol moved.
    #[serde(rename = "nl")]
    pub alcohol: PureAlcohol,
    /// Litres of liquid at 20 °C it is in.
    #[serde(default, rename = "l", skip_serializing_if = "Option::is_none")]
    pub litres_20c: Option<f64>,
    /// Strength of that liquid, % vol at 20 °C.
    #[serde(default, rename = "vol", skip_serializing_if = "Option::is_none")]
    pub strength_vol: Option<f64>,
    /// Bottles, where it is in such.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bottles: Option<u32>,
    /// What one bottle holds by its label, mL.
    #[serde(default, rename = "ml", skip_serializing_if = "Option::is_none")]
    pub bottle_ml: Option<f64>,
}

impl Leg {
    /// A leg of which only the alcohol is known.
    #[must_use]
    pub const fn new(place: Place, lot: Option<Name>, alcohol: PureAlcohol) -> Self {
        Self {
            place,
            lot,
            alcohol,
            litres_20c: None,
            strength_vol: None,
            bottles: None,
            bottle_ml: None,
        }
    }

    /// A leg of a liquid: its alcohol follows from litres at 20 °C and strength, rounded once.
    ///
    /// # Errors
    /// As [`PureAlcohol::of_liquid`].
    pub fn of_liquid(
        place: Place,
        lot: Option<Name>,
        litres_20c: f64,
        strength_vol: f64,
    ) -> Result<Self, AccountError> {
        let alcohol = PureAlcohol::of_liquid(litres_20c, strength_vol)?;
        let (litres_20c, strength_vol) = (Some(litres_20c), Some(strength_vol));
        Ok(Self { litres_20c, strength_vol, ..Self::new(place, lot, alcohol) })
    }

    /// Place and lot in one text, as `tank:T1/L-14`.
    #[must_use]
    pub fn whereabouts(&self) -> String {
        match &self.lot {
            Some(lot) => format!("{}/{lot}", self.place),
            None => self.place.to_string(),
        }
    }

    fn check(&self) -> Result<(), AccountError> {
        let refused = |field, value: String, bound, hint| {
            Err(AccountError::OutOfRange { field, value, bound, hint })
        };
        if self.alcohol < PureAlcohol::ZERO || self.alcohol > PureAlcohol::MOST {
            let hint = "litres of pure alcohol at 20 °C";
            let value = self.alcohol.to_string();
            return refused("pure_alcohol_l", value, "must lie from 0 to 1000000 L", hint);
        }
        let is_stock = self.place.kind().side() == Side::Stock;
        if is_stock != self.lot.is_some() {
            let (value, bound) =
                (self.whereabouts(), "must name a lot where alcohol stands, and only there");
            return refused("lot", value, bound, "as tank:T1/L-14; a loss has no lot");
        }
        if self.litres_20c.is_some_and(|litres| !(0.0..=1e7).contains(&litres)) {
            let value = format!("{}", self.litres_20c.unwrap_or_default());
            return refused(
                "litres_20c",
                value,
                "must lie from 0 to 10000000 L",
                "litres at 20 °C",
            );
        }
        if self.strength_vol.is_some_and(|vol| !(0.0..=100.0).contains(&vol)) {
            let value = format!("{}", self.strength_vol.unwrap_or_default());
            let hint = "strength is per cent by volume at 20 °C";
            return refused("strength_vol", value, "must lie from 0 to 100 % vol", hint);
        }
        if self.bottles.is_some_and(|bottles| bottles > BOTTLES_MAX) {
            let value = self.bottles.unwrap_or_default().to_string();
            return refused("bottles", value, "must be at most 1000000", "count them again");
        }
        if self.bottle_ml.is_some_and(|ml| !(1.0..=100_000.0).contains(&ml)) {
            let value = format!("{}", self.bottle_ml.unwrap_or_default());
            return refused("bottle_ml", value, "must lie from 1 to 100000 mL", "as 700");
        }
        Ok(())
    }
}

/// Who had a hand in it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Who entered it.
    #[serde(rename = "by")]
    pub entered: String,
    /// Who read the instruments, where that is somebody else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub read: Option<String>,
    /// Who checked it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub checked: Option<String>,
}

/// One entry, as it stands in the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Which act.
    pub kind: EntryKind,
    /// When it was done, ms of UTC.
    pub act_ms: i64,
    /// When it was entered, ms of UTC.
    pub entered_ms: i64,
    /// The zone of both, minutes east of UTC.
    #[serde(rename = "zone")]
    pub zone_minutes: i32,
    /// What goes out, and of where.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from: Vec<Leg>,
    /// What comes in, and where.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to: Vec<Leg>,
    /// Kind of spirit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spirit: Option<String>,
    /// What was read, with what, and what follows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge: Option<Box<Gauge>>,
    /// What a count found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub counted: Option<Counted>,
    /// Standard deviation of what is not explained, L: what the gauges behind it could not see.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_explained_sd_l: Option<f64>,
    /// Who.
    pub people: People,
    /// In words; a correction says here why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The entry in whose place this one stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Serial>,
    /// The entry this one is about, which holds as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Serial>,
    /// The run of the record it was taken from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<String>,
    /// Energy, water and money.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spent: Option<Spent>,
    /// What the sender calls its request: sent again it changes nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// Its numbers that were typed in other units, as they were typed: `from[0].litres_20c`,
    /// `to[1].strength_vol`, `found_l`, `read.celsius`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub typed: Vec<TypedValue>,
}

/// An entry with its place in the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbered {
    /// Its serial.
    pub number: Serial,
    /// The entry.
    pub entry: Entry,
}

impl Entry {
    /// An entry that moves nothing yet, done and entered at one moment.
    #[must_use]
    pub fn new(kind: EntryKind, act_ms: i64, by: &str) -> Self {
        Self {
            kind,
            act_ms,
            entered_ms: act_ms,
            zone_minutes: 0,
            from: Vec::new(),
            to: Vec::new(),
            spirit: None,
            gauge: None,
            counted: None,
            not_explained_sd_l: None,
            people: People { entered: by.to_owned(), ..People::default() },
            note: None,
            corrects: None,
            about: None,
            run: None,
            spent: None,
            key: None,
            typed: Vec::new(),
        }
    }

    /// Pure alcohol it moves.
    #[must_use]
    pub fn moved(&self) -> PureAlcohol {
        self.from.iter().map(|leg| leg.alcohol).sum()
    }

    /// Refuses an entry that cannot be, whatever the book holds.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`], [`AccountError::Unbalanced`].
    pub fn check(&self) -> Result<(), AccountError> {
        self.check_times()?;
        self.check_words()?;
        self.check_legs()?;
        check_typed(&self.typed)?;
        if let Some(gauge) = &self.gauge {
            gauge.check()?;
        }
        let spent = self.spent.unwrap_or_default();
        for (field, value) in [
            ("energy_kwh", spent.energy_kwh),
            ("water_l", spent.water_l),
            ("cost", spent.cost),
            ("not_explained_sd_l", self.not_explained_sd_l),
        ] {
            if value.is_some_and(|value| !(0.0..=1e9).contains(&value)) {
                return Err(AccountError::OutOfRange {
                    field,
                    value: format!("{}", value.unwrap_or_default()),
                    bound: "must lie from 0 to 1000000000",
                    hint: "what this one act took",
                });
            }
        }
        Ok(())
    }

    fn check_times(&self) -> Result<(), AccountError> {
        let refused = |field, value: i64, bound, hint| {
            Err(AccountError::OutOfRange { field, value: value.to_string(), bound, hint })
        };
        let years = "must be milliseconds of UTC between the years 1970 and 9999";
        for (field, value) in [("act_ms", self.act_ms), ("entered_ms", self.entered_ms)] {
            if !MOMENT_MS.contains(&value) {
                return refused(field, value, years, "the moment of the act, with its zone");
            }
        }
        if self.act_ms > self.entered_ms + AHEAD_MS_MAX {
            let bound = "must not lie after the entry";
            return refused("act_ms", self.act_ms, bound, "enter it once it is done");
        }
        if self.zone_minutes.abs() > ZONE_MINUTES_MAX {
            let (value, bound) =
                (i64::from(self.zone_minutes), "must lie from -840 to 840 minutes");
            return refused("zone", value, bound, "minutes east of UTC");
        }
        Ok(())
    }

    fn check_words(&self) -> Result<(), AccountError> {
        check_words("by", &self.people.entered)?;
        let words = [
            ("read_by", &self.people.read),
            ("checked_by", &self.people.checked),
            ("spirit", &self.spirit),
            ("note", &self.note),
            ("run", &self.run),
            ("key", &self.key),
        ];
        for (field, text) in words {
            text.as_deref().map_or(Ok(()), |text| check_words(field, text))?;
        }
        let says_why = self.note.is_some();
        let must = match self.kind {
            _ if self.corrects.is_some() => Some("a correction"),
            EntryKind::Lose | EntryKind::Gain | EntryKind::Destroy => {
                Some("a loss, gain or destruction")
            }
            _ => None,
        };
        match must {
            Some(what) if !says_why => Err(AccountError::OutOfRange {
                field: "note",
                value: format!("empty for {what}"),
                bound: "must say why",
                hint: "what happened, in a few words",
            }),
            _ => Ok(()),
        }
    }

    fn check_legs(&self) -> Result<(), AccountError> {
        let refused = |field, value: String, bound, hint| {
            Err(AccountError::OutOfRange { field, value, bound, hint })
        };
        for (field, legs) in [("from", &self.from), ("to", &self.to)] {
            if legs.len() > LEGS_MAX {
                let value = legs.len().to_string();
                return refused(field, value, "must be at most 200 places", "make several entries");
            }
            legs.iter().try_for_each(Leg::check)?;
        }
        let may_take = |kind: PlaceKind| self.kind.takes_from().contains(&kind);
        if let Some(leg) = self.from.iter().find(|leg| !may_take(leg.place.kind())) {
            let value = format!("{} in an entry of kind {}", leg.place, self.kind);
            let bound = "must be a place this act takes from";
            return refused("from", value, bound, "look at the kind of entry and the place");
        }
        let ends =
            |kind| matches!(kind, PlaceKind::Loss | PlaceKind::Sample | PlaceKind::NotExplained);
        let may_bring = |kind: PlaceKind| {
            self.kind.brings_to().contains(&kind) || (self.kind.moves() && ends(kind))
        };
        if let Some(leg) = self.to.iter().find(|leg| !may_bring(leg.place.kind())) {
            let value = format!("{} in an entry of kind {}", leg.place, self.kind);
            let bound = "must be a place this act brings to";
            return refused("to", value, bound, "look at the kind of entry and the place");
        }
        if self.kind.moves() && self.from.is_empty() && self.kind != EntryKind::StockTake {
            let bound = "must name where the alcohol comes from";
            return refused("from", "empty".into(), bound, "as tank:T1/L-14=1.25");
        }
        if self.kind == EntryKind::Void && self.corrects.is_none() {
            let bound = "must be given by an entry that takes another back";
            let hint = "the number of the entry that does not hold";
            return refused("corrects", "none".into(), bound, hint);
        }
        if (self.kind == EntryKind::StockTake) != self.counted.is_some() {
            let bound = "must be given by a stock-take, and only there";
            return refused("counted", self.kind.to_string(), bound, "what was counted");
        }
        let (taken, brought) = (self.moved(), self.to.iter().map(|leg| leg.alcohol).sum());
        if taken == brought {
            Ok(())
        } else {
            Err(AccountError::Unbalanced { taken: taken.to_string(), brought: brought.to_string() })
        }
    }
}
