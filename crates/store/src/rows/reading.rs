//! A row of readings.

use sense::Reading;
use serde::{Deserialize, Serialize};

use super::{RowFault, check_time, optional};

/// Columns of the readings file, in order.
pub const READING_COLUMNS: [&str; 11] = [
    "time_s",
    "head_c",
    "pot_c",
    "coolant_in_c",
    "coolant_out_c",
    "coolant_l_per_min",
    "heater_w",
    "pressure_hpa",
    "ambient_c",
    "vent_c",
    "product_c",
];

/// A row of readings with its run time; what was not read is left out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(missing_docs, reason = "the fields are the columns of the file, units in their names")]
pub struct ReadingRow {
    pub time_s: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pot_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coolant_in_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coolant_out_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coolant_l_per_min: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heater_w: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_hpa: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent_c: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product_c: Option<f64>,
}

impl ReadingRow {
    /// The row of a reading.
    #[must_use]
    pub fn new(time_s: f64, reading: &Reading) -> Self {
        Self {
            time_s,
            head_c: reading.head_c,
            pot_c: reading.pot_c,
            coolant_in_c: reading.coolant_in_c,
            coolant_out_c: reading.coolant_out_c,
            coolant_l_per_min: reading.coolant_l_per_min,
            heater_w: reading.heater_w,
            pressure_hpa: reading.pressure_hpa,
            ambient_c: reading.ambient_c,
            vent_c: reading.vent_c,
            product_c: reading.product_c,
        }
    }

    /// The row from its cells after `time_s`, in the order of [`READING_COLUMNS`].
    pub(crate) fn from_cells(time_s: f64, cells: [Option<f64>; 10]) -> Self {
        let [
            head_c,
            pot_c,
            coolant_in_c,
            coolant_out_c,
            coolant_l_per_min,
            heater_w,
            pressure_hpa,
            ambient_c,
            vent_c,
            product_c,
        ] = cells;
        Self {
            time_s,
            head_c,
            pot_c,
            coolant_in_c,
            coolant_out_c,
            coolant_l_per_min,
            heater_w,
            pressure_hpa,
            ambient_c,
            vent_c,
            product_c,
        }
    }

    /// The cells after `time_s`, in the order of [`READING_COLUMNS`].
    pub(crate) const fn cells(&self) -> [Option<f64>; 10] {
        [
            self.head_c,
            self.pot_c,
            self.coolant_in_c,
            self.coolant_out_c,
            self.coolant_l_per_min,
            self.heater_w,
            self.pressure_hpa,
            self.ambient_c,
            self.vent_c,
            self.product_c,
        ]
    }

    /// The reading, checked. Bounds are those of what a broken probe still sends (85 and -127
    /// are kept: telling that they are impossible is the engine's work), not of a sound still.
    ///
    /// # Errors
    /// [`RowFault`] for the first cell out of bounds.
    pub fn reading(&self) -> Result<(f64, Reading), RowFault> {
        check_time("time_s", self.time_s)?;
        for (column, value) in READING_COLUMNS.into_iter().skip(1).zip(self.cells()) {
            let (low, high, unit) = match column {
                "coolant_l_per_min" => (0.0, 1000.0, "L/min"),
                "heater_w" => (-1000.0, 200_000.0, "W"),
                "pressure_hpa" => (0.0, 2000.0, "hPa"),
                _ => (-273.15, 1500.0, "°C"),
            };
            optional(
                column,
                value,
                low,
                high,
                unit,
                "leave the cell empty where nothing was read",
            )?;
        }
        let reading = Reading {
            head_c: self.head_c,
            pot_c: self.pot_c,
            coolant_in_c: self.coolant_in_c,
            coolant_out_c: self.coolant_out_c,
            coolant_l_per_min: self.coolant_l_per_min,
            heater_w: self.heater_w,
            pressure_hpa: self.pressure_hpa,
            ambient_c: self.ambient_c,
            vent_c: self.vent_c,
            product_c: self.product_c,
        };
        Ok((self.time_s, reading))
    }
}
