//! Options of the commands about the account of pure alcohol: balance, lots, enter, stock-take, book.

use std::path::PathBuf;

use alcoholometry::typed::Typed;
use clap::{ArgGroup, Args, Subcommand, ValueEnum};

use super::{Scale, celsius_kept, kilograms_kept, litres_kept, number};

/// What a country asks of an account.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ProfileName {
    /// Litres of pure alcohol at 20 °C.
    Metric,
    /// US proof gallons at 60 °F, rounded after 27 CFR 30.64.
    Us,
    /// Hectolitres of pure alcohol at 20 °C.
    Eu,
}

/// Options of `middlecut balance`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples: all of it; one month, in proof gallons\n  middlecut balance\n  middlecut balance --from 2026-10-01T00:00:00+02:00 --upto 2026-10 --profile us\n"
)]
pub(crate) struct BalanceArgs {
    /// First moment, as 2026-10-01T00:00:00+02:00; from the first act where not given.
    #[arg(long, value_name = "TIME")]
    pub(crate) from: Option<String>,
    /// Last moment, or a month as 2026-10; to the last act where not given.
    #[arg(long, value_name = "TIME")]
    pub(crate) upto: Option<String>,
    /// Unit and rounding.
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) profile: ProfileName,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut lots`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples: what stands where; where one jar went and what it came from\n  middlecut lots\n  middlecut lots 20261003-081200-4f2a-7\n"
)]
pub(crate) struct LotsArgs {
    /// The lot to follow both ways; all that stand somewhere where none is named.
    #[arg(value_name = "LOT")]
    pub(crate) lot: Option<String>,
    /// Lots that are used up too.
    #[arg(long)]
    pub(crate) all: bool,
    /// Unit and rounding of what is reported.
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) profile: ProfileName,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Who, when and why of an entry.
#[derive(Debug, Args)]
pub(crate) struct ByArgs {
    /// Who enters it.
    #[arg(long, value_name = "NAME")]
    pub(crate) by: String,
    /// Who read the instruments, where that is somebody else.
    #[arg(long, value_name = "NAME")]
    pub(crate) read_by: Option<String>,
    /// Who checked it.
    #[arg(long, value_name = "NAME")]
    pub(crate) checked_by: Option<String>,
    /// When it was done, as 2026-10-03T14:20:00+02:00; now where not given.
    #[arg(long, value_name = "TIME")]
    pub(crate) act: Option<String>,
    /// In words; a loss, a gain and a correction must say why.
    #[arg(long, value_name = "WORDS")]
    pub(crate) note: Option<String>,
    /// Only say what would be entered.
    #[arg(long)]
    pub(crate) dry_run: bool,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
}

/// Options of `middlecut enter`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("quantity").args(["litres", "kg", "us_gal", "lb"]))]
#[command(after_help = "\
Kinds: ferment, receive, charge, distil, blend, feints, reduce, carbon, macerate, fill_cask, regauge,
dump_cask, bottle, transfer, sample, remove, destroy, lose, gain, void.
Places: fermented, received, found; wash, pot, jar, low_wines, feints, tank, bed, cask, bottles with :NAME;
sample, removed, destroyed, not_explained; loss: vapour, residue, column, foreshots, wash, transfer, carbon,
maceration, cask, bottling, breakage, spill, evaporation.
Amounts: litres of pure alcohol (1.25), proof gallons (0.7pg), hectolitres (0.01hl), litres at 20 °C with their strength (3.1@40), bottles (12x700@40),
all, rest, or gauged: what --litres and --reading come to. Litres, mL and strengths may have a unit behind
them (5 US gal@80 US proof): the book keeps what was typed.

Examples: a wash of 25 L and 12 % vol; jars blended; 12 bottles; entry 7 in other words
  middlecut enter ferment --from fermented=25@12 --to wash:W1/W1=rest --by Ada
  middlecut enter blend --from jar:3/J3=all --from jar:4/J4=all --to tank:T1/H1=gauged --to loss:transfer=rest --litres 4.1 --reading 71.2 --at 18 --by Ada
  middlecut enter bottle --from tank:T1/H1=3.4 --to bottles:shelf/B1=12x700@40 --to loss:bottling=rest --by Ada
  middlecut enter void --corrects 7 --note 'entered twice' --by Ada
")]
pub(crate) struct EnterArgs {
    /// Which act.
    #[arg(value_name = "KIND")]
    pub(crate) kind: String,
    /// Where the alcohol comes from: PLACE/LOT=AMOUNT; may be given several times.
    #[arg(long, value_name = "LEG")]
    pub(crate) from: Vec<String>,
    /// Where it goes to, losses too.
    #[arg(long, value_name = "LEG")]
    pub(crate) to: Vec<String>,
    /// Kind of spirit.
    #[arg(long, value_name = "WORDS")]
    pub(crate) spirit: Option<String>,
    /// Gauged: litres at the temperature of --at.
    #[arg(long, value_name = "L", value_parser = litres_kept, allow_hyphen_values = true, requires = "reading")]
    pub(crate) litres: Option<Typed>,
    /// Gauged: kilograms as a balance shows them.
    #[arg(long, value_name = "KG", value_parser = kilograms_kept, allow_hyphen_values = true, requires = "reading")]
    pub(crate) kg: Option<Typed>,
    /// Gauged: US gallons at the temperature of --at.
    #[arg(long, value_name = "GAL", value_parser = number, allow_hyphen_values = true, requires = "reading")]
    pub(crate) us_gal: Option<f64>,
    /// Gauged: pounds as a balance shows them.
    #[arg(long, value_name = "LB", value_parser = number, allow_hyphen_values = true, requires = "reading")]
    pub(crate) lb: Option<f64>,
    /// What the glass read.
    #[arg(long, value_name = "P", value_parser = number, allow_hyphen_values = true, requires = "quantity")]
    pub(crate) reading: Option<f64>,
    /// The scale in the glass.
    #[arg(long, value_enum, default_value = "vol20")]
    pub(crate) scale: Scale,
    /// Temperature of the liquid, °C.
    #[arg(long, value_name = "C", value_parser = celsius_kept, allow_hyphen_values = true, default_value = "20")]
    pub(crate) at: Typed,
    /// With what it was read: NAME, or NAME|DUE with the day its calibration ends, as glass-3|2027-03-01T00:00:00Z.
    #[arg(long, value_name = "NAME")]
    pub(crate) instrument: Vec<String>,
    /// The entry in whose place this one stands.
    #[arg(long, value_name = "NO")]
    pub(crate) corrects: Option<u64>,
    /// The entry this one is about, which holds as before.
    #[arg(long, value_name = "NO")]
    pub(crate) about: Option<u64>,
    /// Energy it took, kWh.
    #[arg(long, value_name = "KWH", value_parser = number)]
    pub(crate) energy: Option<f64>,
    /// Water it took, L.
    #[arg(long, value_name = "L", value_parser = number)]
    pub(crate) water: Option<f64>,
    /// Money it cost.
    #[arg(long, value_name = "SUM", value_parser = number)]
    pub(crate) cost: Option<f64>,
    /// Unit and rounding of the answer; `us` has the gallons of the gauge.
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) profile: ProfileName,
    /// Who, when, why.
    #[command(flatten)]
    pub(crate) by: ByArgs,
}

/// Options of `middlecut stock-take`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: 1.21 L of pure alcohol are left in a cask, the rest went through the wood\n  middlecut stock-take cask:C1/K1 --found 1.21 --lost-to loss:cask --by Ada\n"
)]
pub(crate) struct StockTakeArgs {
    /// What was counted: PLACE/LOT.
    #[arg(value_name = "PLACE/LOT")]
    pub(crate) what: String,
    /// What was found: pure alcohol in the unit of --profile, L at 20 °C where none is given.
    #[arg(long, value_name = "AMOUNT", value_parser = number, allow_hyphen_values = true)]
    pub(crate) found: f64,
    /// What a loss is put down to, as loss:evaporation; not explained where not given.
    #[arg(long, value_name = "PLACE")]
    pub(crate) lost_to: Option<String>,
    /// The count in whose place this one stands.
    #[arg(long, value_name = "NO")]
    pub(crate) corrects: Option<u64>,
    /// Unit of what was found, and of the answer.
    #[arg(long, value_enum, default_value = "metric")]
    pub(crate) profile: ProfileName,
    /// Who, when, why.
    #[command(flatten)]
    pub(crate) by: ByArgs,
}

/// Options of `middlecut book`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  middlecut book list\n  middlecut book export my-book\n  middlecut book verify my-book\n"
)]
pub(crate) struct BookArgs {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: BookCommand,
}

/// What can be done with the book.
#[derive(Debug, Subcommand)]
pub(crate) enum BookCommand {
    /// List entries.
    #[command(after_help = "Example:\n  middlecut book list --after 100\n")]
    List {
        /// After this serial.
        #[arg(long, value_name = "NO", default_value = "0")]
        after: u64,
        /// At most so many.
        #[arg(long, value_name = "N", default_value = "1000")]
        limit: usize,
        /// Unit and rounding; `us` has the gallons of each gauge.
        #[arg(long, value_enum, default_value = "metric")]
        profile: ProfileName,
        /// Folder of the record; your data folder where not given.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Look through it as a reviewer would.
    #[command(after_help = "Example:\n  middlecut book check --allowed Ada --allowed Bo\n")]
    Check {
        /// Who may enter, read and check; everybody where nobody is named.
        #[arg(long, value_name = "NAME")]
        allowed: Vec<String>,
        /// Whose bounds hold.
        #[arg(long, value_enum, default_value = "metric")]
        profile: ProfileName,
        /// Folder of the record; your data folder where not given.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Write it as a table and a page to print.
    #[command(after_help = "Example:\n  middlecut book export my-book --profile us\n")]
    Export {
        /// New or empty folder.
        #[arg(value_name = "DIR")]
        folder: PathBuf,
        /// Persons by number and not by name; what stands in notes stays.
        #[arg(long)]
        without_names: bool,
        /// Unit and rounding of the page.
        #[arg(long, value_enum, default_value = "metric")]
        profile: ProfileName,
        /// Folder of the record; your data folder where not given.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Check an exported book by itself, without the record.
    #[command(
        after_help = "Example:\n  middlecut book verify my-book --expect 271a83e76c2a14dd0c64c4b62e0b65f9\n"
    )]
    Verify {
        /// Its folder, or its table alone.
        #[arg(value_name = "DIR")]
        book: PathBuf,
        /// The digest it must have, or how it begins: 16 characters or more.
        #[arg(long, value_name = "DIGEST")]
        expect: Option<String>,
        /// Who may enter, read and check; everybody where nobody is named.
        #[arg(long, value_name = "NAME")]
        allowed: Vec<String>,
    },
    /// Take an exported book into a record that has its beginning, or nothing.
    #[command(after_help = "Example:\n  middlecut book import my-book --data ./other\n")]
    Import {
        /// Its folder, or its table alone.
        #[arg(value_name = "DIR")]
        book: PathBuf,
        /// Folder of the record; your data folder where not given.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Take notes of a table into the book; with --dry-run only list every row it would refuse.
    #[command(after_help = "\
Columns: kind, act, from, to, by; and where wanted note, spirit, litres, kg, reading, scale, celsius,
instrument, corrects, about, read_by, checked_by, energy_kwh, water_l, cost. Several places in one cell are
parted by ' + '. Where one row is refused, nothing is entered.

Example:
  middlecut book notes notes.csv --dry-run
")]
    Notes {
        /// The table.
        #[arg(value_name = "FILE")]
        file: PathBuf,
        /// Only list what would be refused.
        #[arg(long)]
        dry_run: bool,
        /// Folder of the record; your data folder where not given.
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Take a run of the record into the book: its charge, its jars, what was lost.
    Run(Box<RunIntoBookArgs>),
    /// Close a period: nothing is entered or corrected in it any more.
    #[command(after_help = "Example:\n  middlecut book close --upto 2026-10 --by Ada\n")]
    Close {
        /// Its last moment, or a month as 2026-10.
        #[arg(long, value_name = "TIME")]
        upto: String,
        /// Who, when, why.
        #[command(flatten)]
        by: ByArgs,
    },
}

/// Options of `middlecut book run`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: energy and water as the meters of the run counted them, and what they cost\n  middlecut book run 20261003-081200-4f2a --from wash:W1/W1 --price-kwh 0.32 --price-water 4.10 --by Ada\n"
)]
pub(crate) struct RunIntoBookArgs {
    /// The run's id.
    #[arg(value_name = "RUN_ID")]
    pub(crate) run: String,
    /// Where its charge came from: PLACE/LOT.
    #[arg(long, value_name = "PLACE/LOT")]
    pub(crate) from: String,
    /// Where the feints in it came from, as its plan has them; the only feints that stand where not given.
    #[arg(long, value_name = "PLACE/LOT")]
    pub(crate) feints_from: Option<String>,
    /// Energy it took, kWh; as its meter counted where not given.
    #[arg(long, value_name = "KWH", value_parser = number)]
    pub(crate) energy: Option<f64>,
    /// Water it took, L; as its meter counted where not given.
    #[arg(long, value_name = "L", value_parser = number)]
    pub(crate) water: Option<f64>,
    /// Money it cost beside energy and water.
    #[arg(long, value_name = "SUM", value_parser = number)]
    pub(crate) cost: Option<f64>,
    /// Money for a kilowatt hour.
    #[arg(long, value_name = "SUM", value_parser = number)]
    pub(crate) price_kwh: Option<f64>,
    /// Money for a cubic metre of water.
    #[arg(long, value_name = "SUM", value_parser = number)]
    pub(crate) price_water: Option<f64>,
    /// Who, when, why.
    #[command(flatten)]
    pub(crate) by: ByArgs,
}
