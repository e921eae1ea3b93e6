//! Options of `middlecut still`: what a person can measure at a still of their own.

use std::str::FromStr;

use clap::{Args, ValueEnum};

use super::{litres, number};

/// What stands on the boiler.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Kind {
    /// A bare head.
    Pot,
    /// A column with reflux.
    Column,
}

/// What the walls are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Metal {
    /// Stainless steel.
    Steel,
    /// Copper.
    Copper,
}

/// Whether a wall is wrapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Wall {
    /// In foam or felt.
    Wrapped,
    /// Bare metal.
    Bare,
}

/// What heats the boiler.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Heat {
    /// Elements or a plate.
    Electric,
    /// Steam in a jacket or coil.
    Steam,
    /// A gas burner.
    Gas,
    /// An open fire.
    Fire,
}

/// Where the head thermometer sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Place {
    /// In the vapour that becomes the spirit.
    Above,
    /// Below a partial condenser.
    Below,
}

/// What stands in the column, typed `knitted`, `pieces=5`, `sheets=500` or `plates=6`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Filling(pub(crate) still::plan::Filling);

impl FromStr for Filling {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        use still::plan::Filling as Of;
        let names = "knitted, pieces=MM, sheets=M2_PER_M3 or plates=N";
        let (kind, size) = text.split_once('=').unwrap_or((text, ""));
        let sized = || number(size).map_err(|error| format!("{kind}: {error}"));
        let filling = match kind {
            "knitted" if size.is_empty() => Of::Knitted,
            "pieces" => Of::Pieces(sized()?),
            "sheets" => Of::Sheets(sized()?),
            "plates" => {
                let count = size.parse();
                Of::Plates(count.map_err(|_| "plates: must be a whole number".to_owned())?)
            }
            _ => return Err(format!("\"{text}\" is no filling: it must be {names}")),
        };
        Ok(Self(filling))
    }
}

/// Options of `middlecut still`.
#[derive(Debug, Args)]
#[command(after_help = "\
Prints the [still] of a run file: what was measured as it is, the rest with what it was derived from.

Example: 28 L with two elements, a bare copper column of 50 mm with 900 mm of wire springs
  middlecut still --boiler 28 --elements 2000,1500 --diameter 50 --height 900 --filling pieces=4 --column bare --metal copper
")]
pub(crate) struct StillArgs {
    /// What you call it.
    #[arg(long, value_name = "NAME", default_value = "My still")]
    pub(crate) name: String,
    /// What stands on the boiler.
    #[arg(long, value_enum, default_value = "column")]
    pub(crate) kind: Kind,
    /// Whole inside of the boiler, L.
    #[arg(long, value_name = "L", value_parser = litres, allow_hyphen_values = true)]
    pub(crate) boiler: f64,
    /// What heats the boiler.
    #[arg(long, value_enum, default_value = "electric")]
    pub(crate) heat: Heat,
    /// Power of each heating element, W; of steam, gas or fire what reaches the pot, or leave it out:
    /// it is learned from the heat-up.
    #[arg(long, value_name = "W,W", value_parser = number, allow_hyphen_values = true, value_delimiter = ',', required_if_eq("heat", "electric"))]
    pub(crate) elements: Vec<f64>,
    /// Where the head thermometer sits: above a partial condenser (or there is none), or below it.
    #[arg(long, value_enum, default_value = "above")]
    pub(crate) thermometer: Place,
    /// Inner diameter of the column, mm.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true)]
    pub(crate) diameter: Option<f64>,
    /// Height of the packing, or of all plates, mm.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true)]
    pub(crate) height: Option<f64>,
    /// Height of the thermometer in the column over the foot of the packing, mm; leave it out where
    /// there is none.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true, requires = "height")]
    pub(crate) column_probe: Option<f64>,
    /// What stands in the column: knitted wire, loose pieces of a size in mm, folded sheets of so
    /// many m² in each m³, or plates.
    #[arg(long, value_name = "knitted|pieces=MM|sheets=M2_PER_M3|plates=N")]
    pub(crate) filling: Option<Filling>,
    /// Whether column or head are wrapped.
    #[arg(long, value_enum)]
    pub(crate) column: Option<Wall>,
    /// Whether the boiler is wrapped.
    #[arg(long, value_enum)]
    pub(crate) boiler_wall: Option<Wall>,
    /// What the walls are made of.
    #[arg(long, value_enum)]
    pub(crate) metal: Option<Metal>,
}
