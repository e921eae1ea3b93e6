//! The units that a channel can be read in.

use quantities::Unit;
use sense::Sensor;

/// The unit of a channel itself.
#[must_use]
pub fn own_unit(probe: impl Into<Sensor>) -> Unit {
    Unit::own(probe.into().unit())
}

/// The unit of that name, with or without a sign of degrees, where a channel can be read in it.
#[must_use]
pub(crate) fn unit_of(probe: Sensor, name: &str) -> Option<Unit> {
    Unit::named(probe.unit(), name.strip_prefix('°').unwrap_or(name))
}

/// Names of the units that a channel can be read in.
#[must_use]
pub(crate) fn unit_names(probe: Sensor) -> Vec<&'static str> {
    Unit::names(probe.unit())
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{own_unit, unit_names};

    #[test]
    fn prop_every_channel_has_units_and_its_own() {
        for probe in Probe::ALL {
            assert!(unit_names(probe.into()).len() >= 2, "{probe:?}");
            assert_eq!(own_unit(probe).convert(71.5), 71.5);
        }
    }
}
