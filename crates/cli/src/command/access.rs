//! `middlecut access`: who may come in from other machines, also while the server runs.

use std::io::IsTerminal;
use std::path::Path;

use serde::Serialize;
use server::{Clock, DoorCode, device_token, door_code, qr_text};
use store::access::{AccessBook, Device, DeviceOf, Person, Role};

use super::data;
use crate::args::{AccessArgs, AccessCommand, CodeArgs, DeviceArgs, ListArgs, RevokeArgs};
use crate::error::CliError;
use crate::print;

/// A code as it is told.
#[derive(Debug, Serialize)]
pub(super) struct CodeWire {
    role: &'static str,
    code: String,
    expires_ms: i64,
    links: Vec<String>,
}

#[derive(Debug, Serialize)]
struct DeviceTokenWire {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    still: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wash: Option<String>,
    name: String,
    token: String,
}

#[derive(Debug, Serialize)]
struct GuestsWire {
    people: Vec<PersonWire>,
    devices: Vec<DeviceWire>,
}

#[derive(Debug, Serialize)]
struct PersonWire {
    id: String,
    role: &'static str,
    name: String,
    made_ms: i64,
    expires_ms: i64,
    seen_ms: i64,
}

#[derive(Debug, Serialize)]
struct DeviceWire {
    id: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    still: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wash: Option<String>,
    name: String,
    made_ms: i64,
    seen_ms: Option<i64>,
}

#[derive(Debug, Serialize)]
struct RevokedWire<'a> {
    revoked: &'a str,
}

/// Does what was asked.
pub(crate) fn run(args: &AccessArgs, json: bool) -> Result<(), CliError> {
    match &args.what {
        AccessCommand::Code(args) => code(args, json),
        AccessCommand::Device(args) => device(args, json),
        AccessCommand::List(args) => list(args, json),
        AccessCommand::Revoke(args) => revoke(args, json),
    }
}

fn book(data: Option<&Path>) -> Result<AccessBook, CliError> {
    // A folder mistyped must not become an empty record.
    Ok(AccessBook::open(&data::existing(data)?)?)
}

fn code(args: &CodeArgs, json: bool) -> Result<(), CliError> {
    let book = book(args.data.as_deref())?;
    let role = if args.looker_on { Role::LookerOn } else { Role::Attendant };
    let places = book.places()?;
    let made = door_code(&book, role, Clock::default().now_ms())?;
    if json {
        print::json(&wire(&made, &places))?;
    } else {
        print::text(&told(&made, &places))?;
        if places.is_empty() {
            print::text("the server listens to this computer alone: `middlecut serve --lan`\n")?;
        }
    }
    Ok(())
}

/// A code as data.
pub(super) fn wire(made: &DoorCode, places: &[String]) -> CodeWire {
    let links = places.iter().map(|place| made.link(place)).collect();
    let (role, code, expires_ms) = (made.role.word(), made.code.clone(), made.expires_ms);
    CodeWire { role, code, expires_ms, links }
}

/// A code for a person's eyes: the square for the likeliest address, all addresses, the code.
pub(super) fn told(made: &DoorCode, places: &[String]) -> String {
    let who = match made.role {
        Role::Attendant => "an attendant (sees and records)",
        Role::LookerOn => "a looker-on (sees, and records nothing)",
    };
    let mut lines = vec![format!("Let in {who}, once, within ten minutes:")];
    let links: Vec<String> = places.iter().map(|place| made.link(place)).collect();
    let square = links.first().and_then(|link| qr_text(link));
    lines.extend(square.map(|square| on_paper(&square)));
    lines.extend(links);
    lines.push(format!("code {}\n", made.code));
    lines.join("\n")
}

/// On a terminal dark on light whatever its colours are: not every phone reads the other way round.
fn on_paper(square: &str) -> String {
    if !std::io::stdout().is_terminal() {
        return square.to_owned();
    }
    let lines = square.lines().map(|line| format!("\u{1b}[38;5;16;48;5;231m{line}\u{1b}[0m"));
    lines.collect::<Vec<_>>().join("\n")
}

fn device(args: &DeviceArgs, json: bool) -> Result<(), CliError> {
    let book = book(args.data.as_deref())?;
    let now_ms = Clock::default().now_ms();
    let of = match &args.wash {
        Some(wash) => DeviceOf::Wash(wash.clone()),
        None => DeviceOf::Still(args.still.clone().unwrap_or_default()),
    };
    let (Device { id, of, name, .. }, token) = device_token(&book, of, &args.name, now_ms)?;
    let (still, wash) = of.split();
    if json {
        print::json(&DeviceTokenWire { id, still, wash, name, token })?;
    } else {
        let (what, whose, path) = match (still, wash) {
            (_, Some(wash)) => ("wash ", wash, "/api/washes/NAME/probes"),
            (still, None) => ("still", still.unwrap_or_default(), "/api/stills/NAME/readings"),
        };
        print::text(&format!(
            "device  {id}\n{what}   {whose}\nname    {name}\ntoken   {token}\n\
             It is told here and never again. The device sends it with each post to\n\
             {path} as the header\n  Authorization: Bearer {token}\n"
        ))?;
    }
    Ok(())
}

fn list(args: &ListArgs, json: bool) -> Result<(), CliError> {
    let book = book(args.data.as_deref())?;
    let now_ms = Clock::default().now_ms();
    let (people, devices) = (book.people(now_ms)?, book.devices()?);
    if json {
        let people = people.into_iter().map(|one| {
            let Person { id, role, name, made_ms, expires_ms, seen_ms } = one;
            PersonWire { id, role: role.word(), name, made_ms, expires_ms, seen_ms }
        });
        let devices = devices.into_iter().map(|one| {
            let Device { id, of, name, made_ms, seen_ms } = one;
            let (still, wash) = of.split();
            DeviceWire { id, still, wash, name, made_ms, seen_ms }
        });
        let wire = GuestsWire { people: people.collect(), devices: devices.collect() };
        print::json(&wire)?;
        return Ok(());
    }
    let ago = |seen_ms: i64| format!("{} min ago", (now_ms - seen_ms).max(0) / 60_000);
    let mut rows = vec![["id", "what", "name", "last here"].map(str::to_owned).to_vec()];
    for one in people {
        let what = one.role.word().replace('_', "-");
        rows.push(vec![one.id, what, one.name, ago(one.seen_ms)]);
    }
    for one in devices {
        let seen = one.seen_ms.map_or_else(|| "never".to_owned(), ago);
        rows.push(vec![one.id, format!("device of the {}", one.of.words()), one.name, seen]);
    }
    print::text(&print::columns(&rows))?;
    Ok(())
}

fn revoke(args: &RevokeArgs, json: bool) -> Result<(), CliError> {
    if !book(args.data.as_deref())?.revoke(&args.id)? {
        return Err(CliError::NoGuest { id: args.id.clone() });
    }
    if json {
        print::json(&RevokedWire { revoked: &args.id })?;
    } else {
        print::text(&format!("revoked  {}\n", args.id))?;
    }
    Ok(())
}
