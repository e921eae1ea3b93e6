//! One row of readings: a cell for each probe, as an array, and as a map of named columns.

use std::fmt;
use std::marker::PhantomData;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, Visitor};

use crate::probe::Probe;

/// The columns of a row of readings: its time, then every probe.
pub const READING_COLUMNS: [&str; Probe::COUNT + 1] = {
    let mut columns = ["time_s"; Probe::COUNT + 1];
    let mut place = 0;
    while place < Probe::COUNT {
        columns[place + 1] = Probe::ALL[place].column();
        place += 1;
    }
    columns
};

/// One row of readings; a cell that was not read is `None`.
#[derive(Clone, Copy, Default, PartialEq)]
pub struct Reading([Option<f64>; Probe::COUNT]);

impl Reading {
    /// The value of one probe.
    #[must_use]
    pub const fn get(&self, probe: Probe) -> Option<f64> {
        self.0[probe as usize]
    }

    /// Puts a value, or empties the cell.
    pub const fn set(&mut self, probe: Probe, value: Option<f64>) {
        self.0[probe as usize] = value;
    }

    /// The row with this cell put.
    #[must_use]
    pub fn with(mut self, probe: Probe, value: impl Into<Option<f64>>) -> Self {
        self.set(probe, value.into());
        self
    }

    /// The cells that were read, in the order of the file.
    pub fn iter(&self) -> impl Iterator<Item = (Probe, f64)> + '_ {
        Probe::ALL.into_iter().filter_map(|probe| Some((probe, self.get(probe)?)))
    }

    /// Whether nothing was read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.iter().next().is_none()
    }

    /// Reads a map of columns: the time as a `T` where one is given, and the cells. A column that
    /// is unknown or comes twice is refused.
    ///
    /// # Errors
    /// Those of the deserializer.
    pub fn from_columns<'de, T: Deserialize<'de>, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<(Option<T>, Self), D::Error> {
        deserializer.deserialize_map(Columns(PhantomData))
    }
}

impl fmt::Debug for Reading {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cells = self.iter().map(|(probe, value)| (probe.column(), value));
        formatter.debug_map().entries(cells).finish()
    }
}

/// Reads the columns of a row.
struct Columns<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Columns<T> {
    type Value = (Option<T>, Reading);

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a row of readings by column")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let (mut time, mut reading) = (None, Reading::default());
        let mut had = [false; READING_COLUMNS.len()];
        while let Some(column) = map.next_key::<String>()? {
            let place = READING_COLUMNS.iter().position(|known| *known == column);
            let place = place.ok_or_else(|| Error::unknown_field(&column, &READING_COLUMNS))?;
            if std::mem::replace(&mut had[place], true) {
                return Err(Error::duplicate_field(READING_COLUMNS[place]));
            }
            match place.checked_sub(1) {
                None => time = map.next_value::<Option<T>>()?,
                Some(probe) => reading.0[probe] = map.next_value()?,
            }
        }
        Ok((time, reading))
    }
}

#[cfg(test)]
mod tests {
    use super::{Probe, READING_COLUMNS, Reading};

    #[test]
    fn prop_every_probe_has_its_own_cell_and_column() {
        for (place, probe) in Probe::ALL.into_iter().enumerate() {
            let row = Reading::default().with(probe, 3.5);
            assert_eq!(row.iter().collect::<Vec<_>>(), [(probe, 3.5)]);
            assert_eq!(READING_COLUMNS[place + 1], probe.column());
            assert_eq!(Probe::of_column(probe.column()), Some(probe));
            assert_eq!(row.with(probe, None), Reading::default());
        }
        assert!(Reading::default().is_empty() && Probe::of_column("time_s").is_none());
    }

    #[test]
    fn the_columns_that_records_were_written_with_stay() {
        let kept = "time_s,head_c,pot_c,coolant_in_c,coolant_out_c,coolant_l_per_min,heater_w,\
                    pressure_hpa,ambient_c,vent_c,product_c";
        assert_eq!(READING_COLUMNS.join(","), kept);
    }
}
