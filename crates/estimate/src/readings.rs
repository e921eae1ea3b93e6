//! What the readings of a record show, row by row: pressure, power, coolant; head and pot as read.

use sense::coolant::{CoolantSeen, coolant_w};
use sense::{Idle, Probe, Raw, Reading};

use super::weighed::Weighed;

/// What the probes said, row by row.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Readings {
    /// Head and pot as read, with the pressure and the heat of that moment.
    pub(super) raw: Vec<Raw>,
    /// Heat taken up by the coolant, W.
    pub(super) duty: Vec<(f64, f64)>,
    /// Heater power as read by a meter, W.
    pub(super) meter: Vec<(f64, f64)>,
    /// What was known of the coolant where its flow was read.
    pub(super) coolant: Vec<(f64, CoolantSeen)>,
    /// Times without readings in which the still did not boil.
    pub(super) idle: Vec<Idle>,
    /// What ran into the jar as its scale shows, span by span.
    pub(super) weighed: Weighed,
    /// Temperature of the coolant where it is not read, °C.
    coolant_in_c: f64,
}

impl Readings {
    /// None yet; the coolant comes in at that temperature where it is not read.
    pub(super) fn with_coolant_in(coolant_in_c: f64) -> Self {
        Self { coolant_in_c, ..Self::default() }
    }

    /// Head, pot and the thermometer in the column are taken as they were read: they are cleaned
    /// later, by the readings on both sides.
    pub(super) fn row(
        &mut self,
        time_s: f64,
        row: &Reading,
        good: &Reading,
        shift_k: f64,
        heat_w: f64,
    ) {
        let (head_c, pot_c) = (row.get(Probe::Head), row.get(Probe::Pot));
        let column_c = row.get(Probe::Column);
        self.raw.push(Raw { time_s, head_c, pot_c, column_c, shift_k, heat_w });
        self.meter.extend(good.get(Probe::Heater).map(|watts| (time_s, watts.max(0.0))));
        let Some(flow) = good.get(Probe::CoolantFlow) else { return };
        let (inlet, outlet) = (good.get(Probe::CoolantIn), good.get(Probe::CoolantOut));
        if let (Some(inlet), Some(outlet)) = (inlet, outlet) {
            self.duty.push((time_s, coolant_w(flow, inlet, outlet)));
        }
        let seen = CoolantSeen {
            flow_l_per_min: Some(flow),
            in_c: inlet.unwrap_or(self.coolant_in_c),
            out_c: outlet,
            to_carry_w: None,
        };
        self.coolant.push((time_s, seen));
    }
}
