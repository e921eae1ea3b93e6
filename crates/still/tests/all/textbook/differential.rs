//! Differential distillation: a pot and nothing else.

use still::column::Draw;
use still::equilibrium::ConstantVolatility;

use super::harness::{Textbook, close, rows};

fn binary(volatility: f64) -> ConstantVolatility<2> {
    // the heavier substance first, as water stands before ethanol
    ConstantVolatility { volatility: [1.0, volatility], latent_j_mol: 40_000.0 }
}

fn pot(volatility: f64) -> Textbook<ConstantVolatility<2>> {
    Textbook::new(binary(volatility), 0, Draw::Ratio(0.0))
}

/// WE-01: Seader and Henley, Example 13.1 (statement from memory); closed form. 1e-6: what the
/// drum's hold-up of 1e-9 of the charge and the tolerance leave.
#[test]
fn xval_we01_rayleigh_constant_volatility() {
    for row in rows(include_str!("../../../reference/batch/analytic_rayleigh.csv")) {
        let outcome = pot(2.41).draw_off([50.0, 50.0], 100.0 * (1.0 - row[0]));
        close(outcome.pot[1], row[1], 1e-6);
        close(outcome.drum[1], row[2], 1e-6);
        close(outcome.average()[1], row[3], 1e-6);
    }
}

/// WE-02: Treybal, 3rd ed., Illustration 9.6 (heptane and octane): 0.328 and 0.615 printed.
#[test]
fn val_we02_treybal_heptane_octane() {
    let outcome = pot(2.16).draw_off([50.0, 50.0], 60.0);
    close(outcome.pot[1], 0.328, 5e-4);
    close(outcome.average()[1], 0.615, 5e-4);
    close(outcome.pot[1], 0.3275692, 1e-6);
    close(outcome.average()[1], 0.6149538, 1e-6);
}

/// WE-03: Treybal, Illustration 9.7 (benzene, toluene, o-xylene), solved exactly.
#[test]
fn val_we03_treybal_ternary() {
    let ternary = ConstantVolatility {
        volatility: [1370.0 / 550.0, 1.0, 200.0 / 550.0],
        latent_j_mol: 33_000.0,
    };
    let outcome = Textbook::new(ternary, 0, Draw::Ratio(0.0)).draw_off([50.0, 25.0, 25.0], 32.5);
    for (got, want) in outcome.pot.iter().zip([0.3804957, 0.2834571, 0.3360472]) {
        close(*got, want, 1e-6);
    }
    for (got, want) in outcome.average().iter().zip([0.7482012, 0.1805122, 0.0712866]) {
        close(*got, want, 1e-6);
    }
}

/// WE-07: Ghoshal et al., Example 6.13: 0.22 and 0.52 were read off a drawing there.
#[test]
fn val_we07_ideal_binary() {
    let outcome = pot(2.16).draw_off([60.0, 40.0], 60.0);
    close(outcome.pot[1], 0.2341173, 1e-6);
    close(outcome.average()[1], 0.5105885, 1e-6);
}

/// WE-12: multicomponent Rayleigh, `n_i = n_i0 r^alpha_i`.
#[test]
fn val_we12_multicomponent_rayleigh() {
    for row in rows(include_str!("../../../reference/batch/analytic_multicomponent_rayleigh.csv")) {
        let five =
            ConstantVolatility { volatility: [20.0, 3.0, 1.0, 0.35, 0.1], latent_j_mol: 40_000.0 };
        let outcome = Textbook::new(five, 0, Draw::Ratio(0.0))
            .draw_off([1.0, 4.0, 60.0, 30.0, 5.0], 100.0 - row[0]);
        for i in 0..5 {
            close(outcome.pot[i], row[2 + i], 2e-6);
            close(outcome.average()[i], row[7 + i], 2e-6);
        }
    }
}

/// WE-12, second part: a trace congener of constant K in a bulk, x / x0 = (W / W0)^(K - 1).
#[test]
fn val_we12_trace_congener() {
    let expected = [
        (0.5, [1.054092553, 1.195228609, std::f64::consts::SQRT_2]),
        (5.0, [0.6561, 0.2401, 0.0625]),
        (20.0, [0.135085172, 0.001139890, 1.907e-6]),
    ];
    for (k, ratios) in expected {
        for (left, ratio) in [0.9, 0.7, 0.5].into_iter().zip(ratios) {
            // a trace of 1e-6: the bulk's K differs from one by as little
            let trace = 1e-6;
            let outcome = pot(k).draw_off([1.0 - trace, trace], 1.0 - left);
            close(outcome.pot[1] / trace, ratio, 3e-5);
        }
    }
}
