//! Which gauging would tell most about what a balance leaves open.

use super::causes::Causes;
use super::gauged::Gauged;
use super::whole::{LOST, POURED, READ, Straight, Vector};
use crate::balance::{Gauging, Verdict};
use crate::believe::{LITRES, STRENGTH};

/// A cause believed this much needs no more gauging.
pub(super) const SETTLED: f64 = 0.9;
/// Share of what was collected that, measured and not read, is the first thing to read.
const NOT_READ: f64 = 0.25;
/// Doubt of a residue that is yet to be gauged, share of it and of the charge; of a kept sample of
/// the charge; of jars read by another glass; of jars that are weighed, all relative (judgement).
const RESIDUE: (f64, f64) = (0.05, 0.004);
const SAMPLE: f64 = 0.01;
const SECOND_GLASS: f64 = 0.004;
const WEIGHED: f64 = 0.005;

fn gauging(code: &str, text: &str) -> Gauging {
    Gauging { code: code.to_owned(), text: text.to_owned() }
}

/// How far a gauging would set the explanations apart, weighed by how likely each two are.
fn sets_apart(causes: &Causes, value: &Straight, sd: f64) -> f64 {
    let found: Vec<_> = causes.all.iter().map(|one| (one, causes.under(one, value))).collect();
    let mut sum = 0.0;
    for (at, (one, (mean, own))) in found.iter().enumerate() {
        for (other, (its, its_own)) in &found[at + 1..] {
            if one.code != other.code {
                let spread = sd * sd + 0.5 * (own * own + its_own * its_own);
                let apart = (mean - its).powi(2) / spread;
                let width = (own.max(1e-12) / its_own.max(1e-12)).ln().abs();
                let seen = if own.max(*its_own) > sd { width } else { 0.0 };
                sum += one.odds * other.odds * (apart + seen).min(9.0);
            }
        }
    }
    sum
}

/// The gauging that would tell most; none where nothing is open.
pub(super) fn most(causes: &Causes, gauged: &Gauged, verdict: Verdict) -> Option<Gauging> {
    let read = gauged.collected.0;
    if gauged.not_measured.0 > read + gauged.not_read.0 {
        return Some(gauging("jars", "Measure the jars: volume, and the glass at a temperature."));
    }
    if gauged.not_read.0 > NOT_READ * (read + gauged.not_read.0) {
        return Some(gauging(
            "jars_strength",
            "Read the glass in the jars of which only the volume is known.",
        ));
    }
    let likeliest = causes.list.first().map_or(0.0, |cause| cause.odds);
    if likeliest >= SETTLED && verdict != Verdict::CannotTell {
        return None;
    }
    let one = |places: &[usize]| Straight {
        value: 0.0,
        slope: Vector::from_fn(|place, _| if places.contains(&place) { 1.0 } else { 0.0 }),
    };
    let mut candidates = vec![(
        gauging("charge", "Gauge a kept sample of the charge once more, and its litres."),
        one(&[STRENGTH, LITRES]),
        SAMPLE,
    )];
    // Only jars that there are can be gauged again.
    if read > 0.0 {
        let again = gauging("jars_again", "Read the jars with another alcoholometer.");
        let weighed = gauging("jars_volume", "Weigh the jars, full and empty.");
        candidates.push((again, one(&[READ]), SECOND_GLASS));
        candidates.push((weighed, one(&[POURED]), WEIGHED));
    }
    if gauged.residue_l.is_none() {
        let sd = (RESIDUE.0 * causes.residue.value).hypot(RESIDUE.1 * causes.left.0.max(0.0));
        let text = "Gauge the residue: litres or weight, and the glass at a temperature.";
        candidates.push((gauging("residue", text), causes.residue, sd.max(1e-6)));
    }
    let open = one(&[LOST]);
    let best = candidates
        .into_iter()
        .max_by(|a, b| sets_apart(causes, &a.1, a.2).total_cmp(&sets_apart(causes, &b.1, b.2)));
    best.filter(|_| sets_apart(causes, &open, WEIGHED) > 0.0).map(|best| best.0)
}
