//! The table of cases: how far the true cause is believed, and whether a cause that is believed
//! is the true one; and what a balance says where things were not gauged.

use advise::learn;
use estimate::{AlcoholBalance, Character, Settings, Trait, Verdict};
use sense::RecordedRun;
use still::plan::{RunPlan, StillKind};

use super::made_up::{MadeUp, Truth, made_up, read_l, without};
use crate::common::{pot, short_column};

/// Seeds for each truth, and the variable that sets how many are made instead.
const SEEDS: u64 = 1;
const MORE: &str = "MIDDLECUT_BALANCE_SEEDS";
/// A cause believed so much counts as named; so many of those named are right, and half of the true
/// causes are believed at least so much.
const NAMED: f64 = 0.9;
const RIGHT: f64 = 0.95;
const MEDIAN: f64 = 0.6;

fn balance(plan: &RunPlan, rows: &RecordedRun) -> AlcoholBalance {
    estimate::balance(plan, rows, &Character::default()).expect("sound")
}

fn verdict(balance: &AlcoholBalance) -> Verdict {
    balance.account.as_ref().expect("worked out now").verdict
}

fn odds(balance: &AlcoholBalance, code: &str) -> f64 {
    balance.causes.iter().find(|cause| cause.code == code).map_or(0.0, |cause| cause.odds)
}

/// Whether the residue is gauged, and whether the jars are read.
const GAUGINGS: [(bool, bool); 4] = [(true, true), (false, false), (false, true), (true, false)];

/// Gaugings of one made-up run, of these, that the truth leaves a trace in.
fn gaugings(truth: Truth, of: &[(bool, bool)]) -> Vec<(bool, bool)> {
    let traced = |(residue, readings): &(bool, bool)| match truth {
        Truth::Forgotten => !residue,
        Truth::Glass => *readings,
        _ => true,
    };
    of.iter().copied().filter(traced).collect()
}

/// Odds of the true cause, and whether each cause that is named is the true one.
#[expect(clippy::print_stdout, reason = "the table, for whoever looks at it")]
fn table(name: &str, plan: &RunPlan) -> (Vec<f64>, Vec<bool>) {
    let more = std::env::var(MORE).ok().and_then(|text| text.parse().ok());
    // One seed of a column takes as long as ten of a pot: all gauged and nothing gauged, there.
    let brief = more.is_none() && plan.still.kind == StillKind::Column;
    let of = if brief { &GAUGINGS[..2] } else { &GAUGINGS[..] };
    let (mut believed, mut right) = (Vec::new(), Vec::new());
    for truth in Truth::ALL {
        for seed in 1..=more.unwrap_or(SEEDS) {
            let made = made_up(plan, truth, seed);
            for (residue, readings) in gaugings(truth, of) {
                let found = balance(&made.stated, &without(&made.rows, !residue, !readings));
                let (own, first) = (odds(&found, truth.code()), &found.causes[0]);
                println!(
                    "{name}, {truth:?} {seed}, residue {residue}, glass {readings}: {own:.2}, \
                     {} {:.2}; {:?}, asks {:?}; {}",
                    first.code,
                    first.odds,
                    verdict(&found),
                    found.account.as_ref().and_then(|a| a.tells_most.as_ref()).map(|g| &g.code),
                    made.hidden,
                );
                believed.push(own);
                if first.odds > NAMED {
                    right.push(first.code == truth.code());
                }
            }
        }
    }
    (believed, right)
}

#[expect(clippy::print_stdout, reason = "the table, for whoever looks at it")]
fn check(name: &str, plan: &RunPlan) {
    let (mut believed, right) = table(name, plan);
    let median = sense::numbers::median(&mut believed).expect("there are cases");
    let hits = right.iter().filter(|right| **right).count();
    println!("{name}: median {median:.2}, {hits} of {} named are right", right.len());
    assert!(median >= MEDIAN, "{name}: the true cause is believed to {median:.2}");
    assert!(hits as f64 >= RIGHT * right.len() as f64, "{name}: {hits} of {}", right.len());
}

#[test]
fn causes_of_a_column_are_believed_as_often_as_they_are_true() {
    check("column", &short_column());
}

#[test]
fn causes_of_a_pot_are_believed_as_often_as_they_are_true() {
    check("pot", &pot());
}

/// A run of which nothing is wrong, everything gauged.
fn sound() -> MadeUp {
    made_up(&pot(), Truth::Nothing, 4)
}

#[test]
fn a_gap_beyond_all_doubt_is_never_said_to_be_nothing() {
    for factor in [0.5, 1.6] {
        let mut rows = sound().rows;
        for jar in &mut rows.jars {
            jar.volume_ml *= factor;
        }
        let found = balance(&sound().stated, &rows);
        let told = if factor < 1.0 { Verdict::Missing } else { Verdict::TooMuch };
        assert_eq!(verdict(&found), told, "{found:?}");
        assert!(odds(&found, "nothing_missing") < 1e-3, "{found:?}");
        if factor > 1.0 {
            assert!(odds(&found, "vapour_lost") < 1e-3, "vapour makes no alcohol: {found:?}");
        }
    }
}

#[test]
fn with_all_jars_deleted_the_balance_cannot_tell() {
    let made = sound();
    let mut rows = made.rows.clone();
    rows.jars.clear();
    let found = balance(&made.stated, &rows);
    assert_eq!(verdict(&found), Verdict::CannotTell, "{found:?}");
    assert!(found.collected_l.abs() < 1e-9, "{found:?}");
    let ask = found.account.and_then(|account| account.tells_most).expect("jars are missing");
    assert_eq!(ask.code, "jars");
}

#[test]
fn jars_read_ten_percent_weak_are_missed_and_blamed_on_the_glass() {
    let made = sound();
    let before = balance(&made.stated, &made.rows);
    let mut rows = made.rows.clone();
    for jar in &mut rows.jars {
        jar.apparent_vol = jar.apparent_vol.map(|vol| 0.9 * vol);
    }
    let after = balance(&made.stated, &rows);
    let less = after.collected_l / before.collected_l;
    assert!((0.88..0.92).contains(&less), "{less}");
    assert_eq!(after.causes[0].code, "reading_error", "{after:?}");
    let sure = after.causes[0].odds >= 0.9;
    assert!(!sure || verdict(&after) == Verdict::Missing, "{after:?}");
}

#[test]
fn a_balance_never_adds_up_beside_a_cause_that_is_certain() {
    let made = sound();
    let mut rows = made.rows.clone();
    // Weak only so far that what is missing alone could still be chance.
    for jar in &mut rows.jars {
        jar.apparent_vol = jar.apparent_vol.map(|vol| 0.93 * vol);
    }
    let found = balance(&made.stated, &rows);
    let (cause, verdict) = (&found.causes[0], verdict(&found));
    assert!(cause.code == "reading_error" && cause.odds >= 0.9, "{found:?}");
    assert_eq!(verdict, Verdict::Missing, "{found:?}");
}

#[test]
fn collected_is_what_was_gauged_and_residue_and_samples_count() {
    let made = sound();
    let found = balance(&made.stated, &made.rows);
    assert!((found.collected_l - read_l(&made.rows)).abs() < 1e-9, "{found:?}");
    let parts = &found.account.as_ref().expect("worked out now").parts;
    let of = |code: &str| parts.iter().find(|part| part.code == code);
    assert!(of("residue").is_some_and(|part| part.alcohol_l > 0.0 && part.sd_l > 0.0), "{parts:?}");
    let mut rows = made.rows.clone();
    rows.actions.push((rows.last_s(), super::made_up::sample(0.1, 60.0)));
    let more = balance(&made.stated, &rows);
    assert!((more.collected_l - found.collected_l - 0.06).abs() < 5e-4, "{more:?}");
}

#[test]
fn the_parts_close() {
    for (residue, readings) in gaugings(Truth::Nothing, &GAUGINGS) {
        let made = sound();
        let found = balance(&made.stated, &without(&made.rows, !residue, !readings));
        let open_l = found.account.as_ref().expect("worked out now").not_gauged_l;
        let sum_l = found.collected_l + open_l + found.left_l + found.missing_l;
        assert!((sum_l - found.charged_l).abs() < 1e-9, "{found:?}");
    }
}

#[test]
fn vapour_lost_is_learned_from_a_residue_that_was_gauged_and_not_without() {
    let made = made_up(&pot(), Truth::Lost, 1);
    let learned = |rows: &RecordedRun| {
        let lesson = learn(&made.stated, rows, &Character::default(), Settings::default());
        lesson.expect("sound").character.belief(Trait::VapourLost).expect("a trait")
    };
    let (with, blind) = (learned(&made.rows), learned(&without(&made.rows, true, false)));
    // 11.5 % of the vapour was lost.
    assert!((with.mean - (1.0_f64 - 0.11).ln()).abs() < 0.04, "{with:?}");
    assert!(with.sd < 0.04 && blind.sd > 0.06, "{with:?} {blind:?}");
    assert!((blind.mean - 0.92_f64.ln()).abs() < 1e-9, "{blind:?}");
}
