//! Small sums over short series: median, slope of a straight line, linear interpolation.

/// Median; none of an empty series. Puts the series out of order.
#[must_use]
pub fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    let upper = *values.select_nth_unstable_by(middle, f64::total_cmp).1;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = values[..middle].iter().copied().max_by(f64::total_cmp)?;
    Some(0.5 * (lower + upper))
}

/// Slope of the least-squares line through `(x, y)`; none below three points or without spread.
#[must_use]
pub fn slope(points: &[(f64, f64)]) -> Option<f64> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / count;
    let mean_y = points.iter().map(|p| p.1).sum::<f64>() / count;
    let spread: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
    let together: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
    (spread > 0.0).then(|| together / spread)
}

/// Value at `x` of the broken line through `points` (ascending in x), held at both ends.
#[must_use]
pub fn interpolate(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let after = points.partition_point(|p| p.0 <= x);
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return None };
    if after == 0 {
        return Some(first.1);
    }
    let Some(high) = points.get(after) else { return Some(last.1) };
    let low = points[after - 1];
    let width = high.0 - low.0;
    let share = if width > 0.0 { (x - low.0) / width } else { 0.0 };
    Some(low.1 + share * (high.1 - low.1))
}

#[cfg(test)]
mod tests {
    use super::{interpolate, median, slope};

    #[test]
    fn a_straight_line_gives_its_own_slope_median_and_values() {
        let line: Vec<(f64, f64)> =
            (0..11).map(|i| (f64::from(i), 3.0 + 0.5 * f64::from(i))).collect();
        assert!((slope(&line).unwrap() - 0.5).abs() < 1e-12);
        let mut values: Vec<f64> = line.iter().map(|p| p.1).collect();
        assert!((median(&mut values).unwrap() - 5.5).abs() < 1e-12);
        assert!((interpolate(&line, 2.5).unwrap() - 4.25).abs() < 1e-12);
        assert!((interpolate(&line, -5.0).unwrap() - 3.0).abs() < 1e-12);
        assert!((interpolate(&line, 50.0).unwrap() - 8.0).abs() < 1e-12);
        assert_eq!(median(&mut []), None);
        assert_eq!(slope(&[(0.0, 1.0), (0.0, 2.0), (0.0, 3.0)]), None);
    }
}
