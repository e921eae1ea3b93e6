//! Instruments: what one showed at points that are known, and its readings with that put right.
//!
//! The record keeps what an instrument sent. What is reckoned with is that and the correction of the
//! calibration in force at the reading's time, by one rule.

use quantities::Pressure;
use still::plan::STATION_HPA;

use crate::probe::Probe;
use crate::reading::Reading;

/// Water and ice stand at this, °C: definition, to a few mK at any pressure of the air.
const ICE_C: f64 = 0.0;
/// What an instrument may be off by at most: so many K, or that share of what can be true (judgement;
/// an instrument that is worse is broken).
const OFF_MOST_K: f64 = 15.0;
const OFF_MOST_SHARE: f64 = 0.2;
/// Points nearer to each other than this share of what can be true tell one correction, not two.
const APART_SHARE: f64 = 0.005;
/// Most points of a calibration.
pub const POINTS_MAX: usize = 8;

/// What an instrument is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// Ice that melts in water.
    IcePoint,
    /// Steam over boiling water at this pressure of the place, hPa.
    SteamPoint {
        /// Not reduced to sea level.
        pressure_hpa: f64,
    },
    /// Another instrument that is trusted shows this.
    Reference {
        /// In the channel's unit.
        truth: f64,
    },
    /// What the fits to runs learned: it shows so much too much.
    Learned {
        /// In the channel's unit.
        too_high: f64,
    },
}

/// What a calibration point cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PointFault {
    /// A number that cannot be.
    #[error("{field} = {value}: must lie from {low} to {high}")]
    Range {
        /// Which.
        field: &'static str,
        /// What stood there.
        value: f64,
        /// Least.
        low: f64,
        /// Most.
        high: f64,
    },
    /// Ice and steam are for thermometers.
    #[error("{channel}: has no ice point and no steam point")]
    NoThermometer {
        /// The channel.
        channel: &'static str,
    },
    /// Two points at one place, or too many.
    #[error("points: must be 1 to 8, each at another place of the scale")]
    Points,
}

impl Against {
    /// What is true where an instrument of that channel is held against it and shows `shown`.
    ///
    /// # Errors
    /// [`PointFault`] for a number that cannot be, and for ice and steam where no temperature is read.
    pub fn truth(self, probe: Probe, shown: f64) -> Result<f64, PointFault> {
        let (low, high) = probe.possible();
        within("shown", shown, low, high)?;
        let fixed = matches!(self, Self::IcePoint | Self::SteamPoint { .. });
        if fixed && !probe.is_thermometer() {
            return Err(PointFault::NoThermometer { channel: probe.column() });
        }
        let truth = match self {
            Self::IcePoint => ICE_C,
            Self::SteamPoint { pressure_hpa } => {
                within("pressure_hpa", pressure_hpa, STATION_HPA.0, STATION_HPA.1)?;
                steam_c(pressure_hpa).unwrap_or(f64::NAN)
            }
            Self::Reference { truth } => truth,
            Self::Learned { too_high } => shown - too_high,
        };
        let off = if probe.is_thermometer() { OFF_MOST_K } else { OFF_MOST_SHARE * (high - low) };
        within("shown", shown, truth - off, truth + off)?;
        within("truth", truth, low, high)?;
        Ok(truth)
    }
}

/// At what water boils, °C.
#[must_use]
pub fn steam_c(pressure_hpa: f64) -> Option<f64> {
    let pressure = Pressure::from_hectopascals(pressure_hpa).ok()?;
    let boiling = thermo::ethanol_water::boiling_point(0.0, pressure.pascals()).ok()?;
    Some(boiling.0 - 273.15)
}

fn within(field: &'static str, value: f64, low: f64, high: f64) -> Result<(), PointFault> {
    if value >= low && value <= high {
        return Ok(());
    }
    Err(PointFault::Range { field, value, low, high })
}

/// What it shows and what is true there, by what it shows: between two points as between them, beyond
/// them as at the nearest.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Correction(Vec<(f64, f64)>);

impl Correction {
    /// Of points as (shown, true).
    ///
    /// # Errors
    /// [`PointFault`] for no points, too many, two at one place, or a number that cannot be.
    pub fn of(probe: Probe, mut points: Vec<(f64, f64)>) -> Result<Self, PointFault> {
        for (shown, truth) in &points {
            Against::Reference { truth: *truth }.truth(probe, *shown)?;
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (low, high) = probe.possible();
        let apart = APART_SHARE * (high - low);
        let near = points.windows(2).any(|pair| pair[1].0 - pair[0].0 < apart);
        if points.is_empty() || points.len() > POINTS_MAX || near {
            return Err(PointFault::Points);
        }
        Ok(Self(points))
    }

    /// Its points as (shown, true).
    #[must_use]
    pub fn points(&self) -> &[(f64, f64)] {
        &self.0
    }

    /// What is to be added to what it shows.
    #[must_use]
    pub fn at(&self, shown: f64) -> f64 {
        let off = |point: &(f64, f64)| point.1 - point.0;
        let after = self.0.partition_point(|point| point.0 <= shown);
        match (after.checked_sub(1).and_then(|place| self.0.get(place)), self.0.get(after)) {
            (Some(a), Some(b)) => {
                let share = (shown - a.0) / (b.0 - a.0);
                off(a) + share * (off(b) - off(a))
            }
            (Some(one), None) | (None, Some(one)) => off(one),
            (None, None) => 0.0,
        }
    }
}

/// An instrument that reads a channel of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct InForce {
    /// What it is called.
    pub name: String,
    /// What it reads.
    pub probe: Probe,
    /// What is put right; nothing where it was never calibrated.
    pub correction: Correction,
    /// Whether it should have been calibrated again before.
    pub overdue: bool,
}

/// The instruments of a run, from which run time on each list of them was in force.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Instruments(Vec<(f64, Vec<InForce>)>);

impl Instruments {
    /// From that run time on these are in force.
    pub fn put(&mut self, from_s: f64, list: Vec<InForce>) {
        self.0.retain(|(before_s, _)| *before_s < from_s);
        self.0.push((from_s, list));
    }

    /// Those in force at a run time; before the first list there are none.
    #[must_use]
    pub fn at(&self, time_s: f64) -> &[InForce] {
        let place = self.0.partition_point(|(from_s, _)| *from_s <= time_s);
        place.checked_sub(1).map_or(&[], |place| &self.0[place].1)
    }

    /// From which run time on which were in force.
    #[must_use]
    pub fn lists(&self) -> &[(f64, Vec<InForce>)] {
        &self.0
    }

    /// Those in force last.
    #[must_use]
    pub fn last(&self) -> &[InForce] {
        self.0.last().map_or(&[], |(_, list)| list)
    }

    /// The one that reads a channel at a run time.
    #[must_use]
    pub fn of(&self, probe: Probe, time_s: f64) -> Option<&InForce> {
        self.at(time_s).iter().find(|one| one.probe == probe)
    }

    /// Those that were overdue at any time, each once.
    pub fn overdue(&self) -> impl Iterator<Item = &InForce> {
        let all: Vec<&InForce> = self.0.iter().flat_map(|(_, list)| list).collect();
        let first = |place: usize| {
            let one = all[place];
            let same = |other: &&InForce| other.probe == one.probe && other.name == one.name;
            one.overdue && !all[..place].iter().any(|other| same(other) && other.overdue)
        };
        let places: Vec<usize> = (0..all.len()).filter(|place| first(*place)).collect();
        places.into_iter().map(move |place| all[place])
    }

    /// A row as it is reckoned with. The signs of a broken probe stay what they are.
    #[must_use]
    pub fn corrected(&self, time_s: f64, row: &Reading) -> Reading {
        let mut right = *row;
        for one in self.at(time_s) {
            let sent = row.get(one.probe).filter(|value| one.probe.is_possible(*value));
            let sent = sent.filter(|value| !crate::refuse::is_sentinel(one.probe, *value));
            if let Some(shown) = sent {
                right.set(one.probe, Some(shown + one.correction.at(shown)));
            }
        }
        right
    }
}

#[cfg(test)]
mod tests {
    use super::{Against, Correction, InForce, Instruments, PointFault, Probe, Reading, steam_c};

    #[test]
    fn the_steam_point_goes_by_the_pressure() {
        // Steam tables (IAPWS), from memory: 100.0 °C at 1014.2 hPa, 99.61 at 1000, 95.0 at 846.1.
        for (hpa, celsius) in [(1014.2, 100.0), (1000.0, 99.61), (846.1, 95.0)] {
            assert!((steam_c(hpa).unwrap() - celsius).abs() < 0.06, "{hpa} {:?}", steam_c(hpa));
        }
        let truth = |hpa| Against::SteamPoint { pressure_hpa: hpa }.truth(Probe::Head, 99.0);
        assert!(truth(950.0).unwrap() < truth(1000.0).unwrap());
        assert!(matches!(truth(95.0), Err(PointFault::Range { field: "pressure_hpa", .. })));
        let pressure = Against::IcePoint.truth(Probe::Pressure, 1000.0);
        assert!(matches!(pressure, Err(PointFault::NoThermometer { .. })));
        assert!(Against::IcePoint.truth(Probe::Head, 40.0).is_err(), "that is no ice");
        let learned = Against::Learned { too_high: 0.4 }.truth(Probe::Head, 78.7).unwrap();
        assert!((learned - 78.3).abs() < 1e-9);
    }

    #[test]
    fn between_two_points_the_correction_goes_over_and_beyond_them_it_stays() {
        let two = Correction::of(Probe::Head, vec![(100.5, 100.0), (0.1, 0.0)]).unwrap();
        assert!((two.at(-5.0) + 0.1).abs() < 1e-12 && (two.at(110.0) + 0.5).abs() < 1e-12);
        assert!((two.at(50.3) + 0.3).abs() < 1e-9, "half-way {}", two.at(50.3));
        let none = Correction::default();
        assert!(none.at(78.3).abs() < 1e-12);
        let refused = |points| Correction::of(Probe::Head, points).is_err();
        assert!(refused(vec![]) && refused(vec![(1.0, 0.0), (1.1, 0.0)]));
        assert!(refused((0..9).map(|i| (10.0 * f64::from(i), 10.0 * f64::from(i))).collect()));
        assert!(refused(vec![(f64::NAN, 0.0)]) && refused(vec![(80.0, 20.0)]));
    }

    #[test]
    fn a_reading_is_put_right_by_what_was_in_force_at_its_time_and_a_broken_probe_stays_one() {
        let head = |by: f64| InForce {
            name: "long probe".into(),
            probe: Probe::Head,
            correction: Correction::of(Probe::Head, vec![(78.0, 78.0 + by)]).unwrap(),
            overdue: false,
        };
        let mut all = Instruments::default();
        let row = Reading::default().with(Probe::Head, 78.0).with(Probe::Pot, 92.0);
        assert_eq!(all.corrected(5.0, &row), row);
        all.put(10.0, vec![head(0.5)]);
        all.put(20.0, vec![head(-0.5)]);
        let shown = |time_s| all.corrected(time_s, &row).get(Probe::Head).unwrap();
        assert_eq!([9.0, 10.0, 19.9, 20.0].map(shown), [78.0, 78.5, 78.5, 77.5]);
        assert_eq!(all.corrected(20.0, &row).get(Probe::Pot), Some(92.0));
        for broken in [85.0, -127.0] {
            let row = Reading::default().with(Probe::Head, broken);
            assert_eq!(all.corrected(20.0, &row), row);
        }
        all.put(15.0, Vec::new());
        assert!(all.last().is_empty() && all.of(Probe::Head, 30.0).is_none());
    }
}
