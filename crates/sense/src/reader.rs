//! The reader of a run as it goes on: takes row after row and says what of it can be believed.

use crate::channel::Channel;
use crate::exchange::Exchange;
use crate::probe::Probe;
use crate::quality::{Context, Quality, Reason, Seen};
use crate::reading::Reading;

/// All channels of a run. Rows come in the order of their time; one that is not later than the last
/// of its channel is left out, as [`crate::Cursor`] never gives one.
#[derive(Debug, Clone, PartialEq)]
pub struct Reader {
    channels: [Channel; Probe::COUNT],
    exchange: Exchange,
}

impl Default for Reader {
    fn default() -> Self {
        Self { channels: Probe::ALL.map(Channel::new), exchange: Exchange::default() }
    }
}

impl Reader {
    /// Takes a row and returns what of it can be believed.
    pub fn take(&mut self, time_s: f64, row: &Reading, context: &Context) -> Reading {
        let mut good = Reading::default();
        // The row's own power is newer than what was known before it.
        let heater = row.get(Probe::Heater);
        let meter = heater.and_then(|w| self.channels[Probe::Heater as usize].take(time_s, w, 0.0));
        good.set(Probe::Heater, meter);
        let heat_w = meter.unwrap_or(context.heat_w);
        for (probe, value) in row.iter().filter(|cell| cell.0 != Probe::Heater) {
            good.set(probe, self.channels[probe as usize].take(time_s, value, heat_w));
        }
        if context.vapour_s.is_some()
            && context.heat_on()
            && let Some((head_c, pot_c)) = good.get(Probe::Head).zip(good.get(Probe::Pot))
        {
            self.exchange.take(head_c, pot_c);
        }
        good
    }

    /// One channel.
    #[must_use]
    pub const fn of(&self, probe: Probe) -> &Channel {
        &self.channels[probe as usize]
    }

    /// The last good value, where it is still to be trusted.
    #[must_use]
    pub fn fresh(&self, probe: Probe, now_s: f64) -> Option<f64> {
        self.of(probe).fresh(now_s)
    }

    /// Whether head and pot thermometer seem to carry each other's name.
    #[must_use]
    pub fn swapped(&self) -> bool {
        self.exchange.lately()
    }

    /// A channel as it stands: its value, its age, how far it can be trusted and why.
    #[must_use]
    pub fn channel(&self, probe: Probe, now_s: f64, context: &Context) -> Seen {
        let seen = self.of(probe).seen(now_s, context);
        let named = matches!(probe, Probe::Head | Probe::Pot) && self.swapped();
        match seen.quality {
            Quality::Good if named => Seen { quality: Quality::Doubtful(Reason::Swapped), ..seen },
            _ => seen,
        }
    }
}

#[cfg(test)]
#[path = "reader_tests.rs"]
mod tests;
