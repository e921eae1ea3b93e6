//! What is known about stills, on the wire: what was learned, from which runs, and the balance of
//! a run that is over.

use serde::{Deserialize, Serialize};
use store::{LessonSource, ResetNote, StillState, Taught};
use utoipa::{IntoParams, ToSchema};

use super::calibrated::CalibratedWire;
use super::twin::{Twin, enum_twin, exact_twin};

enum_twin!(
    /// What can be learned about a still. Factors are logarithms of the ratio to what its owner
    /// states, so that 0 means "as stated"; offsets are in kelvin.
    TraitWire, estimate::Trait,
    /// Ln of the contact stages over those stated (separating power).
    Separation,
    /// Ln of the boiler's heat loss over that stated.
    HeatLoss,
    /// Ln of the heat loss of column and head over that stated.
    ColumnLoss,
    /// Ln of the heater's power over its label.
    Heater,
    /// Ln of the hold-up over that stated.
    HoldUp,
    /// What the head thermometer reads too high, K.
    HeadOffset,
    /// What the pot thermometer reads too high, K.
    PotOffset,
    /// Ln of what the take-off valve gives over what it is set to.
    Valve,
    /// Ln of the hearts' alcohol over what the model finds with everything else known.
    Yield,
    /// Ln of the alcohol that is kept over that charged: the rest leaves as vapour uncondensed.
    VapourLost
);
exact_twin!(
    /// The belief about one trait.
    BeliefWire, estimate::Belief, {
        /// Which.
        of: TraitWire,
        /// Mean: ln of a ratio, or K.
        mean: f64,
        /// Standard deviation, same unit.
        sd: f64,
    }
);
exact_twin!(
    /// When the steps of a run were begun, against when they were due.
    ChangesWire, estimate::Changes, {
        /// Steps that were begun when their trigger was met or later.
        after_trigger: u32,
        /// How late these were in all, s.
        late_s: f64,
        /// Hearts that were over where the plan has slow ones.
        slow_phases: u32,
        /// Of these, with slow hearts begun before their trigger was met.
        early: u32,
    }
);
exact_twin!(
    /// What a run counts for in how this person runs this still.
    CountedWire, estimate::Counted, {
        /// When its steps were begun.
        changes: ChangesWire,
        /// Pauses in its hearts.
        pauses: u32,
        /// How long these lasted in all, s.
        paused_s: f64,
        /// Whether its hearts were slowed down outside the plan.
        slowed: bool,
        /// How far it is believed at the end that the charge was not as stated, 0 to 1.
        wrong_strength: f64,
        /// The same of a head that drifts.
        drift: f64,
        /// The same of a heater that gave less from a moment on.
        weak_heater: f64,
    }
);
exact_twin!(
    /// Beliefs after one run.
    LearnedWire, estimate::Learned, {
        /// The run's title.
        title: String,
        /// When it started, as its plan says.
        start: String,
        /// What that run alone says, without what was believed before.
        run: Vec<BeliefWire>,
        /// What is believed after it.
        after: Vec<BeliefWire>,
        /// What it counts for in how this person runs this still; absent where an earlier version
        /// learned.
        #[serde(skip_serializing_if = "Option::is_none")]
        counted: Option<CountedWire>,
    }
);
exact_twin!(
    /// What is believed about a still.
    CharacterWire, estimate::Character, {
        /// Present beliefs: one for each trait, or none before the first run.
        beliefs: Vec<BeliefWire>,
        /// How they came about, oldest run first.
        history: Vec<LearnedWire>,
    }
);
exact_twin!(
    /// One explanation.
    CauseWire, estimate::Cause, {
        /// `charge_not_as_stated`, `vapour_lost`, `reading_error`, `held_back`, `left_in_boiler`,
        /// `nothing_missing`.
        code: String,
        /// In words.
        text: String,
        /// Probability among the causes, 0 to 1.
        odds: f64,
    }
);
enum_twin!(
    /// What a balance says.
    VerdictWire, estimate::Verdict,
    /// It adds up, within what gauging leaves open.
    AddsUp,
    /// Alcohol is missing.
    Missing,
    /// More was found than was charged.
    TooMuch,
    /// Too little was gauged.
    CannotTell
);
exact_twin!(
    /// One part of a balance.
    BalancePartWire, estimate::Part, {
        /// `jars`, `feints`, `samples`, `not_read`, `not_measured`, `residue`, `stays`, `left`.
        code: String,
        /// In words.
        text: String,
        /// Pure alcohol, L.
        alcohol_l: f64,
        /// Its standard deviation by the instruments, or by the reckoning, L.
        sd_l: f64,
    }
);
exact_twin!(
    /// A gauging that would tell something.
    GaugingWire, estimate::Gauging, {
        /// `jars`, `jars_strength`, `residue`, `charge`, `jars_again`, `jars_volume`.
        code: String,
        /// In words.
        text: String,
    }
);
exact_twin!(
    /// What a balance is made of, and what it can tell.
    BalanceAccountWire, estimate::Account, {
        /// What it says.
        verdict: VerdictWire,
        /// Drawn and not gauged, as far as it can be reckoned, L of pure alcohol.
        not_gauged_l: f64,
        /// Whether the residue was gauged, volume or weight and strength.
        residue_gauged: bool,
        /// Alcohol believed to have left as vapour, over all explanations by their odds, L.
        vapour_lost_l: f64,
        /// The parts, each with its doubt.
        parts: Vec<BalancePartWire>,
        /// The gauging that would tell most about what is open; none where nothing is.
        tells_most: Option<GaugingWire>,
    }
);
/// The balance of a run, and what it rests on that should have been calibrated again before.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct RunBalanceWire {
    #[serde(flatten)]
    pub(crate) balance: AlcoholBalanceWire,
    /// Instruments that were overdue in that run, as `head_c: long probe`.
    pub(crate) overdue: Vec<String>,
}

exact_twin!(
    /// The balance of pure alcohol of one run, litres.
    AlcoholBalanceWire, estimate::AlcoholBalance, {
        /// In the charge as stated.
        charged_l: f64,
        /// Gauged: volume and strength of jars, feints and samples. What was not gauged is not in
        /// it.
        collected_l: f64,
        /// Still in boiler and column: the residue as gauged, else as the fit to the whole run
        /// has it.
        left_l: f64,
        /// Charged less collected less left, less what was drawn and not gauged as far as it can
        /// be reckoned: alcohol that is missing (negative: too much).
        missing_l: f64,
        /// Standard deviation of the missing alcohol.
        missing_sd_l: f64,
        /// What may explain it, likeliest first; odds sum to 1.
        causes: Vec<CauseWire>,
        /// What the sums are made of; none in a balance that an earlier version worked out.
        account: Option<BalanceAccountWire>,
    }
);
enum_twin!(
    /// Where a lesson comes from.
    LessonSourceWire, LessonSource,
    /// A real run, attended with this program.
    Real,
    /// A run read from a folder into the record.
    Imported,
    /// A run folder that is not in the record.
    Folder,
    /// A rehearsal.
    Rehearsal
);

/// One lesson of a still.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct LessonWire {
    /// When it was learned, ms UTC.
    pub(crate) stored_ms: i64,
    /// Where it comes from.
    pub(crate) source: LessonSourceWire,
    /// The run, where it is in this record.
    pub(crate) run: Option<String>,
    /// Where the alcohol of that run went.
    pub(crate) balance: AlcoholBalanceWire,
}

impl From<&Taught> for LessonWire {
    fn from(taught: &Taught) -> Self {
        Self {
            stored_ms: taught.stored_ms,
            source: taught.source.into(),
            run: taught.run.as_ref().map(ToString::to_string),
            balance: taught.balance.twin(),
        }
    }
}

/// A change of the still, after which older runs do not count.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ResetWire {
    /// When it was told, ms UTC.
    pub(crate) stored_ms: i64,
    /// What was changed.
    pub(crate) reason: String,
    /// How many lessons ceased to count.
    pub(crate) lessons: usize,
}

impl From<&ResetNote> for ResetWire {
    fn from(reset: &ResetNote) -> Self {
        let ResetNote { stored_ms, reason, lessons } = reset.clone();
        Self { stored_ms, reason, lessons }
    }
}

/// What is known about a still.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct KnownStillWire {
    /// Its name, as plans have it.
    pub(crate) name: String,
    /// Whether it is the simulated still of that name, known from rehearsals only.
    pub(crate) rehearsed: bool,
    /// How many runs count.
    pub(crate) runs: usize,
    /// What is believed now; empty before the first run and after a change.
    pub(crate) character: CharacterWire,
    /// The lessons that count, the oldest first.
    pub(crate) lessons: Vec<LessonWire>,
    /// Its changes, the oldest first.
    pub(crate) resets: Vec<ResetWire>,
    /// What several of its runs gave together, where that stands.
    pub(crate) calibrated: Option<CalibratedWire>,
}

impl From<&StillState> for KnownStillWire {
    fn from(state: &StillState) -> Self {
        Self {
            name: state.name.clone(),
            rehearsed: state.rehearsed,
            runs: state.character.runs(),
            character: state.character.twin(),
            lessons: state.lessons.iter().map(Into::into).collect(),
            resets: state.resets.iter().map(Into::into).collect(),
            calibrated: state.calibrated.as_ref().map(Into::into),
        }
    }
}

/// Which record of stills, and which of two stills of one name.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct StillAsk {
    /// `true`: the stills of the example house instead of the person's own.
    #[serde(default)]
    pub(crate) example: bool,
    /// `true`: the simulated still of that name, known from rehearsals; absent = as `example`.
    #[serde(default)]
    pub(crate) rehearsed: Option<bool>,
}

impl StillAsk {
    /// Whether the simulated still is meant: of the example house there is no other.
    pub(crate) fn rehearsed(self) -> bool {
        self.rehearsed.unwrap_or(self.example)
    }
}

/// Which record of stills.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct StillsAsk {
    /// `true`: the stills of the example house instead of the person's own.
    #[serde(default)]
    pub(crate) example: bool,
}

/// Why older runs do not count any more.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ResetAsk {
    /// What was changed, in words.
    pub(crate) reason: String,
}

/// The balance is not there yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct ComputingWire {
    /// `computing`: ask again in a second or two.
    pub(crate) state: String,
}

#[cfg(test)]
mod tests {
    use estimate::{
        Account, AlcoholBalance, Belief, Cause, Character, Counted, Gauging, Learned, Part, Trait,
        Verdict,
    };

    use super::{AlcoholBalanceWire, CharacterWire};

    #[test]
    fn a_character_and_a_balance_have_the_same_names_on_the_wire() {
        let beliefs: Vec<Belief> =
            Trait::ALL.into_iter().map(|of| Belief { of, mean: -0.25, sd: 0.5 }).collect();
        let (title, start) = ("First run".to_owned(), "2026-10-03T08:12:00+02:00".to_owned());
        let learned = Learned {
            title,
            start,
            run: beliefs.clone(),
            after: beliefs.clone(),
            counted: Some(Counted::default()),
        };
        let character = Character { beliefs, history: vec![learned] };
        assert_eq!(
            serde_json::to_value(CharacterWire::from(&character)).unwrap(),
            serde_json::to_value(&character).unwrap()
        );
        let cause =
            Cause { code: "vapour_lost".into(), text: "Vapour was lost.".into(), odds: 0.5 };
        let balance = AlcoholBalance {
            charged_l: 2.5,
            collected_l: 2.0,
            left_l: 0.25,
            missing_l: 0.25,
            missing_sd_l: 0.125,
            causes: vec![cause],
            account: Some(Account {
                verdict: Verdict::Missing,
                not_gauged_l: 0.125,
                residue_gauged: true,
                vapour_lost_l: 0.25,
                parts: vec![Part {
                    code: "jars".into(),
                    text: "jars, measured and read".into(),
                    alcohol_l: 2.0,
                    sd_l: 0.25,
                }],
                tells_most: Some(Gauging { code: "charge".into(), text: "Gauge it.".into() }),
            }),
        };
        assert_eq!(
            serde_json::to_value(AlcoholBalanceWire::from(&balance)).unwrap(),
            serde_json::to_value(&balance).unwrap()
        );
    }
}
