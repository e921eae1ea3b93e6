//! A fermenting wash: its recipe and log, a mechanistic model of it, and the forecast of its end.
//!
//! [`forecast`] weighs some hundred possible washes, drawn from beliefs about the recipe, against
//! every reading up to a moment, and carries those that fit on to their rest. Everything follows
//! from its arguments: the same recipe, log and moment give the same forecast.

mod belief;
mod chance;
mod charge;
mod course;
mod doubt;
mod events;
mod finished;
mod forecast;
mod gas;
mod kinetics;
mod likelihood;
mod liquid;
mod log;
mod misses;
mod outlook;
mod planned;
mod problem;
mod recipe;
mod sampler;
mod steps;
mod temperature;
mod told;
mod wash;

pub use charge::Charge;
pub use doubt::Doubted;
pub use finished::{Condition, Tasted, finished};
pub use forecast::{Ahead, Forecast, State, forecast};
pub use gas::{Gas, RoomGas};
pub use log::{Act, ActKind, FloatReading, Glass, Log};
pub use planned::Planned;
pub use problem::at_glass_temperature;
pub use recipe::{
    Buffer, Fermentable, Kind, Material, Nutrient, Reading, Recipe, RecipeError, Room, Yeast,
    YeastKind,
};
pub use told::{Caution, Settling, cautions, reasons, settling};
