//! The truth of a run, told as recordings with known truth tell it, and whether an owner could have
//! had it.

use serde_json::{Value, json};
use still::plan::StepKind;

use super::attended::{Attended, Look};
use super::house::{Fault, House, Ranges};
use super::in_column::InColumn;
use super::liquid::{between, litres, vol};
use super::plateau::Plateau;

/// Rise over the plateau that ends the hearts of a column, K.
const END_RISE_K: f64 = 1.0;
/// Shortest and longest hearts, s (as the recordings with known truth were chosen).
const HEARTS_S: (f64, f64) = (1800.0, 39_600.0);
/// Longest heat-up, s (judgement).
const HEAT_UP_MAX_S: f64 = 5.0 * 3600.0;
/// Least share of the alcohol that comes with the hearts (judgement: less is not worth the heat).
const RECOVERY_MIN: f64 = 0.25;
/// An end that the head comes back from so far was none, K.
const BACK_K: f64 = 0.3;

/// Where hearts truly ended.
struct End {
    start_s: f64,
    end_s: f64,
    plateau_c: Option<f64>,
    hearts_mol: [f64; 2],
}

/// The truth, or why nobody could have had such a run.
pub(super) fn outcome(
    house: &House,
    made: &Attended,
    ranges: &Ranges,
) -> Result<Value, &'static str> {
    let looks = &made.looks;
    let first = looks.iter().position(|look| look.kind == StepKind::Hearts);
    let first = first.filter(|&at| at > 0).ok_or("hearts never began")?;
    if !made.is_complete {
        return Err("the run never ended");
    }
    if hardly_boils(house) {
        return Err("the heater hardly covers the losses");
    }
    let heated = looks.iter().find(|look| look.is_boiling).ok_or("it never boiled")?;
    if heated.time_s > HEAT_UP_MAX_S {
        return Err("too long a heat-up");
    }
    let end = end(house, looks, first).ok_or("hearts were closed before their end")?;
    let of_hearts = |look: &&Look| look.time_s >= end.start_s && look.time_s <= end.end_s;
    if looks.iter().filter(of_hearts).any(|look| look.is_starved) {
        return Err("more was drawn than condensed");
    }
    if !house.build.is_pot && looks[first].vol < ranges.hearts_vol_min {
        return Err("a column that never got strong");
    }
    let lasted_s = end.end_s - end.start_s;
    if !(HEARTS_S.0..=HEARTS_S.1).contains(&lasted_s) {
        return Err("hearts too short or too long");
    }
    if !is_final(&end, looks) {
        return Err("the head came back");
    }
    let value = told(house, made, &end, first);
    let recovery = value["recovery"].as_f64().unwrap_or_default();
    if recovery < RECOVERY_MIN { Err("little came with the hearts") } else { Ok(value) }
}

/// Whether boiler and column lose more than half of what the run is heated with: nobody would run a
/// still so (judgement).
fn hardly_boils(house: &House) -> bool {
    let run_w = house.plan.steps.iter().filter_map(|step| step.watts).fold(f64::INFINITY, f64::min);
    75.0 * house.build.boiler_loss_w_k + 60.0 * house.build.column_loss_w_k > 0.5 * run_w
}

/// Whether the head stays up once it rose.
fn is_final(end: &End, looks: &[Look]) -> bool {
    end.plateau_c.is_none_or(|plateau_c| {
        let after =
            looks.iter().filter(|look| look.kind == StepKind::Hearts && look.time_s > end.end_s);
        after.into_iter().all(|look| look.head_c - plateau_c > END_RISE_K - BACK_K)
    })
}

fn end(house: &House, looks: &[Look], first: usize) -> Option<End> {
    let limit = house.plan.steps.iter().rfind(|step| step.kind == StepKind::Hearts)?;
    let mut plateau = Plateau::new(looks[1].time_s - looks[0].time_s);
    let mut before: Option<f64> = None;
    for at in first..looks.len() {
        let look = &looks[at];
        if look.kind != StepKind::Hearts {
            return None;
        }
        // What has to fall through nothing for the hearts to end.
        let left = if house.build.is_pot {
            Some(look.vol - limit.until_strength_vol?)
        } else {
            plateau.rise_k(look.head_c).map(|rise_k| END_RISE_K - rise_k)
        };
        if let (Some(was), Some(left)) = (before, left)
            && left <= 0.0
            && at > first
        {
            let share = if was > left { was / (was - left) } else { 1.0 };
            let last = &looks[at - 1];
            let mol = between(last.drawn_mol, look.drawn_mol).map(|mol| share * mol);
            let drawn = [last.drawn_mol[0] + mol[0], last.drawn_mol[1] + mol[1]];
            return Some(End {
                start_s: looks[first - 1].time_s,
                end_s: last.time_s + share * (look.time_s - last.time_s),
                plateau_c: plateau.lowest_c,
                hearts_mol: between(looks[first - 1].drawn_mol, drawn),
            });
        }
        before = left;
    }
    None
}

fn rounded(value: f64, per: f64) -> f64 {
    (value * per).round() / per
}

fn told(house: &House, made: &Attended, end: &End, first: usize) -> Value {
    let build = &house.build;
    let drawn = made.looks.last().map_or([0.0; 2], |look| look.drawn_mol);
    let pure_l = |mol| litres(mol) * vol(mol) / 100.0;
    let (hearts_l, hearts_vol) = (litres(end.hearts_mol), vol(end.hearts_mol));
    let track: Vec<[f64; 2]> = made
        .looks
        .iter()
        .filter(|look| look.is_boiling && look.time_s.rem_euclid(60.0) < 0.5)
        .map(|look| [look.time_s, rounded(look.vol, 100.0)])
        .collect();
    let of = &house.instruments;
    let held_mol = build.stages as f64 * build.stage_mol + build.drum_mol;
    let (drift, left) = match house.fault {
        Fault::Drift { k_per_h, .. } => (Some(k_per_h), None),
        Fault::ElementFailing { left, .. } => (None, Some(left)),
        Fault::None | Fault::WrongStrength => (None, None),
    };
    let cut = house.plan.steps.iter().find(|step| step.kind == StepKind::Hearts);
    json!({
        "end_of_hearts_s": rounded(end.end_s, 10.0),
        "hearts_start_s": end.start_s,
        "hearts_l_20c": rounded(hearts_l, 1e4),
        "hearts_strength_vol": rounded(hearts_vol, 100.0),
        "total_pure_alcohol_l": rounded(pure_l(drawn), 1e4),
        "recovery": rounded(pure_l(end.hearts_mol) / (house.litres * house.vol / 100.0), 1e4),
        "plateau_c_1013": end.plateau_c.map(|celsius| rounded(celsius, 1e3)),
        "cut_strength_vol": cut.and_then(|step| step.until_strength_vol),
        "first_hearts_vol": rounded(made.looks[first].vol, 100.0),
        "family": house.family.name(),
        "sensors": of.sensors,
        "low_wines": house.is_low_wines,
        "fault": house.fault.name(),
        "fault_start_s": house.fault.since_s().map(f64::round),
        "drift_k_per_h": drift.map(|k| rounded(k, 1e3)),
        "heater_left": left.map(|left| rounded(left, 1e3)),
        "weather_front": house.weather.front.is_some(),
        "stages": build.stages,
        "efficiency": rounded(build.efficiency, 1e3),
        "mixture": rounded(house.mixture, 1e3),
        "holdup_litres": rounded(held_mol * 0.0441, 1e4),
        "boiler_loss_w_per_k": rounded(build.boiler_loss_w_k, 100.0),
        "column_fault": house.in_column.as_ref().map(InColumn::fault),
        "column_loss_w_per_k": rounded(build.column_loss_w_k, 100.0),
        "charge_litres": rounded(house.litres, 1e3),
        "charge_strength_vol": rounded(house.vol, 1e3),
        "head_offset_k": rounded(of.head_offset_k, 1e3),
        "pot_offset_k": rounded(of.pot_offset_k, 1e3),
        "jug": rounded(of.jug, 1e4),
        "glass_vol": rounded(of.glass_vol, 1e3),
        "head_lag_s": rounded(of.head_lag_s, 10.0),
        "strength_track": track,
    })
}
