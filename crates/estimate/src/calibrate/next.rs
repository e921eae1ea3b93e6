//! Which further run should tell most: what each of a few would take off the variance, by the
//! slopes of what its jars would measure at the fit.

use nalgebra::DMatrix;
use still::StillError;
use still::plan::TakeOff;
use still::track::Span;

use super::descend::Joint;
use super::drawn::Drawn;
use super::evidence::Evidence;
use super::outcome::{NextRun, Residue};
use super::run::Run;
use super::unknowns::{OWN, PLACES, SHARED};

/// Powers and reflux ratios that are tried, over those of the last run (judgement: what a person
/// can turn without another still).
const POWERS: [(f64, &str); 2] = [(0.7, "at 70 % of the power"), (1.4, "at 140 % of the power")];
const REFLUX: [(f64, &str); 2] = [(0.5, "at half the reflux"), (2.0, "at twice the reflux")];

/// A run that could be made.
struct Candidate<'a> {
    text: String,
    run: Run<'a>,
}

/// The same still at other settings.
fn turned(span: Span, power: f64, reflux: f64) -> Span {
    let take_off = match span.take_off {
        TakeOff::RefluxRatio(ratio) => TakeOff::RefluxRatio(ratio * reflux),
        TakeOff::MlPerMin(rate) => TakeOff::MlPerMin(rate * power / reflux),
        TakeOff::RefluxWatts(watts) => TakeOff::RefluxWatts(watts * power * reflux),
        TakeOff::Closed => TakeOff::Closed,
    };
    Span { heater_w: span.heater_w * power, take_off, ..span }
}

/// Candidates after the last run.
fn candidates<'a>(runs: &[Run<'a>]) -> Vec<Candidate<'a>> {
    let Some(last) = runs.last() else { return Vec::new() };
    let most_w: f64 = last.simulation.plan.heater_power().watts();
    let plain = |text: &str, power: f64, reflux: f64| {
        let mut run = last.clone();
        run.evidence = Evidence { jars: last.evidence.jars.clone(), ..Evidence::default() };
        run.simulation.spans.iter_mut().for_each(|span| *span = turned(*span, power, reflux));
        Candidate { text: text.to_owned(), run }
    };
    let mut all = vec![plain("the last run once more", 1.0, 1.0)];
    let mut weighed = plain("the last run once more, its residue measured and gauged", 1.0, 1.0);
    weighed.run.evidence.residue = Some(Residue { litres: 1.0, strength_vol: Some(0.0) });
    all.push(weighed);
    let used_w = last.simulation.spans.iter().map(|span| span.heater_w).fold(0.0, f64::max);
    for (power, text) in POWERS {
        if used_w * power <= most_w {
            all.push(plain(text, power, 1.0));
        }
    }
    let returns = |span: &Span| match span.take_off {
        TakeOff::RefluxRatio(returned) | TakeOff::RefluxWatts(returned) => returned > 0.0,
        TakeOff::MlPerMin(_) => true,
        TakeOff::Closed => false,
    };
    if last.simulation.spans.iter().any(returns) {
        all.extend(REFLUX.map(|(reflux, text)| plain(text, 1.0, reflux)));
    }
    all
}

/// The further runs, the most telling first.
pub(super) fn next(
    joint: &Joint<'_, '_>,
    z: &[f64],
    covariance: &DMatrix<f64>,
) -> Result<Vec<NextRun>, StillError> {
    let known = covariance.view((0, 0), (SHARED, SHARED)).into_owned();
    let Some(before) = known.clone().try_inverse() else { return Ok(Vec::new()) };
    let mut list = Vec::new();
    let charge = joint.runs.len().saturating_sub(1);
    for Candidate { text, mut run } in candidates(joint.runs) {
        // Its charge is a new one: as doubtful as that of the last run was before.
        let beliefs = joint.beliefs.of_runs(&[charge]);
        let mut at: Vec<f64> = z[..SHARED].to_vec();
        at.extend([0.0; OWN]);
        if !expect(&mut run, joint, &at)? {
            continue;
        }
        let alone = Joint { bench: joint.bench, beliefs: &beliefs, runs: &[run] };
        let Some(here) =
            alone.simulate(0, &at).ok().and_then(|s| alone.runs[0].evidence.residuals(&s))
        else {
            continue;
        };
        let (information, _) = alone.normal(&at, &[here])?;
        let own = information.view((SHARED, SHARED), (OWN, OWN)) + DMatrix::identity(OWN, OWN);
        let cross = information.view((0, SHARED), (SHARED, OWN)).into_owned();
        let Some(own) = own.try_inverse() else { continue };
        let told = information.view((0, 0), (SHARED, SHARED)) - &cross * own * cross.transpose();
        let Some(after) = (&before + told).try_inverse() else { continue };
        let less = |place: usize| 1.0 - after[(place, place)] / known[(place, place)].max(1e-12);
        let most = (0..SHARED).map(|place| (PLACES[place], less(place)));
        let Some(most) = most.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        let variance_less = (0..SHARED).map(less).sum::<f64>() / SHARED as f64;
        list.push(NextRun { text, variance_less, most });
    }
    list.sort_by(|a, b| b.variance_less.total_cmp(&a.variance_less));
    Ok(list)
}

/// Puts in what the run would measure: the same volumes, in the times and strengths foreseen.
fn expect(run: &mut Run<'_>, joint: &Joint<'_, '_>, at: &[f64]) -> Result<bool, StillError> {
    let physical = joint.beliefs.physical(at);
    let stages = joint.beliefs.stages;
    let simulated = match joint.bench.simulate(&run.simulation, stages, &physical, (1.0, 1.0), true)
    {
        Ok(simulated) => simulated,
        Err(error @ StillError::Cancelled { .. }) => return Err(error),
        Err(_) => return Ok(false),
    };
    let Some(drawn) = Drawn::of(&simulated.track) else { return Ok(false) };
    let filled = run.evidence.filled(&drawn);
    let mut at_s = run.evidence.jars.first().map_or(0.0, |jar| jar.start_s);
    for (jar, filled) in run.evidence.jars.iter_mut().zip(&filled) {
        (jar.start_s, jar.end_s) = (at_s, at_s + filled.takes_s);
        jar.vol = Some(filled.vol);
        at_s = jar.end_s;
    }
    run.simulation.drawn_s.1 = at_s;
    let full_s = run.evidence.full_s(&drawn, &filled);
    if let Some(residue) = &mut run.evidence.residue {
        let (litres, vol) = simulated.left(full_s);
        *residue = Residue { litres, strength_vol: Some(vol) };
    }
    Ok(true)
}
