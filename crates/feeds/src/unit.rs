//! The units a source may count in, and how they become the channel's own.

use sense::Probe;

/// A unit as the file names it: `value = (raw - zero) * factor`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    name: &'static str,
    of: &'static str,
    zero: f64,
    factor: f64,
}

const fn unit(name: &'static str, of: &'static str, zero: f64, factor: f64) -> Unit {
    Unit { name, of, zero, factor }
}

/// Lower explosive limit of ethanol in air, % vol (NIOSH Pocket Guide to Chemical Hazards; from
/// memory).
const LEL_VOL: f64 = 3.3;

/// All of them, by the unit of the channel. Definitions: °F, K, US gallon (3.785 411 784 L). The
/// conventional inch and millimetre of mercury, the millimetre of water and the pound of force per
/// square inch are NIST SP 811, appendix B.8 (from memory).
const UNITS: [Unit; 29] = [
    unit("C", "°C", 0.0, 1.0),
    unit("F", "°C", 32.0, 5.0 / 9.0),
    unit("K", "°C", 273.15, 1.0),
    unit("hPa", "hPa", 0.0, 1.0),
    unit("mbar", "hPa", 0.0, 1.0),
    unit("Pa", "hPa", 0.0, 0.01),
    unit("kPa", "hPa", 0.0, 10.0),
    unit("inHg", "hPa", 0.0, 33.86389),
    unit("mmHg", "hPa", 0.0, 1.333224),
    unit("L/min", "L/min", 0.0, 1.0),
    unit("mL/min", "L/min", 0.0, 0.001),
    unit("L/h", "L/min", 0.0, 1.0 / 60.0),
    unit("US gal/min", "L/min", 0.0, 3.785411784),
    unit("W", "W", 0.0, 1.0),
    unit("kW", "W", 0.0, 1000.0),
    unit("kg", "kg", 0.0, 1.0),
    unit("g", "kg", 0.0, 0.001),
    unit("lb", "kg", 0.0, 0.45359237),
    unit("oz", "kg", 0.0, 0.45359237 / 16.0),
    unit("kPa", "kPa", 0.0, 1.0),
    unit("Pa", "kPa", 0.0, 0.001),
    unit("mbar", "kPa", 0.0, 0.1),
    unit("mmH2O", "kPa", 0.0, 0.00980665),
    unit("psi", "kPa", 0.0, 6.894757),
    unit("% LEL", "% LEL", 0.0, 1.0),
    unit("ppm", "% LEL", 0.0, 0.01 / LEL_VOL),
    unit("% vol", "% LEL", 0.0, 100.0 / LEL_VOL),
    unit("ppm", "ppm", 0.0, 1.0),
    unit("% vol", "ppm", 0.0, 10_000.0),
];

impl Unit {
    /// The unit of a channel itself.
    #[must_use]
    pub fn own(probe: Probe) -> Self {
        unit(probe.unit(), probe.unit(), 0.0, 1.0)
    }

    /// The unit of that name, where a channel can be read in it.
    #[must_use]
    pub fn of(probe: Probe, name: &str) -> Option<Self> {
        UNITS.into_iter().find(|unit| unit.of == probe.unit() && unit.name == name)
    }

    /// Names of the units that a channel can be read in.
    #[must_use]
    pub fn names(probe: Probe) -> Vec<&'static str> {
        let of = UNITS.iter().filter(|unit| unit.of == probe.unit());
        of.map(|unit| unit.name).collect()
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.name
    }

    /// In the unit of the channel.
    #[must_use]
    pub fn convert(self, raw: f64) -> f64 {
        (raw - self.zero) * self.factor
    }
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::Unit;

    #[test]
    fn val_units_become_the_channels_own() {
        // The boiling point of water, one standard atmosphere (29.92125 inHg, 760 mmHg), one gallon.
        let table = [
            (Probe::Head, "F", 212.0, 100.0),
            (Probe::Head, "F", -40.0, -40.0),
            (Probe::Pot, "K", 373.15, 100.0),
            (Probe::Pressure, "inHg", 29.92125, 1013.25),
            (Probe::Pressure, "mmHg", 760.0, 1013.25),
            (Probe::Pressure, "kPa", 101.325, 1013.25),
            (Probe::CoolantFlow, "US gal/min", 1.0, 3.785411784),
            (Probe::CoolantFlow, "L/h", 90.0, 1.5),
            (Probe::Heater, "kW", 2.2, 2200.0),
            (Probe::Receiver, "g", 812.0, 0.812),
            (Probe::Receiver, "lb", 2.0, 0.90718474),
            (Probe::Receiver, "oz", 16.0, 0.45359237),
            (Probe::PotPressure, "psi", 1.0, 6.894757),
            (Probe::PotPressure, "mbar", 15.0, 1.5),
            (Probe::PotPressure, "mmH2O", 100.0, 0.980665),
            (Probe::VapourShare, "ppm", 3300.0, 10.0),
            (Probe::VapourShare, "% vol", 3.3, 100.0),
            (Probe::RoomCo2, "% vol", 0.5, 5000.0),
        ];
        for (probe, name, raw, value) in table {
            let unit = Unit::of(probe, name).expect(name);
            assert!(
                (unit.convert(raw) - value).abs() < 1e-3,
                "{raw} {name}: {}",
                unit.convert(raw)
            );
        }
        assert!(Unit::of(Probe::Head, "inHg").is_none());
    }

    #[test]
    fn prop_every_channel_has_units_and_its_own() {
        for probe in Probe::ALL {
            assert!(Unit::names(probe).len() >= 2, "{probe:?}");
            assert_eq!(Unit::own(probe).convert(71.5), 71.5);
        }
    }
}
