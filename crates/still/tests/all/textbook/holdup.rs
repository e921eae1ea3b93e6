//! Hold-up at total reflux: where it ends, and how fast it gets there.

use still::column::Draw;
use still::equilibrium::ConstantVolatility;

use super::harness::{Curve, Textbook, close, rows};

/// WE-13: 100 mol at 0.20, volatility 3, four plates of 1.0 mol, drum of 0.5 mol, settled.
#[test]
fn xval_we13_start_at_total_reflux() {
    let volatility = ConstantVolatility { volatility: [1.0, 3.0], latent_j_mol: 40_000.0 };
    let still = Textbook {
        equilibrium: volatility,
        plates: 4,
        stage_mol: 1.0,
        drum_mol: 0.5,
        draw: Draw::Closed,
    };
    let outcome = still.run([95.5 * 0.8, 95.5 * 0.2], 1e5);
    close(outcome.pot[1], 0.1745553247, 1e-8);
    let plates = [0.3881564305, 0.6555541634, 0.8509607566, 0.9448395363];
    for (plate, want) in outcome.plates.iter().zip(plates) {
        close(plate[1], want, 1e-8);
    }
    close(outcome.drum[1], 0.9809112146, 1e-8);
    let all = outcome.pot_mol[1]
        + outcome.plates.iter().map(|plate| plate[1]).sum::<f64>()
        + 0.5 * outcome.drum[1];
    close(all, 20.0, 1e-10);
}

/// WE-14: two vessels at total reflux, linear equilibrium: an exact exponential. The reference
/// has V = 10 mol/min; here 1 mol/s, so its minutes become ten seconds.
#[test]
fn xval_we14_approach_to_total_reflux() {
    for row in rows(include_str!("../../../reference/batch/analytic_holdup_total_reflux.csv")) {
        if row[0] == 0.0 {
            continue;
        }
        let still = Textbook {
            equilibrium: Curve(|x| 9.0 * x),
            plates: 0,
            stage_mol: 1.0,
            drum_mol: 20.0,
            draw: Draw::Closed,
        };
        let outcome = still.run([999.0, 1.0], 10.0 * row[0]);
        close(outcome.pot[1], row[1], 1e-9);
        close(outcome.drum[1], row[2], 1e-8);
    }
}
