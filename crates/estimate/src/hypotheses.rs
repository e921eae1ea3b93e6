//! What may be the matter with a run, fitted side by side and weighed by how well each explains
//! the measurements: nothing, a charge that is not as strong as stated, a head that drifts. Nothing
//! being the matter may explain them in two ways, which are weighed as two.

use still::plan::{RunPlan, StillKind};
use still::{Cancel, StillError};

use super::believe::{Beliefs, DRIFT, STRENGTH, Spread, UNKNOWNS};
use super::draws::DRAWS;
use super::fit::{Fit, GoOn, Kept, apart};
use super::measured::Measured;
use super::model::{Model, Reach};
use super::past::Inputs;
use super::problem::{Problem, unknowns};
use super::seen::Seen;

/// How many hypotheses there are.
pub(super) const HYPOTHESES: usize = 4;
/// Belief in each before the run: about one run in twenty has one of the two. A second hollow of the
/// sound still is as likely before the run as the first.
const PRIOR: [f64; HYPOTHESES] = [0.95, 0.03, 0.02, 0.95];
/// Spread of a strength that was gauged or written down wrongly, relative.
const WRONG_STRENGTH_SD: f64 = 0.12;
/// Spread of the drift of a head thermometer that drifts, K/h.
const DRIFT_SD: f64 = 0.3;
/// Share of the evidence that counts: the model is wrong in ways that no hypothesis names. In pots
/// more of it is, where each jar is a measurement. Judgement; columns' share was picked among three
/// on 180 simulated runs of two sets, both of which it made a little better.
const TRUST: f64 = 0.8;
const POT_TRUST: f64 = 0.5;
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
}

impl Hypothesis {
    pub(super) const ALL: [Self; HYPOTHESES] =
        [Self::Sound, Self::WrongStrength, Self::Drift, Self::SoundElsewhere];

    /// Beliefs under this hypothesis.
    fn beliefs(self, sound: &Beliefs) -> Beliefs {
        let mut beliefs = sound.clone();
        match self {
            Self::Sound | Self::SoundElsewhere => {}
            Self::WrongStrength => beliefs.of[STRENGTH].sd = WRONG_STRENGTH_SD,
            Self::Drift => beliefs.of[DRIFT] = Spread { mean: 0.0, sd: DRIFT_SD },
        }
        beliefs
    }
}

/// Share of the evidence that counts, with so many measurements.
fn trust(kind: StillKind, sound: &Fit) -> f64 {
    let most = if kind == StillKind::Pot { POT_TRUST } else { TRUST };
    most * sound.effective / (sound.effective + FEW)
}

/// Whether a hypothesis would hardly be believed, by the slopes of the sound fit alone.
fn far_fetched(
    hypothesis: Hypothesis,
    kind: StillKind,
    sound: &Fit,
    beliefs: &[Beliefs; HYPOTHESES],
) -> bool {
    let (place, index) = match hypothesis {
        Hypothesis::Sound | Hypothesis::SoundElsewhere => return false,
        Hypothesis::WrongStrength => (STRENGTH, 1),
        Hypothesis::Drift => (DRIFT, 2),
    };
    let wider = beliefs[index].of[place].sd / beliefs[0].of[place].sd;
    let gain = sound.log_evidence_with(place, wider) - sound.log_evidence;
    PRIOR[index] / PRIOR[0] * (trust(kind, sound) * gain).exp() < FAR_FETCHED
}

/// What the next fits go on from. One that was too far-fetched to be fitted is kept as it was, for
/// when it comes back.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AllKept {
    of: [Option<Kept>; HYPOTHESES],
    fitted: [bool; HYPOTHESES],
    likeliest: usize,
}

impl AllKept {
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

/// Fits all hypotheses; the one that fits nothing is an error only if it is the sound one.
pub(super) fn weigh<'a>(
    plan: &'a RunPlan,
    seen: &Seen,
    inputs: &'a Inputs,
    beliefs: &'a [Beliefs; HYPOTHESES],
    warm: Option<&AllKept>,
    rounds: usize,
    cancel: &Cancel,
) -> Result<(Vec<Weighed<'a>>, Measured, AllKept), StillError> {
    let mut all = Vec::with_capacity(HYPOTHESES);
    let of = warm.map_or([const { None }; HYPOTHESES], |warm| warm.of.clone());
    let mut kept = AllKept { of, fitted: [false; HYPOTHESES], likeliest: 0 };
    let how = warm.map(|warm| warm.go_on(seen.now_s));
    let mut first = Model::new(plan, seen, inputs, &beliefs[0])?;
    first.cancel = cancel.clone();
    let mut measured = Measured::of(&first, seen);
    if measured.has_coolant() {
        match warm.and_then(|warm| warm.of[0].as_ref()) {
            Some(kept) => measured.hold_coolant(kept.best()),
            None => measured.hold_coolant(
                &first.simulate(&unknowns(&beliefs[0], &[0.0; UNKNOWNS]), Reach::Now)?,
            ),
        }
    }
    let mut start = [0.0; UNKNOWNS];
    let mut elsewhere = None;
    for (place, hypothesis) in Hypothesis::ALL.into_iter().enumerate() {
        if place > 0 && rounds == 0 {
            break;
        }
        // An explanation that the sound fit's own slopes do not speak for is not fitted.
        let sound = all.first().map(|w: &Weighed<'_>| &w.fit);
        if sound.is_some_and(|sound| far_fetched(hypothesis, plan.still.kind, sound, beliefs)) {
            continue;
        }
        let model = first.beside(&beliefs[place]);
        let problem = Problem { model: &model, measured: &measured, update: rounds > 0 };
        let from = warm.and_then(|warm| warm.of[place].as_ref()).filter(|_| rounds > 0);
        let fitted = match (from.zip(how), hypothesis) {
            (Some((from, how)), _) => problem.go_on(from, how[place]),
            (None, Hypothesis::Sound) => problem.fit(&start, rounds).map(|(fit, other)| {
                elsewhere = other;
                fit
            }),
            (None, Hypothesis::SoundElsewhere) => match elsewhere {
                Some(z) => problem.settle(z),
                None => continue,
            },
            (None, _) => problem.fit(&start, rounds.min(4)).map(|(fit, _)| fit),
        };
        match fitted {
            // Two hollows that have become one.
            Ok(fit) if hypothesis == Hypothesis::SoundElsewhere && !apart(&fit.z, &start) => {
                kept.of[place] = None;
            }
            Ok(fit) => {
                kept.of[place] = Some(fit.kept());
                kept.fitted[place] = true;
                if place == 0 {
                    start = fit.z;
                }
                all.push(Weighed { hypothesis, model, fit, weight: PRIOR[place] });
            }
            Err(error) if place == 0 => return Err(error),
            Err(_) => {}
        }
    }
    if cancel.is_cancelled() {
        return Err(StillError::Cancelled { time_s: seen.now_s });
    }
    by_evidence(&mut all, plan.still.kind);
    kept.likeliest = all[0].hypothesis as usize;
    Ok((all, measured, kept))
}

/// Weights by how well each explains the measurements, likeliest first; the hardly believed go.
fn by_evidence(all: &mut Vec<Weighed<'_>>, kind: StillKind) {
    let most = all.iter().map(|w| w.fit.log_evidence).fold(f64::NEG_INFINITY, f64::max);
    let trust = all.first().map_or(0.0, |w| trust(kind, &w.fit));
    for w in all.iter_mut() {
        w.weight *= (trust * (w.fit.log_evidence - most)).exp();
    }
    let sum: f64 = all.iter().map(|w| w.weight).sum();
    for w in all.iter_mut() {
        w.weight /= sum;
    }
    all.retain(|w| w.weight >= WEIGHT_LEAST);
    all.sort_by(|a, b| b.weight.total_cmp(&a.weight));
}
