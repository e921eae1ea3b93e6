//! Liquid of a run that stands in no jar, as a person measures it: residue, feints, samples.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use alcoholometry::{kernel, volume};

/// Strength by which a liquid is brought to 20 °C that nothing else is known of, % vol (judgement:
/// what a boiler holds at the end is nearly water, and so is what changes of its volume).
const PRESUMED_VOL: f64 = 3.0;
/// Temperatures at which liquid is gauged, °C.
const GAUGED_C: (f64, f64) = (-20.0, 40.0);
/// From litres of an alcoholometer's tables to those of hot liquid: what is over the tables is
/// brought to 40 °C as water shrinks, relative per kelvin (992.2 kg/m3 at 40 °C, 961.9 at 95 °C in
/// any handbook).
const SHRINKS_PER_K: f64 = 5.6e-4;

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Vessel {
    /// What stayed in the boiler, measured after the end.
    Residue,
    /// Feints gathered outside the jars.
    Feints,
    /// A sample that was drawn and not put back.
    Sample,
}

impl Vessel {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Residue, Self::Feints, Self::Sample];

    /// The word in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Residue => "residue",
            Self::Feints => "feints",
            Self::Sample => "sample",
        }
    }

    /// The vessel of a word.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|vessel| vessel.name() == name)
    }
}

/// How much of it there was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// By a jug or a dipstick, at the temperature it was gauged at.
    Litres(f64),
    /// By a scale, the vessel taken off.
    Kilograms(f64),
}

/// A liquid as a person measured it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VesselRecord {
    /// Which.
    pub vessel: Vessel,
    /// How much.
    pub amount: Amount,
    /// Reading of a 20 °C glass alcoholometer, % vol; none where it was not read.
    pub apparent_vol: Option<f64>,
    /// Temperature of the liquid, °C.
    pub celsius: Option<f64>,
}

/// A liquid as gauged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugedVessel {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// True strength, % vol at 20 °C; none where it was not read at a known temperature.
    pub strength_vol: Option<f64>,
}

impl VesselRecord {
    /// As gauged; `reckoned_vol` is its strength where the glass was not read.
    #[must_use]
    pub fn gauged(&self, reckoned_vol: Option<f64>) -> GaugedVessel {
        let read = self.apparent_vol.zip(self.celsius);
        let strength_vol = read.and_then(|(vol, c)| {
            gauge(GaugeInput::new(vol, c, Scale::Vol20)).ok().map(|found| found.strength_vol_20c)
        });
        let by_vol = strength_vol.or(reckoned_vol).unwrap_or(PRESUMED_VOL).clamp(0.0, 99.0);
        let mass_fraction = kernel::mass_fraction_from_vol20(by_vol / 100.0);
        let litres_20c = match self.amount {
            Amount::Kilograms(kg) => crate::scale::litres_of_kg(kg, by_vol),
            Amount::Litres(litres) => {
                let celsius = self.celsius.unwrap_or(20.0);
                let within = celsius.clamp(GAUGED_C.0, GAUGED_C.1);
                let hot = 1.0 - SHRINKS_PER_K * (celsius - within).max(0.0);
                hot * volume::litres_20c(litres, within, mass_fraction)
            }
        };
        GaugedVessel { litres_20c, strength_vol }
    }
}

#[cfg(test)]
mod tests {
    use super::{Amount, Vessel, VesselRecord};

    fn record(amount: Amount, apparent_vol: Option<f64>, celsius: Option<f64>) -> VesselRecord {
        VesselRecord { vessel: Vessel::Residue, amount, apparent_vol, celsius }
    }

    #[test]
    fn prop_a_residue_weighed_and_one_measured_are_the_same_liquid() {
        // 1 L of 5 % vol at 20 °C is 0.991 06 kg (OIML R 22, table IIIb).
        let by_jug = record(Amount::Litres(1.0), Some(5.0), Some(20.0)).gauged(None);
        let by_scale = record(Amount::Kilograms(0.991_06), Some(5.0), Some(20.0)).gauged(None);
        assert!((by_jug.litres_20c - 1.0).abs() < 1e-6, "{by_jug:?}");
        assert!((by_scale.litres_20c - 1.0).abs() < 5e-4, "{by_scale:?}");
        assert_eq!(by_jug.strength_vol, by_scale.strength_vol);
    }

    #[test]
    fn val_a_hot_residue_shrinks_as_water_does() {
        // Density of water, kg/m3, at 20 and at 95 °C: 998.2 and 961.9 (any handbook).
        let hot = record(Amount::Litres(10.0), None, Some(95.0)).gauged(Some(0.0)).litres_20c;
        assert!((hot / (10.0 * 961.9 / 998.2) - 1.0).abs() < 0.004, "{hot}");
    }

    #[test]
    fn a_residue_that_was_not_read_tells_litres_and_no_strength() {
        let weighed = record(Amount::Kilograms(20.0), None, None).gauged(None);
        assert!(weighed.strength_vol.is_none() && weighed.litres_20c > 20.0, "{weighed:?}");
        let without = record(Amount::Litres(2.0), Some(4.0), None).gauged(None);
        assert_eq!(without.strength_vol, None, "10 K are 3 % vol");
    }

    #[test]
    fn every_word_has_its_vessel() {
        for vessel in Vessel::ALL {
            assert_eq!(Vessel::from_name(vessel.name()), Some(vessel));
        }
    }
}
