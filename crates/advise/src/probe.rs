//! The probes: what each can show, how fast it can move, and what can be wrong with a reading.

/// One column of the readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Probe {
    Head,
    Pot,
    CoolantIn,
    CoolantOut,
    CoolantFlow,
    Heater,
    Pressure,
    Ambient,
    Vent,
    Product,
}

impl Probe {
    /// All of them, in the order of the file.
    pub(super) const ALL: [Self; 10] = [
        Self::Head,
        Self::Pot,
        Self::CoolantIn,
        Self::CoolantOut,
        Self::CoolantFlow,
        Self::Heater,
        Self::Pressure,
        Self::Ambient,
        Self::Vent,
        Self::Product,
    ];

    /// Column name.
    pub(super) const fn column(self) -> &'static str {
        match self {
            Self::Head => "head_c",
            Self::Pot => "pot_c",
            Self::CoolantIn => "coolant_in_c",
            Self::CoolantOut => "coolant_out_c",
            Self::CoolantFlow => "coolant_l_per_min",
            Self::Heater => "heater_w",
            Self::Pressure => "pressure_hpa",
            Self::Ambient => "ambient_c",
            Self::Vent => "vent_c",
            Self::Product => "product_c",
        }
    }

    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Head => "head thermometer",
            Self::Pot => "pot thermometer",
            Self::CoolantIn => "coolant inlet thermometer",
            Self::CoolantOut => "coolant outlet thermometer",
            Self::CoolantFlow => "coolant flow meter",
            Self::Heater => "heater power meter",
            Self::Pressure => "barometer",
            Self::Ambient => "ambient thermometer",
            Self::Vent => "vent thermometer",
            Self::Product => "spout thermometer",
        }
    }

    /// What it can show at all.
    pub(super) const fn possible(self) -> (f64, f64) {
        match self {
            Self::CoolantFlow => (-0.2, 200.0),
            Self::Heater => (-50.0, 100_000.0),
            Self::Pressure => (600.0, 1100.0),
            Self::CoolantIn | Self::Ambient => (-30.0, 70.0),
            _ => (-30.0, 125.0),
        }
    }

    pub(super) const fn is_thermometer(self) -> bool {
        !matches!(self, Self::CoolantFlow | Self::Heater | Self::Pressure)
    }

    /// How far it can move between two readings `gap_s` apart; none = anywhere.
    pub(super) fn reach(self, from: f64, gap_s: f64) -> Option<f64> {
        match self {
            // A cold head jumps when vapour arrives; a hot one only moves with the whole column.
            Self::Head | Self::Vent | Self::Product if from < 70.0 => Some(20.0 + 1.5 * gap_s),
            Self::Head | Self::Vent | Self::Product => Some(4.0 + 0.1 * gap_s),
            Self::Pot | Self::Ambient | Self::CoolantIn => Some(4.0 + 0.15 * gap_s),
            Self::Pressure => Some(5.0),
            // These jump when vapour arrives or a hand turns a knob.
            Self::CoolantOut | Self::CoolantFlow | Self::Heater => None,
        }
    }
}

/// Why a reading was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fault {
    /// Not a number.
    NotANumber,
    /// A value that broken probes send.
    Sentinel(f64),
    /// Out of what there can be.
    OutOfRange(f64),
    /// It jumped and came back.
    Spike(f64),
}

impl Fault {
    /// In words.
    pub(super) fn words(self) -> String {
        match self {
            Self::NotANumber => "sent no number".to_owned(),
            Self::Sentinel(value) => format!("sent {value}, the sign of a broken probe or cable"),
            Self::OutOfRange(value) => format!("shows {value:.1}, which cannot be"),
            Self::Spike(value) => format!("jumped to {value:.1} and back"),
        }
    }
}
