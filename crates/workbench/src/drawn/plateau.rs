//! The lowest ten minutes that a head stood at, and the rise over them.

use std::collections::VecDeque;

const WINDOW_S: f64 = 600.0;

/// The lowest ten-minute median so far.
#[derive(Debug, Clone)]
pub(super) struct Plateau {
    window: VecDeque<f64>,
    size: usize,
    pub(super) lowest_c: Option<f64>,
}

impl Plateau {
    /// Of values that come so many seconds apart.
    pub(super) fn new(every_s: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "20 to 120")]
        let size = (WINDOW_S / every_s) as usize;
        Self { window: VecDeque::with_capacity(size), size, lowest_c: None }
    }

    /// Takes in a value and returns its rise, once there is something to rise over.
    pub(super) fn rise_k(&mut self, celsius: f64) -> Option<f64> {
        self.window.push_back(celsius);
        if self.window.len() > self.size {
            self.window.pop_front();
        }
        if self.window.len() == self.size {
            let mut sorted: Vec<f64> = self.window.iter().copied().collect();
            sorted.sort_by(f64::total_cmp);
            let median = sorted[self.size / 2];
            self.lowest_c = Some(self.lowest_c.map_or(median, |lowest| lowest.min(median)));
        }
        self.lowest_c.map(|lowest| celsius - lowest)
    }
}
