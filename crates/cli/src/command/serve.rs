//! `middlecut serve`: the page and its API on this machine, until it is told to stop.

use std::net::SocketAddr;
use std::path::Path;

use serde::Serialize;
use server::Options;

use super::data;
use crate::args::{PORT_DEFAULT, ServeArgs};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct ServeWire<'a> {
    address: &'a str,
    data: String,
}

/// Serves where no command was typed.
pub(crate) fn run_default(json: bool) -> Result<(), CliError> {
    run(&ServeArgs { data: None, port: PORT_DEFAULT, no_open: false }, json)
}

/// Serves.
pub(crate) fn run(args: &ServeArgs, json: bool) -> Result<(), CliError> {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing::Level::WARN)
        .init();
    let folder = data::folder(args.data.as_deref())?;
    let options = Options { port: args.port, ..Options::new(folder.clone()) };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(server::ServeError::System)?;
    let opens = !args.no_open;
    runtime.block_on(server::serve(options, move |address| {
        announce(address, &folder, json);
        if opens {
            open_page(address);
        }
    }))?;
    Ok(())
}

/// The address is the first line, so that a person and a script both find it.
fn announce(address: SocketAddr, folder: &Path, json: bool) {
    let address = format!("http://{address}/");
    let data = folder.display().to_string();
    let said = if json {
        print::json(&ServeWire { address: &address, data })
    } else {
        print::text(&format!(
            "{address}\nrecord in {data}\nAdvisory only. Check local law; never leave a heated \
             still. Ctrl-C stops.\n"
        ))
    };
    if let Err(why) = said {
        // Nobody reads; the page works all the same.
        tracing::warn!("standard output: {why}");
    }
}

fn open_page(address: SocketAddr) {
    if let Err(why) = open::that_detached(format!("http://{address}/")) {
        eprintln!("the page was not opened ({why}); open the address above in a browser");
    }
}
