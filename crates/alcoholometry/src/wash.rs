//! The wash: from kilograms of sugar to gravity, strength, carbon dioxide and pure alcohol.
//!
//! `litres` is the wash at 20 °C before fermentation, sugar included. Strength is of the fermented
//! wash with its carbon dioxide gone.

pub mod balling;
pub mod forecast;
pub mod gravity;
pub mod sugar;

pub use forecast::{
    Sugar, WashForecast, WashInput, forecast, sugar_for_alcohol, sugar_for_strength,
};
pub use sugar::SugarKind;
