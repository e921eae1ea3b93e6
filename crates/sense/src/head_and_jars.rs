//! Whether the head thermometer and the gauged jars tell of the same spirit: the one rule by which
//! a head is let go of, for the estimate and for what is shown live.

use still::plan::{HeadPlace, StepKind};

use crate::numbers::median;
use crate::vapour::VapourStrength;

/// So many jars in a row decide, either way (judgement: one jar may be misread, two by the same
/// hand).
const JARS: usize = 3;
/// Apart by more than this the head is left out, K; under the second it counts again (the first is
/// three times what probes as sold are off by, common practice, no source; the second is judgement).
const APART_K: f64 = 1.0;
const AGREED_K: f64 = 0.7;
/// Differences that lie closer together than this are one offset: what the head rises by is still
/// true, K (judgement).
const STEADY_K: f64 = 0.3;
/// A jar over which the head rose by more is no test: spirit in the condenser lags the vapour, K
/// (judgement).
const ROSE_K: f64 = 2.0;
/// The vapour under a partial condenser is weaker than the spirit by this, % vol (five logged runs
/// of a pilot still, data of doi 10.1109/ACCESS.2022.3197604).
const WEAKER_VOL: (f64, f64) = (5.0, 12.0);

/// A gauged jar beside what the head read while it filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JarHead {
    /// When it was full, s.
    pub end_s: f64,
    /// Its strength, % vol.
    pub strength_vol: f64,
    /// Median of the head at standard pressure, °C.
    pub head_c: f64,
    /// How far the head rose in the meantime, K.
    pub rose_k: f64,
}

/// A head that is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadLeftOut {
    /// Since which jar, s.
    pub since_s: f64,
    /// The head over what the last jars say, K.
    pub by_k: f64,
    /// Whether that is one offset, so that its rise still counts.
    pub steady: bool,
}

impl HeadLeftOut {
    /// What is said of it.
    #[must_use]
    pub fn words(&self) -> String {
        let (by_k, way) = (self.by_k.abs(), if self.by_k > 0.0 { "hotter" } else { "colder" });
        format!(
            "the head and the jars disagree: it reads {by_k:.1} K {way} than the spirit of the last \
             {JARS} gauged jars; the head is left out until {JARS} jars agree with it again"
        )
    }
}

impl JarHead {
    /// The jar of that cut beside the heads read from its start to its end (time, °C at standard
    /// pressure); none where it is no test of the head.
    #[must_use]
    pub fn of(
        (start_s, end_s): (f64, f64),
        strength_vol: f64,
        cut: StepKind,
        heads: impl Iterator<Item = (f64, f64)>,
    ) -> Option<Self> {
        // Light heads press the head down as long as they come over.
        if !matches!(cut, StepKind::Hearts | StepKind::Tails) {
            return None;
        }
        let inside: Vec<(f64, f64)> =
            heads.filter(|head| head.0 >= start_s && head.0 <= end_s).collect();
        let quarter_s = 0.25 * (end_s - start_s);
        let median_of = |from_s: f64, to_s: f64| {
            let part = inside.iter().filter(|head| head.0 >= from_s && head.0 <= to_s);
            median(&mut part.map(|head| head.1).collect::<Vec<f64>>())
        };
        let (first, last) =
            (median_of(start_s, start_s + quarter_s)?, median_of(end_s - quarter_s, end_s)?);
        let head_c = median_of(start_s, end_s)?;
        Some(Self { end_s, strength_vol, head_c, rose_k: last - first })
    }

    /// The head over what the spirit of this jar makes of it, K; zero within what is usual.
    fn off_k(&self, table: &VapourStrength, place: HeadPlace) -> f64 {
        match place {
            HeadPlace::Above => self.head_c - table.head_of(self.strength_vol),
            HeadPlace::Below => {
                let low = table.head_of(self.strength_vol - WEAKER_VOL.0);
                let high = table.head_of(self.strength_vol - WEAKER_VOL.1);
                (self.head_c - high).max(0.0) + (self.head_c - low).min(0.0)
            }
        }
    }
}

/// Whether the head is left out, by the gauged jars in the order of their ends.
#[must_use]
pub fn head_left_out(
    table: &VapourStrength,
    place: HeadPlace,
    jars: &[JarHead],
) -> Option<HeadLeftOut> {
    let tests = jars.iter().filter(|jar| jar.rose_k.abs() <= ROSE_K);
    let offs: Vec<(f64, f64)> = tests.map(|jar| (jar.end_s, jar.off_k(table, place))).collect();
    let mut out: Option<HeadLeftOut> = None;
    for last in offs.windows(JARS) {
        let mut by: Vec<f64> = last.iter().map(|off| off.1).collect();
        let Some(by_k) = median(&mut by) else { continue };
        let low = by.iter().copied().fold(f64::INFINITY, f64::min);
        let high = by.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let one_way = low > 0.0 || high < 0.0;
        let since_s = out.map_or(last[JARS - 1].0, |out| out.since_s);
        let apart = if out.is_some() { by_k.abs() >= AGREED_K } else { by_k.abs() > APART_K };
        out = (apart && one_way).then_some(HeadLeftOut {
            since_s,
            by_k,
            steady: high - low <= STEADY_K,
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use still::plan::{HeadPlace, StepKind};

    use super::{JarHead, head_left_out};
    use crate::vapour::VapourStrength;

    fn jars(of: &[(f64, f64)]) -> Vec<JarHead> {
        let jar = |(k, &(strength_vol, head_c)): (usize, &(f64, f64))| JarHead {
            end_s: 600.0 * (k + 1) as f64,
            strength_vol,
            head_c,
            rose_k: 0.4,
        };
        of.iter().enumerate().map(jar).collect()
    }

    /// Strength of the spirit and head below the partial condenser of run Q4, 950 hPa, brought to
    /// standard pressure by 1.7 K.
    const LOGGED: [(f64, f64); 5] =
        [(76.8, 87.5), (74.3, 88.9), (70.5, 90.3), (67.6, 91.6), (58.4, 93.8)];

    #[test]
    fn val_a_head_below_the_partial_condenser_that_the_plan_does_not_state_is_let_go() {
        // Derived points of a logged run: data of doi 10.1109/ACCESS.2022.3197604.
        let table = VapourStrength::of_site(1013.25).unwrap();
        let all = jars(&LOGGED);
        let out = head_left_out(&table, HeadPlace::Above, &all[..3]).expect("disagrees");
        assert!(out.by_k > 1.0 && out.by_k < 4.0, "{out:?}");
        assert!((out.since_s - 1800.0).abs() < 1e-9);
        assert!(out.words().contains("left out until"), "{}", out.words());
        assert_eq!(head_left_out(&table, HeadPlace::Above, &all[..2]), None, "two are too few");
        assert_eq!(head_left_out(&table, HeadPlace::Below, &all), None, "stated, it agrees");
    }

    #[test]
    fn prop_a_head_that_shows_the_spirit_stays_and_one_that_comes_back_counts_again() {
        let table = VapourStrength::of_site(1013.25).unwrap();
        let with = |off: &[f64]| {
            let strengths = [80.0, 78.0, 76.0, 74.0, 72.0, 70.0, 68.0];
            let of: Vec<_> =
                strengths.iter().zip(off).map(|(vol, k)| (*vol, table.head_of(*vol) + k)).collect();
            head_left_out(&table, HeadPlace::Above, &jars(&of))
        };
        assert_eq!(with(&[0.6, -0.6, 0.9, 0.2]), None);
        assert_eq!(with(&[0.1, 3.0, 0.1, 0.2]), None, "one misread jar");
        assert!(with(&[1.5, 1.5, 1.5]).unwrap().steady);
        assert!(!with(&[1.2, 2.0, 2.8]).unwrap().steady);
        assert!(with(&[1.5, 1.5, 1.5, 0.1]).is_some(), "one that agrees is too few");
        assert_eq!(with(&[1.5, 1.5, 1.5, 0.1, 0.1]), None);
    }

    #[test]
    fn heads_and_foreshots_are_no_test_and_the_rise_is_from_first_to_last() {
        let heads = || (0..=10).map(|k| (60.0 * f64::from(k), 85.0 + 0.1 * f64::from(k)));
        assert_eq!(JarHead::of((0.0, 600.0), 80.0, StepKind::Heads, heads()), None);
        let jar = JarHead::of((0.0, 600.0), 80.0, StepKind::Hearts, heads()).unwrap();
        assert!((jar.head_c - 85.5).abs() < 1e-9 && (jar.rose_k - 0.8).abs() < 0.11, "{jar:?}");
        assert_eq!(JarHead::of((0.0, 600.0), 80.0, StepKind::Hearts, std::iter::empty()), None);
    }
}
