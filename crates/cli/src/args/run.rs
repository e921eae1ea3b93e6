//! Options of the commands about a run: forecast, replay, rehearse, serve.

use std::path::PathBuf;

use clap::Args;

use super::{StatedArgs, hectopascals, number};

/// Options of `middlecut forecast`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: the whole run before heat, with its curve\n  middlecut forecast run.toml --svg forecast.svg\n"
)]
pub(crate) struct ForecastArgs {
    /// The run file.
    #[arg(value_name = "RUN.toml")]
    pub(crate) run: PathBuf,
    /// Draw the forecast into this file; "-" draws it to standard output instead of the rest.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    pub(crate) svg: Option<PathBuf>,
    /// Write one row a minute into this file; "-" writes them to standard output instead of the rest.
    #[arg(long, value_name = "FILE", allow_hyphen_values = true)]
    pub(crate) csv: Option<PathBuf>,
    /// Station pressure instead of the run file's, hPa.
    #[arg(long, value_name = "HPA", value_parser = hectopascals, allow_hyphen_values = true)]
    pub(crate) pressure: Option<f64>,
    /// Relative tolerance of the integrator.
    #[arg(long, value_name = "R", value_parser = number, allow_hyphen_values = true, default_value = "1e-3")]
    pub(crate) rtol: f64,
    #[command(flatten)]
    pub(crate) stated: StatedArgs,
}

/// Options of `middlecut replay`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: a recorded run, sixty times as fast as it was\n  middlecut replay my-run --speed 60\n"
)]
pub(crate) struct ReplayArgs {
    /// The run folder.
    #[arg(value_name = "RUN_FOLDER")]
    pub(crate) folder: PathBuf,
    /// Times real time; unlimited where not given.
    #[arg(long, value_name = "N", value_parser = number, allow_hyphen_values = true)]
    pub(crate) speed: Option<f64>,
    /// Fit the run anew every minute, as the page does: what ends when is then told by what was
    /// measured and not by the plan alone,
    /// faults are named, and it takes some ten times as long.
    #[arg(long)]
    pub(crate) forecasts: bool,
}

/// Options of `middlecut rehearse`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples: practise a plan, the same way every time; keep it as a run folder\n  middlecut rehearse run.toml --seed 7\n  middlecut rehearse run.toml --charge 24.5@11.3 --out my-rehearsal\n"
)]
pub(crate) struct RehearseArgs {
    /// The run file.
    #[arg(value_name = "RUN.toml")]
    pub(crate) run: PathBuf,
    /// Times real time; unlimited where not given.
    #[arg(long, value_name = "N", value_parser = number, allow_hyphen_values = true)]
    pub(crate) speed: Option<f64>,
    /// Seed of the probe noise and of the stand-in's delays.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = 1)]
    pub(crate) seed: u64,
    /// With a scale under the jar, whose weight goes before what was set.
    #[arg(long)]
    pub(crate) scale: bool,
    /// Charge instead of the run file's, as a wash gave it: litres at 20 °C and their strength, as
    /// 24.5@11.3.
    #[arg(long, value_name = "L@P")]
    pub(crate) charge: Option<String>,
    /// Write the rehearsal as a run folder, which `import` takes into a record.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Fit the run anew every minute, as the page does: what ends when is then told by what was
    /// measured and not by the plan alone,
    /// faults are named, and it takes some ten times as long.
    #[arg(long)]
    pub(crate) forecasts: bool,
}

/// Port where nothing is said.
pub(crate) const PORT_DEFAULT: u16 = 4280;

/// Options of `middlecut serve`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples: a record of its own, on whatever port is free; for the phones of the house\n  middlecut serve --data ./record --port 0\n  middlecut serve --lan --backup-at 03:30\n"
)]
pub(crate) struct ServeArgs {
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// Port; 0 takes a free one.
    #[arg(long, value_name = "N", allow_hyphen_values = true, default_value_t = PORT_DEFAULT)]
    pub(crate) port: u16,
    /// Do not open the page in a browser.
    #[arg(long)]
    pub(crate) no_open: bool,
    /// Listen to the local network too: phones come in by a code, which is shown as a square to scan.
    #[arg(long)]
    pub(crate) lan: bool,
    /// Speak in cipher, by a certificate of this house that each device must trust once.
    #[arg(long)]
    pub(crate) tls: bool,
    /// A further name or address by which this machine is reached, as still.local; may be given several
    /// times.
    #[arg(long = "host", value_name = "NAME")]
    pub(crate) hosts: Vec<String>,
    /// A reverse proxy on this machine is reached at this origin; then browsers on this machine need a
    /// code too.
    #[arg(long, value_name = "ORIGIN")]
    pub(crate) proxy: Option<String>,
    /// Back the record up every night at this time of day, as 03:30.
    #[arg(long, value_name = "HH:MM")]
    pub(crate) backup_at: Option<String>,
    /// How many of these backups are kept, 1 to 400; the oldest goes first.
    #[arg(long, value_name = "N", default_value_t = 14, requires = "backup_at")]
    pub(crate) backup_keep: usize,
    /// Folder of these backups; `backups` in the folder of the record where not given. Better on
    /// another disk.
    #[arg(long, value_name = "DIR", requires = "backup_at")]
    pub(crate) backup_to: Option<PathBuf>,
}
