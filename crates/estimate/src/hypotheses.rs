//! What may be the matter with a run, fitted side by side and weighed by how well each explains
//! the measurements: nothing, a charge that is not as strong as stated, a head that drifts, a heater
//! that gives less from a moment on. Nothing being the matter may explain them in two ways, which
//! are weighed as two.

use still::plan::{RunPlan, StillKind};
use still::{Cancel, StillError};

use super::believe::{Beliefs, DRIFT, HEATER, STRENGTH, Spread, UNKNOWNS};
use super::column_out::ColumnOut;
use super::draws::DRAWS;
use super::fit::{Fit, GoOn, Kept, apart};
use super::habits::Habits;
use super::measured::Measured;
use super::model::{Model, Reach, Unknowns};
use super::past::{Inputs, Weakened};
use super::problem::{Problem, unknowns};
use super::seen::Seen;
use super::weak_heater::{Found, found};

/// How many hypotheses there are.
pub(super) const HYPOTHESES: usize = 5;
/// Belief before the run that nothing is the matter, in either hollow.
const SOUND: f64 = 0.95;
/// Spread of a strength that was gauged or written down wrongly, relative.
const WRONG_STRENGTH_SD: f64 = 0.12;
/// Spread of the drift of a head thermometer that drifts, K/h.
const DRIFT_SD: f64 = 0.3;
/// Power that is left of a heater that gives less, over what it gave: ln, mean and spread (judgement:
/// from a tenth less to one element of two).
const WEAKENED: Spread = Spread { mean: -0.25, sd: 0.2 };
/// Share of the evidence that counts: the model is wrong in ways that no hypothesis names. In pots
/// more of it is, where each jar is a measurement. Judgement; columns' share was picked among three
/// on 180 simulated runs of two sets, both of which it made a little better.
const TRUST: f64 = 0.8;
const POT_TRUST: f64 = 0.5;
/// A rate further off than this many spreads counts as if it were this far (judgement: a misread jar).
const FAR_RATE: f64 = 4.0;
/// With so many measurements half of that.
const FEW: f64 = 45.0;
/// Odds against the sound fit below which a hypothesis is not fitted.
const FAR_FETCHED: f64 = 0.045;
/// Slopes of one hypothesis are made anew after this, s; between, an update goes along the old
/// ones.
const SLOPES_EVERY_S: f64 = 180.0;
/// A hypothesis believed less than this is left out of the bands.
const WEIGHT_LEAST: f64 = 0.005;

/// Which hypothesis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hypothesis {
    Sound,
    WrongStrength,
    Drift,
    /// Sound, in another hollow.
    SoundElsewhere,
    /// A heater that gives less from a moment on.
    WeakHeater,
}

impl Hypothesis {
    pub(super) const ALL: [Self; HYPOTHESES] =
        [Self::Sound, Self::WrongStrength, Self::Drift, Self::SoundElsewhere, Self::WeakHeater];

    /// Belief in it before the run. A second hollow of the sound still is as likely as the first.
    const fn prior(self, habits: Habits) -> f64 {
        match self {
            Self::Sound | Self::SoundElsewhere => SOUND,
            Self::WrongStrength => habits.matter[0],
            Self::Drift => habits.matter[1],
            Self::WeakHeater => habits.matter[2],
        }
    }

    /// Beliefs under this hypothesis.
    fn beliefs(self, sound: &Beliefs) -> Beliefs {
        let mut beliefs = sound.clone();
        match self {
            Self::Sound | Self::SoundElsewhere => {}
            Self::WrongStrength => beliefs.of[STRENGTH].sd = WRONG_STRENGTH_SD,
            Self::Drift => beliefs.of[DRIFT] = Spread { mean: 0.0, sd: DRIFT_SD },
            Self::WeakHeater => beliefs.of[HEATER] = WEAKENED,
        }
        beliefs
    }
}

/// Share of the evidence that counts, with so many measurements.
fn trust(kind: StillKind, sound: &Fit) -> f64 {
    let most = if kind == StillKind::Pot { POT_TRUST } else { TRUST };
    most * sound.effective / (sound.effective + FEW)
}

/// By how much more a hypothesis explains, at most: by the slopes of the sound fit, or by the rates
/// alone; no simulation is made.
fn gain_at_most(
    hypothesis: Hypothesis,
    sound: &Fit,
    beliefs: &[Beliefs; HYPOTHESES],
    weak: Option<&Found>,
) -> f64 {
    let wider = |place: usize| {
        let wider = beliefs[hypothesis as usize].of[place].sd / beliefs[0].of[place].sd;
        sound.log_evidence_with(place, wider) - sound.log_evidence
    };
    match hypothesis {
        Hypothesis::Sound | Hypothesis::SoundElsewhere => 0.0,
        Hypothesis::WrongStrength => wider(STRENGTH),
        Hypothesis::Drift => wider(DRIFT),
        Hypothesis::WeakHeater => weak.map_or(f64::NEG_INFINITY, |weak| weak.gain),
    }
}

/// What the next fits go on from. One that was too far-fetched to be fitted is kept as it was, for
/// when it comes back.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AllKept {
    of: [Option<Kept>; HYPOTHESES],
    /// The loss of power that one of them is about.
    weakened: Option<Weakened>,
    fitted: [bool; HYPOTHESES],
    likeliest: usize,
    /// Whether the thermometer in the column is left out.
    column_out: Option<ColumnOut>,
}

impl AllKept {
    fn begun(warm: Option<&Self>) -> Self {
        let of = warm.map_or([const { None }; HYPOTHESES], |warm| warm.of.clone());
        let weakened = warm.and_then(|warm| warm.weakened);
        let column_out = warm.and_then(|warm| warm.column_out);
        Self { of, weakened, fitted: [false; HYPOTHESES], likeliest: 0, column_out }
    }

    /// A loss of power as it was fitted before, if it is the same one.
    fn same(&self, found: Weakened) -> Weakened {
        self.weakened.filter(|before| before.is(&found)).unwrap_or(found)
    }

    /// How each goes on. The likeliest takes a step; the others rest. Slopes are made anew for one
    /// at a time, the one with the oldest, and not again for some minutes: so an update costs as
    /// much whether one explanation is weighed or three.
    fn go_on(&self, now_s: f64) -> [GoOn; HYPOTHESES] {
        let made_s = |place: usize| Some((place, self.of[place].as_ref()?.made_s()));
        let made = || (0..HYPOTHESES).filter(|place| self.fitted[*place]).filter_map(made_s);
        let latest_s = made().map(|(_, made_s)| made_s).fold(0.0, f64::max);
        let oldest = made().min_by(|a, b| a.1.total_cmp(&b.1)).map(|(place, _)| place);
        let anew = oldest.filter(|_| now_s - latest_s >= SLOPES_EVERY_S);
        std::array::from_fn(|place| match place {
            _ if anew == Some(place) => GoOn::Anew,
            _ if self.likeliest == place => GoOn::Along,
            _ => GoOn::Rest,
        })
    }
}

/// The beliefs of all hypotheses, which the models refer to.
pub(super) fn all_beliefs(sound: &Beliefs) -> [Beliefs; HYPOTHESES] {
    Hypothesis::ALL.map(|hypothesis| hypothesis.beliefs(sound))
}

/// One hypothesis, fitted.
pub(super) struct Weighed<'a> {
    pub(super) hypothesis: Hypothesis,
    pub(super) model: Model<'a>,
    pub(super) fit: Fit,
    /// How far it is believed, 0 to 1.
    pub(super) weight: f64,
}

impl Weighed<'_> {
    /// An unknown in its own unit, and its standard deviation.
    pub(super) fn unknown(&self, place: usize) -> (f64, f64) {
        let own = &self.model.beliefs.of[place];
        let variance = self.fit.covariance[place * UNKNOWNS + place].max(0.0);
        (own.mean + own.sd * self.fit.z[place], own.sd * variance.sqrt())
    }

    /// How many of the draws that make the bands are its own.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1")]
    pub(super) fn draws(&self) -> usize {
        (self.weight * DRAWS as f64).round() as usize
    }
}

/// What was measured, with the coolant held against the still as it was last fitted or is believed.
fn measured(
    first: &Model<'_>,
    seen: &Seen,
    beliefs: &[Beliefs; HYPOTHESES],
    warm: Option<&AllKept>,
) -> Result<Measured, StillError> {
    let mut measured = Measured::of(first, seen);
    if measured.has_coolant() {
        match warm.and_then(|warm| warm.of[0].as_ref()) {
            Some(kept) => measured.hold_coolant(kept.best()),
            None => measured.hold_coolant(
                &first.simulate(&unknowns(&beliefs[0], &[0.0; UNKNOWNS]), Reach::Now)?,
            ),
        }
    }
    Ok(measured)
}

/// What the fits of all hypotheses have in common.
struct Beside<'b> {
    measured: &'b Measured,
    rounds: usize,
    warm: Option<&'b AllKept>,
    /// Where the sound fit's other way down ended.
    elsewhere: Option<Unknowns>,
}

impl Beside<'_> {
    /// Goes on from its last fit or fits anew; none where there is nothing to fit.
    fn fit(
        &mut self,
        hypothesis: Hypothesis,
        model: &Model<'_>,
        start: &Unknowns,
    ) -> Option<Result<Fit, StillError>> {
        let problem = Problem { model, measured: self.measured, update: self.rounds > 0 };
        let place = hypothesis as usize;
        let warm = self.warm.filter(|_| self.rounds > 0);
        let warm = warm.filter(|warm| model.weakened.is_none() || model.weakened == warm.weakened);
        let from = warm.and_then(|warm| warm.of[place].as_ref());
        Some(match (from.zip(warm), hypothesis) {
            (Some((from, warm)), _) => {
                problem.go_on(from, warm.go_on(model.inputs.past.until_s)[place])
            }
            (None, Hypothesis::Sound) => problem.fit(start, self.rounds).map(|(fit, other)| {
                self.elsewhere = other;
                fit
            }),
            (None, Hypothesis::SoundElsewhere) => problem.settle(self.elsewhere?),
            (None, _) => problem.fit(start, self.rounds.min(4)).map(|(fit, _)| fit),
        })
    }
}

/// Fits all hypotheses, as [`weigh_with`]; anew without the thermometer in the column where the
/// first fit says that it is to be left out.
pub(super) fn weigh<'a>(
    plan: &'a RunPlan,
    seen: &Seen,
    inputs: &'a Inputs,
    beliefs: &'a [Beliefs; HYPOTHESES],
    warm: Option<&AllKept>,
    rounds: usize,
    cancel: &Cancel,
) -> Result<(Vec<Weighed<'a>>, Measured, AllKept), StillError> {
    let out = warm.and_then(|warm| warm.column_out);
    let made = weigh_with((plan, seen, inputs, beliefs), warm, (rounds, out), cancel)?;
    match (warm, made.2.column_out) {
        // One that goes on leaves it out from the next on: an update costs no more for it.
        (None, Some(out)) if made.1.has_column() => {
            weigh_with((plan, seen, inputs, beliefs), None, (rounds, Some(out)), cancel)
        }
        _ => Ok(made),
    }
}

/// What hypotheses are fitted to: the plan, what was seen of it, what was done, what was believed.
type About<'a, 's> = (&'a RunPlan, &'s Seen, &'a Inputs, &'a [Beliefs; HYPOTHESES]);

/// Fits all hypotheses; the one that fits nothing is an error only if it is the sound one.
fn weigh_with<'a>(
    (plan, seen, inputs, beliefs): About<'a, '_>,
    warm: Option<&AllKept>,
    (rounds, out): (usize, Option<ColumnOut>),
    cancel: &Cancel,
) -> Result<(Vec<Weighed<'a>>, Measured, AllKept), StillError> {
    let mut all: Vec<Weighed<'a>> = Vec::with_capacity(HYPOTHESES);
    let mut first = Model::new(plan, seen, inputs, &beliefs[0])?;
    first.cancel = cancel.clone();
    let whole = measured(&first, seen, beliefs, warm)?;
    let mut measured = if out.is_some() { whole.without_column() } else { whole.clone() };
    let mut beside = Beside { measured: &measured, rounds, warm, elsewhere: None };
    let mut kept = AllKept::begun(warm);
    for (place, hypothesis) in Hypothesis::ALL.into_iter().enumerate() {
        if place > 0 && rounds == 0 {
            break;
        }
        let mut model = first.beside(&beliefs[place]);
        let mut prior = hypothesis.prior(inputs.habits);
        let mut start = all.first().map_or([0.0; UNKNOWNS], |sound| sound.fit.z);
        if let Some(sound) = all.first().map(|sound| &sound.fit) {
            let weak = (hypothesis == Hypothesis::WeakHeater)
                .then(|| found(&first, &measured, sound))
                .flatten();
            // An explanation that the sound fit's own slopes do not speak for is not fitted.
            let gain = gain_at_most(hypothesis, sound, beliefs, weak.as_ref());
            // It may have been at any moment, and is fitted at the best one.
            prior /= weak.as_ref().map_or(1.0, |weak| weak.moments as f64);
            if prior / SOUND * (trust(plan.still.kind, sound) * gain).exp() < FAR_FETCHED {
                continue;
            }
            if let Some(weak) = weak {
                model.weakened = Some(kept.same(weak.weakened));
                start[HEATER] = (weak.step - WEAKENED.mean) / WEAKENED.sd;
            }
        }
        match beside.fit(hypothesis, &model, &start) {
            // Two hollows that have become one.
            Some(Ok(fit)) if hypothesis == Hypothesis::SoundElsewhere && !apart(&fit.z, &start) => {
                kept.of[place] = None;
            }
            Some(Ok(fit)) => {
                kept.of[place] = Some(fit.kept());
                kept.fitted[place] = true;
                kept.weakened = model.weakened.or(kept.weakened);
                all.push(Weighed { hypothesis, model, fit, weight: prior });
            }
            Some(Err(error)) if place == 0 => return Err(error),
            Some(Err(_)) | None => {}
        }
    }
    if cancel.is_cancelled() {
        return Err(StillError::Cancelled { time_s: seen.now_s });
    }
    let fit = &all[0].fit;
    kept.column_out = Measured::column_verdict(&whole, &first, fit, out).filter(|_| rounds > 0);
    measured.column_out = whole.column_out.or(out).or(kept.column_out);
    by_evidence(&mut all, plan.still.kind, &measured);
    kept.likeliest = all[0].hypothesis as usize;
    Ok((all, measured, kept))
}

/// Half the sum of squares of the rates, each counted no further off than usual.
fn half_square_of_rates(weighed: &Weighed<'_>, measured: &Measured) -> f64 {
    let unknowns = unknowns(weighed.model.beliefs, &weighed.fit.z);
    let rates = measured.rates(&weighed.fit.best, &unknowns);
    rates.map(|(_, off, sd)| 0.5 * (off / sd).powi(2).min(FAR_RATE * FAR_RATE)).sum()
}

/// Weights by how well each explains the measurements, likeliest first; the hardly believed go.
fn by_evidence(all: &mut Vec<Weighed<'_>>, kind: StillKind, measured: &Measured) {
    let most = all.iter().map(|w| w.fit.log_evidence).fold(f64::NEG_INFINITY, f64::max);
    let trust = all.first().map_or(0.0, |w| trust(kind, &w.fit));
    for w in all.iter_mut() {
        w.weight *= (trust * (w.fit.log_evidence - most)).exp();
    }
    // What the model has wrong about rates it has wrong before the step and after it: there they
    // count whole.
    let rates = all.first().map_or(0.0, |sound| half_square_of_rates(sound, measured));
    for w in all.iter_mut().filter(|w| w.hypothesis == Hypothesis::WeakHeater) {
        let gain = (rates - half_square_of_rates(w, measured)).max(0.0);
        w.weight *= ((1.0 - trust) * gain).exp();
    }
    let sum: f64 = all.iter().map(|w| w.weight).sum();
    for w in all.iter_mut() {
        w.weight /= sum;
    }
    all.retain(|w| w.weight >= WEIGHT_LEAST);
    all.sort_by(|a, b| b.weight.total_cmp(&a.weight));
}
