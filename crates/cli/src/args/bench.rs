//! Options of the bench commands about one liquid: liquid, gauge, wash.

use std::str::FromStr;

use clap::{ArgGroup, Args, ValueEnum};

use super::{celsius, hectopascals, kilograms, litres, number};

/// Options of `middlecut liquid`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("given").required(true).args(["vol", "mass", "mole", "proof", "density"]))]
#[command(
    after_help = "Example: what 40 % vol is by mass, as proof, and where it boils at 950 hPa\n  middlecut liquid --vol 40 --pressure 950\n"
)]
pub(crate) struct LiquidArgs {
    /// Strength by volume at 20 °C, % vol.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true)]
    pub(crate) vol: Option<f64>,
    /// Strength by mass, % mass.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true)]
    pub(crate) mass: Option<f64>,
    /// Mole fraction of ethanol, 0 to 1.
    #[arg(long, value_name = "X", value_parser = number, allow_hyphen_values = true)]
    pub(crate) mole: Option<f64>,
    /// US proof at 60 °F.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true)]
    pub(crate) proof: Option<f64>,
    /// Density of the liquid at the temperature of --at, kg/m³.
    #[arg(long, value_name = "KG_M3", value_parser = number, allow_hyphen_values = true)]
    pub(crate) density: Option<f64>,
    /// Temperature of the liquid, °C.
    #[arg(long, value_name = "C", value_parser = celsius, allow_hyphen_values = true, default_value = "20")]
    pub(crate) at: f64,
    /// Station pressure at which it boils, hPa.
    #[arg(long, value_name = "HPA", value_parser = hectopascals, allow_hyphen_values = true, default_value = "1013.25")]
    pub(crate) pressure: f64,
    /// How much of it there is, litres at the temperature of --at.
    #[arg(long, value_name = "L", value_parser = litres, allow_hyphen_values = true, conflicts_with = "kg")]
    pub(crate) litres: Option<f64>,
    /// How much of it there is, kilograms as a balance shows them.
    #[arg(long, value_name = "KG", value_parser = kilograms, allow_hyphen_values = true)]
    pub(crate) kg: Option<f64>,
}

/// What the scale in the glass shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Scale {
    /// % vol, glass true at 20 °C.
    Vol20,
    /// % vol, glass true at 60 °F (15.5556 °C).
    Vol60,
    /// US proof, glass true at 60 °F (15.5556 °C).
    Proof60,
    /// Density in kg/m³, glass true at 20 °C.
    Density,
}

/// Options of `middlecut gauge`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples: the glass reads 52.4 in spirit of 27 °C; a US proof glass reads 104 in 1.8 kg of it\n  middlecut gauge --reading 52.4 --at 27\n  middlecut gauge --reading 104 --scale proof60 --at 27 --kg 1.8\n"
)]
pub(crate) struct GaugeArgs {
    /// What the glass reads, in the unit of its scale.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true)]
    pub(crate) reading: f64,
    /// Temperature of the spirit, °C.
    #[arg(long, value_name = "C", value_parser = celsius, allow_hyphen_values = true, default_value = "20")]
    pub(crate) at: f64,
    /// The scale in the glass.
    #[arg(long, value_enum, default_value = "vol20")]
    pub(crate) scale: Scale,
    /// Standard deviation of the reading, in its unit [default: 0.1 % vol, 0.2 proof, 0.5 kg/m³].
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true)]
    pub(crate) reading_sd: Option<f64>,
    /// Standard deviation of the temperature, K.
    #[arg(long, value_name = "C", value_parser = number, allow_hyphen_values = true, default_value = "0.2")]
    pub(crate) at_sd: f64,
    /// How much of it there is, litres at the temperature of --at.
    #[arg(long, value_name = "L", value_parser = litres, allow_hyphen_values = true, conflicts_with = "kg")]
    pub(crate) litres: Option<f64>,
    /// How much of it there is, kilograms as a balance shows them.
    #[arg(long, value_name = "KG", value_parser = kilograms, allow_hyphen_values = true)]
    pub(crate) kg: Option<f64>,
}

/// What was dissolved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SugarKind {
    /// Cane or beet sugar.
    Sucrose,
    /// Glucose without water of crystallisation.
    Dextrose,
    /// Glucose with one molecule of water of crystallisation.
    DextroseMonohydrate,
    /// Fermentable extract of malt, fruit or honey, as dry mass.
    Extract,
}

/// Sugar of one kind, typed `KIND=KG`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sugar {
    /// Which kind.
    pub(crate) kind: SugarKind,
    /// How much, kg.
    pub(crate) kg: f64,
}

impl FromStr for Sugar {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let names = "sucrose, dextrose, dextrose-monohydrate or extract";
        let (kind, kg) = text
            .split_once('=')
            .ok_or_else(|| format!("sugar is KIND=KG, as dextrose=4.5, with KIND {names}"))?;
        let kind = SugarKind::from_str(kind, false)
            .map_err(|_| format!("\"{kind}\" is no kind of sugar: it must be {names}"))?;
        let kg = number(kg).map_err(|error| format!("kilograms: {error}"))?;
        Ok(Self { kind, kg })
    }
}

/// Options of `middlecut wash`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: 5 kg of sugar made up to 25 L\n  middlecut wash --litres 25 --sugar sucrose=5\n"
)]
pub(crate) struct WashArgs {
    /// Litres of wash at 20 °C before fermentation, sugar included.
    #[arg(long, value_name = "L", value_parser = litres, allow_hyphen_values = true)]
    pub(crate) litres: f64,
    /// Sugar by kind and kilograms; may be given several times.
    #[arg(long, value_name = "KIND=KG", required = true, num_args = 1..)]
    pub(crate) sugar: Vec<Sugar>,
    /// How much of the ethanol that chemistry allows is made, %.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true, default_value = "92")]
    pub(crate) efficiency: f64,
}
