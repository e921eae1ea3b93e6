//! What the meters of a run counted: energy through the heater, water through the condenser.

use crate::probe::Probe;
use crate::rows::RecordedRun;

/// Longest gap between two readings over which the meter is taken to have gone on as it was, s.
/// Judgement: longer than any feeder is quiet by itself; what lies in a longer gap is not counted.
const GAP_MAX_S: f64 = 300.0;
const S_PER_H: f64 = 3600.0;
const S_PER_MIN: f64 = 60.0;

/// What was counted; none where the meter sent nothing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Metered {
    /// Energy of the heater, kWh.
    pub energy_kwh: Option<f64>,
    /// Water of the condenser, L.
    pub water_l: Option<f64>,
}

impl RecordedRun {
    /// What its meters counted, by the mean of two neighbouring readings over the time between them.
    #[must_use]
    pub fn metered(&self) -> Metered {
        let energy_kwh = self.counted(Probe::Heater).map(|joule| joule / S_PER_H / 1000.0);
        let water_l = self.counted(Probe::CoolantFlow).map(|sum| sum / S_PER_MIN);
        Metered { energy_kwh, water_l }
    }

    /// The sum of a probe over time, in its unit times seconds; none of a probe that sent less than
    /// two readings. A meter that shows less than nothing counts as still.
    fn counted(&self, probe: Probe) -> Option<f64> {
        let mut rows: Vec<(f64, f64)> = self
            .readings
            .iter()
            .filter_map(|(time_s, row)| Some((*time_s, row.get(probe)?.max(0.0))))
            .collect();
        rows.sort_by(|a, b| a.0.total_cmp(&b.0));
        let pairs = rows.windows(2).filter(|pair| pair[1].0 - pair[0].0 <= GAP_MAX_S);
        let sums = pairs.map(|pair| (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1) / 2.0);
        (rows.len() > 1).then(|| sums.sum())
    }
}

#[cfg(test)]
mod tests {
    use super::{Metered, RecordedRun};
    use crate::{Probe, Reading};

    #[test]
    fn prop_an_hour_of_two_kilowatts_is_two_kilowatt_hours_and_a_gap_counts_nothing() {
        let row = |minute: i32| {
            let row = Reading::default().with(Probe::Heater, 2000.0);
            (f64::from(minute) * 60.0, row.with(Probe::CoolantFlow, 1.5))
        };
        let mut run = RecordedRun::default();
        assert_eq!(run.metered(), Metered::default());
        run.readings.extend((0..=60).map(row));
        run.readings.push(row(300));
        let Metered { energy_kwh, water_l } = run.metered();
        assert!((energy_kwh.unwrap() - 2.0).abs() < 1e-12, "{energy_kwh:?}");
        assert!((water_l.unwrap() - 90.0).abs() < 1e-12, "{water_l:?}");
    }
}
