//! One row of readings: a cell for each probe, as an array, as a map of named columns, and as a
//! feeder sends it.

use std::fmt;

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

/// The columns that a format of the run folder has.
#[must_use]
pub fn reading_columns(format: u32) -> &'static [&'static str] {
    let newer = Probe::ALL.into_iter().filter(|probe| probe.format() > format).count();
    &READING_COLUMNS[..READING_COLUMNS.len() - newer]
}

/// What a feeder may send: those, and the moment in RFC 3339 instead of the time.
const SENT_COLUMNS: [&str; READING_COLUMNS.len() + 1] = {
    let mut columns = ["at"; READING_COLUMNS.len() + 1];
    let mut place = 0;
    while place < READING_COLUMNS.len() {
        columns[place] = READING_COLUMNS[place];
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

    /// The format of the run folder that a row like this needs.
    #[must_use]
    pub fn format(&self) -> u32 {
        self.iter().map(|(probe, _)| probe.format()).max().unwrap_or(1)
    }

    /// Whether nothing was read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.iter().next().is_none()
    }

    /// The first cell that no probe sends, sound or broken (85 and -127 °C pass: telling that they
    /// are impossible is the reader's work).
    #[must_use]
    pub fn out_of_bounds(&self) -> Option<(Probe, f64)> {
        self.iter().find(|(probe, value)| {
            let (low, high) = probe.kept();
            !(low..=high).contains(value)
        })
    }

    /// Reads a map of columns: the time where one is given, and the cells. A column that is unknown
    /// or comes twice is refused.
    ///
    /// # Errors
    /// Those of the deserializer.
    pub fn from_columns<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<(Option<f64>, Self), D::Error> {
        let row = deserializer.deserialize_map(Columns(&READING_COLUMNS))?;
        Ok((row.time_s, row.cells))
    }
}

impl fmt::Debug for Reading {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cells = self.iter().map(|(probe, value)| (probe.column(), value));
        formatter.debug_map().entries(cells).finish()
    }
}

/// A row of readings as a feeder sends it: at a run time, at a moment, or (with neither) now.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SentRow {
    /// Run time, s.
    pub time_s: Option<f64>,
    /// The moment in RFC 3339.
    pub at: Option<String>,
    /// The cells.
    pub cells: Reading,
}

impl<'de> Deserialize<'de> for SentRow {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(Columns(&SENT_COLUMNS))
    }
}

/// Reads those columns of a row: the time, every probe, and what may come after them.
struct Columns(&'static [&'static str]);

impl<'de> Visitor<'de> for Columns {
    type Value = SentRow;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a row of readings by column")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<SentRow, A::Error> {
        let mut row = SentRow::default();
        let mut had = [false; SENT_COLUMNS.len()];
        while let Some(column) = map.next_key::<String>()? {
            let place = self.0.iter().position(|known| *known == column);
            let place = place.ok_or_else(|| Error::unknown_field(&column, self.0))?;
            if std::mem::replace(&mut had[place], true) {
                return Err(Error::duplicate_field(self.0[place]));
            }
            match place.checked_sub(1) {
                None => row.time_s = map.next_value()?,
                Some(probe) if probe < Probe::COUNT => row.cells.0[probe] = map.next_value()?,
                Some(_) => row.at = map.next_value()?,
            }
        }
        Ok(row)
    }
}

#[cfg(test)]
mod tests {
    use still::plan::FORMAT_NEWEST;

    use super::{Probe, READING_COLUMNS, Reading, reading_columns};

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
                    pressure_hpa,ambient_c,vent_c,product_c,receiver_kg,column_c,pot_kpa,\
                    vapour_lel,room_co2_ppm";
        assert_eq!(READING_COLUMNS.join(","), kept);
        assert_eq!(reading_columns(1).join(","), kept.split(",receiver_kg").next().unwrap());
        assert_eq!(reading_columns(2), READING_COLUMNS);
    }

    #[test]
    fn prop_a_format_has_all_columns_of_the_ones_before_it_and_a_row_needs_its_newest() {
        assert!(Probe::ALL.is_sorted_by_key(|probe| probe.format()));
        assert_eq!(Probe::ALL.map(Probe::format).into_iter().max(), Some(FORMAT_NEWEST));
        for probe in Probe::ALL {
            let row = Reading::default().with(Probe::Head, 20.0).with(probe, 1.0);
            assert_eq!(row.format(), probe.format());
        }
        assert_eq!(Reading::default().format(), 1);
    }
}
