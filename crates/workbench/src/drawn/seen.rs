//! What an owner's instruments show of the still.

use sense::{Probe, Reading};

use super::boiling::over_normal_k;
use super::chance::{Chance, NOISE_K};
use super::house::{Fault, House, Instruments};
use super::in_column::InColumn;
use super::plant::{Around, LATENT_J_MOL, Plant};
use super::weather::Weather;

/// Watts that warm a litre of water a minute by a kelvin (handbook, from memory: 4.18 kJ/kgK at 20 °C).
const COOLANT_W: f64 = 69.5;
/// A thermometer shows sixteenths of a kelvin.
const DIGITS_PER_K: f64 = 16.0;

/// The probes, one of which lags.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    of: Instruments,
    fault: Fault,
    head_c: Option<f64>,
    /// The thermometer in the column, where there is one.
    column: Option<InColumn>,
    /// Head as shown last, less what the barometer explains where there is one, °C.
    pub(super) corrected_c: f64,
}

/// To so many steps in a unit.
fn shown(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit
}

impl Seen {
    pub(super) fn new(house: &House) -> Self {
        Self {
            of: house.instruments,
            fault: house.fault,
            head_c: None,
            column: house.in_column.clone(),
            corrected_c: 0.0,
        }
    }

    /// Thermometers follow for so long.
    pub(super) fn follow(&mut self, plant: &Plant, around: &Around, seconds: f64) {
        if let Some(column) = &mut self.column {
            column.follow(plant, around, seconds);
        }
        let head_c = plant.head_c(around);
        let before = self.head_c.unwrap_or(head_c);
        let share = 1.0 - (-seconds / self.of.head_lag_s).exp();
        self.head_c = Some(before + share * (head_c - before));
    }

    /// One row.
    pub(super) fn row(
        &mut self,
        chance: &mut Chance,
        time_s: f64,
        plant: &Plant,
        around: &Around,
        (house, weather): (&House, &Weather),
    ) -> Reading {
        let of = self.of;
        let drift_k = match self.fault {
            Fault::Drift { since_s, k_per_h } => k_per_h * (time_s - since_s).max(0.0) / 3600.0,
            _ => 0.0,
        };
        let digits = |chance: &mut Chance, celsius: f64| {
            shown(celsius + chance.normal(NOISE_K), DIGITS_PER_K)
        };
        let head_c = self.head_c.unwrap_or(around.ambient_c) + of.head_offset_k + drift_k;
        let head_c = digits(chance, head_c);
        self.corrected_c = head_c;
        let mut row = Reading::default().with(Probe::Head, head_c);
        row.set(Probe::Column, self.column.as_mut().map(|one| one.read(time_s, around.ambient_c)));
        if of.sensors != "head" {
            row.set(Probe::Pot, Some(digits(chance, plant.pot_c() + of.pot_offset_k)));
        }
        if of.sensors != "full" {
            return row;
        }
        let hpa = shown(weather.hpa() + of.barometer_hpa + chance.normal(0.1), 10.0);
        self.corrected_c -= over_normal_k(100.0 * hpa);
        let flow = house.plan.site.coolant_l_per_min;
        let in_c = weather.coolant_in_c(&house.plan.site);
        let out_c = in_c + plant.top_mol_s() * LATENT_J_MOL[0] / (COOLANT_W * flow);
        let metered = flow * of.coolant_meter * chance.factor(0.005);
        row.with(Probe::CoolantIn, digits(chance, in_c))
            .with(Probe::CoolantOut, digits(chance, out_c))
            .with(Probe::CoolantFlow, shown(metered, 100.0))
            .with(Probe::Heater, shown(around.heater_w * of.wattmeter, 0.2))
            .with(Probe::Pressure, hpa)
            .with(Probe::Ambient, digits(chance, around.ambient_c))
    }
}
