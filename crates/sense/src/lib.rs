//! What a row of a run is, how far it can be trusted and why, for all who read one.
//!
//! Pure: run time is an argument, nothing here reads a clock, a file or a random source.

pub mod barometer;
mod begin;
mod cadence;
mod came_off;
pub mod coolant;
mod exchange;
mod head_and_jars;
mod input;
pub mod instrument;
pub mod jar;
mod lateness;
mod meters;
mod no_heat;
pub mod numbers;
mod probe;
mod quality;
mod reader;
mod reading;
mod refuse;
mod rows;
mod scale;
mod sensor;
mod series;
mod step;
mod still_stand;
mod timed;
mod unseen;
mod vapour;
mod vessel;

pub use barometer::Barometer;
pub use begin::acts_of_begin;
pub use cadence::Cadence;
pub use came_off::HOT_C;
pub use head_and_jars::{HeadLeftOut, JarHead, head_left_out};
pub use input::{Action, GaugedWith, JarRecord};
pub use instrument::{Correction, InForce, Instruments};
pub use lateness::Lateness;
pub use meters::Metered;
pub use probe::Probe;
pub use quality::{Context, HEATER_OFF_W, Quality, Reason, Seen};
pub use reader::{Channel, Reader};
pub use reading::{READING_COLUMNS, Reading, SentRow, reading_columns};
pub use refuse::{LastGood, impossible};
pub use rows::{Cursor, RecordedRun, Row, SecondRows};
pub use scale::{Anew, Scale, Weighed, expected_kg_per_s, litres_of_kg};
pub use sensor::{Sensor, WashProbe};
pub use series::{Raw, Series, column_series, series};
pub use timed::ValveTurn;
pub use unseen::{Idle, Unseen, under_vapour};
pub use vapour::VapourStrength;
pub use vessel::{Amount, GaugedVessel, Vessel, VesselRecord};
