//! How far out the ends of bands must lie to hold as often as they say, learned from forecasts of
//! runs whose end is known and tried on stills left out.

use std::fmt::Write as _;

use estimate::{Factors, Tails};
use still::plan::StillKind;

/// Share of the forecasts that the factors learned must hold, of 80 % and of 95 % bands: a little
/// over what is promised, since a still left out is held a little less often. Judgement.
const LEVELS: [f64; 2] = [0.805, 0.955];
/// The ends of a 95 % band never come nearer: seldom is known from few.
const OUTER_LEAST: f64 = 1.0;
/// Every so many stills are left out together.
const PARTS: usize = 10;

/// How far off a forecast was, in distances of the inner and of the outer quantile on that side from
/// the middle, as the draws have them.
pub type Far = [f64; 2];

/// One forecast against what came.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// Which still: the runs of one are left out together.
    pub still: String,
    /// What kind it is.
    pub kind: StillKind,
    /// Of the end.
    pub time: Far,
    /// Of the litres.
    pub litres: Far,
}

/// The least factors with which the quantiles would have held so often.
#[must_use]
pub fn learn(misses: &[&Miss]) -> Tails {
    let bound = |of: &dyn Fn(&Miss) -> f64, level: f64| {
        let mut all: Vec<f64> = misses.iter().map(|miss| of(miss)).collect();
        all.sort_by(f64::total_cmp);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share")]
        let place = (level * all.len() as f64) as usize;
        let at = all.get(place.min(all.len().saturating_sub(1))).copied().unwrap_or(1.0);
        (100.0 * at).ceil() / 100.0
    };
    let both = |of: fn(&Miss) -> Far| Factors {
        inner: bound(&|miss| of(miss)[0], LEVELS[0]),
        outer: bound(&|miss| of(miss)[1], LEVELS[1]).max(OUTER_LEAST),
    };
    Tails { time: both(|miss| miss.time), litres: both(|miss| miss.litres) }
}

/// Shares of the forecasts of a kind that the bands hold with factors learned from the other stills:
/// end and litres, each of 80 % and of 95 % bands.
#[must_use]
pub fn held_left_out(misses: &[Miss], kind: StillKind) -> [[f64; 2]; 2] {
    let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
    let mut stills: Vec<&str> = of_kind.iter().map(|miss| miss.still.as_str()).collect();
    stills.sort_unstable();
    stills.dedup();
    let part = |miss: &Miss| stills.binary_search(&miss.still.as_str()).map_or(0, |at| at % PARTS);
    let mut held = [[0_usize; 2]; 2];
    for left_out in 0..PARTS {
        let others = of_kind.iter().copied().filter(|miss| part(miss) != left_out);
        let tails = learn(&others.collect::<Vec<&Miss>>());
        for miss in of_kind.iter().filter(|miss| part(miss) == left_out) {
            for (of, (far, by)) in
                [(miss.time, tails.time), (miss.litres, tails.litres)].into_iter().enumerate()
            {
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
         //! Distance of the ends of 80 % and 95 % bands from the middle over that of the draws: of\n\
         //! the end, of the litres. From {from}.\n"
    );
    for (kind, name, words) in
        [(StillKind::Column, "COLUMN", "Columns"), (StillKind::Pot, "POT", "Pots")]
    {
        let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
        let Tails { time, litres } = learn(&of_kind);
        let [end, held_litres] = held_left_out(misses, kind);
        let _ = write!(
            text,
            "\n/// {words}: of {} forecasts the bands of stills left out hold the end in {:.3} and {:.3}, \
             the\n/// litres in {:.3} and {:.3}.\npub(super) const {name}: [[f64; 2]; 2] = [[{:?}, {:?}], \
             [{:?}, {:?}]];\n",
            of_kind.len(),
            end[0],
            end[1],
            held_litres[0],
            held_litres[1],
            time.inner,
            time.outer,
            litres.inner,
            litres.outer,
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{Miss, StillKind, file, held_left_out, learn};

    /// Two hundred forecasts of fifty stills, evenly along the quantiles of how far they are off.
    fn misses() -> Vec<Miss> {
        (0..200_u32)
            .map(|at| {
                let share = (f64::from(at * 37 % 200) + 0.5) / 200.0;
                let far = (-(1.0 - share).ln()).sqrt();
                let still = format!("{}", at % 50);
                Miss { still, kind: StillKind::Column, time: [far, far], litres: [0.2 * far; 2] }
            })
            .collect()
    }

    #[test]
    fn narrow_bands_are_widened_and_of_wide_ones_the_inner_come_nearer() {
        let all = misses();
        let tails = learn(&all.iter().collect::<Vec<_>>());
        // -ln(1 - 0.955) is 3.10, its root 1.76; -ln(1 - 0.805) is 1.63, its root 1.28.
        assert!((tails.time.outer - 1.76).abs() < 0.05, "{tails:?}");
        assert!((tails.time.inner - 1.28).abs() < 0.03, "{tails:?}");
        assert!((tails.litres.outer - 1.0).abs() < 1e-12, "{tails:?}");
        assert!((tails.litres.inner - 0.26).abs() < 0.02, "{tails:?}");
        let [time, litres] = held_left_out(&all, StillKind::Column);
        assert!((0.92..0.98).contains(&time[1]) && litres[1] > 0.99, "{time:?} {litres:?}");
        assert!((0.76..0.84).contains(&time[0]) && (0.76..0.84).contains(&litres[0]), "{litres:?}");
    }

    #[test]
    fn the_file_says_what_it_comes_from_and_a_kind_without_runs_moves_nothing() {
        let text = file(&misses(), "200 made-up forecasts");
        assert!(text.contains("200 made-up forecasts"), "{text}");
        assert!(text.contains("POT: [[f64; 2]; 2] = [[1.0, 1.0], [1.0, 1.0]];"), "{text}");
    }
}
