//! What the engine knows and says, on the wire.

use still::outcome::EndedBy;

use super::outlook::OutlookWire;
use super::plan::StepKindWire;
use super::twin::{enum_twin, struct_twin};

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
    /// How far a channel can be trusted.
    ChannelStateWire, advise::ChannelState, Live, Stale, Impossible, Frozen, Absent
);
enum_twin!(
    /// Kind of event.
    EventKindWire, advise::EventKind, Prompt, Alarm, Step, State
);
enum_twin!(
    /// How soon it must be looked at.
    PriorityWire, advise::Priority, Low, Medium, High, Critical
);

/// The list's twins.
pub(super) fn each<'a, Inner, Wire: From<&'a Inner>>(list: &'a [Inner]) -> Vec<Wire> {
    list.iter().map(Into::into).collect()
}

/// The value's twin, where there is one.
pub(super) fn maybe<'a, Inner, Wire: From<&'a Inner>>(value: Option<&'a Inner>) -> Option<Wire> {
    value.map(Into::into)
}

struct_twin!(
    /// A value with the 95 % band of what is believed about it.
    EstimateWire, advise::Estimate, {
        /// Likeliest value.
        value: f64 = |v| v.value,
        /// Low end of the 95 % band.
        low: f64 = |v| v.low,
        /// High end of the 95 % band.
        high: f64 = |v| v.high,
        /// Where it comes from, in words.
        basis: String = |v| v.basis.clone(),
    }
);
struct_twin!(
    /// When something should happen, run time in s; earliest to latest is the 80 % range.
    ExpectationWire, advise::Expectation, {
        /// Code of what.
        what: String = |v| v.what.to_owned(),
        /// Earliest, s.
        earliest_s: f64 = |v| v.earliest_s,
        /// Likeliest, s.
        likely_s: f64 = |v| v.likely_s,
        /// Latest, s.
        latest_s: f64 = |v| v.latest_s,
        /// Where it comes from.
        basis: String = |v| v.basis.clone(),
    }
);
struct_twin!(
    /// A boundary of the run strip.
    BoundaryWire, advise::Boundary, {
        /// Position of the step that ends here.
        step_index: usize = |v| v.step_index,
        /// Its kind.
        step: StepKindWire = |v| v.step.into(),
        /// Earliest, s.
        earliest_s: f64 = |v| v.earliest_s,
        /// Likeliest, s.
        likely_s: f64 = |v| v.likely_s,
        /// Latest, s.
        latest_s: f64 = |v| v.latest_s,
    }
);
struct_twin!(
    /// What is due next.
    NextWire, advise::Next, {
        /// Code, as of a prompt.
        code: String = |v| v.code.to_owned(),
        /// In words.
        text: String = |v| v.text.clone(),
        /// When, s.
        due_s: Option<f64> = |v| v.due_s,
    }
);
struct_twin!(
    /// One channel of readings.
    ChannelWire, advise::Channel, {
        /// Column name.
        name: String = |v| v.name.to_owned(),
        /// Last good value; none when stale or impossible.
        value: Option<f64> = |v| v.value,
        /// Age of the last reading, s.
        age_s: Option<f64> = |v| v.age_s,
        /// How far it can be trusted.
        state: ChannelStateWire = |v| v.state.into(),
    }
);
struct_twin!(
    /// A jar of this run.
    JarWire, advise::Jar, {
        /// Number.
        number: u32 = |v| v.number,
        /// Fraction.
        cut: StepKindWire = |v| v.cut.into(),
        /// Opened, s.
        start_s: f64 = |v| v.start_s,
        /// Closed or expected to be full, s.
        end_s: Option<f64> = |v| v.end_s,
        /// Volume at 20 °C, mL.
        volume_ml: f64 = |v| v.volume_ml,
        /// Whether the volume was measured.
        measured: bool = |v| v.measured,
        /// Reckoned strength, % vol.
        strength_vol: Option<f64> = |v| v.strength_vol,
        /// `filled`, `open` or `expected`.
        status: String = |v| v.status.to_owned(),
        /// Word for the look of its liquid.
        cleanliness: String = |v| v.cleanliness.to_owned(),
    }
);
struct_twin!(
    /// An alarm made quiet.
    QuietWire, advise::Quiet, {
        /// Alarm code.
        code: String = |v| v.code.clone(),
        /// Until, s.
        until_s: f64 = |v| v.until_s,
        /// Why.
        reason: String = |v| v.reason.clone(),
    }
);
struct_twin!(
    /// How the run ended.
    RunEndWire, advise::RunEnd, {
        /// When, s.
        time_s: f64 = |v| v.time_s,
        /// Why.
        ended_by: EndedByWire = |v| v.ended_by.into(),
        /// Litres at 20 °C drawn.
        litres_20c: f64 = |v| v.litres_20c,
        /// Litres of pure alcohol drawn.
        pure_alcohol_l: f64 = |v| v.pure_alcohol_l,
    }
);
struct_twin!(
    /// One event: what, how sure, what to do, how long there is.
    EventWire, advise::Event, {
        /// Run time, s.
        time_s: f64 = |v| v.time_s,
        /// Kind.
        kind: EventKindWire = |v| v.kind.into(),
        /// Stable code.
        code: String = |v| v.code.to_owned(),
        /// How soon.
        priority: PriorityWire = |v| v.priority.into(),
        /// What is the matter.
        text: String = |v| v.text.clone(),
        /// How we know, and how surely.
        how_sure: String = |v| v.how_sure.clone(),
        /// What to do first.
        #[serde(rename = "do")]
        to_do: String = |v| v.to_do.clone(),
        /// How long there is, s.
        within_s: Option<f64> = |v| v.within_s,
    }
);
struct_twin!(
    /// Everything that is known now.
    AdviceWire, advise::Advice, {
        /// Run time of this snapshot, s.
        time_s: f64 = |v| v.time_s,
        /// State of the run.
        state: StateWire = |v| v.state.into(),
        /// Position of the running step in the plan.
        step_index: usize = |v| v.step_index,
        /// Its kind.
        step: StepKindWire = |v| v.step.into(),
        /// When it began, s.
        step_started_s: f64 = |v| v.step_started_s,
        /// First words of the sentence.
        headline: String = |v| v.headline.clone(),
        /// What should come and when.
        expectation: Option<ExpectationWire> = |v| maybe(v.expectation.as_ref()),
        /// What is due next.
        next: Option<NextWire> = |v| maybe(v.next.as_ref()),
        /// What the probes cannot tell now, in words.
        cannot_know: Option<String> = |v| v.cannot_know.clone(),
        /// This run's plateau at the present pressure, °C.
        plateau_c: Option<f64> = |v| v.plateau_c,
        /// Whether that plateau is provisional.
        plateau_provisional: bool = |v| v.plateau_provisional,
        /// Head rise above the plateau, K.
        rise_k: Option<f64> = |v| v.rise_k,
        /// Rise that ends the running step, K.
        trigger_rise_k: Option<f64> = |v| v.trigger_rise_k,
        /// Strength of what runs now, % vol.
        strength_now: Option<EstimateWire> = |v| maybe(v.strength_now.as_ref()),
        /// Strength of the hearts so far, % vol.
        hearts_strength: Option<EstimateWire> = |v| maybe(v.hearts_strength.as_ref()),
        /// Litres at 20 °C drawn so far.
        litres: Option<EstimateWire> = |v| maybe(v.litres.as_ref()),
        /// Litres of pure alcohol drawn so far.
        pure_alcohol_l: Option<EstimateWire> = |v| maybe(v.pure_alcohol_l.as_ref()),
        /// Litres of pure alcohol still in the pot.
        pot_alcohol_l: Option<EstimateWire> = |v| maybe(v.pot_alcohol_l.as_ref()),
        /// Take-off now, mL/min at 20 °C.
        takeoff_ml_per_min: Option<EstimateWire> = |v| maybe(v.takeoff_ml_per_min.as_ref()),
        /// Heater power as last recorded, W.
        heater_w: Option<f64> = |v| v.heater_w,
        /// Coolant flow as last recorded, L/min.
        coolant_l_per_min: Option<f64> = |v| v.coolant_l_per_min,
        /// Every channel, read or not.
        channels: Vec<ChannelWire> = |v| each(&v.channels),
        /// Boundaries of the plan still to come.
        boundaries: Vec<BoundaryWire> = |v| each(&v.boundaries),
        /// Jars filled, open and expected.
        jars: Vec<JarWire> = |v| each(&v.jars),
        /// Alarms that stand, most urgent first.
        alarms: Vec<EventWire> = |v| each(&v.alarms),
        /// Codes of standing alarms a person has seen.
        seen: Vec<String> = |v| v.seen.clone(),
        /// Prompts that are due and not done.
        prompts: Vec<EventWire> = |v| each(&v.prompts),
        /// What was made quiet.
        quiet: Vec<QuietWire> = |v| each(&v.quiet),
        /// Seconds until the attendant counts as absent.
        attendant_left_s: f64 = |v| v.attendant_left_s,
        /// What is known from all measurements; none before vapour. It says itself from when it is.
        outlook: Option<OutlookWire> = |v| maybe(v.outlook.as_ref()),
        /// How it ended, once it has.
        end: Option<RunEndWire> = |v| maybe(v.end.as_ref()),
    }
);
