//! How much less is left than the draws have it, and how far out the ends of bands must lie to hold
//! as often as they say, learned from forecasts of runs whose end is known and tried on stills left
//! out.

use std::fmt::Write as _;

use estimate::{EndFactors, Factors, RunKind};
use quantities::Band;

/// Share of the forecasts that the factors learned must hold, counted in the middle of steps: of 80 %
/// bands what is promised, of 95 % bands a little over, since a still left out is held a little less
/// often. Judgement.
const LEVELS: [f64; 2] = [0.795, 0.955];
/// The ends of a 95 % band never come nearer: seldom is known from few.
const OUTER_LEAST: f64 = 1.0;
/// Every so many stills are left out together.
const PARTS: usize = 10;
/// How far off what a band without a width misses counts.
const FAR: f64 = 1e3;

/// What is left of something, of the whole of it: as the draws have it, and as it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// As drawn.
    pub drawn: Band,
    /// As it came.
    pub came: f64,
}

impl Left {
    /// How far off what came is, in distances of the inner and of the outer quantile on its side
    /// from the middle, once the draws are moved by a factor.
    fn far(&self, factor: f64) -> [f64; 2] {
        let band = self.drawn.map(|left| left * factor);
        let over = self.came - band.p50;
        let (inner, outer) = if over > 0.0 { (band.p90, band.p975) } else { (band.p10, band.p025) };
        [inner, outer].map(|quantile| {
            let width = quantile - band.p50;
            if width == 0.0 { f64::from(over != 0.0) * FAR } else { over / width }
        })
    }
}

/// One forecast against what came.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// Which still: the runs of one are left out together.
    pub still: String,
    /// What kind it is.
    pub kind: RunKind,
    /// Of the time.
    pub time: Left,
    /// Of the litres.
    pub litres: Left,
}

/// The factor of what is left with which the middles err least, and then the least factors with
/// which the quantiles would have held so often.
#[must_use]
pub fn learn(misses: &[&Miss]) -> EndFactors {
    let of = |of: fn(&Miss) -> Left| {
        let lefts: Vec<Left> = misses.iter().map(|miss| of(miss)).collect();
        let left = middle(&lefts);
        let bound = |which: usize| {
            let mut far: Vec<f64> = lefts.iter().map(|one| one.far(left)[which]).collect();
            far.sort_by(f64::total_cmp);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share")]
            let place = (LEVELS[which] * far.len() as f64) as usize;
            let at = far.get(place.min(far.len().saturating_sub(1))).copied().unwrap_or(1.0);
            (100.0 * at).round() / 100.0
        };
        Factors { left, inner: bound(0), outer: bound(1).max(OUTER_LEAST) }
    };
    EndFactors { time: of(|miss| miss.time), litres: of(|miss| miss.litres) }
}

/// The factor with which the sum of the errors of the middles is least: the median of what came over
/// what was drawn, each by what was drawn.
fn middle(lefts: &[Left]) -> f64 {
    let mut ratios: Vec<(f64, f64)> = lefts
        .iter()
        .filter(|left| left.drawn.p50 > 0.0)
        .map(|left| (left.came / left.drawn.p50, left.drawn.p50))
        .collect();
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * ratios.iter().map(|ratio| ratio.1).sum::<f64>();
    let mut passed = 0.0;
    let found = ratios.iter().find(|ratio| {
        passed += ratio.1;
        passed >= half
    });
    found.map_or(1.0, |ratio| (100.0 * ratio.0).round() / 100.0)
}

/// Shares of the forecasts of a kind that the bands hold with factors learned from the other stills:
/// end and litres, each of 80 % and of 95 % bands.
#[must_use]
pub fn held_left_out(misses: &[Miss], kind: RunKind) -> [[f64; 2]; 2] {
    let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
    let mut stills: Vec<&str> = of_kind.iter().map(|miss| miss.still.as_str()).collect();
    stills.sort_unstable();
    stills.dedup();
    let part = |miss: &Miss| stills.binary_search(&miss.still.as_str()).map_or(0, |at| at % PARTS);
    let mut held = [[0_usize; 2]; 2];
    for left_out in 0..PARTS {
        let others = of_kind.iter().copied().filter(|miss| part(miss) != left_out);
        let learned = learn(&others.collect::<Vec<&Miss>>());
        for miss in of_kind.iter().filter(|miss| part(miss) == left_out) {
            for (of, (left, by)) in
                [(miss.time, learned.time), (miss.litres, learned.litres)].into_iter().enumerate()
            {
                let far = left.far(by.left);
                held[of][0] += usize::from(far[0] <= by.inner);
                held[of][1] += usize::from(far[1] <= by.outer);
            }
        }
    }
    held.map(|of| of.map(|held| held as f64 / of_kind.len().max(1) as f64))
}

/// The learned file of the estimate: factors with the data they come from.
#[must_use]
pub fn file(misses: &[Miss], from: &str) -> String {
    let mut text = format!(
        "//! What runs taught whose end is known; written by `cargo xtask calibrate`.\n//!\n\
         //! What is left over what the draws have of it, then the distance of the ends of 80 % and\n\
         //! of 95 % bands from the middle over theirs: of the end, of the litres.\n//!\n//! From {from}.\n"
    );
    for kind in RunKind::ALL {
        let (name, words) = match kind {
            RunKind::Wash => ("WASH", "Columns with a wash"),
            RunKind::LowWines => ("LOW_WINES", "Columns with low wines"),
            RunKind::Pot => ("POT", "Pots"),
        };
        let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
        let EndFactors { time, litres } = learn(&of_kind);
        let [end, held_litres] = held_left_out(misses, kind);
        let _ = write!(
            text,
            "\n/// {words}: of {} forecasts the bands of stills left out hold the end in\n/// {:.3} and \
             {:.3}, the litres in {:.3} and {:.3}.\npub(super) const {name}: [[f64; 3]; 2] = [[{:?}, {:?}, \
             {:?}], [{:?}, {:?}, {:?}]];\n",
            of_kind.len(),
            end[0],
            end[1],
            held_litres[0],
            held_litres[1],
            time.left,
            time.inner,
            time.outer,
            litres.left,
            litres.inner,
            litres.outer,
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{Band, Left, Miss, RunKind, file, held_left_out, learn};

    /// Two hundred forecasts of fifty stills, evenly along the quantiles of how far they are off;
    /// what came is so much of what was drawn.
    fn misses(less: f64) -> Vec<Miss> {
        (0..200_u32)
            .map(|at| {
                let share = (f64::from(at * 37 % 200) + 0.5) / 200.0;
                let far = (-(1.0 - share).ln()).sqrt() * if at % 2 == 0 { 1.0 } else { -1.0 };
                let left = |far: f64| Left {
                    drawn: Band::from_array([98.0, 99.0, 100.0, 101.0, 102.0]),
                    came: less * (100.0 + far),
                };
                let still = format!("{}", at % 50);
                Miss { still, kind: RunKind::Wash, time: left(far), litres: left(0.2 * far) }
            })
            .collect()
    }

    #[test]
    fn narrow_bands_are_widened_and_of_wide_ones_the_inner_come_nearer() {
        let all = misses(1.0);
        let learned = learn(&all.iter().collect::<Vec<_>>());
        // -ln(1 - 0.955) is 3.10, its root 1.76, half of it 0.88; -ln(1 - 0.795) is 1.58, its root
        // 1.26.
        assert!((learned.time.outer - 1.0).abs() < 1e-12, "{learned:?}");
        assert!((learned.time.inner - 1.26).abs() < 0.03, "{learned:?}");
        assert!((learned.litres.inner - 0.26).abs() < 0.02, "{learned:?}");
        let [time, litres] = held_left_out(&all, RunKind::Wash);
        assert!((0.92..=1.0).contains(&time[1]) && litres[1] > 0.99, "{time:?} {litres:?}");
        assert!((0.76..0.84).contains(&time[0]) && (0.76..0.84).contains(&litres[0]), "{litres:?}");
    }

    #[test]
    fn draws_that_come_late_are_moved_and_then_hold_as_before() {
        let late = misses(0.9);
        let [was, now] =
            [misses(1.0), late.clone()].map(|all| learn(&all.iter().collect::<Vec<_>>()));
        assert!((was.time.left - 1.0).abs() < 1e-12 && (now.time.left - 0.9).abs() < 1e-12);
        assert!((was.time.inner - now.time.inner).abs() < 0.02, "{was:?} {now:?}");
        let [time, _] = held_left_out(&late, RunKind::Wash);
        assert!((0.76..0.84).contains(&time[0]), "{time:?}");
    }

    #[test]
    fn the_file_says_what_it_comes_from_and_a_kind_without_runs_moves_nothing() {
        let text = file(&misses(1.0), "200 made-up forecasts");
        assert!(text.contains("200 made-up forecasts"), "{text}");
        assert!(
            text.contains("POT: [[f64; 3]; 2] = [[1.0, 1.0, 1.0], [1.0, 1.0, 1.0]];"),
            "{text}"
        );
    }
}
