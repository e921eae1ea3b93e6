//! `middlecut man`: the manual pages, made from what the commands say of themselves.

use std::path::Path;

use clap::{Command, CommandFactory};

use super::files::write_bytes;
use crate::args::{Cli, ManArgs};
use crate::error::CliError;
use crate::print;

/// Prints one page, or writes all of them into a folder.
pub(crate) fn run(args: &ManArgs) -> Result<(), CliError> {
    let pages = pages();
    if let Some(dir) = &args.dir {
        std::fs::create_dir_all(dir).map_err(|why| unwritable(dir, why))?;
        return pages.iter().try_for_each(|(name, page)| {
            write_bytes("--dir", &dir.join(format!("{name}.1")), page)
        });
    }
    let wanted = match &args.command {
        Some(command) => format!("middlecut-{command}"),
        None => "middlecut".to_owned(),
    };
    let page = pages
        .iter()
        .find(|(name, _)| *name == wanted)
        .ok_or_else(|| CliError::NoPage { command: args.command.clone().unwrap_or_default() })?;
    print::text(&String::from_utf8_lossy(&page.1))?;
    Ok(())
}

fn unwritable(dir: &Path, why: std::io::Error) -> CliError {
    CliError::Write { option: "--dir", path: dir.to_path_buf(), why }
}

/// Every page with its name: the program's, and one for each command that help lists.
fn pages() -> Vec<(String, Vec<u8>)> {
    let mut whole = Cli::command();
    whole.build();
    let mut pages = vec![("middlecut".to_owned(), page(&whole))];
    for command in whole.get_subcommands().filter(|command| !command.is_hide_set()) {
        let name = format!("middlecut-{}", command.get_name());
        pages.push((name, page(command)));
    }
    pages
}

/// Writing into memory cannot fail; a failure would be an empty page.
fn page(command: &Command) -> Vec<u8> {
    let mut bytes = Vec::new();
    let written = clap_mangen::Man::new(command.clone()).render(&mut bytes);
    written.map(|()| bytes).unwrap_or_default()
}
