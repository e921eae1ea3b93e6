//! A row of readings as it is kept: its time and its cells, by column.

use sense::Reading;
use serde::de::{Deserialize, Deserializer, Error};
use serde::ser::{Serialize, SerializeMap, Serializer};

use super::{RowFault, check_time};

/// Columns of the readings file, in order.
pub use sense::READING_COLUMNS;

/// A row of readings with its run time; what was not read is left out.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ReadingRow {
    /// Run time, s.
    pub time_s: f64,
    /// The cells.
    pub cells: Reading,
}

impl Serialize for ReadingRow {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("time_s", &self.time_s)?;
        for (probe, value) in self.cells.iter() {
            map.serialize_entry(probe.column(), &value)?;
        }
        map.end()
    }
}

impl<'de> Deserialize<'de> for ReadingRow {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (time_s, cells) = Reading::from_columns(deserializer)?;
        let time_s = time_s.ok_or_else(|| D::Error::missing_field("time_s"))?;
        Ok(Self { time_s, cells })
    }
}

impl ReadingRow {
    /// The reading, checked.
    ///
    /// # Errors
    /// [`RowFault`] for the first cell out of bounds.
    pub fn reading(&self) -> Result<(f64, Reading), RowFault> {
        check_time("time_s", self.time_s)?;
        match self.cells.out_of_bounds() {
            Some((probe, value)) => Err(RowFault::of_cell(probe, value)),
            None => Ok((self.time_s, self.cells)),
        }
    }
}
