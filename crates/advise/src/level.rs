//! How hot the head of this run stands while spirit is drawn, and whether it has fallen under that.

use sense::under_vapour;

/// A head that stays lower for so long has a new level, s (judgement: longer than a still takes to
/// come back to the boil after a power cut).
const NEW_LEVEL_S: f64 = 900.0;

/// The highest head so far, at standard pressure.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Level {
    stood_c: Option<f64>,
    under_since_s: Option<f64>,
}

impl Level {
    /// Takes the head of a second in which spirit is drawn under heat; none where it is not read.
    pub(crate) fn follow(&mut self, now_s: f64, head_c: Option<f64>) {
        let Some(head_c) = head_c else {
            self.under_since_s = None;
            return;
        };
        if !self.is_over(head_c) {
            self.under_since_s = None;
            self.stood_c = Some(self.stood_c.map_or(head_c, |stood_c| stood_c.max(head_c)));
        } else if now_s - *self.under_since_s.get_or_insert(now_s) >= NEW_LEVEL_S {
            *self = Self { stood_c: Some(head_c), under_since_s: None };
        }
    }

    /// Whether it stands over this head: one that stood in vapour is now lower than any vapour, as
    /// after a power cut; a probe that reads low has its own level.
    pub(crate) fn is_over(&self, head_c: f64) -> bool {
        self.stood_c.is_some_and(|stood_c| under_vapour(stood_c, head_c))
    }
}

#[cfg(test)]
mod tests {
    use super::Level;

    /// Whether the level is over each head, ten seconds apart.
    fn over(heads: impl Iterator<Item = Option<f64>>) -> Vec<bool> {
        let mut level = Level::default();
        heads
            .enumerate()
            .map(|(at, head)| {
                level.follow(10.0 * at as f64, head);
                head.is_some_and(|head| level.is_over(head))
            })
            .collect()
    }

    #[test]
    fn a_head_under_all_vapour_is_told_after_any_pause_and_a_low_probe_has_its_own_level() {
        for pause in [72, 240, 1000] {
            let cut = (0..25 + pause + 36).map(|at| match at {
                ..25 => Some(78.1),
                at if at < 25 + pause => None,
                _ => Some(74.12),
            });
            assert!(over(cut).ends_with(&[true; 36]), "{pause}");
        }
        let low = (0..500).map(|at| Some(76.0 + 0.3 * f64::from(at % 2)));
        assert!(!over(low).contains(&true), "1.9 K low throughout");
    }

    #[test]
    fn a_level_that_stays_lower_becomes_the_level() {
        let fallen = (0..200).map(|at| Some(if at < 50 { 84.0 } else { 76.7 }));
        let over = over(fallen);
        assert_eq!(over.iter().filter(|over| **over).count(), 90, "fifteen minutes");
        assert!(!over[199]);
    }
}
