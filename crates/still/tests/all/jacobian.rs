//! The factored Jacobian against differences of the derivative: exact, take-off and heat included.

use numerics::rosenbrock::StiffSystem;
use still::column::{Apparatus, Column, Draw};
use still::equilibrium::Equilibrium;
use thermo::{Component, Mixture};

const C: usize = 4;

fn apparatus(stages: usize, efficiency: f64, reflux_k: Option<f64>) -> Apparatus {
    Apparatus {
        stages,
        efficiency,
        stage_mol: 0.4,
        drum_mol: 0.9,
        top_pressure_pa: 98_000.0,
        pressure_drop_pa: 25.0,
        boiler_loss_w_k: 3.0,
        column_loss_w_k: 0.7,
        ambient_k: 291.0,
        boiler_metal_j_k: 5000.0,
        column_metal_j_k: 1500.0,
        reflux_k,
        vapour_lost: 0.0,
        head_below: false,
        column_probe: 0.5,
        constant_overflow_mol_s: None,
    }
}

/// A state half way through a run: a strong top, a weak pot.
fn state(stages: usize) -> Vec<f64> {
    let mut state = vec![600.0, 25.0, 0.4, 0.3];
    for j in 1..=stages + 1 {
        let e = 0.25 + 0.6 * j as f64 / (stages + 1) as f64;
        state.extend([1.0 - e - 3e-3, e, 2e-3, 1e-3]);
    }
    state.extend([1.0, 3.0, 0.1, 0.1]);
    state
}

/// Solves for a right-hand side made with differenced slopes, and compares.
fn check(apparatus: Apparatus, draw: Draw) {
    let stages = apparatus.stages;
    let what = format!("{stages} stages, {draw:?}, reflux {:?}", apparatus.reflux_k);
    let state = state(stages);
    let mixture = Mixture::<C>::new(&[
        Component::Water,
        Component::Ethanol,
        Component::Methanol,
        Component::IsoamylAlcohol,
    ])
    .expect("a bundled plan runs");
    let mut column = Column::new(mixture, apparatus, &state).expect("a bundled plan runs");
    column.draw = draw;
    column.heater_w = 2200.0;
    let n = column.state_len();
    // any direction; mole fractions of one node need not sum to zero
    let z: Vec<f64> =
        (0..n).map(|i| (0.1 + (i as f64 * 0.77).sin()) * if i < C { 1.0 } else { 1e-2 }).collect();
    let diagonal = 0.02;
    let mut slope = vec![0.0; n];
    column.linearise(&state, &mut slope).expect("a bundled plan runs");
    column.factor(diagonal).expect("a bundled plan runs");
    let h = 1e-4;
    let mut along = |sign: f64| {
        let moved: Vec<f64> = state.iter().zip(&z).map(|(y, z)| y + sign * h * z).collect();
        let mut slope = vec![0.0; n];
        column.derivative(&moved, &mut slope).expect("a bundled plan runs");
        slope
    };
    let (up, down) = (along(1.0), along(-1.0));
    let mut right: Vec<f64> =
        (0..n).map(|i| diagonal * z[i] - (up[i] - down[i]) / (2.0 * h)).collect();
    column.solve(&mut right);
    for i in 0..n {
        // differences are good to h² of the curvature and to 1e-9 / h of the bubble points
        let size = if i < C { 1.0 } else { 1e-2 };
        assert!((right[i] - z[i]).abs() < 2e-4 * size, "{what}: {i}: {} for {}", right[i], z[i]);
    }
}

#[test]
fn prop_factored_jacobian_equals_differences() {
    for stages in [0, 1, 5] {
        for efficiency in [1.0, 0.7] {
            for reflux_k in [None, Some(303.15)] {
                for draw in [
                    Draw::Closed,
                    Draw::Ratio(3.0),
                    Draw::Ratio(0.0),
                    Draw::Rate(2e-4),
                    Draw::Duty(600.0),
                    Draw::Duty(1e5),
                ] {
                    check(apparatus(stages, efficiency, reflux_k), draw);
                }
            }
        }
    }
}

#[test]
fn prop_a_take_off_beyond_the_vapour_is_limited_and_still_exact() {
    check(apparatus(5, 0.8, None), Draw::Rate(1.0));
}

/// With constant overflow the flows are given and only compositions couple.
#[test]
fn prop_constant_overflow_is_exact_too() {
    let textbook = Apparatus { constant_overflow_mol_s: Some(0.05), ..apparatus(4, 1.0, None) };
    for draw in [Draw::Closed, Draw::Ratio(2.0), Draw::Rate(2e-4)] {
        check(textbook.clone(), draw);
    }
    let mixture = Mixture::<C>::new(&Component::ALL[..C]).expect("a bundled plan runs");
    assert!(mixture.heat_capacities(300.0).iter().all(|cp| *cp > 50.0));
}
