//! Options of the bench commands that put liquids together: reduce, blend.

use std::path::PathBuf;
use std::str::FromStr;

use alcoholometry::typed::Typed;
use clap::{ArgGroup, Args};

use super::{
    BookedArgs, PlacesArgs, celsius_kept, kilograms_kept, litres_kept, number, strength_kept,
};

/// Options of `middlecut reduce`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("amount").required(true).args(["litres", "kg"]))]
#[command(
    after_help = "Examples: 2 L of 92 % vol brought down to 42 % vol; 1.6 kg of 184 US proof to 80;\nthree steps with a day of rest, the first of them gauged\n  middlecut reduce --litres 2 --from 92 --to 42\n  middlecut reduce --kg 1.6 --from 184proof --to 80proof\n  middlecut reduce --litres 5 --from 64 --to 43 --steps 3 --rest 24 --gauged 57.2\n"
)]
pub(crate) struct ReduceArgs {
    /// Litres of spirit, at the temperature of --at.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Option<Typed>,
    /// Kilograms of spirit, as a balance shows them.
    #[arg(long, value_name = "KG", value_parser = kilograms_kept, allow_hyphen_values = true)]
    pub(crate) kg: Option<Typed>,
    /// Its strength, % vol, or US proof as 184proof.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) from: Typed,
    /// Strength wanted, % vol, or US proof as 80proof.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true)]
    pub(crate) to: Typed,
    /// Temperature of spirit and water, °C.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true, default_value = "20")]
    pub(crate) at: Typed,
    /// In so many steps, each with its pour, trim and rest.
    #[arg(long, value_name = "N")]
    pub(crate) steps: Option<usize>,
    /// Hours of rest after each step.
    #[arg(long, value_name = "H", value_parser = number, allow_hyphen_values = true, default_value = "24", requires = "steps")]
    pub(crate) rest: f64,
    /// True strength gauged after the steps that are done, % vol.
    #[arg(long, value_name = "P,P", value_parser = number, allow_hyphen_values = true, value_delimiter = ',', requires = "steps")]
    pub(crate) gauged: Vec<f64>,
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

/// How much of a part there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Amount {
    /// Litres at 20 °C.
    Litres(f64),
    /// Kilograms as a balance shows them.
    Kilograms(f64),
}

/// One part of a blend, typed `LITRES@STRENGTH` or `KILOGRAMSkg@STRENGTH`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Part {
    /// How much.
    pub(crate) amount: Amount,
    /// Strength, % vol.
    pub(crate) strength_vol: f64,
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (amount, vol) = text
            .split_once('@')
            .ok_or_else(|| "a part is LITRES@STRENGTH, as 0.35@94.2 or 0.28kg@94.2".to_owned())?;
        let amount = match amount.trim().strip_suffix("kg") {
            Some(kg) => number(kg.trim()).map(Amount::Kilograms).map_err(|e| format!("kg: {e}"))?,
            None => number(amount).map(Amount::Litres).map_err(|e| format!("litres: {e}"))?,
        };
        let strength_vol = strength_kept(vol).map_err(|error| format!("strength: {error}"))?.value;
        Ok(Self { amount, strength_vol })
    }
}

/// Options of `middlecut blend`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("what").required(true).multiple(true).args(["parts", "run", "last"]))]
#[command(after_help = "\
Examples: three jars and a litre of water; the gauged hearts of the last run, and of a run folder
  middlecut blend 0.35@94.2 0.5@93.8 0.28kg@188proof 1@0
  middlecut blend --last
  middlecut blend --run my-run --jars 4,5,6 1@0
")]
pub(crate) struct BlendArgs {
    /// Parts, each litres at 20 °C, or kilograms as 0.28kg, and % vol, or US proof as 188proof.
    #[arg(value_name = "L@P")]
    pub(crate) parts: Vec<Part>,
    /// The gauged jars of this run folder as parts.
    #[arg(long, value_name = "RUN_FOLDER", conflicts_with = "last")]
    pub(crate) run: Option<PathBuf>,
    /// The gauged jars of the last run of the record as parts.
    #[arg(long)]
    pub(crate) last: bool,
    /// Only jars of these numbers; all hearts where not given.
    #[arg(long, value_name = "N,N", value_delimiter = ',')]
    pub(crate) jars: Vec<u32>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR", requires = "last")]
    pub(crate) data: Option<PathBuf>,
}
