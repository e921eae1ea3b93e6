//! How far a reading can be trusted, and why not further.

use still::plan::Still;

use crate::probe::Probe;

/// Why a reading is doubtful or bad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// Too old: readings are missing.
    Stale,
    /// Not a number.
    NotANumber,
    /// A value that broken probes send.
    Sentinel(f64),
    /// Out of what there can be.
    OutOfRange(f64),
    /// It moved faster than it can, and further readings have not confirmed it.
    Jump(f64),
    /// It jumped and came back.
    Spike(f64),
    /// It has not moved by one digit for longer than noise and weather allow.
    Frozen,
    /// It fell cold as no still does: it no longer stands in the vapour.
    CameOff(f64),
    /// The pot boils and it is cold: it never stood in the vapour.
    NotInVapour(f64),
    /// A heater meter shows none while the still goes on as a heated one.
    ShowsNone,
    /// A scale on which something other than spirit moves.
    Handled,
    /// It seems to carry the name of this one, and this one its name.
    Swapped(Probe),
    /// It stepped by so much, K, between two readings, as nothing in a still does.
    Stepped(f64),
    /// The run as a whole goes better with a head that drifts.
    Drifts,
    /// Nothing but its last digit has moved for longer than noise allows.
    Flickers,
}

impl Reason {
    /// In words, after "it".
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Stale => "is not read any more".to_owned(),
            Self::NotANumber => "sent no number".to_owned(),
            Self::Sentinel(value) => format!("sent {value}, the sign of a broken probe or cable"),
            Self::OutOfRange(value) => format!("shows {value:.1}, which cannot be"),
            Self::Jump(value) => format!("jumped to {value:.1}"),
            Self::Spike(value) => format!("jumped to {value:.1} and back"),
            Self::Frozen => "has not moved by one digit".to_owned(),
            Self::CameOff(value) => {
                format!("fell to {value:.1} as no still does; it seems to have come off")
            }
            Self::NotInVapour(value) => {
                format!("shows {value:.1} while the pot boils; it does not stand in the vapour")
            }
            Self::ShowsNone => "shows no power while the still goes on boiling".to_owned(),
            Self::Handled => "shows what hands do to it".to_owned(),
            Self::Swapped(other) => format!("seems to be swapped with the {}", other.words()),
            Self::Stepped(by_k) => {
                format!("stepped by {by_k:+.1} K at once, as nothing in a still does")
            }
            Self::Drifts => "seems to drift, by all that was measured".to_owned(),
            Self::Flickers => "moves by its last digit only".to_owned(),
        }
    }
}

/// How far a channel can be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quality {
    /// Never read.
    Absent,
    /// Fresh and plausible.
    Good,
    /// The last good value may be shown; nothing should be steered by it alone.
    Doubtful(Reason),
    /// There is no value.
    Bad(Reason),
}

impl Quality {
    /// Whether the value may be shown at all.
    #[must_use]
    pub const fn shown(self) -> bool {
        matches!(self, Self::Good | Self::Doubtful(_))
    }

    /// Why it is not good, where it is not.
    #[must_use]
    pub const fn reason(self) -> Option<Reason> {
        match self {
            Self::Absent | Self::Good => None,
            Self::Doubtful(reason) | Self::Bad(reason) => Some(reason),
        }
    }
}

/// A channel at a moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// The last good value, where it may be shown.
    pub value: Option<f64>,
    /// Age of the last reading, s.
    pub age_s: Option<f64>,
    /// How far it can be trusted.
    pub quality: Quality,
}

/// What the reader must be told of the still to judge a reading.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Context {
    /// Heat going in, W.
    pub heat_w: f64,
    /// Heat as a person recorded it, or as planned, whatever a meter shows, W.
    pub said_w: f64,
    /// When vapour reached the head, s.
    pub vapour_s: Option<f64>,
    /// Whether the still is at total reflux or draws: the head stands in vapour.
    pub boils: bool,
    /// Whether vapour came by other signs than a head that grew hot, and it never did.
    pub head_never_hot: bool,
    /// Whether it is a pot still: its head moves all the time.
    pub pot: bool,
    /// What is expected to run into the jar, kg/s.
    pub runs_kg_per_s: f64,
    /// More than a meter of this still's heaters can show, W; 0 = not known.
    pub heat_most_w: f64,
}

/// A heater below this is off, W.
pub const HEATER_OFF_W: f64 = 20.0;

/// A meter that shows so many times the power of all elements counts in another unit (judgement: a label
/// may be that of one of two elements, a slip of the point is ten times).
const ELEMENTS_TIMES: f64 = 4.0;

impl Context {
    /// More than a meter of this still's heaters can show, W; 0 where its power is not stated.
    #[must_use]
    pub fn most_heat_w(still: &Still) -> f64 {
        if still.power_unstated() { 0.0 } else { ELEMENTS_TIMES * still.heater_power().watts() }
    }

    /// Whether heat goes in.
    #[must_use]
    pub fn heat_on(&self) -> bool {
        self.heat_w > HEATER_OFF_W
    }
}
