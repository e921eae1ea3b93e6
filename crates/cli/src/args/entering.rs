//! Options that take what a command of the bench reckoned into the book.

use std::path::PathBuf;

use clap::Args;

/// Whether it is entered, by whom, and when it was done.
#[derive(Debug, Args)]
pub(crate) struct BookedArgs {
    /// Enter it in the book of the account; told twice it is entered once.
    #[arg(long, requires = "by")]
    pub(crate) enter: bool,
    /// Who enters it.
    #[arg(long, value_name = "NAME", requires = "enter")]
    pub(crate) by: Option<String>,
    /// Who gauged, where that is somebody else.
    #[arg(long, value_name = "NAME", requires = "enter")]
    pub(crate) read_by: Option<String>,
    /// Who checked it.
    #[arg(long, value_name = "NAME", requires = "enter")]
    pub(crate) checked_by: Option<String>,
    /// When it was done, as 2026-10-03T14:20:00+02:00; now where not given. The same act at another
    /// moment is another act.
    #[arg(long, value_name = "TIME", requires = "enter")]
    pub(crate) act: Option<String>,
    /// In words.
    #[arg(long, value_name = "WORDS", requires = "enter")]
    pub(crate) note: Option<String>,
    /// Only say what would be entered.
    #[arg(long, requires = "enter")]
    pub(crate) dry_run: bool,
}

/// Between which places of the book it moves.
#[derive(Debug, Args)]
pub(crate) struct PlacesArgs {
    /// With --enter: where the spirit stands in the book.
    #[arg(long, value_name = "PLACE/LOT", requires = "enter")]
    pub(crate) out_of: Option<String>,
    /// With --enter: where it comes to.
    #[arg(long, value_name = "PLACE/LOT", requires = "enter")]
    pub(crate) into: Option<String>,
    /// With --enter: folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR", requires = "enter")]
    pub(crate) data: Option<PathBuf>,
}
