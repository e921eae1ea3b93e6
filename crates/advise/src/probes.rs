//! What is read in this run: channels, barometer, and the last half hour of what moves.

use std::collections::VecDeque;

use sense::coolant::{CARRIED_S, coolant_w};
use sense::numbers::{median, slope};
use sense::{Barometer, Context, Idle, Lateness, Probe, Reader, Reading, Unseen, VapourStrength};
use thermo::ThermoError;

/// How far back a trace reaches, s.
const SPAN_S: f64 = 1800.0;
/// Least time between two kept samples, s.
const SPACING_S: f64 = 2.0;

/// The readings of a run.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Probes {
    reader: Reader,
    barometer: Barometer,
    strengths: VapourStrength,
    /// Head at standard pressure, °C.
    head: Trace,
    pot: Trace,
    /// Coolant outlet less inlet, K.
    coolant_rise: Trace,
    /// Heat taken up by the coolant, W.
    coolant_w: Trace,
    /// Coolant, L/min.
    coolant_flow: Trace,
    /// What the heater's meter shows, W.
    heater: Trace,
    /// Pressure in the boiler over ambient, kPa.
    pot_kpa: Trace,
    unseen: Unseen,
    coolant_in_c: f64,
}

impl Probes {
    /// Nothing read yet, at the pressure and the coolant of the site.
    ///
    /// # Errors
    /// [`ThermoError`] where no boiling point is found at that pressure.
    pub(crate) fn new(pressure_hpa: f64, coolant_in_c: f64) -> Result<Self, ThermoError> {
        Ok(Self {
            reader: Reader::default(),
            barometer: Barometer::new(pressure_hpa)?,
            strengths: VapourStrength::of_site(pressure_hpa)?,
            head: Trace::default(),
            pot: Trace::default(),
            coolant_rise: Trace::default(),
            coolant_w: Trace::default(),
            coolant_flow: Trace::default(),
            heater: Trace::default(),
            pot_kpa: Trace::default(),
            unseen: Unseen::default(),
            coolant_in_c,
        })
    }

    /// Takes a row; gives the time before it in which nothing was read and the still did not boil.
    pub(crate) fn take(&mut self, time_s: f64, row: &Reading, context: &Context) -> Option<Idle> {
        let good = self.reader.take(time_s, row, context);
        if let Some(hpa) = good.get(Probe::Pressure) {
            self.barometer.read(time_s, hpa);
        }
        if let Some(pot_c) = good.get(Probe::Pot) {
            self.pot.push(time_s, pot_c);
        }
        for (probe, trace) in [
            (Probe::CoolantFlow, &mut self.coolant_flow),
            (Probe::Heater, &mut self.heater),
            (Probe::PotPressure, &mut self.pot_kpa),
        ] {
            if let Some(value) = good.get(probe) {
                trace.push(time_s, value);
            }
        }
        if let Some(out_c) = good.get(Probe::CoolantOut) {
            let in_c = good.get(Probe::CoolantIn).unwrap_or(self.coolant_in_c);
            self.coolant_rise.push(time_s, out_c - in_c);
            if let Some(flow) = good.get(Probe::CoolantFlow) {
                self.coolant_w.push(time_s, coolant_w(flow, in_c, out_c));
            }
        }
        let head_c = good.get(Probe::Head).map(|head_c| head_c - self.barometer.shift_k());
        if let Some(head_c) = head_c {
            self.head.push(time_s, head_c);
        }
        self.unseen.take(time_s, row, head_c, good.get(Probe::Pot))
    }

    /// See [`Reader::expect_late`].
    pub(crate) fn expect_late(&mut self, lateness: &Lateness) {
        self.reader.expect_late(lateness);
        self.unseen.expect_late(lateness);
    }

    /// The readings of a row came so late, s.
    pub(crate) fn came_late(&mut self, row: &Reading, late_s: f64) {
        self.reader.came_late(row, late_s);
    }

    /// Pressure of the place, smoothed, hPa.
    pub(crate) const fn pressure_hpa(&self) -> f64 {
        self.barometer.hpa()
    }

    /// The channels.
    pub(crate) const fn reader(&self) -> &Reader {
        &self.reader
    }

    /// When anything was read of the still.
    pub(crate) const fn unseen(&self) -> &Unseen {
        &self.unseen
    }

    /// Head at standard pressure, °C.
    pub(crate) const fn head(&self) -> &Trace {
        &self.head
    }

    /// Pot, °C.
    pub(crate) const fn pot(&self) -> &Trace {
        &self.pot
    }

    /// Coolant outlet less inlet, K.
    pub(crate) const fn coolant_rise(&self) -> &Trace {
        &self.coolant_rise
    }

    /// Heat taken up by the coolant, W.
    pub(crate) const fn coolant_w(&self) -> &Trace {
        &self.coolant_w
    }

    /// Coolant, L/min.
    pub(crate) const fn coolant_flow(&self) -> &Trace {
        &self.coolant_flow
    }

    /// What the heater's meter shows, W.
    pub(crate) const fn heater(&self) -> &Trace {
        &self.heater
    }

    /// Pressure in the boiler over ambient, kPa.
    pub(crate) const fn pot_kpa(&self) -> &Trace {
        &self.pot_kpa
    }

    /// Heat that the coolant took up a while ago, W.
    pub(crate) fn carried_w(&self, now_s: f64) -> Option<f64> {
        self.coolant_w.median(now_s - CARRIED_S.1, now_s - CARRIED_S.0)
    }

    /// How much warmer than at standard pressure the head is now, K.
    pub(crate) fn shift_k(&self) -> f64 {
        self.barometer.shift_k()
    }

    /// How much warmer than at standard pressure the head is at the site's stated pressure, K.
    pub(crate) fn site_shift_k(&self) -> f64 {
        self.barometer.shift_k() - self.barometer.over_site_k()
    }

    /// Strength by temperature of vapour.
    pub(crate) const fn strengths(&self) -> &VapourStrength {
        &self.strengths
    }

    /// Strength of vapour at a head temperature of standard pressure, % vol.
    pub(crate) fn strength_at(&self, standard_c: f64) -> f64 {
        self.strengths.strength_at(standard_c)
    }

    /// Head temperature of vapour of that strength at standard pressure, °C.
    pub(crate) fn head_of(&self, strength_vol: f64) -> f64 {
        self.strengths.head_of(strength_vol)
    }
}

/// A short memory of `(time, value)`.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Trace {
    samples: VecDeque<(f64, f64)>,
}

impl Trace {
    /// Adds a sample; one that is out of order or too close to the last is left out.
    pub(crate) fn push(&mut self, time_s: f64, value: f64) {
        if self.samples.back().is_some_and(|last| time_s < last.0 + SPACING_S) {
            return;
        }
        self.samples.push_back((time_s, value));
        while self.samples.front().is_some_and(|first| first.0 < time_s - SPAN_S) {
            self.samples.pop_front();
        }
    }

    /// Samples from `from_s` to `to_s`, both ends in, the earliest first.
    fn window(&self, from_s: f64, to_s: f64) -> Vec<(f64, f64)> {
        let from = self.samples.partition_point(|sample| sample.0 < from_s);
        let to = self.samples.partition_point(|sample| sample.0 <= to_s).max(from);
        self.samples.range(from..to).copied().collect()
    }

    /// Whether samples reach back to `from_s` and none of them is further than `pause_s` from the next.
    pub(crate) fn is_unbroken(&self, from_s: f64, pause_s: f64) -> bool {
        let since = self.samples.partition_point(|sample| sample.0 < from_s);
        let mut since = self.samples.range(since.saturating_sub(1)..);
        let Some(mut last_s) = since.next().map(|sample| sample.0) else { return false };
        last_s <= from_s
            && since.all(|sample| sample.0 - std::mem::replace(&mut last_s, sample.0) <= pause_s)
    }

    /// Median of the samples from `from_s` to `to_s`.
    pub(crate) fn median(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let mut values: Vec<f64> =
            self.window(from_s, to_s).iter().map(|sample| sample.1).collect();
        median(&mut values)
    }

    /// Median of the last minute, or of the last three samples where they are further apart.
    pub(crate) fn present(&self) -> Option<f64> {
        let last = self.samples.back()?.0;
        let third = self.samples.iter().rev().nth(2).map_or(last, |sample| sample.0);
        self.median((last - 60.0).min(third.max(last - 200.0)), last)
    }

    /// How high it stands: [`Self::present`], or more where the last three samples are higher. What
    /// rises shows at once, what falls over a minute, and a single sample that jumps not at all.
    pub(crate) fn risen(&self) -> Option<f64> {
        let mut last: Vec<f64> = self.samples.iter().rev().take(3).map(|sample| sample.1).collect();
        Some(self.present()?.max(median(&mut last)?))
    }

    /// Mean of the last minute, or of the last three samples where they are further apart; of none
    /// before `since_s`.
    pub(crate) fn mean(&self, now_s: f64, since_s: f64) -> Option<f64> {
        let third = self.samples.iter().rev().nth(2).map_or(now_s, |sample| sample.0);
        let lately = self.window((now_s - 60.0).min(third).max(since_s), now_s);
        (!lately.is_empty())
            .then(|| lately.iter().map(|sample| sample.1).sum::<f64>() / lately.len() as f64)
    }

    /// Slope over the last `span_s`, per second; none where the samples do not reach back at least
    /// nine tenths of it or are fewer than eight.
    pub(crate) fn slope_per_s(&self, now_s: f64, span_s: f64) -> Option<f64> {
        let window = self.window(now_s - span_s, now_s);
        let reach = now_s - window.first()?.0;
        if window.len() < 8 || reach < 0.9 * span_s {
            return None;
        }
        slope(&window)
    }

    /// All samples, the earliest first.
    pub(crate) fn samples(&self) -> impl Iterator<Item = (f64, f64)> {
        self.samples.iter().copied()
    }

    /// The lower of the last two samples.
    pub(crate) fn lower_of_last_two(&self) -> Option<f64> {
        let mut last = self.samples.iter().rev();
        Some(last.next()?.1.min(last.next()?.1))
    }

    /// The last sample.
    pub(crate) fn last(&self) -> Option<(f64, f64)> {
        self.samples.back().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::Trace;

    #[test]
    fn prop_memory_is_bounded_and_the_slope_is_that_of_the_line() {
        let mut trace = Trace::default();
        for second in 0..100_000 {
            trace.push(f64::from(second), 1e-3 * f64::from(second));
        }
        assert!(trace.samples.len() <= 901);
        assert!((trace.slope_per_s(99_999.0, 600.0).unwrap() - 1e-3).abs() < 1e-9);
        assert!((trace.median(99_900.0, 99_999.0).unwrap() - 99.95).abs() < 0.01);
        assert!(trace.slope_per_s(110_000.0, 600.0).is_none());
    }

    #[test]
    fn what_rises_shows_after_two_samples_what_falls_over_a_minute_and_one_that_jumps_never() {
        let risen = |late: &[f64]| {
            let mut trace = Trace::default();
            let all = std::iter::repeat_n(20.0, 30).chain(late.iter().copied());
            for (place, value) in (0..).zip(all) {
                trace.push(5.0 * f64::from(place), value);
            }
            trace.risen()
        };
        assert_eq!(risen(&[90.0]), Some(20.0));
        assert_eq!(risen(&[60.0, 70.0]), Some(60.0));
        assert_eq!(risen(&[5.0, 5.0, 5.0]), Some(20.0));
        assert_eq!(Trace::default().risen(), None);
    }
}
