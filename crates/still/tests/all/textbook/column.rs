//! Columns at constant relative volatility: exact answers.

use numerics::root::{Search, brent};
use still::column::Draw;
use still::equilibrium::ConstantVolatility;

use super::harness::{Textbook, VAPOUR_MOL_S, close, rows};

fn binary(volatility: f64) -> ConstantVolatility<2> {
    ConstantVolatility { volatility: [1.0, volatility], latent_j_mol: 40_000.0 }
}

/// WE-08: very large reflux; Fenske at every instant. The reflux ratio of 1e6 stands for
/// infinity: 2e-6 of each composition.
#[test]
fn xval_we08_total_reflux_limit() {
    for row in rows(include_str!("../../../reference/batch/analytic_total_reflux_limit.csv")) {
        let (volatility, contacts, x0, left) = (row[0], row[1], row[2], row[3]);
        let plates = if contacts == 4.0 { 3 } else { 4 };
        let still = Textbook::new(binary(volatility), plates, Draw::Ratio(1e6));
        let outcome = still.draw_off([100.0 * (1.0 - x0), 100.0 * x0], 100.0 * (1.0 - left));
        close(outcome.pot[1], row[4], 5e-6);
        close(outcome.drum[1], row[5], 2e-5);
        close(outcome.average()[1], row[6], 5e-6);
    }
}

/// WE-09: constant reflux 3, volatility 2.5, six contacts; stage stepping equal to Smoker's
/// closed form.
#[test]
fn xval_we09_constant_reflux() {
    for row in rows(include_str!("../../../reference/batch/analytic_const_reflux.csv")) {
        let (x, x_drum, left, drawn, average) = (row[0], row[1], row[2], row[3], row[4]);
        if drawn == 0.0 {
            continue;
        }
        let outcome = Textbook::new(binary(2.5), 5, Draw::Ratio(3.0)).draw_off([60.0, 40.0], drawn);
        close(outcome.pot_mol.iter().sum(), left, 2e-6);
        close(outcome.pot[1], x, 5e-6);
        close(outcome.drum[1], x_drum, 2e-5);
        close(outcome.average()[1], average, 5e-6);
    }
    let outcome = Textbook::new(binary(2.5), 5, Draw::Ratio(3.0)).draw_off([60.0, 40.0], 40.0);
    close(outcome.pot[1], 0.0917076894, 5e-6);
    close(outcome.average()[1], 0.8624384660, 5e-6);
    close(outcome.drum[1], 0.5205285634, 5e-5);
}

/// A pot so large that it stands still while the column settles.
fn settled_drum(x: f64, ratio: f64) -> f64 {
    let pot = 1e9;
    let still = Textbook::new(binary(2.5), 5, Draw::Ratio(ratio));
    still.run([pot * (1.0 - x), pot * x], 1.0).drum[1]
}

/// WE-10: the reflux ratio that keeps the distillate at 0.95 (the column settled over a pot that
/// stands still, the ratio found by root-finding), and the limit at total reflux.
#[test]
fn xval_we10_constant_distillate() {
    for row in rows(include_str!("../../../reference/batch/analytic_const_xD.csv")) {
        let wanted = |ratio: f64| settled_drum(row[0], ratio) - 0.95;
        let ratio = brent(wanted, 1.5, 60.0, Search::to(1e-7)).expect("a textbook case runs").x;
        close(ratio, row[1], 2e-5 * row[1]);
        let left = 100.0 * (0.95 - 0.40) / (0.95 - row[0]);
        close(left, row[2], 1e-6);
    }
    let limit = |x: f64| settled_drum(x, 1e9) - 0.95;
    close(
        brent(limit, 0.05, 0.1, Search::to(1e-9)).expect("a textbook case runs").x,
        0.0722047384,
        1e-7,
    );
}

/// WE-17, first part: Coulson and Richardson vol. 2, Example 11.9 (seen): Fenske's four plates,
/// exactly 4.0195386 and the still. With four plates the top is the whole-plate neighbour.
#[test]
fn val_we17_fenske() {
    let pot = 1e9;
    let mut still = Textbook::new(binary(2.4), 4, Draw::Closed);
    still.drum_mol = 1e-3;
    let x = still.run([pot * 0.9, pot * 0.1], 10.0 / VAPOUR_MOL_S).drum[1];
    let contacts = ((x / (1.0 - x)) / (0.1 / 0.9)).ln() / 2.4_f64.ln();
    close(contacts, 5.0, 1e-6);
    let needed = (81.0_f64).ln() / 2.4_f64.ln() - 1.0;
    close(needed, 4.0195386, 1e-6);
    assert!(x < 0.9 && x > 0.898, "{x}: a little under what 4.02 plates give");
}
