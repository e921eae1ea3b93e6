//! The step from minute to minute against the fit from nothing at the same second.

use advise::{Live, LiveOptions};
use estimate::Outlook;
use sense::Cursor;

use super::recorded::{COLUMN, POT, Recorded, Told, known};

/// How far the warm end may stand from the cold one, shares of the cold 80 % band.
const NEAR: f64 = 0.05;
/// The same of the end by the run alone, after warm steps through a whole run: 0.1 was measured,
/// where a person who is late lets it come a step sooner and slopes of some minutes ago weigh that
/// a little otherwise. The plan's own end has no such leap.
const NEAR_AFTER_A_RUN: f64 = 0.12;
/// Minutes of warm steps before a comparison, where not the whole run is gone through.
const MINUTES: f64 = 15.0;

/// Feeds the engine second by second, lets questions before `from_s` go by, and gives what it
/// says at each of the moments.
fn followed(run: &Recorded, from_s: f64, moments: &[f64]) -> Vec<Outlook> {
    let last_s = moments.iter().copied().fold(0.0, f64::max) + 120.0;
    let mut heard = Vec::new();
    follow(run, last_s, &mut |second, live| {
        if (second as f64) < from_s {
            live.pass();
        }
        if moments.contains(&(second as f64)) {
            heard.push(live.outlook().expect("the engine was asked").clone());
        }
    });
    heard
}

/// Feeds the engine second by second; `each` comes after the tick.
fn follow(run: &Recorded, last_s: f64, each: &mut dyn FnMut(u64, &mut Live)) {
    let options = LiveOptions::default();
    let mut live = Live::new(run.plan.clone(), options).expect("the plan is sound");
    let mut cursor = Cursor::new(&run.rows);
    for second in (0_u64..).take_while(|second| *second as f64 <= last_s) {
        while let Some(row) = cursor.next_until(second as f64) {
            live.row(row);
        }
        live.tick(second);
        each(second, &mut live);
    }
}

/// A whole run gone through with an update a minute: the simulations each cost, the cold ones
/// apart, and what was said at the moments.
fn whole(run: &Recorded, moments: &[f64]) -> (Vec<u64>, Vec<Outlook>) {
    let (mut list, mut heard) = (Vec::new(), Vec::new());
    let mut told_s = 0.0;
    follow(run, run.rows.last_s(), &mut |second, live| {
        if let Some(outlook) = live.outlook().filter(|outlook| outlook.made_at_s > told_s) {
            told_s = outlook.made_at_s;
            list.push(outlook.evidence.simulations);
        }
        if moments.contains(&(second as f64)) {
            heard.push(live.outlook().expect("the engine was asked").clone());
        }
    });
    (list.split_off(1), heard)
}

/// How far the ends stand apart, shares of the cold band: by the run alone, by the plan.
fn apart(run: &Recorded, warm: &Outlook) -> [f64; 2] {
    let cold = known(&run.plan, &run.rows, warm.made_at_s);
    [(warm.end, cold.end), (warm.plan_end, cold.plan_end)].map(|(warm, cold)| {
        let (warm, cold) = (warm.expect("hearts end"), cold.expect("hearts end"));
        (warm.time_s.p50 - cold.time_s.p50).abs() / cold.time_s.width_80()
    })
}

fn minute(at_s: f64) -> f64 {
    (at_s / 60.0).floor() * 60.0
}

pub(super) fn a_warm_step_stays_near_the_cold_fit_in_ten_recordings(ten: &[Told]) {
    let shares = [0.15, 0.3, 0.5, 0.7, 0.9];
    let list: Vec<(String, f64, [f64; 2])> = ten
        .iter()
        .enumerate()
        .map(|(place, run)| {
            let share = shares[(place + place / shares.len()) % shares.len()];
            let at_s = minute(run.at(share));
            let heard = followed(run, at_s - 60.0 * MINUTES, &[at_s]);
            (run.plan.title.clone(), share, apart(run, &heard[0]))
        })
        .collect();
    let most = list.iter().flat_map(|row| row.2).fold(0.0, f64::max);
    assert!(most <= NEAR, "up to {most:.3} of the 80 % band: {list:#?}");
}

fn does_not_wander_off(run: &Recorded, heard: &[Outlook]) {
    let list: Vec<[f64; 2]> = heard.iter().map(|warm| apart(run, warm)).collect();
    let near = |apart: &[f64; 2]| apart[0] <= NEAR_AFTER_A_RUN && apart[1] <= NEAR;
    assert!(list.iter().all(near), "{}, shares of the bands: {list:?}", run.plan.title);
}

fn median(list: &[u64]) -> u64 {
    let mut ordered = list.to_vec();
    ordered.sort_unstable();
    ordered[ordered.len() / 2]
}

/// Counts do not jitter: what an update costs is asked in simulations of the still.
fn costs_no_more_late_than_early(name: &str, list: &[u64]) {
    let third = list.len() / 3;
    let (early, late) = (&list[..third], &list[list.len() - third..]);
    assert!(median(late) <= median(early), "{name}: {early:?}, {late:?}");
    // From the start: once in an hour, and where an explanation comes up.
    let long = late.iter().filter(|cost| **cost > 40).count();
    assert!(long * 8 <= late.len(), "{name}: {late:?}");
    assert!(median(list) <= 8, "{name}: {list:?}");
}

fn through_a_whole_run(name: &str, run: &Recorded) {
    let moments = [0.1, 0.4, 0.8].map(|share| minute(run.at(share)));
    let (list, heard) = whole(run, &moments);
    assert_eq!(heard.len(), moments.len(), "{name}");
    does_not_wander_off(run, &heard);
    costs_no_more_late_than_early(name, &list);
}

#[test]
fn a_warm_fit_of_a_column_neither_wanders_off_nor_costs_more_late_in_a_run() {
    through_a_whole_run("column", &COLUMN);
}

#[test]
fn a_warm_fit_of_a_pot_neither_wanders_off_nor_costs_more_late_in_a_run() {
    through_a_whole_run("pot", &POT);
}

#[test]
fn an_update_of_a_misstated_charge_costs_no_more_late_in_a_run_than_early() {
    let mut run = COLUMN.clone();
    run.plan.charge.strength_vol *= 0.8;
    costs_no_more_late_than_early("misstated", &whole(&run, &[]).0);
}
