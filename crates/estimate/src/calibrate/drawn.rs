//! What a simulated still has drawn, as a curve: litres and pure alcohol over time, and back.

use still::track::Track;

/// Drawn so far at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Knot {
    time_s: f64,
    litres: f64,
    alcohol_l: f64,
}

/// The curve.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    knots: Vec<Knot>,
}

impl Drawn {
    /// Of a track; none where the column never filled.
    pub(super) fn of(track: &Track) -> Option<Self> {
        let first = track.points.first()?;
        let knot = |point: &still::track::Point| {
            let drawn = point.drawn_since(first);
            let (litres, alcohol_l) = (drawn.litres_20c, drawn.pure_alcohol_l);
            Knot { time_s: point.time_s, litres, alcohol_l }
        };
        Some(Self { knots: track.points.iter().map(knot).collect() })
    }

    /// The two knots around a place along one of the coordinates.
    fn around(&self, of: fn(&Knot) -> f64, place: f64) -> Option<(&Knot, &Knot)> {
        let after = self.knots.partition_point(|knot| of(knot) <= place);
        let high = after.clamp(1, self.knots.len().checked_sub(1)?.max(1));
        Some((self.knots.get(high - 1)?, self.knots.get(high)?))
    }

    /// Litres drawn by a time, on in a straight line beyond the end.
    pub(super) fn litres_at(&self, time_s: f64) -> f64 {
        let first_s = self.knots.first().map_or(0.0, |knot| knot.time_s);
        if time_s <= first_s {
            return 0.0;
        }
        self.around(|knot| knot.time_s, time_s).map_or(0.0, |(low, high)| {
            let width = high.time_s - low.time_s;
            let share = if width > 0.0 { (time_s - low.time_s) / width } else { 0.0 };
            low.litres + share * (high.litres - low.litres)
        })
    }

    /// Time and pure alcohol at which so many litres are drawn; beyond the end at its mean rate.
    pub(super) fn at_litres(&self, litres: f64) -> (f64, f64) {
        let (Some(first), Some(last)) = (self.knots.first(), self.knots.last()) else {
            return (0.0, 0.0);
        };
        if litres > last.litres {
            let beyond = litres / last.litres.max(1e-6);
            let time_s = first.time_s + (last.time_s - first.time_s) * beyond;
            return (
                time_s,
                last.alcohol_l + (litres - last.litres) * Self::last_share(&self.knots),
            );
        }
        self.around(|knot| knot.litres, litres).map_or((first.time_s, 0.0), |(low, high)| {
            let width = high.litres - low.litres;
            let share = if width > 0.0 { (litres - low.litres) / width } else { 1.0 };
            let mix = |a: f64, b: f64| a + share.clamp(0.0, 1.0) * (b - a);
            (mix(low.time_s, high.time_s), mix(low.alcohol_l, high.alcohol_l))
        })
    }

    /// Strength at the end as a share.
    fn last_share(knots: &[Knot]) -> f64 {
        let Some([low, high]) = knots.last_chunk::<2>() else { return 0.0 };
        let litres = high.litres - low.litres;
        if litres > 1e-9 { (high.alcohol_l - low.alcohol_l) / litres } else { 0.0 }
    }
}
