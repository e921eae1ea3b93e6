//! `middlecut instruments`: what reads each channel of a still, its calibrations, what is due.

use std::fmt::Write as _;
use std::path::Path;

use alcoholometry::typed::Typed;
use quantities::TypedValue;
use sense::Probe;
use serde::Serialize;
use server::Clock;
use store::time::{format_start, parse_start};
use store::{
    CalibrationPoint, Instrument, InstrumentCalibrated, KnownInstrument, OfferedOffset, Store,
    StoreError,
};

use super::data;
use crate::args::{
    InstrumentCalibrateArgs, InstrumentStateArgs, InstrumentsArgs, InstrumentsCommand,
};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct InstrumentWire<'a> {
    still: &'a str,
    channel: &'a str,
    name: &'a str,
    step: Option<f64>,
    doubt: Option<f64>,
    overdue: bool,
    calibrated: Option<&'a InstrumentCalibrated>,
    offered_too_high: Option<f64>,
    offered_sd: Option<f64>,
    offered_runs: Option<usize>,
}

/// Does what was asked, and lists them.
pub(crate) fn run(args: &InstrumentsArgs, json: bool) -> Result<(), CliError> {
    let now_ms = Clock::default().now_ms();
    let open = |data: &Option<std::path::PathBuf>| -> Result<Store, CliError> {
        Ok(Store::open(&data::existing(data.as_deref())?)?)
    };
    match &args.what {
        InstrumentsCommand::List(args) => {
            let dir = data::existing(args.data.as_deref())?;
            let store = Store::open_read_only(Path::new(&dir))?;
            match &args.still {
                Some(still) => list(&store, still, now_ms, json),
                None => list_all(&store, now_ms, json),
            }
        }
        InstrumentsCommand::State(args) => {
            known_column(&args.channel)?;
            let store = open(&args.data)?;
            state(&store, args, now_ms)?;
            list(&store, &args.still, now_ms, json)
        }
        InstrumentsCommand::Calibrate(args) => {
            known_column(&args.channel)?;
            let store = open(&args.data)?;
            calibrate(&store, args, now_ms)?;
            list(&store, &args.still, now_ms, json)
        }
    }
}

/// Refuses a channel that is none, and names those that are.
fn known_column(channel: &str) -> Result<(), CliError> {
    if Probe::of_column(channel).is_some() {
        return Ok(());
    }
    let columns: Vec<&str> = Probe::ALL.iter().map(|probe| probe.column()).collect();
    Err(CliError::Typed {
        option: "CHANNEL",
        value: channel.chars().take(40).collect(),
        bound: "must be a column of the readings",
        hint: format!("one of {}", columns.join(", ")),
    })
}

/// Nothing is calibrated that was not stated.
fn not_stated(store: &Store, args: &InstrumentCalibrateArgs) -> Result<CliError, CliError> {
    let InstrumentCalibrateArgs { still, channel, .. } = args;
    let stills = store.stills_with_instruments()?;
    let others = match stills.as_slice() {
        [] => String::new(),
        stills => format!("; instruments are stated of {}", stills.join(", ")),
    };
    Ok(CliError::Typed {
        option: "CHANNEL",
        value: channel.clone(),
        bound: "must have an instrument that was stated of this still",
        hint: format!("middlecut instruments state \"{still}\" {channel} --name NAME{others}"),
    })
}

fn state(store: &Store, args: &InstrumentStateArgs, now_ms: i64) -> Result<(), CliError> {
    let one = Instrument {
        still: args.still.clone(),
        channel: args.channel.clone(),
        name: args.name.trim().to_owned(),
        step: args.step,
        doubt: args.doubt,
    };
    Ok(store.state_instrument(one, now_ms)?)
}

fn calibrate(store: &Store, args: &InstrumentCalibrateArgs, now_ms: i64) -> Result<(), CliError> {
    let known = store.instruments(&args.still)?;
    let of = known.iter().find(|one| one.instrument.channel == args.channel);
    let Some(name) = of.map(|one| one.instrument.name.clone()) else {
        return Err(not_stated(store, args)?);
    };
    let due_ms = args.due.as_deref().map(date).transpose()?;
    let (points, typed) = points(args)?;
    let one = InstrumentCalibrated {
        still: args.still.clone(),
        channel: args.channel.clone(),
        name,
        points,
        at_ms: now_ms,
        due_ms,
        by: args.by.clone(),
        note: args.note.clone(),
    };
    store.calibrate_instrument(one, typed, now_ms)?;
    Ok(())
}

/// The points, and how their numbers were typed.
fn points(
    args: &InstrumentCalibrateArgs,
) -> Result<(Vec<CalibrationPoint>, Vec<TypedValue>), CliError> {
    let unit = Probe::of_column(&args.channel).map_or("", Probe::unit);
    let in_unit = |option, text: &Option<String>| {
        let read = |text: &String| {
            Typed::read(text, unit).map_err(|_| CliError::Typed {
                option,
                value: text.chars().take(40).collect(),
                bound: "must be a number, in a unit of its channel where one stands behind it",
                hint: format!("one of {}", alcoholometry::typed::names(unit).join(", ")),
            })
        };
        text.as_ref().map(read).transpose()
    };
    let shown = in_unit("--shown", &args.shown)?;
    let truth = in_unit("--truth", &args.truth)?;
    let too_high = args.too_high.map(Typed::own);
    let (learned, reference) = match too_high {
        Some(_) => (shown, None),
        None => (None, shown),
    };
    let asked = [
        ("ice_point", args.ice.clone(), None),
        (
            "steam_point",
            args.steam.clone(),
            args.pressure.clone().map(|given| ("pressure_hpa", given)),
        ),
        ("learned", learned, too_high.map(|given| ("too_high", given))),
        ("reference", reference, truth.map(|given| ("truth", given))),
    ];
    let (mut points, mut typed) = (Vec::new(), Vec::new());
    for (against, shown, given) in asked {
        let Some(shown) = shown else { continue };
        let value = given.as_ref().map(|(_, given)| given.value);
        let key = |name: &str| format!("points[{}].{name}", points.len());
        typed.extend(shown.noted(key("shown")));
        typed.extend(given.and_then(|(name, given)| given.noted(key(name))));
        points.push(CalibrationPoint::given(&args.channel, against, shown.value, value)?);
    }
    Ok((points, typed))
}

/// The beginning of a day, UTC.
fn date(text: &str) -> Result<i64, CliError> {
    let moment = parse_start(&format!("{text}T00:00:00Z")).map(|(utc_ms, _)| utc_ms);
    moment.ok_or_else(|| {
        let value = text.chars().take(40).collect();
        StoreError::Entry { field: "due", value, bound: "must be a date, as 2027-11-30" }.into()
    })
}

fn day(utc_ms: i64) -> String {
    let text = format_start(utc_ms, 0).unwrap_or_default();
    text.chars().take(10).collect()
}

/// Those of every still.
fn list_all(store: &Store, now_ms: i64, json: bool) -> Result<(), CliError> {
    let stills = store.stills_with_instruments()?;
    let known: Result<Vec<_>, StoreError> =
        stills.iter().map(|still| store.instruments(still)).collect();
    let (known, mut text) = (known?, String::new());
    if json {
        let all = known.iter().flatten().map(|one| wire(one, None, now_ms));
        return Ok(print::json(&all.collect::<Vec<_>>())?);
    }
    for (still, known) in stills.iter().zip(&known).filter(|(_, known)| !known.is_empty()) {
        text.push_str(still);
        text.push('\n');
        for one in known {
            text.push_str(&told(one, None, now_ms));
        }
    }
    if text.is_empty() {
        text.push_str(
            "no instrument is stated: `middlecut instruments state STILL CHANNEL --name NAME`\n",
        );
    }
    Ok(print::text(&text)?)
}

fn list(store: &Store, still: &str, now_ms: i64, json: bool) -> Result<(), CliError> {
    let known = store.instruments(still)?;
    let offers = store.offered_offsets(still)?;
    let offer =
        |one: &KnownInstrument| offers.iter().find(|offer| offer.channel == one.instrument.channel);
    if json {
        let wire = |one| wire(one, offer(one), now_ms);
        return Ok(print::json(&known.iter().map(wire).collect::<Vec<_>>())?);
    }
    let mut text = String::new();
    for one in &known {
        text.push_str(&told(one, offer(one), now_ms));
    }
    if known.is_empty() {
        let others = store.stills_with_instruments()?;
        if !others.is_empty() {
            let _ = writeln!(text, "instruments are stated of {}", others.join(", "));
        }
        text.push_str("no instrument of this still is stated: `middlecut instruments state`\n");
    }
    Ok(print::text(&text)?)
}

fn wire<'a>(
    one: &'a KnownInstrument,
    offer: Option<&OfferedOffset>,
    now_ms: i64,
) -> InstrumentWire<'a> {
    InstrumentWire {
        still: &one.instrument.still,
        channel: &one.instrument.channel,
        name: &one.instrument.name,
        step: one.instrument.step,
        doubt: one.instrument.doubt,
        overdue: one.overdue(now_ms),
        calibrated: one.calibrated.as_ref(),
        offered_too_high: offer.map(|offer| offer.too_high),
        offered_sd: offer.map(|offer| offer.sd),
        offered_runs: offer.map(|offer| offer.runs),
    }
}

fn told(one: &KnownInstrument, offer: Option<&OfferedOffset>, now_ms: i64) -> String {
    let mut lines = vec![format!("{}  {}", one.instrument.channel, one.instrument.name)];
    match &one.calibrated {
        None => lines.push("  never calibrated: its readings count as they come".to_owned()),
        Some(last) => {
            let by = last.by.as_ref().map_or(String::new(), |by| format!(" by {by}"));
            let due = last.due_ms.map_or(String::new(), |due| format!(", due {}", day(due)));
            let overdue = if one.overdue(now_ms) { ": OVERDUE" } else { "" };
            lines.push(format!("  calibrated {}{by}{due}{overdue}", day(last.at_ms)));
            for point in &last.points {
                let (what, off) = (point.against.replace('_', " "), point.truth - point.shown);
                // What was typed in another unit has more figures than it was read to.
                let (shown, truth) = ((1000.0 * point.shown).round() / 1000.0, point.truth);
                lines.push(format!("  {what}: shows {shown}, true {truth:.2} ({off:+.2})"));
            }
        }
    }
    if let Some(OfferedOffset { too_high, sd, runs, .. }) = offer {
        let from = if *runs == 1 { "run".to_owned() } else { format!("{runs} runs") };
        lines.push(format!(
            "  the last {from} would have it {too_high:+.2} K too high (sd {sd:.2}); calibrate with --too-high to take it over"
        ));
    }
    lines.join("\n") + "\n"
}
