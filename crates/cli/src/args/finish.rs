//! Options of the commands that finish a spirit: carbon, macerate, cask, bottle.

use std::str::FromStr;

use clap::{ArgGroup, Args};

use alcoholometry::typed::Typed;

use super::{
    BookedArgs, PlacesArgs, celsius_kept, kilograms_kept, litres_kept, number, strength_kept,
};

/// Options of `middlecut carbon`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: 10 L of 40 % vol through a bed 40 mm wide and 1.5 m high, 2 L of water after it\n  middlecut carbon --litres 10 --vol 40 --diameter 40 --height 1.5 --flow 2 --rinse 2\nThe same, and into the book\n  middlecut carbon --litres 10 --vol 40 --diameter 40 --height 1.5 --flow 2 --rinse 2 --enter --out-of tank:T1/H1 --into tank:T2/C1 --by Ada\n"
)]
pub(crate) struct CarbonArgs {
    /// Litres of spirit at 20 °C.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Typed,
    /// Its strength, % vol.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) vol: Typed,
    /// Inner width of the bed, mm; without a bed, carbon is stirred in.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true, requires_all = ["height", "flow"])]
    pub(crate) diameter: Option<f64>,
    /// Height of the carbon in it, m.
    #[arg(long, value_name = "M", value_parser = number, allow_hyphen_values = true, requires = "diameter")]
    pub(crate) height: Option<f64>,
    /// How fast the spirit runs through, L/h.
    #[arg(long, value_name = "L_H", value_parser = number, allow_hyphen_values = true, requires = "diameter")]
    pub(crate) flow: Option<f64>,
    /// Water pushed through after it, L.
    #[arg(long, value_name = "L", value_parser = number, allow_hyphen_values = true, default_value = "0", requires = "diameter")]
    pub(crate) rinse: f64,
    /// With --enter: the bed that keeps what stays in it; lost where not given.
    #[arg(long, value_name = "NAME", requires = "enter")]
    pub(crate) bed: Option<String>,
    /// Into the book, by whom and when.
    #[command(flatten)]
    pub(crate) book: BookedArgs,
    /// Between which places.
    #[command(flatten)]
    pub(crate) places: PlacesArgs,
}

/// Options of `middlecut macerate`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: 2 kg of fresh fruit in 5 L of 60 % vol, 30 g/L of sugar in the end\n  middlecut macerate --litres 5 --vol 60 --solids 2 --water 85 --extract 30\n"
)]
pub(crate) struct MacerateArgs {
    /// Litres of spirit at 20 °C.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Typed,
    /// Its strength, % vol.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) vol: Typed,
    /// Botanicals or fruit, kg.
    #[arg(long, value_name = "KG", value_parser = kilograms_kept, allow_hyphen_values = true)]
    pub(crate) solids: Typed,
    /// Water in them, per cent of their weight.
    #[arg(long, value_name = "%", value_parser = number, allow_hyphen_values = true, default_value = "10")]
    pub(crate) water: f64,
    /// Liquid that stays in them when drained, L per kg.
    #[arg(long, value_name = "L_KG", value_parser = number, allow_hyphen_values = true, default_value = "0.5")]
    pub(crate) held: f64,
    /// Sugar and extract in the liquid in the end, g/L.
    #[arg(long, value_name = "G_L", value_parser = number, allow_hyphen_values = true, default_value = "0")]
    pub(crate) extract: f64,
    /// Into the book, by whom and when.
    #[command(flatten)]
    pub(crate) book: BookedArgs,
    /// Between which places.
    #[command(flatten)]
    pub(crate) places: PlacesArgs,
}

/// What a cask held when it was gauged again, typed `YEARS=LITRES@STRENGTH`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Regauge {
    /// How long after the fill.
    pub(crate) years: f64,
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// Strength, % vol.
    pub(crate) strength_vol: f64,
}

impl FromStr for Regauge {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let form = "a regauge is YEARS=LITRES@STRENGTH, as 2=182@61.4";
        let (years, rest) = text.split_once('=').ok_or(form)?;
        let (litres, vol) = rest.split_once('@').ok_or(form)?;
        let named = |name: &str, text: &str| {
            number(text.trim()).map_err(|error| format!("{name}: {error}"))
        };
        Ok(Self {
            years: named("years", years)?,
            litres: named("litres", litres)?,
            strength_vol: named("strength", vol)?,
        })
    }
}

/// Options of `middlecut cask`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("amount").required(true).args(["litres", "kg"]))]
#[command(after_help = "\
Examples: a cask of 50 L filled at 62 % vol, five years ahead; the same by its own regauge
  middlecut cask --litres 48 --vol 62 --holds 50 --years 5 --climate temperate --humidity 75
  middlecut cask --litres 48 --vol 62 --holds 50 --years 5 --regauged 1.5=44.9@61.6
")]
pub(crate) struct CaskArgs {
    /// Litres filled, at 20 °C.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Option<Typed>,
    /// Kilograms filled, as a balance shows them, without the cask.
    #[arg(long, value_name = "KG", value_parser = kilograms_kept, allow_hyphen_values = true)]
    pub(crate) kg: Option<Typed>,
    /// Strength filled, % vol.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) vol: Typed,
    /// What the cask holds when full, L.
    #[arg(long, value_name = "L", value_parser = number, allow_hyphen_values = true)]
    pub(crate) holds: f64,
    /// Years to look ahead, from the fill.
    #[arg(long, value_name = "Y", value_parser = number, allow_hyphen_values = true, default_value = "3")]
    pub(crate) years: f64,
    /// The store: cool, temperate or hot.
    #[arg(long, value_name = "WORD", default_value = "cool")]
    pub(crate) climate: String,
    /// Relative humidity of its air, %.
    #[arg(long, value_name = "%", value_parser = number, allow_hyphen_values = true, default_value = "70")]
    pub(crate) humidity: f64,
    /// What it held when it was gauged again: years after the fill, litres at 20 °C, % vol.
    #[arg(long, value_name = "Y=L@P")]
    pub(crate) regauged: Option<Regauge>,
    /// Into the book, by whom and when.
    #[command(flatten)]
    pub(crate) book: BookedArgs,
    /// Between which places.
    #[command(flatten)]
    pub(crate) places: PlacesArgs,
}

/// Options of `middlecut bottle`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: 20.6 L in the tank, gauged 40.2 at 18 °C by two glasses with steps of 0.2, into 500 mL bottles
  middlecut bottle --litres 20.6 --reading 40.2 --at 18 --step 0.2 --glasses 2 --label 40 --size 500
")]
pub(crate) struct BottleArgs {
    /// Litres in the tank at 20 °C.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Typed,
    /// Standard deviation of those litres.
    #[arg(long, value_name = "L", value_parser = number, allow_hyphen_values = true, default_value = "0.05")]
    pub(crate) litres_sd: f64,
    /// What a glass of 20 °C reads in it, % vol.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) reading: Typed,
    /// Temperature at the gauge and the filling, °C.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true, default_value = "20")]
    pub(crate) at: Typed,
    /// One division of the glass, % vol.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true, default_value = "0.2")]
    pub(crate) step: f64,
    /// How far off the thermometer may be, K.
    #[arg(long, value_name = "K", value_parser = number, allow_hyphen_values = true, default_value = "0.5")]
    pub(crate) thermometer: f64,
    /// How many glasses and thermometers of their own gauged it.
    #[arg(long, value_name = "N", default_value = "1")]
    pub(crate) glasses: u32,
    /// How often each was read.
    #[arg(long, value_name = "N", default_value = "1")]
    pub(crate) readings: u32,
    /// What the label says, % vol.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) label: Typed,
    /// Nominal content of a bottle, mL.
    #[arg(long, value_name = "ML", value_parser = number, allow_hyphen_values = true)]
    pub(crate) size: f64,
    /// Whose rules hold: us, eu or uk.
    #[arg(long, value_name = "WORD", default_value = "eu")]
    pub(crate) country: String,
    /// Macerated fruit or plants are in it: some rules then allow more.
    #[arg(long)]
    pub(crate) macerated: bool,
    /// How much over the nominal content is aimed at, mL.
    #[arg(long, value_name = "ML", value_parser = number, allow_hyphen_values = true, default_value = "0")]
    pub(crate) over: f64,
    /// Filled by volume, not by weight.
    #[arg(long)]
    pub(crate) by_volume: bool,
    /// What balance or filler may have wrong in all bottles alike, g or mL, one deviation.
    #[arg(long, value_name = "G", value_parser = number, allow_hyphen_values = true, default_value = "1")]
    pub(crate) measure_sd: f64,
    /// What differs from bottle to bottle, mL, one deviation.
    #[arg(long, value_name = "ML", value_parser = number, allow_hyphen_values = true, default_value = "1.5")]
    pub(crate) each_sd: f64,
    /// Litres that stay in tank and filter.
    #[arg(long, value_name = "L", value_parser = number, allow_hyphen_values = true, default_value = "0")]
    pub(crate) heel: f64,
    /// Bottles counted in the end.
    #[arg(long, value_name = "N")]
    pub(crate) counted: Option<u32>,
    /// With --enter: what a loss is put down to, as loss:transfer; not explained where not given.
    #[arg(long, value_name = "PLACE", requires = "enter")]
    pub(crate) lost_to: Option<String>,
    /// Into the book, by whom and when.
    #[command(flatten)]
    pub(crate) book: BookedArgs,
    /// Between which places.
    #[command(flatten)]
    pub(crate) places: PlacesArgs,
}
