//! Options of `middlecut washes`: washes in the record, from the yeast to the charge.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::number;

/// Options of `middlecut washes`.
#[derive(Debug, Args)]
#[command(after_help = "\
A wash is named by its id or, where only one has it, by its title. What is written stays: a correction
strikes through. While the program serves, its API takes the same (/api/washes).

Example: from the recipe to the still
  middlecut washes open plum.toml --by Ada
  middlecut washes read Plum --gravity 1.052 --celsius 21.5 --by Ada
  middlecut washes act Plum nutrient 6 --by Ada
  middlecut washes show Plum
  middlecut washes charge Plum --by Ada
")]
pub(crate) struct WashesArgs {
    /// What to do.
    #[command(subcommand)]
    pub(crate) what: WashesCommand,
}

/// What to do with washes.
#[derive(Debug, Subcommand)]
pub(crate) enum WashesCommand {
    /// The washes of the record, the newest first.
    List(RecordArgs),
    /// Open a wash from a recipe: a wash.toml, or a folder that has one.
    Open(WashOpenArgs),
    /// A wash line by line, and what it is doing and will become.
    Show(WashShowArgs),
    /// Enter a reading.
    Read(WashReadArgs),
    /// Enter an act: nutrient, yeast, chalk (grams), heater (°C), moved.
    Act(WashActArgs),
    /// Strike an entry through: it stays, and counts no more.
    Strike(WashStrikeArgs),
    /// State the recipe anew, back to the pitching.
    Recipe(WashRecipeArgs),
    /// End a wash as a charge, and enter its alcohol in the account.
    Charge(WashChargeArgs),
    /// End a wash that was poured away.
    Pour(WashPourArgs),
    /// Write a wash as a folder.
    Export(WashFolderArgs),
    /// Take a wash folder into the record, whole or not at all.
    Import(WashImportArgs),
    /// Take a table of readings into a wash; rows that are refused are listed.
    Notes(WashNotesArgs),
}

/// Which record.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes list\n")]
pub(crate) struct RecordArgs {
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Who writes, when it was, and in which record.
#[derive(Debug, Args)]
pub(crate) struct WashByArgs {
    /// Who.
    #[arg(long, value_name = "NAME")]
    pub(crate) by: Option<String>,
    /// When it was, with its zone; now where not given.
    #[arg(long, value_name = "MOMENT")]
    pub(crate) at: Option<String>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// A recipe to open a wash with.
#[derive(Debug, Args)]
#[command(after_help = "\
A recipe without a start begins now.

Example:
  middlecut washes open plum.toml --by Ada
")]
pub(crate) struct WashOpenArgs {
    /// A wash.toml, or a folder that has one.
    #[arg(value_name = "RECIPE")]
    pub(crate) recipe: PathBuf,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// Which wash.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes show Plum --json\n")]
pub(crate) struct WashShowArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// A reading.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes read Plum --gravity 1.052 --celsius 21.5\n")]
pub(crate) struct WashReadArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// Specific gravity as read, or degrees Plato with their sign behind: `12.5P`.
    #[arg(long, value_parser = gravity)]
    pub(crate) gravity: Option<Gravity>,
    /// Temperature of the sample, °C.
    #[arg(long, value_parser = number, allow_hyphen_values = true)]
    pub(crate) celsius: Option<f64>,
    /// Fermenter and wash together, kg.
    #[arg(long, value_parser = number)]
    pub(crate) kg: Option<f64>,
    /// Acidity.
    #[arg(long, value_parser = number)]
    pub(crate) ph: Option<f64>,
    /// The sample was cooled: its temperature is not that of the wash.
    #[arg(long)]
    pub(crate) cooled: bool,
    /// Whether the taste of sugar is gone.
    #[arg(long, value_name = "yes|no", value_parser = yes)]
    pub(crate) no_sugar: Option<bool>,
    /// Whether the gas has nearly stopped.
    #[arg(long, value_name = "yes|no", value_parser = yes)]
    pub(crate) gas_stopped: Option<bool>,
    /// A remark.
    #[arg(long, default_value = "")]
    pub(crate) note: String,
    /// The entry in whose place this one stands.
    #[arg(long, value_name = "ENTRY")]
    pub(crate) corrects: Option<i64>,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// A gravity as it was typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Gravity {
    /// Specific gravity 20/20.
    pub(crate) gravity: f64,
    /// The degrees Plato that it was typed in.
    pub(crate) plato: Option<f64>,
}

/// Reads a gravity: `1.052`, or `12.5P`, `12.5 °P`, `12.5 Plato`.
fn gravity(text: &str) -> Result<Gravity, String> {
    let plain = text.trim();
    let bare = ["Plato", "P"].iter().find_map(|sign| plain.strip_suffix(sign));
    let Some(bare) = bare else {
        let gravity = number(plain).map_err(|error| error.to_string())?;
        return Ok(Gravity { gravity, plato: None });
    };
    let bare = bare.trim_end().trim_end_matches('°');
    let plato = number(bare).map_err(|error| error.to_string())?;
    let found = alcoholometry::wash::gravity::of_plato("gravity", plato);
    let gravity = found.map_err(|error| error.to_string())?;
    Ok(Gravity { gravity, plato: Some(plato) })
}

/// An act.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes act Plum nutrient 6 --note \"second feed\"\n")]
pub(crate) struct WashActArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// `nutrient`, `yeast`, `chalk`, `heater`, `moved` or `pitch`.
    pub(crate) action: String,
    /// How much: grams, or °C for a heater.
    #[arg(value_parser = number, allow_hyphen_values = true)]
    pub(crate) amount: Option<f64>,
    /// A remark.
    #[arg(long, default_value = "")]
    pub(crate) note: String,
    /// The entry in whose place this one stands.
    #[arg(long, value_name = "ENTRY")]
    pub(crate) corrects: Option<i64>,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// An entry that does not hold.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  middlecut washes strike Plum 4 --reason \"read on another fermenter\"
")]
pub(crate) struct WashStrikeArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// Number of the entry.
    pub(crate) entry: i64,
    /// Why.
    #[arg(long)]
    pub(crate) reason: String,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// Another recipe.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  middlecut washes recipe Plum plum.toml --reason \"the juice was measured again\"
")]
pub(crate) struct WashRecipeArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// A wash.toml, or a folder that has one.
    #[arg(value_name = "RECIPE")]
    pub(crate) recipe: PathBuf,
    /// Why.
    #[arg(long)]
    pub(crate) reason: String,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// A wash that becomes a charge.
#[derive(Debug, Args)]
#[command(after_help = "\
What is not given is taken from the forecast of the wash. In the account its alcohol comes from what
was fermented into the lot; `middlecut book run RUN --from wash:LOT/LOT` follows it on into a run.

Example:
  middlecut washes charge Plum --litres 23.5 --lot PLUM-1 --by Ada
")]
pub(crate) struct WashChargeArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// Litres at 20 °C.
    #[arg(long, value_parser = number)]
    pub(crate) litres: Option<f64>,
    /// Strength, % vol at 20 °C.
    #[arg(long, value_name = "VOL", value_parser = number)]
    pub(crate) strength: Option<f64>,
    /// Its lot in the account; the id of the wash where not given.
    #[arg(long)]
    pub(crate) lot: Option<String>,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// A wash that is poured away.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes pour Plum --reason \"turned to vinegar\"\n")]
pub(crate) struct WashPourArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// Why.
    #[arg(long)]
    pub(crate) reason: String,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// Where a wash goes.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes export Plum plum-wash\n")]
pub(crate) struct WashFolderArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// The folder: not there yet, or empty.
    pub(crate) folder: PathBuf,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Where a wash comes from.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  middlecut washes import plum-wash --by Ada\n")]
pub(crate) struct WashImportArgs {
    /// The folder.
    pub(crate) folder: PathBuf,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

/// A table of readings.
#[derive(Debug, Args)]
#[command(after_help = "\
Columns: time_h (hours from pitching), gravity, temperature_c, weight_kg, ph, note; only time_h is
needed. Each row is judged by itself; with --dry-run nothing is written.

Example:
  middlecut washes notes Plum notes.csv --dry-run
")]
pub(crate) struct WashNotesArgs {
    /// Its id or title.
    pub(crate) wash: String,
    /// The table.
    pub(crate) file: PathBuf,
    /// Only list what would be taken and what refused.
    #[arg(long)]
    pub(crate) dry_run: bool,
    /// Who, when, where.
    #[command(flatten)]
    pub(crate) by: WashByArgs,
}

fn yes(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("must be yes or no".to_owned()),
    }
}
