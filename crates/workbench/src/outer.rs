//! How far out the ends of 95 % bands must lie to hold as often as they say, learned from forecasts
//! of runs whose end is known and tried on stills left out.

use std::fmt::Write as _;

use estimate::Tails;
use still::plan::StillKind;

/// Share of the forecasts that the factors learned must hold: a little over what is promised, since
/// a still left out is held a little less often. Judgement.
const LEVEL: f64 = 0.955;
/// Every so many stills are left out together.
const PARTS: usize = 10;

/// One forecast against what came: how far off it was, in distances of the outer quantile on that
/// side from the middle, as the draws have it.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// Which still: the runs of one are left out together.
    pub still: String,
    /// What kind it is.
    pub kind: StillKind,
    /// Of the end.
    pub time: f64,
    /// Of the litres.
    pub litres: f64,
}

/// The least factors with which the outer quantiles would have held; never under 1.
#[must_use]
pub fn learn(misses: &[&Miss]) -> Tails {
    let bound = |of: fn(&Miss) -> f64| {
        let mut all: Vec<f64> = misses.iter().map(|miss| of(miss)).collect();
        all.sort_by(f64::total_cmp);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share")]
        let place = (LEVEL * all.len() as f64) as usize;
        let at = all.get(place.min(all.len().saturating_sub(1))).copied().unwrap_or(1.0);
        (100.0 * at).ceil() / 100.0
    };
    Tails { time: bound(|miss| miss.time).max(1.0), litres: bound(|miss| miss.litres).max(1.0) }
}

/// Shares of the forecasts of a kind that the outer quantiles hold, end and litres: with factors
/// learned from the other stills.
#[must_use]
pub fn held_left_out(misses: &[Miss], kind: StillKind) -> (f64, f64) {
    let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
    let mut stills: Vec<&str> = of_kind.iter().map(|miss| miss.still.as_str()).collect();
    stills.sort_unstable();
    stills.dedup();
    let part = |miss: &Miss| stills.binary_search(&miss.still.as_str()).map_or(0, |at| at % PARTS);
    let (mut time, mut litres) = (0_usize, 0_usize);
    for left_out in 0..PARTS {
        let others = of_kind.iter().copied().filter(|miss| part(miss) != left_out);
        let tails = learn(&others.collect::<Vec<&Miss>>());
        for miss in of_kind.iter().filter(|miss| part(miss) == left_out) {
            time += usize::from(miss.time <= tails.time);
            litres += usize::from(miss.litres <= tails.litres);
        }
    }
    let share = |held: usize| held as f64 / of_kind.len().max(1) as f64;
    (share(time), share(litres))
}

/// The learned file of the estimate: factors with the data they come from.
#[must_use]
pub fn file(misses: &[Miss], from: &str) -> String {
    let mut text = format!(
        "//! What runs taught whose end is known; written by `cargo xtask calibrate`.\n//!\n\
         //! Distance of the outer quantiles from the middle over that of the draws: of the end, of\n\
         //! the litres. From {from}.\n"
    );
    for (kind, name, words) in
        [(StillKind::Column, "COLUMN", "Columns"), (StillKind::Pot, "POT", "Pots")]
    {
        let of_kind: Vec<&Miss> = misses.iter().filter(|miss| miss.kind == kind).collect();
        let Tails { time, litres } = learn(&of_kind);
        let (end_held, litres_held) = held_left_out(misses, kind);
        let _ = write!(
            text,
            "\n/// {words}: of {} forecasts the 95 % bands of stills left out hold the end in \
             {end_held:.3} and the\n/// litres in {litres_held:.3}.\npub(super) const {name}: [f64; \
             2] = [{time:?}, {litres:?}];\n",
            of_kind.len()
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{Miss, StillKind, file, held_left_out, learn};

    /// Two hundred forecasts of fifty stills: misses of a bell whose outer quantiles are a third too
    /// near, evenly along its quantiles.
    fn misses() -> Vec<Miss> {
        (0..200_u32)
            .map(|at| {
                let share = (f64::from(at * 37 % 200) + 0.5) / 200.0;
                let far = (-(1.0 - share).ln()).sqrt();
                let still = format!("{}", at % 50);
                Miss { still, kind: StillKind::Column, time: far, litres: 0.2 * far }
            })
            .collect()
    }

    #[test]
    fn bands_too_narrow_are_moved_out_and_wide_ones_left() {
        let all = misses();
        let tails = learn(&all.iter().collect::<Vec<_>>());
        // -ln(1 - 0.955) is 3.10, its root 1.76.
        assert!((tails.time - 1.76).abs() < 0.05, "{tails:?}");
        assert!((tails.litres - 1.0).abs() < 1e-12, "{tails:?}");
        let (time, litres) = held_left_out(&all, StillKind::Column);
        assert!((0.92..0.98).contains(&time) && litres > 0.99, "{time} {litres}");
    }

    #[test]
    fn the_file_says_what_it_comes_from_and_a_kind_without_runs_moves_nothing() {
        let text = file(&misses(), "200 made-up forecasts");
        assert!(text.contains("200 made-up forecasts"), "{text}");
        assert!(text.contains("POT: [f64; 2] = [1.0, 1.0];"), "{text}");
    }
}
