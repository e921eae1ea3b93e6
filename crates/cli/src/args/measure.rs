//! Options of `middlecut measure`: what of a run stands in no jar, how much of it, how strong.

use std::path::PathBuf;

use alcoholometry::typed::Typed;
use clap::{ArgGroup, Args, ValueEnum};

use super::{celsius_kept, kilograms_kept, litres_kept, strength_kept};

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Outside {
    /// What stayed in the boiler.
    Residue,
    /// Feints gathered outside the jars.
    Feints,
    /// A sample that was drawn and not put back.
    Sample,
}

/// Options of `middlecut measure`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("amount").required(true).args(["litres", "kg"]))]
#[command(after_help = "\
The residue is measured once the boiler is cool and the column has drained. What was recorded wrongly
is taken back on the page of the run. While the program serves, that page takes the same. Numbers may
have a unit behind them, as \"8 US gal\", \"10 lb\", 75F, 2.4proof; the record keeps it.

Examples: 31.5 L stayed in the boiler, its glass reads 1.2 at 24 °C; 0.4 kg of feints, not gauged
  middlecut measure 20261003-081200-4f2a residue --litres 31.5 --reading 1.2 --at 24
  middlecut measure 20261003-081200-4f2a feints --kg 0.4
")]
pub(crate) struct MeasureArgs {
    /// The run's id, as the page and `middlecut verify` show it; it must be over.
    #[arg(value_name = "RUN_ID")]
    pub(crate) run: String,
    /// What was measured.
    #[arg(value_enum)]
    pub(crate) what: Outside,
    /// How much of it there was, litres at the temperature of --at.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true)]
    pub(crate) litres: Option<Typed>,
    /// How much of it there was, kilograms, the vessel taken off.
    #[arg(long, value_name = "KG", value_parser = kilograms_kept, allow_hyphen_values = true)]
    pub(crate) kg: Option<Typed>,
    /// What a 20 °C glass reads in it, % vol; left out where it was not gauged.
    #[arg(long, value_name = "P", value_parser = strength_kept, allow_hyphen_values = true, requires = "at")]
    pub(crate) reading: Option<Typed>,
    /// Its temperature, °C.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true)]
    pub(crate) at: Option<Typed>,
    /// It is so, though it is more than was charged.
    #[arg(long)]
    pub(crate) sure: bool,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}
