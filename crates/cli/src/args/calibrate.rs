//! Options of `middlecut calibrate`: runs, what is known of the walls, what was left in the boiler.

use std::path::PathBuf;
use std::str::FromStr;

use clap::Args;

use super::number;
use super::still::{Filling, Metal, Wall};

/// What was left in the boiler of one run, typed `N=LITRES` or `N=LITRES@STRENGTH`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ResidueArg {
    /// Which of the runs, counted from 1.
    pub(crate) run: usize,
    pub(crate) litres: f64,
    pub(crate) strength_vol: Option<f64>,
}

impl FromStr for ResidueArg {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let form = "a residue is N=LITRES@STRENGTH, as 2=31.5@1.2 for the second run";
        let (run, rest) = text.split_once('=').ok_or(form)?;
        let run = run.parse().ok().filter(|run| *run > 0).ok_or(form)?;
        let (litres, vol) = rest.split_once('@').map_or((rest, None), |(l, vol)| (l, Some(vol)));
        let read = |text: &str| number(text).map_err(|error| error.to_string());
        Ok(Self { run, litres: read(litres)?, strength_vol: vol.map(read).transpose()? })
    }
}

/// Options of the commands that can take the values of a calibration.
#[derive(Debug, Args)]
pub(crate) struct StatedArgs {
    /// Take losses, stages, hold-up and vapour lost of this still from the record, where a
    /// calibration put them (middlecut calibrate --store).
    #[arg(long)]
    pub(crate) calibrated: bool,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR", requires = "calibrated")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut calibrate`.
#[derive(Debug, Args)]
#[command(after_help = "\
What is known of the walls narrows the losses beforehand: whether column and head are wrapped, whether
the boiler is, copper or steel, height and diameter. Without it the losses of the run files are taken,
and believed little.

Example: three runs at different reflux, with a bare steel column
  middlecut calibrate first-run second-run third-run --column bare --metal steel
")]
pub(crate) struct CalibrateArgs {
    /// Run folders of one still, two or more.
    #[arg(value_name = "RUN_FOLDER", required = true)]
    pub(crate) folders: Vec<PathBuf>,
    /// Keep the values in the record, as what is stated of this still from now on.
    #[arg(long)]
    pub(crate) store: bool,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR", requires = "store")]
    pub(crate) data: Option<PathBuf>,
    /// What was left in the boiler of the N-th run: litres at 20 °C, and strength where gauged; else
    /// as its folder records it.
    #[arg(long, value_name = "N=L@P")]
    pub(crate) residue: Vec<ResidueArg>,
    /// Whether column or head are wrapped.
    #[arg(long, value_enum)]
    pub(crate) column: Option<Wall>,
    /// Whether the boiler is wrapped.
    #[arg(long, value_enum)]
    pub(crate) boiler_wall: Option<Wall>,
    /// What the walls are made of.
    #[arg(long, value_enum)]
    pub(crate) metal: Option<Metal>,
    /// Inner diameter of the column, mm.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true)]
    pub(crate) diameter: Option<f64>,
    /// Height of the packing, or of all plates, mm.
    #[arg(long, value_name = "MM", value_parser = number, allow_hyphen_values = true)]
    pub(crate) height: Option<f64>,
    /// What stands in the column.
    #[arg(long, value_name = "knitted|pieces=MM|sheets=M2_PER_M3|plates=N")]
    pub(crate) filling: Option<Filling>,
}
