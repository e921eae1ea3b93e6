//! Hold-up at total reflux: where it ends, and how fast it gets there.

use still::column::Draw;
use still::equilibrium::{ConstantVolatility, Equilibrium};
use thermo::{BubblePoint, ThermoError, Warm};

use crate::harness::{Textbook, close, rows};

/// WE-13: 100 mol at 0.20, volatility 3, four plates of 1.0 mol, drum of 0.5 mol, settled.
#[test]
fn val_we13_start_at_total_reflux() {
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

/// `y = K x` for the dilute substance: the linear equilibrium of WE-14.
struct Linear {
    k: f64,
}

impl Linear {
    fn point(&self, x: &[f64; 2]) -> BubblePoint<2> {
        let y = self.k * x[1];
        BubblePoint { temperature_k: 350.0, y: [1.0 - y, y] }
    }
}

impl Equilibrium<2> for Linear {
    fn warm(&self, x: &[f64; 2], pressure_pa: f64, _: f64) -> Result<Warm<2>, ThermoError> {
        let slopes = [[0.0, -self.k], [0.0, self.k]];
        Ok(Warm::without_activity(*x, pressure_pa, self.point(x), slopes, 40_000.0, 0.0))
    }

    fn renew(&self, warm: &mut Warm<2>, x: &[f64; 2]) -> Result<(), ThermoError> {
        *warm = self.warm(x, warm.pressure_pa, 350.0)?;
        Ok(())
    }

    fn near(&self, x: &[f64; 2], _: &Warm<2>) -> Result<BubblePoint<2>, ThermoError> {
        Ok(self.point(x))
    }

    fn slopes_near(
        &self,
        x: &[f64; 2],
        _: &Warm<2>,
    ) -> Result<(BubblePoint<2>, [f64; 2]), ThermoError> {
        Ok((self.point(x), [0.0; 2]))
    }

    fn dew(&self, _: &[f64; 2], _: f64, _: &[f64; 2], _: f64) -> Result<f64, ThermoError> {
        Ok(350.0)
    }

    fn heat_capacities(&self, _: f64) -> [f64; 2] {
        [0.0; 2]
    }
}

/// WE-14: two vessels at total reflux, linear equilibrium: an exact exponential. The reference
/// has V = 10 mol/min; here 1 mol/s, so its minutes become ten seconds.
#[test]
fn val_we14_approach_to_total_reflux() {
    for row in rows(include_str!("../../reference/batch/analytic_holdup_total_reflux.csv")) {
        if row[0] == 0.0 {
            continue;
        }
        let still = Textbook {
            equilibrium: Linear { k: 9.0 },
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
