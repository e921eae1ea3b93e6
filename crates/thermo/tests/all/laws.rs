//! Laws that any equilibrium must obey, on random wash-like mixtures.

use proptest::prelude::*;
use thermo::{Component, Mixture};

const N: usize = 9;

fn mixture() -> Mixture<N> {
    Mixture::new(&Component::ALL[..N]).expect("nine substances fit in nine")
}

/// Water, ethanol and a trace of everything else.
fn liquid() -> impl Strategy<Value = [f64; N]> {
    (0.0005..0.95_f64, proptest::collection::vec(1e-7..3e-3_f64, N - 2)).prop_map(|(e, traces)| {
        let rest: f64 = traces.iter().sum();
        let mut x = [0.0; N];
        x[1] = e * (1.0 - rest);
        x[0] = 1.0 - rest - x[1];
        x[2..].copy_from_slice(&traces);
        x
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Gibbs-Duhem: sum x_i dln gamma_i = 0 along any change at constant temperature.
    #[test]
    fn prop_gibbs_duhem(x in liquid(), t in 330.0..375.0_f64) {
        let slopes = mixture().activity_slopes(&x, t).by_fraction;
        for k in 0..N {
            let sum: f64 = (0..N).map(|i| x[i] * slopes[i][k]).sum();
            prop_assert!(sum.abs() < 1e-10, "{sum}");
        }
    }

    /// Slopes along the bubble line equal central differences of full solutions.
    #[test]
    fn prop_bubble_slopes_are_differences(x in liquid(), p in 70e3..106e3_f64, k in 0..N) {
        let m = mixture();
        let warm = m.warm(&x, p, 360.0).unwrap();
        let h = 1e-3 * x[k];
        let at = |d: f64| {
            let mut moved = x;
            moved[k] += d;
            m.bubble_point(&moved, p).unwrap()
        };
        let (up, down) = (at(h), at(-h));
        let t_slope = (up.temperature_k - down.temperature_k) / (2.0 * h);
        // differences are good to their curvature and to 1e-8 K over the step
        let noise = 2e-8 / h;
        let kept = warm.temperature_slopes[k];
        prop_assert!((t_slope - kept).abs() < 1e-4 * kept.abs() + noise, "{t_slope} {kept}");
        for i in 0..N {
            // the solved vapour is scaled to sum one; so must its kept slope be to first order
            let y_slope = (up.y[i] - down.y[i]) / (2.0 * h);
            let kept = warm.vapour_slopes[i][k];
            prop_assert!((y_slope - kept).abs() < 1e-4 * kept.abs() + noise, "{y_slope} {kept}");
        }
    }

    /// The short way from a solved point gives what the full way gives.
    #[test]
    fn prop_warm_start_equals_full_solution(x in liquid(), p in 70e3..106e3_f64, f in 0.9..1.1_f64) {
        let m = mixture();
        let warm = m.warm(&x, p, 360.0).unwrap();
        let mut moved = x;
        moved[1] *= f;
        moved[0] = 1.0 - moved[1..].iter().sum::<f64>();
        prop_assume!(moved[0] > 0.0);
        let (near, full) = (m.bubble_point_near(&moved, &warm).unwrap(), m.bubble_point(&moved, p).unwrap());
        prop_assert!((near.temperature_k - full.temperature_k).abs() < 2e-5);
        for i in 0..N {
            prop_assert!((near.y[i] - full.y[i]).abs() < 2e-7 * full.y[i].max(1e-9) + 1e-9);
        }
    }

    /// Whatever temperature it is looked for from, a boiling point is the same.
    #[test]
    fn prop_a_boiling_point_is_found_from_near_it(x in 0.0..1.0_f64, p in 60e3..110e3_f64, off in -8.0..8.0_f64) {
        let (full, _) = thermo::ethanol_water::boiling_point(x, p).unwrap();
        let near = thermo::ethanol_water::boiling_point_near(x, p, full + off).unwrap();
        // Newton's last step is below 1e-8 K.
        prop_assert!((near - full).abs() < 1e-9);
    }

    /// The dew point of a bubble point's vapour is that bubble point.
    #[test]
    fn prop_dew_undoes_bubble(x in liquid(), p in 70e3..106e3_f64) {
        let m = mixture();
        let bubble = m.bubble_point(&x, p).unwrap();
        let mut start = x.map(|x| 0.8 * x);
        start[1] += 0.2;
        let dew = m.dew_point(&bubble.y, p, &start, bubble.temperature_k + 1.0).unwrap();
        prop_assert!((dew.temperature_k - bubble.temperature_k).abs() < 1e-6);
        for i in 0..N {
            prop_assert!((dew.x[i] - x[i]).abs() < 1e-8);
        }
    }

    /// What an integrator rounds to a hair under zero counts as absent, and nothing else moves.
    #[test]
    fn prop_dew_takes_rounding_for_nothing(x in liquid(), p in 70e3..106e3_f64, k in 2..N) {
        let m = mixture();
        let mut absent = x;
        absent[0] += absent[k];
        absent[k] = 0.0;
        let bubble = m.bubble_point(&absent, p).unwrap();
        let (mut vapour, mut start) = (bubble.y, absent);
        vapour[k] = -1e-13;
        start[k] = -1e-9;
        let dew = m.dew_point(&vapour, p, &start, bubble.temperature_k - 2.0).unwrap();
        prop_assert!((dew.temperature_k - bubble.temperature_k).abs() < 1e-6);
        prop_assert!(dew.x.iter().all(|x| *x >= 0.0));
    }
}
