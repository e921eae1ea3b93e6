//! What is read in this run: channels, barometer, and the last half hour of what moves.

use sense::{Barometer, Context, Probe, Reader, Reading, Trace, VapourStrength};
use thermo::ThermoError;

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
            strengths: VapourStrength::new()?,
            head: Trace::default(),
            pot: Trace::default(),
            coolant_rise: Trace::default(),
            coolant_in_c,
        })
    }

    /// Takes a row.
    pub(crate) fn take(&mut self, time_s: f64, row: &Reading, context: &Context) {
        let good = self.reader.take(time_s, row, context);
        if let Some(hpa) = good.get(Probe::Pressure) {
            self.barometer.read(time_s, hpa);
        }
        if let Some(pot_c) = good.get(Probe::Pot) {
            self.pot.push(time_s, pot_c);
        }
        if let Some(out_c) = good.get(Probe::CoolantOut) {
            let in_c = good.get(Probe::CoolantIn).unwrap_or(self.coolant_in_c);
            self.coolant_rise.push(time_s, out_c - in_c);
        }
        if let Some(head_c) = good.get(Probe::Head) {
            self.head.push(time_s, head_c - self.barometer.shift_k());
        }
    }

    /// The channels.
    pub(crate) const fn reader(&self) -> &Reader {
        &self.reader
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

    /// How much warmer than at standard pressure the head is now, K.
    pub(crate) fn shift_k(&self) -> f64 {
        self.barometer.shift_k()
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
