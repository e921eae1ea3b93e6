//! `middlecut openapi`: the server's API document, for the page's types.

use crate::error::CliError;
use crate::print;

/// Prints the document.
pub(crate) fn run() -> Result<(), CliError> {
    print::text(&server::openapi_json())?;
    Ok(())
}
