//! The probes: the one list of channels, what each can show and how fast it can move.

use still::plan::STATION_HPA;

/// Where a hot thermometer in vapour begins, °C: below it vapour may arrive and make it jump.
const HOT_C: f64 = 70.0;

/// How far a probe can move between two readings, by its place.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Moves {
    /// In the vapour: a cold one jumps when vapour arrives, a hot one moves with the whole column.
    Vapour,
    /// In a mass of liquid or air.
    Slowly,
    /// With the weather.
    Weather,
    /// A hand or the vapour can move it anywhere at once.
    Anywhere,
}

/// What is known of one probe before it is read.
struct About {
    column: &'static str,
    words: &'static str,
    unit: &'static str,
    possible: (f64, f64),
    kept: (f64, f64),
    moves: Moves,
    /// The first format of the run folder that has it.
    format: u32,
}

/// Bounds of a thermometer: what is kept in the record though a broken probe sent it, °C.
const KEPT_C: (f64, f64) = (-273.15, 1500.0);

macro_rules! probes {
    ($($name:ident, $column:literal, $words:literal, $unit:literal, $possible:expr, $kept:expr,
       $moves:ident, $format:literal;)+) => {
        /// One column of the readings.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Probe {
            $(#[doc = concat!("The ", $words, ", ", $unit, ".")] $name,)+
        }

        impl Probe {
            /// All of them, in the order of the file.
            pub const ALL: [Self; Self::COUNT] = [$(Self::$name),+];
            /// How many there are.
            pub const COUNT: usize = [$($column),+].len();

            const fn about(self) -> About {
                match self {
                    $(Self::$name => About {
                        column: $column, words: $words, unit: $unit,
                        possible: $possible, kept: $kept, moves: Moves::$moves,
                        format: $format,
                    },)+
                }
            }
        }
    };
}

/// What a barometer can show, hPa: where a plan may be, and what the weather moves it (judgement).
const BAROMETER_HPA: (f64, f64) = (STATION_HPA.0 - 30.0, STATION_HPA.1);

// Column, words, unit, what can be true at a still, what the record keeps, how it moves, since which
// format. The possible ranges are judgement: nothing at a still boils above 105 °C or freezes its
// coolant; a scale that was tared with a jar on it shows less than nothing without; no still is meant
// to hold pressure; a sensor of gas saturates above what it can tell; the air outdoors holds more than
// 400 ppm of CO2.
probes! {
    Head, "head_c", "head thermometer", "°C", (-30.0, 125.0), KEPT_C, Vapour, 1;
    Pot, "pot_c", "pot thermometer", "°C", (-30.0, 125.0), KEPT_C, Slowly, 1;
    CoolantIn, "coolant_in_c", "coolant inlet thermometer", "°C", (-30.0, 70.0), KEPT_C, Slowly, 1;
    CoolantOut, "coolant_out_c", "coolant outlet thermometer", "°C", (-30.0, 125.0), KEPT_C, Anywhere, 1;
    CoolantFlow, "coolant_l_per_min", "coolant flow meter", "L/min", (-0.2, 200.0), (0.0, 1000.0), Anywhere, 1;
    Heater, "heater_w", "heater power meter", "W", (-50.0, 8.0e6), (-1000.0, 8.0e6), Anywhere, 1;
    Pressure, "pressure_hpa", "barometer", "hPa", BAROMETER_HPA, (0.0, 2000.0), Weather, 1;
    Ambient, "ambient_c", "ambient thermometer", "°C", (-30.0, 70.0), KEPT_C, Slowly, 1;
    Vent, "vent_c", "vent thermometer", "°C", (-30.0, 125.0), KEPT_C, Vapour, 1;
    Product, "product_c", "spout thermometer", "°C", (-30.0, 125.0), KEPT_C, Vapour, 1;
    Receiver, "receiver_kg", "scale under the jar", "kg", (-50.0, 500.0), (-1000.0, 1000.0), Anywhere, 2;
    Column, "column_c", "column thermometer", "°C", (-30.0, 125.0), KEPT_C, Vapour, 2;
    PotPressure, "pot_kpa", "boiler pressure gauge", "kPa", (-110.0, 500.0), (-1000.0, 10_000.0), Anywhere, 2;
    VapourShare, "vapour_lel", "vapour sensor", "% LEL", (-10.0, 200.0), (-1000.0, 10_000.0), Anywhere, 2;
    RoomCo2, "room_co2_ppm", "CO2 sensor", "ppm", (200.0, 1.0e6), (-1000.0, 1.0e7), Anywhere, 2;
}

impl Probe {
    /// Column name, as `head_c`.
    #[must_use]
    pub const fn column(self) -> &'static str {
        self.about().column
    }

    /// In words, as "head thermometer".
    #[must_use]
    pub const fn words(self) -> &'static str {
        self.about().words
    }

    /// Unit of its values.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        self.about().unit
    }

    /// Least and most that can be true at a still.
    #[must_use]
    pub const fn possible(self) -> (f64, f64) {
        self.about().possible
    }

    /// Whether a value can be true at a still.
    #[must_use]
    pub fn is_possible(self, value: f64) -> bool {
        let (low, high) = self.possible();
        (low..=high).contains(&value)
    }

    /// Least and most that a record keeps: what a broken probe still sends lies inside.
    #[must_use]
    pub const fn kept(self) -> (f64, f64) {
        self.about().kept
    }

    /// The probe of a column.
    #[must_use]
    pub fn of_column(column: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|probe| probe.column() == column)
    }

    /// The first format of the run folder that has its column.
    #[must_use]
    pub const fn format(self) -> u32 {
        self.about().format
    }

    /// Whether it reads a temperature.
    #[must_use]
    pub fn is_thermometer(self) -> bool {
        self.unit() == "°C"
    }

    /// Whether it stands in what boils, and is hot then.
    #[must_use]
    pub const fn in_the_boil(self) -> bool {
        matches!(self, Self::Head | Self::Pot | Self::Column)
    }

    /// How far it can move from `from` between two readings `gap_s` apart, where it moved so fast
    /// before; none = anywhere. The figures are judgement: lags of 30 to 120 s, and a knee no steeper
    /// than a kelvin in 10 s. What lags the first vapour comes nearer by less in each width than in
    /// the one before (exponential), so it goes on no faster than it moved.
    #[must_use]
    pub fn reach(self, from: f64, gap_s: f64, before_per_s: f64) -> Option<f64> {
        match self.about().moves {
            Moves::Vapour if from < HOT_C => Some(20.0 + 1.5 * gap_s),
            Moves::Vapour => Some(4.0 + 0.1 * gap_s + before_per_s * gap_s),
            Moves::Slowly => Some(4.0 + 0.15 * gap_s),
            Moves::Weather => Some(5.0),
            Moves::Anywhere => None,
        }
    }
}
