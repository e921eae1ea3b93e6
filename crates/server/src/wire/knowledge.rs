//! What is known of a run now, on the wire: exactly what the engine knows, under its own names.

use serde::Serialize;
use still::outcome::EndedBy;
use utoipa::ToSchema;

use super::alarms::{AlarmNowWire, SuppressedWire};
use super::event::EventWire;
use super::plan::StepKindWire;
use super::twin::{Twin, enum_twin, exact_twin};

enum_twin!(
    /// Why a step or the run ended.
    EndedByWire, EndedBy, Filled, Minutes, UntilMl, UntilRiseK, UntilStrengthVol, UntilPotC,
    UntilTotalMl, ElementCover, PotDry, NoVapour, Person, Plan
);
enum_twin!(
    /// State of the run.
    StateWire, advise::State, BeforeHeat, Heating, Equalising, Foreshots, Heads, Hearts, SlowHearts,
    Tails, CoolingDown, Interrupted, Ended
);
enum_twin!(
    /// What comes.
    WhatWire, advise::What, FirstVapour, Filled, StepEnd, Stop, Cool
);
enum_twin!(
    /// What a moment to come is known from.
    EvidenceWire, advise::Evidence, Seen, Measured, Reckoned, Forecast
);
enum_twin!(
    /// What an instruction rests on.
    GroundWire, advise::Ground, Seen, Forecast, Plan
);
enum_twin!(
    /// How far a channel can be trusted.
    QualityWire, advise::ChannelState, Good, Doubtful, Bad, Stale, Absent
);

/// What one key may do for an instruction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
#[serde(tag = "do", rename_all = "snake_case")]
pub(crate) enum ActWire {
    /// Begin step `step` of the plan after step `after`.
    Begin {
        /// The step to begin.
        step: usize,
        /// The step that runs.
        after: usize,
    },
    /// The coolant now runs at this flow; 0 closes it.
    Coolant {
        /// Flow, L/min.
        l_per_min: f64,
    },
    /// The heater now has this power.
    Heater {
        /// Power, W.
        watts: f64,
    },
    /// That jar now stands under the spout.
    Jar {
        /// Its number.
        number: u32,
    },
    /// Somebody is at the still.
    Here,
}

impl Twin<ActWire> for advise::Act {
    fn twin(&self) -> ActWire {
        match *self {
            Self::Begin { step, after } => ActWire::Begin { step, after },
            Self::Coolant { l_per_min } => ActWire::Coolant { l_per_min },
            Self::Heater { watts } => ActWire::Heater { watts },
            Self::Jar { number } => ActWire::Jar { number },
            Self::Here => ActWire::Here,
        }
    }
}

exact_twin!(
    /// The 2.5, 10, 50, 90 and 97.5 % points of something that is not known exactly: likely value, 80
    /// and 95 % bands.
    BandWire, quantities::Band, {
        /// Low end of the 95 % band.
        p025: f64,
        /// Low end of the 80 % band.
        p10: f64,
        /// As likely above as below.
        p50: f64,
        /// High end of the 80 % band.
        p90: f64,
        /// High end of the 95 % band.
        p975: f64,
    }
);
exact_twin!(
    /// A value with its bands, where it comes from, and when it was found.
    ValueWire, advise::Value, {
        /// The value: likeliest, 80 and 95 % bands.
        at: BandWire,
        /// Where it comes from, in words.
        basis: String,
        /// Run time at which it was found, s.
        made_at_s: f64,
    }
);
exact_twin!(
    /// The running step of the plan.
    StepNowWire, advise::StepNow, {
        /// Position in the plan's steps.
        index: usize,
        /// Its kind.
        kind: StepKindWire,
        /// What it is called: `slow hearts` for the slow phase, else the kind's word.
        name: String,
        /// Whether it is a slow phase.
        slow: bool,
        /// When it began, run time in s.
        started_s: f64,
    }
);
exact_twin!(
    /// A moment to come.
    EndWire, advise::End, {
        /// What comes.
        what: WhatWire,
        /// The step that ends, where one does.
        step_index: Option<usize>,
        /// The whole phrase that a time follows: "Fast hearts should end".
        words: String,
        /// What then begins, in two or three words: "hearts begin".
        short: String,
        /// What should end it, where that is known.
        ends_by: Option<EndedByWire>,
        /// When, run time in s.
        at: BandWire,
        /// Run time at which this was found, s.
        made_at_s: f64,
        /// What it is known from.
        evidence: EvidenceWire,
        /// The same in words.
        basis: String,
        /// Why it should not be trusted, where it should not.
        unsure: Option<String>,
    }
);
exact_twin!(
    /// What is to be done next.
    InstructionWire, advise::Instruction, {
        /// Code, as of a prompt.
        code: String,
        /// In words, starting with a verb ("open the coolant").
        text: String,
        /// Whether it is to be done now: only where its trigger was seen.
        now: bool,
        /// When, run time in s; none where no time is known.
        due: Option<BandWire>,
        /// What it rests on.
        from: GroundWire,
        /// What one key may do for it.
        act: Option<ActWire>,
    }
);
exact_twin!(
    /// The head over this run's plateau.
    RiseWire, advise::Rise, {
        /// Pressure-corrected, K.
        kelvin: f64,
        /// The rise that ends the running step, K.
        trigger_k: Option<f64>,
        /// The plateau at the present pressure, °C.
        plateau_c: f64,
    }
);
exact_twin!(
    /// Spirit that was drawn.
    SpiritWire, advise::Spirit, {
        /// Litres at 20 °C.
        litres: ValueWire,
        /// Litres of pure alcohol in it.
        pure_alcohol_l: ValueWire,
        /// Strength of all of it together, % vol.
        strength: Option<ValueWire>,
    }
);
exact_twin!(
    /// Where the pure alcohol of the charge is, L. The middles of the four parts add up to the middle of
    /// what was charged.
    AccountWire, advise::Account, {
        /// In the charge.
        charged_l: BandWire,
        /// Drawn.
        drawn_l: BandWire,
        /// Held in column and drum.
        held_l: BandWire,
        /// Lost as vapour.
        lost_l: BandWire,
        /// Left in the pot.
        left_l: BandWire,
    }
);
exact_twin!(
    /// What is believed of the charge now.
    ChargeBeliefWire, advise::ChargeBelief, {
        /// Litres at 20 °C.
        litres: BandWire,
        /// Strength, % vol.
        strength_vol: BandWire,
    }
);
exact_twin!(
    /// One channel of readings.
    ChannelWire, advise::Channel, {
        /// Column name in the readings file, as `head_c`.
        name: String,
        /// What it is called.
        words: String,
        /// Last value that can be shown.
        value: Option<f64>,
        /// Age of the last reading, s.
        age_s: Option<f64>,
        /// How far it can be trusted.
        quality: QualityWire,
        /// Why no further, in words.
        reason: Option<String>,
        /// Its instrument, where that should have been calibrated again before.
        overdue: Option<String>,
    }
);
exact_twin!(
    /// A jar of this run.
    JarWire, advise::Jar, {
        /// Number.
        number: u32,
        /// Fraction.
        cut: StepKindWire,
        /// Opened (or expected to be), s.
        start_s: f64,
        /// Closed (or expected to be full), s; none while open with no expectation.
        end_s: Option<f64>,
        /// Volume at 20 °C, mL: measured, or reckoned from the take-off.
        volume_ml: f64,
        /// Whether the volume was measured.
        measured: bool,
        /// Strength, % vol.
        strength_vol: Option<f64>,
        /// Whether the strength was read by the glass.
        strength_read: bool,
        /// `filled`, `open` or `expected`.
        status: String,
        /// Cleanliness word for the look of its liquid: discard, sharp, faint, clean, `faint_late`, oily.
        cleanliness: String,
    }
);
exact_twin!(
    /// An alarm made quiet.
    QuietWire, advise::Quiet, {
        /// Alarm code.
        code: String,
        /// Until, s.
        until_s: f64,
        /// Why.
        reason: String,
    }
);
exact_twin!(
    /// Something that seems wrong with probes, still or charge.
    DoubtWire, advise::Doubt, {
        /// Stable code.
        code: String,
        /// What, in words.
        words: String,
        /// The column of the readings it is about, where it is one.
        channel: Option<String>,
        /// Since when, run time in s.
        since_s: f64,
        /// How sure, in words ("9 in 10").
        odds: String,
        /// Why, in words.
        why: String,
    }
);
exact_twin!(
    /// An answer that cannot be given, or not be trusted, now.
    UnknownWire, advise::Unknown, {
        /// Which: `end`, `litres`, `strength`, `charge`, `rise`, `pot`, `head`, `drawn`,
        /// `coolant`.
        what: String,
        /// The same in words.
        words: String,
        /// Why, in words.
        why: String,
    }
);
exact_twin!(
    /// Something to do that would narrow a band.
    HelpWire, advise::Helps, {
        /// Code of the action.
        action: String,
        /// In words, beginning with a verb.
        text: String,
        /// The 80 % band of the end becomes narrower by this share.
        end_gain: f64,
        /// The 80 % band of the litres becomes narrower by this share.
        litres_gain: f64,
    }
);
exact_twin!(
    /// How the run ended.
    RunEndWire, advise::RunEnd, {
        /// When, s.
        time_s: f64,
        /// Why.
        ended_by: EndedByWire,
        /// Litres at 20 °C drawn.
        litres_20c: f64,
        /// Litres of pure alcohol drawn.
        pure_alcohol_l: f64,
    }
);
exact_twin!(
    /// Everything that is known now.
    KnowledgeWire, advise::Knowledge, {
        /// Run time of this snapshot, s.
        time_s: f64,
        /// State of the run.
        state: StateWire,
        /// The running step.
        step: StepNowWire,
        /// First words of the sentence ("Collecting hearts.").
        headline: String,
        /// What is to come, in order of time; the sentence tells the first.
        ends: Vec<EndWire>,
        /// What is to be done next.
        instruction: Option<InstructionWire>,
        /// The head over the plateau; none until this run's plateau is known and while the head is not
        /// read.
        rise: Option<RiseWire>,
        /// Strength of what runs now, % vol.
        strength_now: Option<ValueWire>,
        /// What was drawn as hearts.
        hearts: Option<SpiritWire>,
        /// Everything drawn.
        drawn: Option<SpiritWire>,
        /// Litres of hearts still to come.
        hearts_to_come_l: Option<ValueWire>,
        /// Litres of hearts in all, those to come included.
        hearts_in_all_l: Option<ValueWire>,
        /// Jars still needed for the hearts.
        jars_to_come: Option<BandWire>,
        /// Where the pure alcohol is.
        account: AccountWire,
        /// What is believed of the charge.
        charge: ChargeBeliefWire,
        /// Take-off now, mL/min at 20 °C.
        takeoff_ml_per_min: Option<ValueWire>,
        /// Heater power, as metered or else as recorded, W.
        heater_w: Option<f64>,
        /// Coolant flow, as read or else as recorded, L/min.
        coolant_l_per_min: Option<f64>,
        /// Every channel, read or not.
        channels: Vec<ChannelWire>,
        /// Jars filled, open and expected.
        jars: Vec<JarWire>,
        /// Alarms that stand, most urgent first; of those that follow from each other the first on
        /// top.
        alarms: Vec<EventWire>,
        /// Codes of standing alarms a person has seen.
        seen: Vec<String>,
        /// Every alarm that is not normal, with its state.
        alarm_list: Vec<AlarmNowWire>,
        /// Alarms that are not raised in this phase of the run.
        suppressed: Vec<SuppressedWire>,
        /// How many alarms came in the last ten minutes.
        alarms_in_10_min: usize,
        /// Whether those are more than a person can take in.
        alarm_flood: bool,
        /// Prompts that are due and not done, most urgent first.
        prompts: Vec<EventWire>,
        /// What was made quiet.
        quiet: Vec<QuietWire>,
        /// Seconds until the attendant counts as absent.
        attendant_left_s: f64,
        /// What seems wrong.
        doubts: Vec<DoubtWire>,
        /// What cannot be known, or not be trusted, now.
        unknown: Vec<UnknownWire>,
        /// What would make it surer, most helpful first.
        would_help: Vec<HelpWire>,
        /// Run time of the estimate behind the measured answers, s.
        estimate_made_at_s: Option<f64>,
        /// Whether that is young enough to be used.
        estimate_fresh: bool,
        /// How it ended, once it has.
        end: Option<RunEndWire>,
    }
);
