//! The probes of a wash, and what a probe is to who hears it, at a still or in a wash.

use crate::probe::Probe;

/// What is known of a probe of a wash before it is read.
struct About {
    column: &'static str,
    words: &'static str,
    unit: &'static str,
    possible: (f64, f64),
    kept: (f64, f64),
}

/// One probe of a wash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WashProbe {
    /// A thermometer in the wash, °C.
    Temperature,
    /// A floating sensor's gravity, by its own calibration.
    Gravity,
    /// A probe of acidity.
    Ph,
    /// A scale under the fermenter, with the wash on it, kg.
    Weight,
}

impl WashProbe {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Temperature, Self::Gravity, Self::Ph, Self::Weight];

    /// The possible ranges are judgement: no yeast lives below freezing or above 60 °C; the heaviest
    /// must is below 1.2 and a wash of nothing but spirit above 0.97, a sensor that was hung askew
    /// beside both; juice is no stronger acid and no wash a base.
    const fn about(self) -> About {
        match self {
            Self::Temperature => About {
                column: "temperature_c",
                words: "thermometer of the wash",
                unit: "°C",
                possible: (-5.0, 60.0),
                kept: (-50.0, 150.0),
            },
            Self::Gravity => About {
                column: "gravity",
                words: "floating sensor",
                unit: "SG",
                possible: (0.95, 1.25),
                kept: (0.0, 10.0),
            },
            Self::Ph => About {
                column: "ph",
                words: "pH probe",
                unit: "pH",
                possible: (2.0, 9.0),
                kept: (0.0, 14.0),
            },
            Self::Weight => About {
                column: "weight_kg",
                words: "scale under the fermenter",
                unit: "kg",
                possible: (0.1, 20_000.0),
                kept: (-1000.0, 20_000.0),
            },
        }
    }
}

/// A probe that a source can speak for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sensor {
    /// At a still.
    Still(Probe),
    /// In a wash.
    Wash(WashProbe),
}

impl From<Probe> for Sensor {
    fn from(probe: Probe) -> Self {
        Self::Still(probe)
    }
}

impl From<WashProbe> for Sensor {
    fn from(probe: WashProbe) -> Self {
        Self::Wash(probe)
    }
}

impl Sensor {
    /// Column name, as `head_c`.
    #[must_use]
    pub const fn column(self) -> &'static str {
        match self {
            Self::Still(probe) => probe.column(),
            Self::Wash(probe) => probe.about().column,
        }
    }

    /// In words, as "head thermometer".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Still(probe) => probe.words(),
            Self::Wash(probe) => probe.about().words,
        }
    }

    /// Unit of its values.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Still(probe) => probe.unit(),
            Self::Wash(probe) => probe.about().unit,
        }
    }

    /// Least and most that can be true.
    #[must_use]
    pub const fn possible(self) -> (f64, f64) {
        match self {
            Self::Still(probe) => probe.possible(),
            Self::Wash(probe) => probe.about().possible,
        }
    }

    /// Least and most that is a number of such a probe, sound or broken.
    #[must_use]
    pub const fn kept(self) -> (f64, f64) {
        match self {
            Self::Still(probe) => probe.kept(),
            Self::Wash(probe) => probe.about().kept,
        }
    }

    /// Whether it reads a temperature.
    #[must_use]
    pub fn is_thermometer(self) -> bool {
        self.unit() == "°C"
    }
}

#[cfg(test)]
mod tests {
    use super::{Probe, Sensor, WashProbe};
    use crate::{Reason, impossible};

    #[test]
    fn columns_of_still_and_wash_are_told_apart() {
        for wash in WashProbe::ALL.map(Sensor::from) {
            assert_eq!(Probe::of_column(wash.column()), None, "{wash:?}");
            let ((low, high), (least, most)) = (wash.possible(), wash.kept());
            assert!(least <= low && low < high && high <= most, "{wash:?}");
        }
    }

    #[test]
    fn what_a_wash_cannot_be_is_told() {
        let of = |probe: WashProbe, value| impossible(probe, 0.0, value, None);
        assert_eq!(of(WashProbe::Temperature, 85.0), Some(Reason::Sentinel(85.0)));
        assert_eq!(of(WashProbe::Temperature, 70.0), Some(Reason::OutOfRange(70.0)));
        assert_eq!(of(WashProbe::Gravity, 50.0), Some(Reason::OutOfRange(50.0)));
        assert_eq!(of(WashProbe::Ph, f64::NAN), Some(Reason::NotANumber));
        assert_eq!(of(WashProbe::Gravity, 0.991), None);
    }
}
