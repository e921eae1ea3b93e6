//! The standard normal distribution: its probability and its quantile.

/// Probability that a standard normal lies below `z`.
///
/// Power series of Marsaglia (Journal of Statistical Software 11/4, 2004, from memory): absolute
/// error below 1e-14 for |z| up to 7; beyond, 0 or 1.
pub(super) fn probability(z: f64) -> f64 {
    if z.abs() > 7.0 {
        return if z > 0.0 { 1.0 } else { 0.0 };
    }
    let (mut term, mut sum, mut odd) = (z, z, 1.0);
    for _ in 0..200 {
        odd += 2.0;
        term *= z * z / odd;
        sum += term;
        if term.abs() < 1e-17 * sum.abs() {
            break;
        }
    }
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    (0.5 + density * sum).clamp(0.0, 1.0)
}

/// The normal score of a probability: `z` such that [`probability`] of it is `u`, by bisection.
pub(super) fn quantile(u: f64) -> f64 {
    let (mut low, mut high) = (-7.0, 7.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if probability(middle) < u {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::{probability, quantile};

    #[test]
    fn val_normal_table() {
        // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1 and 26.5.
        for (z, p) in
            [(0.0, 0.5), (1.0, 0.841_344_746_1), (2.0, 0.977_249_868_1), (-3.0, 0.001_349_898)]
        {
            assert!((probability(z) - p).abs() < 1e-9, "{z}");
        }
        assert!((quantile(0.975) - 1.959_963_985).abs() < 1e-8);
        assert!((quantile(0.9) - 1.281_551_566).abs() < 1e-8);
        assert!((quantile(0.00125) - -3.023_341_44).abs() < 1e-6);
    }
}
