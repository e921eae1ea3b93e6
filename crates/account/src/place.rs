//! Where pure alcohol can be: what it comes from, where it stands, what it is gone to.

use serde::{Deserialize, Serialize};

use crate::error::{AccountError, shown};
use crate::name::Name;

/// Whether alcohol comes from a place, stands there or is gone for good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// It comes from there.
    Source,
    /// It stands there: never less than none.
    Stock,
    /// It is gone there.
    Gone,
}

macro_rules! places {
    ($($(#[$words:meta])* $kind:ident $name:literal $side:ident),* $(,)?) => {
        /// A kind of place.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum PlaceKind { $($(#[$words])* $kind),* }

        impl PlaceKind {
            /// Every kind, from sugar to bottle, then what is gone.
            pub const ALL: &[Self] = &[$(Self::$kind),*];

            /// Its word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $name),* }
            }

            /// Source, stock or gone.
            #[must_use]
            pub const fn side(self) -> Side {
                match self { $(Self::$kind => Side::$side),* }
            }
        }
    };
}

places! {
    /// Made by yeast.
    Fermented "fermented" Source,
    /// Came from outside, as bought or as stock at the opening of the account.
    Received "received" Source,
    /// Found to be more than the book had, by a gauge or a stock-take.
    Found "found" Source,
    /// Wash.
    Wash "wash" Stock,
    /// The boiler of a still.
    Pot "pot" Stock,
    /// Jars and receivers of a run.
    Jar "jar" Stock,
    /// Low wines of a stripping run.
    LowWines "low_wines" Stock,
    /// Feints kept for another charge.
    Feints "feints" Stock,
    /// Tanks, demijohns and whatever is blended, reduced or steeped in.
    Tank "tank" Stock,
    /// What a bed of carbon or a filter holds and may give back.
    Bed "bed" Stock,
    /// Casks.
    Cask "cask" Stock,
    /// Filled bottles.
    Bottles "bottles" Stock,
    /// Drawn for a gauge, a taste or a laboratory.
    Sample "sample" Gone,
    /// Left the account: sold, given, used, sent away.
    Removed "removed" Gone,
    /// Destroyed on purpose.
    Destroyed "destroyed" Gone,
    /// Lost, and what to is named.
    Loss "loss" Gone,
    /// Lost, and nobody knows what to.
    NotExplained "not_explained" Gone,
}

/// What alcohol can be lost to; the name of a place of kind `loss`.
pub const LOSSES: [(&str, &str); 13] = [
    ("vapour", "left the still as vapour"),
    ("residue", "thrown away with what stayed in the boiler"),
    ("column", "stayed in column and condenser"),
    ("foreshots", "first runnings thrown away"),
    ("wash", "spilt, or left in the lees"),
    ("transfer", "stayed in hoses, funnels and vessels"),
    ("carbon", "stayed in a bed of carbon or a filter"),
    ("maceration", "stayed in fruit and herbs"),
    ("cask", "went through the wood of a cask"),
    ("bottling", "filling heads, overfill, rests"),
    ("breakage", "broken bottles and jars"),
    ("spill", "spilt"),
    ("evaporation", "went into the air"),
];

/// One place: a kind, and the name of the vessel, of the loss or of where it went.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Place {
    kind: PlaceKind,
    name: Option<Name>,
}

impl Place {
    /// A place of that kind and name.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for a loss without a name or of a name that is none, and for
    /// what stands in no vessel.
    pub fn new(kind: PlaceKind, name: Option<Name>) -> Result<Self, AccountError> {
        let refused = |bound, hint| AccountError::OutOfRange {
            field: "place",
            value: name
                .as_ref()
                .map_or_else(|| kind.word().to_owned(), |name| format!("{}:{name}", kind.word())),
            bound,
            hint,
        };
        let word = name.as_ref().map(Name::as_str);
        match kind {
            PlaceKind::Loss if !LOSSES.iter().any(|(loss, _)| word == Some(*loss)) => Err(refused(
                "must be a loss with its name",
                "one of loss:vapour, residue, column, foreshots, wash, transfer, carbon, maceration, cask, bottling, breakage, spill, evaporation",
            )),
            _ if kind.side() == Side::Stock && name.is_none() => {
                Err(refused("must name its vessel", "as tank:T1, jar:R7-3 or bottles:shelf"))
            }
            _ => Ok(Self { kind, name }),
        }
    }

    /// All places of a kind together, for sums.
    pub(crate) const fn of_kind(kind: PlaceKind) -> Self {
        Self { kind, name: None }
    }

    /// The place of a text as `tank:T1`, `loss:vapour` or `fermented`.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for any other text.
    pub fn of_text(text: &str) -> Result<Self, AccountError> {
        let (word, name) = match text.split_once(':') {
            Some((word, name)) => (word, Some(Name::new(name)?)),
            None => (text, None),
        };
        let kind = PlaceKind::ALL.iter().find(|kind| kind.word() == word);
        let kind = kind.ok_or_else(|| AccountError::OutOfRange {
            field: "place",
            value: shown(text),
            bound: "must be a place of the account",
            hint: "one of fermented, received, found; wash, pot, jar, low_wines, feints, tank, bed, cask, bottles; sample, removed, destroyed, loss, not_explained, with : and a name",
        })?;
        Self::new(*kind, name)
    }

    /// Its kind.
    #[must_use]
    pub const fn kind(&self) -> PlaceKind {
        self.kind
    }

    /// The vessel, the loss, or where it went.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.name.as_ref().map(Name::as_str)
    }
}

impl TryFrom<String> for Place {
    type Error = AccountError;

    fn try_from(text: String) -> Result<Self, AccountError> {
        Self::of_text(&text)
    }
}

impl From<Place> for String {
    fn from(place: Place) -> Self {
        place.to_string()
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.kind.word())?;
        self.name.as_ref().map_or(Ok(()), |name| write!(f, ":{name}"))
    }
}
