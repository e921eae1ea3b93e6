//! What a tracked still showed, at the integrator's steps and in straight lines between them.

use alcoholometry::kernel;

use crate::fraction::Fraction;
use crate::outcome::EndedBy;

/// Least share that is returned, so that a ratio to it stays finite.
const REFLUX_LEAST: f64 = 1e-3;

/// So much of the packed height under and over the thermometer in the column is kept too.
pub const PROBE_SIDE: f64 = 0.1;

/// The still at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Run time, s.
    pub time_s: f64,
    /// What a perfect head thermometer shows, K.
    pub head_k: f64,
    /// Liquid in the column at the thermometer's place and [`PROBE_SIDE`] of the height under and
    /// over it, upwards, K.
    pub column_k: [f64; 3],
    /// Pot, K.
    pub pot_k: f64,
    /// Ethanol in what leaves the drum, mole fraction of ethanol and water.
    pub drum_x: f64,
    /// Water and ethanol drawn so far, mol.
    pub drawn_mol: [f64; 2],
    /// Water and ethanol in the pot, mol.
    pub pot_mol: [f64; 2],
    /// Vapour leaving the top stage, mol/s.
    pub vapour_mol_s: f64,
    /// Heat given off in the condenser, W.
    pub duty_w: f64,
    /// Take-off, mol/s.
    pub draw_mol_s: f64,
}

/// Where a step of the plan ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepEnd {
    /// Position in the plan's steps.
    pub index: usize,
    /// What ends it.
    pub by: EndedBy,
    /// Run time, s.
    pub end_s: f64,
}

/// An end of the hearts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Run time, s.
    pub time_s: f64,
    /// The still there.
    pub at: Point,
    /// Whether it was reached; else the pot was spent or the time ran out before.
    pub reached: bool,
    /// Position in the plan's steps of the one that brought it about: the one before, where the
    /// head had not had the time to answer to what is drawn now.
    pub step: usize,
}

/// Where things end.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ends {
    /// The running step by the plan, s.
    pub step_s: Option<f64>,
    /// The first hearts begin, s.
    pub hearts_s: Option<f64>,
    /// The plan's last hearts step.
    pub plan: Option<End>,
    /// The head 1.0 K over the plateau (column), or the strength limit (pot).
    pub hearts: Option<End>,
    /// The plan's last step, s.
    pub stop_s: Option<f64>,
}

/// A run as tracked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Track {
    /// The charge boils, s.
    pub boil_s: Option<f64>,
    /// Vapour should reach the head, s, by the heat put in (whatever was seen).
    pub head_jump_s: Option<f64>,
    /// Stages and drum are full, s.
    pub ready_s: Option<f64>,
    /// From when the column was full, in order of time.
    pub points: Vec<Point>,
    /// The lowest ten-minute mean of the head while hearts were drawn, K.
    pub lowest_head_k: Option<f64>,
    /// Where the head first stood 1.0 K over that while hearts were drawn.
    pub end: Option<End>,
    /// The steps gone through ahead, from the running one on.
    pub steps: Vec<StepEnd>,
}

fn between(low: &Point, high: &Point, time_s: f64) -> Point {
    let width = high.time_s - low.time_s;
    let share = if width > 0.0 { ((time_s - low.time_s) / width).clamp(0.0, 1.0) } else { 1.0 };
    let mix = |a: f64, b: f64| a + share * (b - a);
    let pair = |a: [f64; 2], b: [f64; 2]| [mix(a[0], b[0]), mix(a[1], b[1])];
    Point {
        time_s,
        head_k: mix(low.head_k, high.head_k),
        column_k: std::array::from_fn(|i| mix(low.column_k[i], high.column_k[i])),
        pot_k: mix(low.pot_k, high.pot_k),
        drum_x: mix(low.drum_x, high.drum_x),
        drawn_mol: pair(low.drawn_mol, high.drawn_mol),
        pot_mol: pair(low.pot_mol, high.pot_mol),
        vapour_mol_s: mix(low.vapour_mol_s, high.vapour_mol_s),
        duty_w: mix(low.duty_w, high.duty_w),
        draw_mol_s: mix(low.draw_mol_s, high.draw_mol_s),
    }
}

impl Point {
    /// Strength of what leaves the drum, % vol.
    #[must_use]
    pub fn drum_vol(&self) -> f64 {
        let x = self.drum_x.clamp(0.0, 1.0);
        kernel::strength_percent_20c(x, 1.0 - x)
    }

    /// What was drawn since `earlier`.
    #[must_use]
    pub fn drawn_since(&self, earlier: &Self) -> Fraction {
        Fraction::of(&[0, 1].map(|i| self.drawn_mol[i] - earlier.drawn_mol[i]))
    }

    /// Heat given off by what is returned and not drawn, W, where this share of what is drawn is
    /// lost as vapour; none while no vapour comes.
    #[must_use]
    pub fn reflux_duty_w(&self, vapour_lost: f64) -> Option<f64> {
        let drawn = self.draw_mol_s / (1.0 - vapour_lost) / self.vapour_mol_s;
        drawn.is_finite().then(|| self.duty_w * (1.0 - drawn).max(REFLUX_LEAST))
    }

    /// Liquid in the column `over` its thermometer's place, shares of the packed height, K: in a
    /// parabola through the three that are kept, in its tangents beyond them.
    #[must_use]
    pub fn column_at_k(&self, over: f64) -> f64 {
        let [low, middle, high] = self.column_k;
        let (slope, bend) = (0.5 * (high - low), 0.5 * (high + low) - middle);
        let sides = over / PROBE_SIDE;
        let inside = sides.clamp(-1.0, 1.0);
        middle + slope * sides + bend * inside * (2.0 * sides - inside)
    }

    /// Litres of pure alcohol in the pot.
    #[must_use]
    pub fn pot_alcohol_l(&self) -> f64 {
        let [water, ethanol] = self.pot_mol.map(|mol| mol.max(1e-12));
        kernel::litres_20c(ethanol, water) * kernel::strength_percent_20c(ethanol, water) / 100.0
    }
}

impl Track {
    /// The still at a time; none before the column was full.
    #[must_use]
    pub fn at(&self, time_s: f64) -> Option<Point> {
        let first = self.points.first()?;
        if time_s < first.time_s {
            return None;
        }
        let after = self.points.partition_point(|point| point.time_s <= time_s);
        let low = &self.points[after - 1];
        Some(self.points.get(after).map_or(*low, |high| between(low, high, time_s)))
    }
}

#[cfg(test)]
mod tests {
    use super::{PROBE_SIDE, Point};

    #[test]
    fn a_column_is_read_at_the_places_that_are_kept_and_smoothly_beyond() {
        let point = Point {
            time_s: 0.0,
            head_k: 351.0,
            column_k: [362.0, 355.0, 352.0],
            pot_k: 370.0,
            drum_x: 0.85,
            drawn_mol: [0.0; 2],
            pot_mol: [1.0; 2],
            vapour_mol_s: 0.0,
            duty_w: 0.0,
            draw_mol_s: 0.0,
        };
        for (place, kept) in point.column_k.into_iter().enumerate() {
            let over = (place as f64 - 1.0) * PROBE_SIDE;
            assert!((point.column_at_k(over) - kept).abs() < 1e-9, "{over}");
        }
        // No leap and no kink where the tangent begins.
        let slope = |over: f64| (point.column_at_k(over + 1e-6) - point.column_at_k(over)) / 1e-6;
        assert!((slope(-PROBE_SIDE - 1e-5) - slope(-PROBE_SIDE + 1e-5)).abs() < 0.1);
        assert!(point.column_at_k(-2.0 * PROBE_SIDE) > 362.0, "downwards it grows hotter");
    }
}
