//! `middlecut serve`: the page and its API, on this machine or in the local network, until it is
//! told to stop.

use std::path::Path;

use serde::Serialize;
use server::{Listening, Options, Reach};

use super::access::{CodeWire, told, wire};
use super::data;
use crate::args::{PORT_DEFAULT, ServeArgs};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct ServeWire<'a> {
    address: &'a str,
    data: String,
    places: &'a [String],
    codes: Vec<CodeWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    authority_sha256: Option<&'a str>,
}

/// Serves where no command was typed.
pub(crate) fn run_default(json: bool) -> Result<(), CliError> {
    let args = ServeArgs {
        data: None,
        port: PORT_DEFAULT,
        no_open: false,
        lan: false,
        tls: false,
        hosts: Vec::new(),
        proxy: None,
    };
    run(&args, json)
}

/// Serves.
pub(crate) fn run(args: &ServeArgs, json: bool) -> Result<(), CliError> {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_max_level(tracing::Level::WARN)
        .init();
    let folder = data::folder(args.data.as_deref())?;
    let reach = Reach { lan: args.lan, tls: args.tls, proxy: args.proxy.clone() };
    let options = Options {
        port: args.port,
        reach,
        allow_hosts: args.hosts.clone(),
        ..Options::new(folder.clone())
    };
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(server::ServeError::System)?;
    let opens = !args.no_open;
    runtime.block_on(server::serve(options, move |listening| {
        announce(listening, &folder, json);
        if opens {
            open_page(listening);
        }
    }))?;
    Ok(())
}

/// The address is the first line, so that a person and a script both find it.
fn announce(listening: &Listening, folder: &Path, json: bool) {
    let Listening { address, places, codes, authority, .. } = listening;
    let address = format!("http://{address}/");
    let data = folder.display().to_string();
    let said = if json {
        print::json(&ServeWire {
            address: &address,
            data,
            places,
            codes: codes.iter().map(|code| wire(code, places)).collect(),
            authority_sha256: authority.as_ref().map(|(_, fingerprint)| fingerprint.as_str()),
        })
    } else {
        let mut lines = vec![address, format!("record in {data}")];
        for code in codes {
            lines.push(told(code, places));
        }
        if let Some((name, fingerprint)) = authority {
            lines.push(format!(
                "Devices must trust the certificate of {name} once: open /trust on them.\n\
                 Its SHA-256 fingerprint: {fingerprint}"
            ));
        }
        if !codes.is_empty() {
            lines.push(
                "Others can reach this page now, with a code. More codes: middlecut access code. \
                 Who is in: middlecut access list."
                    .to_owned(),
            );
        }
        lines.push(
            "Advisory only. Check local law; never leave a heated still. Ctrl-C stops.\n"
                .to_owned(),
        );
        print::text(&lines.join("\n"))
    };
    if let Err(why) = said {
        // Nobody reads; the page works all the same.
        tracing::warn!("standard output: {why}");
    }
}

fn open_page(listening: &Listening) {
    // Where a browser here must be paired too, only a person can do that: a code that stood among the
    // arguments of a program would be seen by others.
    let place = if listening.pairs_here { "pair" } else { "" };
    if let Err(why) = open::that_detached(format!("http://{}/{place}", listening.address)) {
        eprintln!("the page was not opened ({why}); open the address above in a browser");
    }
}
