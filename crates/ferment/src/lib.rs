//! A fermenting wash: its recipe and log, a mechanistic model of it, and the forecast of its end.
//!
//! [`forecast`] weighs some hundred possible washes, drawn from beliefs about the recipe, against
//! every reading up to a moment, and carries those that fit on to their rest. Everything follows
//! from its arguments: the same recipe, log and moment give the same forecast.

mod belief;
mod chance;
mod course;
mod doubt;
mod forecast;
mod kinetics;
mod likelihood;
mod liquid;
mod log;
mod outlook;
mod problem;
mod recipe;
mod sampler;
mod temperature;

pub use doubt::Doubted;
pub use forecast::{Forecast, Quantiles, State, forecast};
pub use log::{Act, ActKind, FloatReading, Glass, Log};
pub use recipe::{
    Buffer, Fermentable, Kind, Material, Nutrient, Reading, Recipe, RecipeError, Room, Yeast,
    YeastKind,
};
