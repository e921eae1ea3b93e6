//! Whole runs against trajectories that an independent program solved from the same equations
//! (Radau, rtol 1e-9; see reference/column/README.md). They test the program, not the physics.

use serde_json::Value;
use still::forecast::{Options, forecast};
use still::outcome::{EndedBy, Forecast, Row};
use still::plan::RunPlan;

/// Tolerances at one setting of the integrator, with the reasons given in the README there.
struct Tolerance {
    rtol: f64,
    heat_up_s: f64,
    degrees_k: f64,
    knee_s: f64,
    volume: f64,
    strength_vol: f64,
    end_by_rise: Option<f64>,
    end_s: f64,
    congener: f64,
    vapour: f64,
}

const DEFAULT: Tolerance = Tolerance {
    rtol: 1e-3,
    heat_up_s: 0.5,
    degrees_k: 0.02,
    knee_s: 5.0,
    volume: 1e-3,
    strength_vol: 0.05,
    end_by_rise: None,
    end_s: 5.0,
    congener: 2e-3,
    vapour: 1e-3,
};
const TIGHT: Tolerance = Tolerance {
    rtol: 1e-6,
    heat_up_s: 0.05,
    degrees_k: 1e-4,
    knee_s: 0.1,
    volume: 1e-5,
    strength_vol: 1e-3,
    end_by_rise: Some(1.0),
    end_s: 0.1,
    congener: 1e-5,
    vapour: 1e-5,
};

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

/// What is wrong with a case, one line each.
fn compare(run: &str, expected: &str, csv: &str, tolerance: &Tolerance) -> Vec<String> {
    let plan: RunPlan = toml::from_str(run).expect("bundled plans parse");
    let expected: Value = serde_json::from_str(expected).expect("bundled JSON parses");
    let options = Options { rtol: tolerance.rtol, ..Options::default() };
    let got = forecast(&plan, &options).expect("bundled plans run");
    let mut wrong = Vec::new();
    let mut check = |what: String, got: f64, want: f64, within: f64| {
        let off = (got - want).abs();
        if off.is_nan() || off > within {
            wrong.push(format!("{what}: {got} for {want}, within {within:e}"));
        }
    };
    let heat = &expected["heat_up"];
    for (what, got) in
        [("boil_s", got.boil_s), ("head_jump_s", got.head_jump_s), ("ready_s", got.ready_s)]
    {
        check(what.into(), got, number(heat, what), tolerance.heat_up_s);
    }
    check("ethanol balance".into(), got.balance.ethanol_rel, 0.0, 1e-9);
    check("mole balance".into(), got.balance.total_rel, 0.0, 1e-9);
    let total = number(&expected["total"], "litres_20c");
    check("litres".into(), got.totals.litres_20c, total, tolerance.volume * total);
    let steps = expected["steps"].as_array().expect("steps");
    assert_eq!(steps.len(), got.steps.len(), "{got:#?}");
    for (want, step) in steps.iter().zip(&got.steps) {
        let name = |what: &str| format!("{} {what}", step.kind.name());
        assert_eq!(want["ended_by"], step.ended_by.name(), "{}", step.kind.name());
        let end_s = if step.ended_by == EndedBy::UntilRiseK {
            // 0.02 K over the slope of the head there, which is 0.03 to 0.07 K/min
            tolerance.end_by_rise.unwrap_or(40.0)
        } else {
            tolerance.end_s
        };
        check(name("end"), step.end_s, number(want, "end_s"), end_s);
        if want["strength_vol"].is_number() {
            let strength = step.strength_vol.expect("something was drawn");
            check(name("vol"), strength, number(want, "strength_vol"), tolerance.strength_vol);
        }
        if want["litres_20c"].is_number() {
            let litres = number(want, "litres_20c");
            check(name("litres"), step.litres_20c, litres, tolerance.volume * total);
        }
        if let Some(plateau) = want["plateau_c"].as_f64() {
            check(name("plateau"), got.plateau_c.unwrap_or(f64::NAN), plateau, tolerance.degrees_k);
        }
    }
    if !csv.is_empty() {
        compare_rows(&got, csv, &expected, tolerance, &mut check);
    }
    wrong
}

fn compare_rows(
    got: &Forecast,
    csv: &str,
    expected: &Value,
    tolerance: &Tolerance,
    check: &mut dyn FnMut(String, f64, f64, f64),
) {
    let rows: Vec<Vec<Option<f64>>> = csv
        .lines()
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().ok()).collect())
        .collect();
    assert_eq!(rows.len(), got.rows.len());
    let last = rows.last().expect("rows");
    let edges: Vec<f64> = got
        .steps
        .iter()
        .flat_map(|step| [step.start_s, step.end_s])
        .chain([got.head_jump_s])
        .collect();
    for (k, (want, row)) in rows.iter().zip(&got.rows).enumerate() {
        let time_s = want[0].expect("time");
        if edges.iter().any(|edge| (time_s - edge).abs() < 61.0) {
            continue;
        }
        let shift_s = shift_of(got, expected, time_s);
        let slope = |column: usize| {
            let (before, after) = (rows[k - 1][column], rows[k + 1][column]);
            before.zip(after).map_or(0.0, |(b, a)| ((a - b) / 120.0).abs())
        };
        let name = |what: &str| format!("{what} at {time_s}");
        let mut cell = |what: &str, value: Option<f64>, column: usize, within: f64, knee: bool| {
            let Some(expected) = want[column] else {
                assert!(value.is_none(), "{}", name(what));
                return;
            };
            let knee_s = if knee { tolerance.knee_s } else { 0.0 };
            // where a step before ended a little off, all later rows are shifted
            let allowed = within + slope(column) * (shift_s + knee_s);
            check(name(what), value.unwrap_or(f64::NAN), expected, allowed);
        };
        let fast = slope(1) > 0.2 / 60.0;
        cell("head", Some(row.head_c), 1, tolerance.degrees_k, fast);
        cell("pot", Some(row.pot_c), 2, tolerance.degrees_k, false);
        cell("top stage", row.top_stage_vol, 3, tolerance.strength_vol, fast);
        cell("distillate", row.distillate_vol, 4, tolerance.strength_vol, fast);
        cell(
            "collected",
            Some(row.collected_l),
            5,
            tolerance.volume * last[5].expect("totals"),
            false,
        );
        cell(
            "alcohol",
            Some(row.pure_alcohol_l),
            6,
            tolerance.volume * last[6].expect("totals"),
            false,
        );
        cell("v0", Some(row.v0_mol_s), 7, tolerance.vapour * row.v0_mol_s, false);
        cell("vn", Some(row.vn_mol_s), 8, tolerance.vapour * row.vn_mol_s, false);
        cell(
            "pot x",
            Some(row.pot_x_ethanol),
            9,
            tolerance.volume * want[9].expect("pot x"),
            false,
        );
        congeners(row, last, tolerance, &mut cell);
    }
}

/// Checks one cell: name, value, column, tolerance, whether the head runs away there.
type Cell<'a> = dyn FnMut(&str, Option<f64>, usize, f64, bool) + 'a;

fn congeners(row: &Row, last: &[Option<f64>], tolerance: &Tolerance, cell: &mut Cell<'_>) {
    for (place, &mg) in row.congeners_mg.iter().enumerate() {
        let total = last[10 + place].expect("totals");
        cell("congener", Some(mg), 10 + place, tolerance.congener * total, false);
    }
}

/// By how much the steps before `time_s` ended off their times, s.
fn shift_of(got: &Forecast, expected: &Value, time_s: f64) -> f64 {
    let steps = expected["steps"].as_array().expect("steps");
    steps
        .iter()
        .zip(&got.steps)
        .filter(|(_, step)| step.end_s < time_s)
        .map(|(want, step)| (number(want, "end_s") - step.end_s).abs())
        .fold(0.0, f64::max)
}

macro_rules! case {
    ($name:ident, $folder:literal) => {
        #[test]
        fn $name() {
            for tolerance in [&DEFAULT, &TIGHT] {
                let wrong = compare(
                    include_str!(concat!("../../reference/column/", $folder, "/run.toml")),
                    include_str!(concat!("../../reference/column/", $folder, "/expected.json")),
                    include_str!(concat!("../../reference/column/", $folder, "/expected.csv")),
                    tolerance,
                );
                assert!(
                    wrong.is_empty(),
                    "rtol {}: {:#?}",
                    tolerance.rtol,
                    &wrong[..wrong.len().min(30)]
                );
            }
        }
    };
}

case!(xval_c1_bare_pot_weak_wash, "C1");
case!(xval_c2_pot_with_passive_reflux, "C2");
case!(xval_c3_six_ideal_stages, "C3");
case!(xval_c4_twelve_stages_two_hearts_phases, "C4");
case!(xval_c5_the_same_at_850_hpa, "C5");
case!(xval_c6_weak_wash_large_holdup, "C6");
case!(xval_c7_strong_charge_subcooled_reflux, "C7");
case!(xval_c8_fractional_stages_all_cuts, "C8");

#[test]
fn xval_bench_cases() {
    let bench = [
        (
            include_str!("../../reference/column/bench/bench.toml"),
            include_str!("../../reference/column/bench/bench_expected.json"),
        ),
        (
            include_str!("../../reference/column/bench/bench_binary.toml"),
            include_str!("../../reference/column/bench/bench_binary_expected.json"),
        ),
    ];
    for (run, expected) in bench {
        for tolerance in [&DEFAULT, &TIGHT] {
            let wrong = compare(run, expected, "", tolerance);
            assert!(wrong.is_empty(), "rtol {}: {wrong:#?}", tolerance.rtol);
        }
    }
}
