//! What an estimate says: the ends of the hearts, how much, how strong, how sure, and what helps.

use serde::{Deserialize, Serialize};

use super::character::Trait;
use quantities::Band;

/// An end of the hearts: when, and how much they are in all until then.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EndForecast {
    /// Run time, s.
    pub time_s: Band,
    /// Litres at 20 °C drawn in hearts from their start to that end.
    pub litres: Band,
    /// Strength of all of them together, % vol.
    pub strength_vol: Band,
}

/// What is known at one moment of a run, from what was recorded up to then.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outlook {
    /// The moment, run time in s: nothing recorded after it was used.
    pub made_at_s: f64,
    /// The plan's own end of its last hearts step; none where the plan has no hearts.
    pub plan_end: Option<EndForecast>,
    /// The plan's own end of the step that runs, run time in s.
    pub step_end_s: Option<Band>,
    /// Columns: the head 1.0 K over this run's plateau. Pots: the hearts' limit of strength.
    pub end: Option<EndForecast>,
    /// Litres of hearts still to come until [`Self::plan_end`].
    pub litres_to_come: Option<Band>,
    /// Strength of what runs now, % vol; before anything runs, of what should run first.
    pub strength_now: Band,
    /// Strength of the hearts so far, % vol; none before there are any.
    pub strength_so_far: Option<Band>,
    /// Litres of pure alcohol still in the pot.
    pub pot_alcohol_l: Band,
    /// Jars still needed until [`Self::plan_end`].
    pub jars_needed: Option<Band>,
    /// When the plan's last step should end, run time in s.
    pub stop_s: Option<Band>,
    /// Litres of the charge, as believed now.
    pub charge_litres: Band,
    /// Strength of the charge, as believed now, % vol.
    pub charge_strength_vol: Band,
    /// What is wrong with probes or apparatus, likeliest first.
    pub faults: Vec<Fault>,
    /// Answers that should not be trusted now, and why.
    pub untrusted: Vec<Untrusted>,
    /// What the estimate rests on.
    pub evidence: Evidence,
    /// What narrows the band of the hearts' litres or end, most helpful first.
    pub would_help: Vec<Help>,
}

/// Probability from which a fault is named: as likely as not.
const NAMED_FROM: f64 = 0.5;

impl Outlook {
    /// The likeliest fault as `kind:channel`, `none` where none is at least as likely as not.
    #[must_use]
    pub fn named_fault(&self) -> String {
        let likely = self.faults.iter().filter(|fault| fault.probability >= NAMED_FROM);
        let likeliest = likely.max_by(|a, b| a.probability.total_cmp(&b.probability));
        likeliest.map_or_else(
            || "none".to_owned(),
            |fault| format!("{}:{}", fault.kind.name(), fault.channel),
        )
    }

    /// Litres of hearts drawn so far; none where the plan has no hearts.
    #[must_use]
    pub fn drawn_l(&self) -> Option<f64> {
        Some(self.plan_end?.litres.p50 - self.litres_to_come?.p50)
    }
}

/// A fault that the readings speak for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// Which kind.
    pub kind: FaultKind,
    /// Column of the readings it is about; `charge`, `heater` and the like where it is no probe.
    pub channel: String,
    /// Probability that it is there, 0 to 1.
    pub probability: f64,
    /// Since when, run time in s.
    pub since_s: f64,
    /// Why, in words.
    pub why: String,
}

/// Kinds of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FaultKind {
    /// The head thermometer stands still.
    StuckHead,
    /// The pot thermometer stands still.
    StuckPot,
    /// Single readings far from their neighbours.
    Spikes,
    /// Empty cells and codes that a sensor gives when it is not read.
    Dropouts,
    /// The head thermometer drifts.
    Drift,
    /// Head and pot thermometer are exchanged.
    Swapped,
    /// The charge is not as strong as stated.
    WrongStrength,
    /// The coolant failed for a while.
    CoolantLoss,
    /// The heater gives less than it should.
    ElementFailing,
    /// The head thermometer is off by a constant.
    HeadOffset,
    /// The head disagrees with the gauged jars and is left out.
    HeadAgainstJars,
    /// The thermometer in the column stands still, drifts or disagrees and is left out.
    ColumnLeftOut,
}

impl FaultKind {
    /// All kinds.
    pub const ALL: [Self; 12] = [
        Self::StuckHead,
        Self::StuckPot,
        Self::Spikes,
        Self::Dropouts,
        Self::Drift,
        Self::Swapped,
        Self::WrongStrength,
        Self::CoolantLoss,
        Self::ElementFailing,
        Self::HeadOffset,
        Self::HeadAgainstJars,
        Self::ColumnLeftOut,
    ];

    /// The name used in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::StuckHead => "stuck_head",
            Self::StuckPot => "stuck_pot",
            Self::Spikes => "spikes",
            Self::Dropouts => "dropouts",
            Self::Drift => "drift",
            Self::Swapped => "swapped",
            Self::WrongStrength => "wrong_strength",
            Self::CoolantLoss => "coolant_loss",
            Self::ElementFailing => "element_failing",
            Self::HeadOffset => "head_offset",
            Self::HeadAgainstJars => "head_against_jars",
            Self::ColumnLeftOut => "column_left_out",
        }
    }
}

/// An answer that should not be trusted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Untrusted {
    /// Which: `end`, `litres`, `strength`, `charge`, `rise`, `pot`, `column`.
    pub answer: String,
    /// Why, in words.
    pub why: String,
}

/// What an estimate rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// Sum of squared weighted residuals of the measurements.
    pub chi_square: f64,
    /// How many measurements count, after those that repeat each other are counted once.
    pub effective_measurements: f64,
    /// Distance of the fit from what was believed before, in standard deviations.
    pub prior_distance: f64,
    /// Effective number of draws behind the bands.
    pub effective_draws: f64,
    /// How many runs of the still were simulated for it: what it cost.
    pub simulations: u64,
    /// What the band of the hearts' litres comes from: shares of its variance, largest first.
    pub shares: Vec<Share>,
    /// What the thermometer in the column is worth to it, where one counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub column: Option<ColumnWorth>,
}

/// What the thermometer in the column is worth to an estimate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ColumnWorth {
    /// The band of the end is narrower for it by this share (0 to 1).
    pub end_gain: f64,
    /// The band of the litres is narrower for it by this share (0 to 1).
    pub litres_gain: f64,
}

/// One contributor to a band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Share {
    /// What: a trait or quantity, as `charge_strength`, `take_off_to_come`, `model`.
    pub of: String,
    /// Share of the variance of the hearts' litres, 0 to 1.
    pub litres: f64,
    /// Share of the variance of the end, 0 to 1.
    pub end: f64,
}

/// An action that would narrow the band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Help {
    /// Code of the action, as `gauge_charge`, `time_take_off`.
    pub action: String,
    /// In words, beginning with a verb.
    pub text: String,
    /// The 80 % band of the end becomes narrower by this share (0 to 1).
    pub end_gain: f64,
    /// The 80 % band of the litres becomes narrower by this share (0 to 1).
    pub litres_gain: f64,
}

/// One thing of the still or the run that was estimated.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Fitted {
    /// What.
    pub of: Trait,
    /// Likeliest value, in the trait's own unit.
    pub value: f64,
    /// Its standard deviation.
    pub sd: f64,
}
