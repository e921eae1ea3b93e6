//! `middlecut balance`, `lots`, `enter`, `stock-take` and `book`: the account of pure alcohol.

mod balance;
mod book;
mod enter;
mod files;
mod lots;
mod moments;
mod notes;
mod take_run;
mod told;

pub(crate) use balance::run as balance;
pub(crate) use book::run as book;
pub(crate) use enter::{by, enter, stock_take};
pub(crate) use lots::run as lots;
pub(crate) use moments::moment;
pub(crate) use told::text as entry_text;

use account::Profile;

use crate::args::ProfileName;
use crate::error::CliError;

/// The profile of a name.
pub(crate) fn profile(name: ProfileName) -> Result<Profile, CliError> {
    let name = match name {
        ProfileName::Metric => "metric",
        ProfileName::Us => "us",
        ProfileName::Eu => "eu",
    };
    store::book::profile(name).ok_or_else(|| CliError::Unready { what: format!("profile {name}") })
}
