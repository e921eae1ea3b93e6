//! The stiff integrator against named test problems with published solutions.

use numerics::linear::solve_dense;
use numerics::rosenbrock::{Rosenbrock, StiffSystem};

/// A dense system given by its derivative and Jacobian.
struct Dense<F, J> {
    f: F,
    jacobian: J,
    matrix: Vec<f64>,
    factored: Vec<f64>,
}

impl<F: Fn(&[f64], &mut [f64]), J: Fn(&[f64]) -> Vec<f64>> Dense<F, J> {
    fn new(f: F, jacobian: J) -> Self {
        Self { f, jacobian, matrix: vec![], factored: vec![] }
    }
}

impl<F: Fn(&[f64], &mut [f64]), J: Fn(&[f64]) -> Vec<f64>> StiffSystem for Dense<F, J> {
    type Error = String;

    fn linearise(&mut self, y: &[f64], slope: &mut [f64]) -> Result<(), String> {
        self.matrix = (self.jacobian)(y);
        (self.f)(y, slope);
        Ok(())
    }

    fn factor(&mut self, diagonal: f64) -> Result<(), String> {
        let n = self.matrix.len().isqrt();
        self.factored = self.matrix.iter().map(|value| -value).collect();
        for i in 0..n {
            self.factored[i * n + i] += diagonal;
        }
        Ok(())
    }

    fn derivative(&mut self, y: &[f64], slope: &mut [f64]) -> Result<(), String> {
        (self.f)(y, slope);
        Ok(())
    }

    fn solve(&mut self, right: &mut [f64]) {
        solve_dense(&mut self.factored.clone(), right).expect("shifted Jacobians are regular");
    }
}

fn solve<S: StiffSystem<Error = String>>(
    system: &mut S,
    start: &[f64],
    end: f64,
    rtol: f64,
    atol: f64,
) -> (Vec<f64>, Rosenbrock) {
    let mut y = start.to_vec();
    let mut integrator = Rosenbrock::new(rtol, vec![atol; y.len()], 1e-6 * end);
    let mut time = 0.0;
    while time < end {
        time = integrator.advance(system, time, end, &mut y).expect("named problems are solved");
        assert!(integrator.accepted < 100_000);
    }
    (y, integrator)
}

/// Robertson's kinetics (Robertson 1966), t = 40; reference solution of the Bari test set:
/// 0.7158270687, 0.9185534765e-5, 0.2841637457 (from memory; the sum must be 1).
#[test]
fn val_robertson() {
    let f = |y: &[f64], d: &mut [f64]| {
        d[0] = -0.04 * y[0] + 1e4 * y[1] * y[2];
        d[2] = 3e7 * y[1] * y[1];
        d[1] = -d[0] - d[2];
    };
    let jacobian = |y: &[f64]| {
        let (p, q, r) = (1e4 * y[2], 1e4 * y[1], 6e7 * y[1]);
        vec![-0.04, p, q, 0.04, -p - r, -q, 0.0, r, 0.0]
    };
    let mut system = Dense::new(f, jacobian);
    let (y, _) = solve(&mut system, &[1.0, 0.0, 0.0], 40.0, 1e-8, 1e-12);
    for (value, expected) in y.iter().zip([0.7158270687, 0.9185534765e-5, 0.2841637457]) {
        assert!((value / expected - 1.0).abs() < 1e-6, "{value} against {expected}");
    }
    // a linear invariant: not a matter of tolerance
    assert!((y.iter().sum::<f64>() - 1.0).abs() < 1e-13);
}

/// Van der Pol's oscillator with eps = 1e-6 in the scaling of Hairer and Wanner (IV.10), t = 2:
/// y1 = 1.706167732170483, y2 = -0.892809701024795 (from memory of the published solution).
#[test]
fn val_van_der_pol() {
    let f = |y: &[f64], d: &mut [f64]| {
        d[0] = y[1];
        d[1] = ((1.0 - y[0] * y[0]) * y[1] - y[0]) / 1e-6;
    };
    let jacobian =
        |y: &[f64]| vec![0.0, 1.0, (-2.0 * y[0] * y[1] - 1.0) / 1e-6, (1.0 - y[0] * y[0]) / 1e-6];
    let mut system = Dense::new(f, jacobian);
    let (y, _) = solve(&mut system, &[2.0, -0.66], 2.0, 1e-8, 1e-8);
    assert!((y[0] - 1.706167732170483).abs() < 1e-5, "{}", y[0]);
    assert!((y[1] + 0.892809701024795).abs() < 1e-5, "{}", y[1]);
}

/// Order 4 of the step and order 3 of the dense output on y' = -y^2 (exact: 1 / (1 + t)).
#[test]
fn prop_orders_of_step_and_dense_output() {
    let errors = |n: usize| {
        let mut system = Dense::new(
            |y: &[f64], d: &mut [f64]| d[0] = -y[0] * y[0],
            |y: &[f64]| vec![-2.0 * y[0]],
        );
        let step = 1.0 / n as f64;
        // a tolerance so wide that the step never changes
        let mut integrator = Rosenbrock::new(1e6, vec![1e6], step);
        let mut y = [1.0];
        let (mut time, mut dense): (f64, f64) = (0.0, 0.0);
        for _ in 0..n {
            integrator.restart(step);
            let from = time;
            time = integrator.advance(&mut system, time, 10.0, &mut y).unwrap();
            let mut middle = [0.0];
            integrator.interpolate(from + 0.4 * step, &mut middle);
            dense = dense.max((middle[0] - 1.0 / (1.0 + from + 0.4 * step)).abs());
        }
        ((y[0] - 0.5).abs(), dense)
    };
    let (coarse, fine) = (errors(20), errors(40));
    let (order, dense_order) = ((coarse.0 / fine.0).log2(), (coarse.1 / fine.1).log2());
    assert!(order > 3.7, "order {order}");
    assert!(dense_order > 2.7, "dense order {dense_order}");
}
