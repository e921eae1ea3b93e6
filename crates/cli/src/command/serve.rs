//! `middlecut serve`: the page and its API, on this machine or in the local network, until it is
//! told to stop.

use std::path::Path;

use serde::Serialize;
use server::{Listening, Nightly, Options, Reach};

use super::access::{CodeWire, told, wire};
use super::data;
use crate::args::{PORT_DEFAULT, ServeArgs};
use crate::error::CliError;
use crate::print;

/// Most nightly backups that are kept; judgement: more than a year.
const BACKUPS_MAX: usize = 400;

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
        backup_at: None,
        backup_keep: 1,
        backup_to: None,
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
        nightly: nightly(args, &folder)?,
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

/// The nightly backup that was asked for.
fn nightly(args: &ServeArgs, data: &Path) -> Result<Option<Nightly>, CliError> {
    let Some(typed) = &args.backup_at else { return Ok(None) };
    let refused = |option, value: String, bound, hint: &str| CliError::Typed {
        option,
        value,
        bound,
        hint: hint.to_owned(),
    };
    let time = typed.split_once(':').and_then(|(hour, minute)| {
        let part = |text: &str, most: u16| {
            let digits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
            text.parse::<u16>().ok().filter(|value| digits && *value <= most)
        };
        Some(60 * part(hour, 23)? + part(minute, 59)?)
    });
    let at_minutes = time.ok_or_else(|| {
        let bound = "must be a time of day from 00:00 to 23:59";
        refused("--backup-at", typed.clone(), bound, "as 03:30")
    })?;
    if !(1..=BACKUPS_MAX).contains(&args.backup_keep) {
        let (value, bound) = (args.backup_keep.to_string(), "must lie from 1 to 400");
        return Err(refused("--backup-keep", value, bound, "14 are two weeks"));
    }
    let folder = args.backup_to.clone().unwrap_or_else(|| data.join("backups"));
    Ok(Some(Nightly { at_minutes, keep: args.backup_keep, folder }))
}

fn open_page(listening: &Listening) {
    // Where a browser here must be paired too, only a person can do that: a code that stood among the
    // arguments of a program would be seen by others.
    let place = if listening.pairs_here { "pair" } else { "" };
    if let Err(why) = open::that_detached(format!("http://{}/{place}", listening.address)) {
        eprintln!("the page was not opened ({why}); open the address above in a browser");
    }
}
