//! The kinds of entry: which act of the trade it is, and between which places it moves alcohol.

use serde::{Deserialize, Serialize};

use crate::place::PlaceKind::{
    self, Bed, Bottles, Cask, Destroyed, Feints, Fermented, Found, Jar, LowWines, NotExplained,
    Pot, Received, Removed, Tank, Wash,
};

macro_rules! kinds {
    ($($(#[$words:meta])* $kind:ident $name:literal [$($from:ident)*] [$($to:ident)*]),* $(,)?) => {
        /// Which act an entry tells of.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum EntryKind { $($(#[$words])* $kind),* }

        impl EntryKind {
            /// Every kind, from sugar to bottle.
            pub const ALL: &[Self] = &[$(Self::$kind),*];

            /// Its word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $name),* }
            }

            /// The kinds of place it takes from.
            #[must_use]
            pub const fn takes_from(self) -> &'static [PlaceKind] {
                match self { $(Self::$kind => &[$($from),*]),* }
            }

            /// The kinds of place it brings to; losses, samples and what nobody explains go with
            /// every act that moves alcohol.
            #[must_use]
            pub const fn brings_to(self) -> &'static [PlaceKind] {
                match self { $(Self::$kind => &[$($to),*]),* }
            }
        }
    };
}

kinds! {
    /// A wash has fermented.
    Ferment "ferment" [Fermented] [Wash],
    /// It came from outside, or stood there when the account was opened.
    Receive "receive" [Received] [Wash LowWines Feints Tank Cask Bottles],
    /// A still is charged with wash, low wines, feints or spirit.
    Charge "charge" [Wash LowWines Feints Tank Jar] [Pot],
    /// A run: from the pot into jars, low wines and feints, with its losses.
    Distil "distil" [Pot] [Jar LowWines Feints Tank],
    /// Jars, tanks and casks are put together.
    Blend "blend" [Jar Tank Cask Bed] [Tank Feints LowWines],
    /// Jars that are kept for another charge.
    Feints "feints" [Jar Tank Pot LowWines Feints] [Feints],
    /// Water is added: the pure alcohol stays.
    Reduce "reduce" [Tank Jar] [Tank],
    /// Through a bed of carbon or a filter.
    Carbon "carbon" [Tank Bed] [Tank Bed Feints],
    /// On fruit, herbs or wood chips, or off them.
    Macerate "macerate" [Tank] [Tank Feints],
    /// A cask is filled.
    FillCask "fill_cask" [Tank Cask Jar] [Cask],
    /// A cask or tank is gauged again: what is missing gets its name.
    Regauge "regauge" [Cask Tank Jar LowWines Feints Wash Found] [Cask Tank Jar LowWines Feints Wash],
    /// A cask is emptied.
    DumpCask "dump_cask" [Cask] [Tank],
    /// Bottles are filled.
    Bottle "bottle" [Tank Cask] [Bottles Tank Feints],
    /// From one vessel to another of the same kind, or bottles back into a tank.
    Transfer "transfer" [Wash Jar LowWines Feints Tank Bed Cask Bottles] [Wash Jar LowWines Feints Tank Bed Cask Bottles],
    /// Drawn for a gauge, a taste or a laboratory.
    Sample "sample" [Wash Pot Jar LowWines Feints Tank Bed Cask Bottles] [],
    /// Sold, given, used, sent away.
    Remove "remove" [Jar LowWines Feints Tank Cask Bottles] [Removed],
    /// Destroyed on purpose.
    Destroy "destroy" [Wash Pot Jar LowWines Feints Tank Bed Cask Bottles] [Destroyed],
    /// Lost, and what to is named.
    Lose "lose" [Wash Pot Jar LowWines Feints Tank Bed Cask Bottles] [],
    /// More is there than the book had, and why is said.
    Gain "gain" [Found] [Wash Pot Jar LowWines Feints Tank Bed Cask Bottles],
    /// Counted at a stock-take: the difference is explained, or stays not explained.
    StockTake "stock_take" [Found Wash Pot Jar LowWines Feints Tank Bed Cask Bottles] [Wash Pot Jar LowWines Feints Tank Bed Cask Bottles NotExplained Destroyed],
    /// A period is closed: nothing is entered or corrected in it any more.
    Close "close" [] [],
    /// An earlier entry does not hold, and nothing takes its place.
    Void "void" [] [],
}

impl EntryKind {
    /// The kind of that word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }

    /// Whether it moves alcohol.
    #[must_use]
    pub const fn moves(self) -> bool {
        !matches!(self, Self::Close | Self::Void)
    }

    /// Whether it may make a spirit stronger.
    #[must_use]
    pub const fn may_strengthen(self) -> bool {
        matches!(self, Self::Distil | Self::Blend | Self::Regauge | Self::StockTake | Self::Feints)
    }
}

impl std::fmt::Display for EntryKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}
