//! The log of a wash: what was read and done, hours from pitching the yeast.

/// One row a person read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Glass {
    /// Hours from pitching.
    pub time_h: f64,
    /// Specific gravity as read, at the temperature of the sample.
    pub gravity: Option<f64>,
    /// Temperature of the sample, °C.
    pub temperature_c: Option<f64>,
    /// Fermenter and wash, kg.
    pub weight_kg: Option<f64>,
    /// Acidity.
    pub ph: Option<f64>,
    /// The sample was cooled: its temperature is not that of the wash.
    pub cooled: bool,
}

/// One row of a floating sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatReading {
    /// Hours from pitching.
    pub time_h: f64,
    /// Gravity by the sensor's own calibration.
    pub gravity: Option<f64>,
    /// Temperature of the wash, °C.
    pub temperature_c: Option<f64>,
}

/// What a person did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ActKind {
    /// The first yeast.
    Pitch,
    /// A dose of nutrient, grams.
    Nutrient,
    /// The heater set, °C.
    Heater,
    /// Chalk or shell grit, grams.
    Chalk,
    /// More yeast, grams.
    Yeast,
    /// The vessel moved.
    Moved,
}

/// One act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Act {
    /// Hours from pitching.
    pub time_h: f64,
    /// What.
    pub kind: ActKind,
    /// How much, in the unit of its kind; 0 where nothing was said.
    pub value: f64,
}

/// Everything that was read and done up to a moment, each list in the order of time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Log {
    /// Rows a person read.
    pub glass: Vec<Glass>,
    /// Rows of the floating sensor.
    pub float: Vec<FloatReading>,
    /// Acts.
    pub acts: Vec<Act>,
}
