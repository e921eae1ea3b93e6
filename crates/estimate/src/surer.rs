//! What the band of the hearts comes from, and which action would narrow it most.

use still::plan::TakeOff;

use super::believe::{
    GLASS, HEAD_OFFSET, HOLD_UP, LITRES, NAMES, POT_OFFSET, SEPARATION, STRENGTH, UNKNOWNS,
};
use super::foresee::Sensitivity;
use super::foresight::Foresight;
use super::measured::Measured;
use super::model::{Simulated, Unknowns};
use super::outlook::{ColumnWorth, Help, Share};
use super::seen::Seen;

/// Gains below this are not worth a walk.
const GAIN_LEAST: f64 = 0.02;
/// Shares below this are left out of the list.
const SHARE_LEAST: f64 = 0.01;

/// What a band consists of: the fit's part and what comes on top.
struct Parts {
    litres: f64,
    end: f64,
}

/// How long a column must run without take-off to show what it can separate, s (judgement).
const TOTAL_REFLUX_S: f64 = 1800.0;

/// What drains back into a pot whose level is dipped before and after, ln (judgement: a fifth of a
/// litre in one to two).
const DRAINED_SD: f64 = 0.12;

/// A measurement that could be made: how it depends on the unknowns, and its spread.
struct Possible {
    action: &'static str,
    text: &'static str,
    looks: Vec<(Unknowns, f64)>,
    /// What it makes of the spread of the take-off to come.
    take_off_sd: Option<f64>,
}

fn quadratic(covariance: &[f64], a: &Unknowns, b: &Unknowns) -> f64 {
    let mut sum = 0.0;
    for i in 0..UNKNOWNS {
        for j in 0..UNKNOWNS {
            sum += a[i] * covariance[i * UNKNOWNS + j] * b[j];
        }
    }
    sum
}

/// The covariance after a look along `h` with spread `sd`.
fn looked(covariance: &[f64], h: &Unknowns, sd: f64) -> Vec<f64> {
    let through: Vec<f64> = (0..UNKNOWNS)
        .map(|i| (0..UNKNOWNS).map(|j| covariance[i * UNKNOWNS + j] * h[j]).sum())
        .collect();
    let whole = sd * sd + quadratic(covariance, h, h);
    let mut after = covariance.to_vec();
    for i in 0..UNKNOWNS {
        for j in 0..UNKNOWNS {
            after[i * UNKNOWNS + j] -= through[i] * through[j] / whole;
        }
    }
    after
}

/// Variances of ln litres and of the end with this covariance and spread of the take-off.
fn parts(on: &Sensitivity, covariance: &[f64], take_off_sd: f64) -> Parts {
    let rate = on.rate_floor.hypot(take_off_sd) * on.left_s;
    Parts {
        litres: quadratic(covariance, &on.litres, &on.litres) + on.floor * on.floor,
        end: quadratic(covariance, &on.end_s, &on.end_s)
            + rate * rate
            + on.slowing_s2
            + (on.floor * on.floor_s).powi(2),
    }
}

/// Shares of the band's variance, largest first.
pub(super) fn shares(sight: &Foresight<'_>, on: &Sensitivity) -> Vec<Share> {
    let covariance = &sight.fit.covariance;
    let all = parts(on, covariance, on.take_off_sd);
    let mut list: Vec<Share> = (0..UNKNOWNS)
        .map(|i| {
            let own = |slope: &Unknowns| {
                let mut one = [0.0; UNKNOWNS];
                one[i] = slope[i];
                quadratic(covariance, &one, slope).max(0.0)
            };
            let (litres, end) = (own(&on.litres) / all.litres, own(&on.end_s) / all.end);
            Share { of: NAMES[i].to_owned(), litres, end }
        })
        .collect();
    let rate = on.rate_floor.hypot(on.take_off_sd) * on.left_s;
    list.push(Share {
        of: "take_off_to_come".to_owned(),
        litres: 0.0,
        end: (rate * rate + on.slowing_s2) / all.end,
    });
    list.push(Share {
        of: "model".to_owned(),
        litres: on.floor * on.floor / all.litres,
        end: (on.floor * on.floor_s).powi(2) / all.end,
    });
    // Correlated unknowns share their variance: what was cut at zero is taken from all.
    let whole = |part: fn(&Share) -> f64| list.iter().map(part).sum::<f64>().max(1e-12);
    let (litres, end) = (whole(|share| share.litres), whole(|share| share.end));
    for share in &mut list {
        share.litres /= litres;
        share.end /= end;
    }
    list.retain(|share| share.litres.max(share.end) >= SHARE_LEAST);
    list.sort_by(|a, b| (b.litres + b.end).total_cmp(&(a.litres + a.end)));
    list
}

/// What the thermometer in the column is worth, where it counts: the bands as they are against
/// those that all else would give.
pub(super) fn column_worth(
    sight: &Foresight<'_>,
    on: &Sensitivity,
    measured: &Measured,
) -> Option<ColumnWorth> {
    if !measured.has_column() {
        return None;
    }
    let with = parts(on, &sight.fit.covariance, on.take_off_sd);
    let bare = parts(on, &sight.fit.covariance_without(measured.of_column()), on.take_off_sd);
    let gain = |with: f64, bare: f64| (1.0 - (with / bare.max(1e-12)).sqrt()).clamp(0.0, 1.0);
    Some(ColumnWorth {
        end_gain: gain(with.end, bare.end),
        litres_gain: gain(with.litres, bare.litres),
    })
}

fn possible(sight: &Foresight<'_>, seen: &Seen, left_s: f64) -> Vec<Possible> {
    let (fit, model, now_s) = (sight.fit, sight.model, sight.now_s);
    let own = |place: usize| {
        let mut h = [0.0; UNKNOWNS];
        h[place] = model.beliefs.of[place].sd;
        h
    };
    let slope = |value: &dyn Fn(&Simulated) -> Option<f64>, bias: Option<usize>| {
        let mut h = fit.slope_of(value).unwrap_or([0.0; UNKNOWNS]);
        if let Some(place) = bias {
            h[place] = model.beliefs.of[place].sd;
        }
        h
    };
    let mut list = vec![Possible {
        action: "gauge_charge",
        text: "Gauge what is left of the charge with a thermometer beside the hydrometer, and \
               weigh or dip its volume.",
        looks: vec![(own(STRENGTH), 0.006), (own(LITRES), 0.005)],
        take_off_sd: None,
    }];
    let vapour = |s: &Simulated| s.track.at(now_s).map(|at| at.vapour_mol_s.max(1e-9).ln());
    list.extend(at_the_spout(sight, left_s, slope(&vapour, None), own(SEPARATION)));
    if seen.pot.rows.is_empty() {
        let pot = |s: &Simulated| s.track.at(now_s).map(|at| at.pot_k);
        list.push(Possible {
            action: "read_pot",
            text: "Read a thermometer in the pot and enter it.",
            looks: vec![(slope(&pot, Some(POT_OFFSET)), 0.2)],
            take_off_sd: None,
        });
    }
    if !seen.barometer {
        list.push(Possible {
            action: "enter_pressure",
            text: "Read a barometer (station pressure, not reduced to sea level) and enter it.",
            looks: vec![(own(HEAD_OFFSET), 0.12)],
            take_off_sd: None,
        });
    }
    let drum = |s: &Simulated| s.track.at(now_s).map(|at| at.drum_vol());
    list.push(Possible {
        action: "gauge_jar",
        text: "Gauge the jar that is filling, with its temperature.",
        looks: vec![(slope(&drum, Some(GLASS)), 0.25)],
        take_off_sd: None,
    });
    list
}

/// What can only be measured once the heat is off: it narrows the next run's bands as it would have
/// narrowed this one's.
fn after_the_run(sight: &Foresight<'_>) -> Option<Possible> {
    let mut look = [0.0; UNKNOWNS];
    look[HOLD_UP] = sight.model.beliefs.of[HOLD_UP].sd;
    (!sight.pot()).then(|| Possible {
        action: "drain_back",
        text: "After this run, with the heat off, measure how much drains back from the column \
               into the pot, and state it as what the column holds: the next run is then surer.",
        looks: vec![(look, DRAINED_SD)],
        take_off_sd: None,
    })
}

/// What can be tried with the take-off: timed, opened wide, closed.
fn at_the_spout(
    sight: &Foresight<'_>,
    left_s: f64,
    vapour: Unknowns,
    separation: Unknowns,
) -> Vec<Possible> {
    let model = sight.model;
    let mut list = Vec::new();
    if sight.pot() {
        list.push(Possible {
            action: "time_take_off",
            text: "Time the take-off into a measuring jug for two minutes.",
            looks: vec![(vapour, 0.02)],
            take_off_sd: None,
        });
    } else {
        if matches!(model.inputs.take_off, TakeOff::MlPerMin(_)) {
            list.push(Possible {
                action: "time_take_off",
                text: "Time the take-off into a measuring jug for two minutes.",
                looks: vec![],
                take_off_sd: Some(0.02),
            });
        }
        list.push(Possible {
            action: "full_take_off",
            text: "Take everything off into a jug for two minutes: it shows how much vapour the \
                   heater really makes.",
            looks: vec![(vapour, 0.03)],
            take_off_sd: None,
        });
        // Nobody waits longer for what is left than it takes.
        if left_s > TOTAL_REFLUX_S {
            list.push(Possible {
                action: "total_reflux",
                text: "Close the take-off for 30 minutes and read the head: it shows what the \
                       column can separate.",
                looks: vec![(separation, 0.12)],
                take_off_sd: None,
            });
        }
    }
    list
}

/// Actions and what each should narrow, most helpful first; last what only the next run gains from.
pub(super) fn would_help(sight: &Foresight<'_>, on: &Sensitivity, seen: &Seen) -> Vec<Help> {
    let now = parts(on, &sight.fit.covariance, on.take_off_sd);
    let help = |possible: Possible| {
        let mut covariance = sight.fit.covariance.clone();
        for (h, sd) in &possible.looks {
            covariance = looked(&covariance, h, *sd);
        }
        let take_off_sd = possible.take_off_sd.map_or(on.take_off_sd, |sd| {
            (1.0 / (1.0 / (sd * sd) + 1.0 / (on.take_off_sd * on.take_off_sd))).sqrt()
        });
        let then = parts(on, &covariance, take_off_sd);
        let gain = |now: f64, then: f64| (1.0 - (then / now.max(1e-12)).sqrt()).clamp(0.0, 1.0);
        Help {
            action: possible.action.to_owned(),
            text: possible.text.to_owned(),
            end_gain: gain(now.end, then.end),
            litres_gain: gain(now.litres, then.litres),
        }
    };
    let worth = |help: &Help| help.end_gain.max(help.litres_gain) >= GAIN_LEAST;
    let mut list: Vec<Help> =
        possible(sight, seen, on.left_s).into_iter().map(help).filter(worth).collect();
    list.sort_by(|a, b| (b.end_gain + b.litres_gain).total_cmp(&(a.end_gain + a.litres_gain)));
    list.extend(after_the_run(sight).map(help).filter(worth));
    list
}
