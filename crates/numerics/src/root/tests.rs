//! Named textbook equations with roots known from elsewhere.

use super::{Root, RootError, Search, brent, newton};

const FINE: Search = Search::to(1e-14);

/// A name, a function with its derivative, a bracket and the root.
type Problem = (&'static str, fn(f64) -> (f64, f64), f64, f64, f64);

fn problems() -> [Problem; 5] {
    [
        // Wallis 1685, the example Newton's method was first shown on; digits from OEIS A007493.
        (
            "Wallis cubic",
            |x| (x.powi(3) - 2.0 * x - 5.0, 3.0 * x * x - 2.0),
            2.0,
            3.0,
            2.094_551_481_542_326_5,
        ),
        // Fixed point of the cosine; digits from OEIS A003957.
        ("Dottie number", |x| (x.cos() - x, -x.sin() - 1.0), 0.0, 1.0, 0.739_085_133_215_160_6),
        // x exp x = 1; digits from OEIS A030178.
        (
            "omega constant",
            |x| (x * x.exp() - 1.0, (1.0 + x) * x.exp()),
            0.0,
            1.0,
            0.567_143_290_409_783_8,
        ),
        // Wien's displacement law, x = 5 (1 - exp(-x)); CODATA 4.965114231744276.
        (
            "Wien displacement",
            |x| (5.0 * (1.0 - (-x).exp()) - x, 5.0 * (-x).exp() - 1.0),
            4.0,
            6.0,
            4.965_114_231_744_276,
        ),
        // Kepler's equation built backwards: E = 1 at eccentricity 0.9, mean anomaly 1 - 0.9 sin 1.
        (
            "Kepler equation",
            |e| (e - 0.9 * e.sin() - 1.0 + 0.9 * 1_f64.sin(), 1.0 - 0.9 * e.cos()),
            0.0,
            3.0,
            1.0,
        ),
    ]
}

fn is_near(name: &str, found: Root, root: f64) {
    assert!((found.x - root).abs() < 2e-14, "{name}: {found:?}");
    assert!(found.iterations < 15, "{name}: {found:?}");
}

#[test]
fn val_brent_finds_the_textbook_roots() {
    for (name, f, low, high, root) in problems() {
        is_near(name, brent(|x| f(x).0, low, high, FINE).unwrap(), root);
        is_near(name, brent(|x| -f(x).0, low, high, FINE).unwrap(), root);
    }
}

#[test]
fn val_newton_finds_the_textbook_roots_from_either_end() {
    for (name, f, low, high, root) in problems() {
        is_near(name, newton(f, low, high, low, FINE).unwrap(), root);
        is_near(name, newton(f, low, high, high, FINE).unwrap(), root);
    }
}

#[test]
fn a_flat_root_of_high_order_stays_bounded() {
    // x^9, on which secant steps stall: the worst case in Brent's own table.
    let found = brent(|x| x.powi(9), -1.0, 4.0, Search { x_tolerance: 1e-6, iterations_max: 200 });
    assert!(found.unwrap().x.abs() < 1e-2);
    let found = newton(|x| (x.powi(9), 9.0 * x.powi(8)), -1.0, 4.0, 4.0, Search::to(1e-6));
    assert!(found.unwrap().x.abs() < 1e-2);
}

#[test]
fn a_root_on_the_end_of_the_bracket_is_found() {
    for (low, high) in [(0.0, 1.0), (-1.0, 0.0)] {
        assert!(brent(|x| x, low, high, FINE).unwrap().x.abs() < 1e-13);
        assert!(newton(|x| (x, 1.0), low, high, 0.5, FINE).unwrap().x.abs() < 1e-13);
    }
}

#[test]
fn errors_carry_what_was_tried() {
    let same_sign = brent(|x| x * x + 1.0, -1.0, 2.0, FINE);
    assert_eq!(
        same_sign,
        Err(RootError::NotBracketed { low: -1.0, high: 2.0, at_low: 2.0, at_high: 5.0 })
    );
    let hasty = Search { x_tolerance: 1e-14, iterations_max: 2 };
    let Err(RootError::NotConverged { iterations, residual, low, high }) =
        brent(|x| x.exp() - 2.0, 0.0, 10.0, hasty)
    else {
        panic!("two iterations cannot be enough");
    };
    assert_eq!(iterations, 2);
    assert!(residual.is_finite() && low < 2_f64.ln() && high > 2_f64.ln() && high <= 10.0);
    let broken = brent(|x| if x > 0.2 && x < 0.8 { f64::NAN } else { x - 0.5 }, 0.0, 1.0, FINE);
    assert!(matches!(broken, Err(RootError::NotFinite { iterations: 1, .. })), "{broken:?}");
    assert!(matches!(
        newton(|_| (f64::NAN, 1.0), 0.0, 1.0, 0.5, FINE),
        Err(RootError::NotBracketed { .. })
    ));
}
