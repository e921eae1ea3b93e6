//! Entries of a run's record as lines of its log: in words, without codes.

use std::collections::BTreeMap;

use advise::alarm_words;
use estimate::Verdict;
use sense::{Action, Amount, JarRecord, Reading, Vessel, VesselRecord};
use still::plan::TakeOff;
use store::{
    EnteredUnits, Entry, EntryNumber, Logged, RunId, RunInstrument, RunInstruments, RunMode, Store,
    StoreError, StoredEvent, StoredKind,
};

use crate::amendments::Amendments;
use crate::unit_words::{channel_words, fed_words, typed_words};
use crate::wire::run::{LogCanWire, LogEntryWire};

/// A line about which nothing can be done.
pub(crate) fn plain(
    entry: EntryNumber,
    time_s: Option<f64>,
    stored_ms: i64,
    kind: &str,
    words: String,
) -> LogEntryWire {
    LogEntryWire {
        entry: u64::try_from(entry).unwrap_or_default(),
        time_s,
        stored_ms,
        kind: kind.to_owned(),
        words,
        note: String::new(),
        withdrawn_by: None,
        corrected_by: None,
        can: LogCanWire { undo: false, correct: false },
    }
}

/// The line of an entry; none for what only keeps the log together.
pub(crate) fn line(
    store: &Store,
    run: &RunId,
    amendments: &Amendments,
    logged: &Logged,
) -> Result<Option<LogEntryWire>, StoreError> {
    let words = match &logged.entry {
        Entry::Withdrawn { entry } | Entry::Corrected { entry } => {
            let way = if matches!(logged.entry, Entry::Withdrawn { .. }) {
                "Taken back"
            } else {
                "Corrected"
            };
            let of = store.entries(run, entry - 1, 1)?;
            let of = of.first().and_then(|of| words(&of.entry));
            Some(("amended", None, format!("{way}: {}", of.map_or(String::new(), |of| of.2))))
        }
        // What a reading was typed as stands on a line of its own: readings share theirs.
        Entry::Units(EnteredUnits::Typed(list)) => {
            let of = store.entries(run, logged.number - 1 - EntryNumber::from(list.entries), 1)?;
            let row = of.first().and_then(|of| match &of.entry {
                Entry::Readings(rows) => rows.first(),
                _ => None,
            });
            row.map(|(time_s, _)| {
                ("readings", Some(*time_s), format!("Read by hand: {}", typed_words(&list.values)))
            })
        }
        Entry::Ended(_) if told_at_the_end(store, run, logged.number)? => None,
        entry => words(entry),
    };
    let Some((kind, time_s, mut words)) = words else { return Ok(None) };
    let number = logged.number;
    if let Some(who) = amendments.by.get(&number) {
        words = format!("{words}, by {who}");
    }
    if let Some(typed) = amendments.typed.get(&number) {
        words = format!("{words} (entered as {typed})");
    }
    let by = |list: &BTreeMap<EntryNumber, EntryNumber>| {
        list.get(&number).and_then(|by| u64::try_from(*by).ok())
    };
    let mut line = plain(number, time_s, logged.stored_ms, kind, words);
    line.note = note(&logged.entry);
    if amendments.in_place.contains(&number) && line.note.is_empty() {
        "a correction".clone_into(&mut line.note);
    }
    line.withdrawn_by = by(&amendments.withdrawn);
    line.corrected_by = by(&amendments.corrected);
    line.can = amendments.can(number, &logged.entry);
    Ok(Some(line))
}

/// Whether the engine said the same just before: the first account of an end is its own event.
fn told_at_the_end(store: &Store, run: &RunId, ended: EntryNumber) -> Result<bool, StoreError> {
    let before = store.entries_before(run, ended, 1)?;
    let event = before.first().map(|logged| &logged.entry);
    Ok(matches!(event, Some(Entry::Event(event)) if event.code == "run_ended"))
}

type Words = (&'static str, Option<f64>, String);

fn words(entry: &Entry) -> Option<Words> {
    Some(match entry {
        Entry::Opened(new) => {
            let way = match new.mode {
                RunMode::Real => "Run",
                RunMode::Rehearsal { .. } => "Rehearsal",
                RunMode::Imported => "Run read from a folder",
            };
            let (plan, charge) = (&new.plan, &new.plan.charge);
            // What was converted has more figures than anybody reads.
            let read = |value: f64| (100.0 * value).round() / 100.0;
            let (litres, vol) = (read(charge.litres), read(charge.strength_vol));
            let still = &plan.still.name;
            ("run", None, format!("{way}: {}, {litres} L at {vol} % vol, {still}", plan.title))
        }
        Entry::Plan(plan) => ("plan", None, format!("Plan changed: {}", plan.title)),
        Entry::Started { .. } => ("run", Some(0.0), "Run time begins".to_owned()),
        Entry::Action(time_s, action) => {
            let kind = match action {
                Action::Step { .. } => "step",
                Action::Note { .. } => "note",
                Action::Jar { .. } => "jar",
                _ => "action",
            };
            (kind, Some(*time_s), action_words(action))
        }
        Entry::Jar(jar) => ("jar", Some(jar.end_s), jar_words(jar)),
        Entry::ReadByHand(time_s, reading) => ("reading", Some(*time_s), reading_words(reading)),
        Entry::Event(event) => {
            let kind = match event.kind {
                StoredKind::Alarm => "alarm",
                StoredKind::Step => "begins",
                StoredKind::State if event.code == "forecast_moved" => "moved",
                _ => "said",
            };
            (kind, Some(event.time_s), event.text.clone())
        }
        Entry::Speed { time_s, speed } => {
            let words = if *speed > 0.0 {
                format!("Rehearsal at {speed} times the speed")
            } else {
                "Rehearsal halted".to_owned()
            };
            ("run", Some(*time_s), words)
        }
        Entry::Ended(end) => {
            let (litres, pure) = (end.litres_20c, end.pure_alcohol_l);
            let words =
                format!("In all {litres:.2} L drawn, {pure:.2} L of pure alcohol, as reckoned");
            ("run", Some(end.time_s), words)
        }
        Entry::Abandoned { time_s, .. } => ("run", Some(*time_s), "Run given up".to_owned()),
        Entry::Begun(begun) => ("step", None, format!("Step {} of the plan begun", begun.step + 1)),
        Entry::Checks(list) => {
            let by = list.by.as_ref().map_or(String::new(), |by| format!(" by {by}"));
            let words = format!("Check list signed{by}: {} points", list.ticked.len());
            ("checks", None, words)
        }
        Entry::JarSize { time_s, ml } => ("jar", Some(*time_s), format!("A jar holds {ml} mL")),
        Entry::Instruments(list) => return Some(instrument_words(list)),
        Entry::Units(EnteredUnits::Fed(fed)) => return Some(fed_words(fed)),
        Entry::Named { name } => ("run", None, format!("Named: {name}")),
        Entry::Outcome(_) => ("run", None, "What the simulated still really did".to_owned()),
        Entry::Balance(stored) => ("learning", None, balance_words(&stored.balance)),
        // What keeps the log together, and what is of the house.
        _ => return None,
    })
}

fn balance_words(balance: &estimate::AlcoholBalance) -> String {
    let open_l = balance.missing_l.abs();
    let said = match balance.account.as_ref().map(|account| account.verdict) {
        Some(Verdict::CannotTell) => "cannot tell".to_owned(),
        Some(Verdict::AddsUp) => {
            format!("it adds up, to {open_l:.2} L of {:.2} L", balance.charged_l)
        }
        Some(Verdict::TooMuch) => format!("{open_l:.2} L more than was charged"),
        Some(Verdict::Missing) => format!("{open_l:.2} L missing"),
        None if balance.missing_l < 0.0 => format!("{open_l:.2} L more than was charged"),
        None => format!("{open_l:.2} L unaccounted for"),
    };
    format!("Balance of the alcohol: {said}")
}

fn note(entry: &Entry) -> String {
    match entry {
        Entry::Event(StoredEvent { to_do, .. }) => to_do.clone(),
        Entry::Checks(list) => points(&list.ticked),
        Entry::Jar(jar) => jar.note.clone(),
        Entry::Abandoned { reason, .. } | Entry::Action(_, Action::Quiet { reason, .. }) => {
            reason.clone()
        }
        _ => String::new(),
    }
}

/// What a run is read with from here on.
fn instrument_words(list: &RunInstruments) -> Words {
    let one = |one: &RunInstrument| {
        let right = if one.points.is_empty() { "" } else { " (put right)" };
        let overdue = if one.overdue { " (overdue)" } else { "" };
        format!("{} by {}{right}{overdue}", channel_words(&one.channel), one.name)
    };
    let all: Vec<String> = list.instruments.iter().map(one).collect();
    let words = match all.as_slice() {
        [] => "No instruments are known".to_owned(),
        all => format!("Read: {}", all.join(", ")),
    };
    ("instruments", Some(list.time_s), words)
}

/// The points of a check list as one sentence.
fn points(ticked: &[String]) -> String {
    let bare: Vec<&str> = ticked.iter().map(|point| point.trim_end_matches('.')).collect();
    bare.join("; ")
}

fn reading_words(reading: &Reading) -> String {
    let one =
        |(probe, value): (sense::Probe, f64)| format!("{} {value} {}", probe.words(), probe.unit());
    let all: Vec<String> = reading.iter().map(one).collect();
    format!("Read by hand: {}", all.join(", "))
}

fn action_words(action: &Action) -> String {
    match action {
        Action::Heater { watts } if *watts > 0.0 => format!("Heater changed to {watts} W"),
        Action::Heater { .. } => "Heater off".to_owned(),
        Action::TakeOff { take_off, measured } => {
            let way = if *measured { "measured:" } else { "changed to" };
            match take_off {
                TakeOff::Closed => "Take-off closed".to_owned(),
                TakeOff::MlPerMin(rate) => format!("Take-off {way} {rate} mL/min"),
                TakeOff::RefluxWatts(watts) => format!("Partial condenser {way} {watts} W"),
                TakeOff::RefluxRatio(ratio) => format!("Take-off {way} reflux ratio {ratio}"),
            }
        }
        Action::Coolant { l_per_min } if *l_per_min > 0.0 => {
            format!("Coolant changed to {l_per_min} L/min")
        }
        Action::Coolant { .. } => "Coolant closed".to_owned(),
        Action::Jar { number } => format!("Jar {number} under the spout"),
        Action::Step { kind } => format!("Step begun: {}", kind.name()),
        Action::Gauge { apparent_vol, celsius } => {
            format!("Glass reads {apparent_vol} % vol at {celsius} °C")
        }
        Action::Vessel(record) => vessel_words(record),
        Action::Here => "Somebody is here".to_owned(),
        Action::Seen { code } => format!("Alarm seen: {}", alarm_words(code)),
        Action::Reset { code } => format!("Alarm set back: {}", alarm_words(code)),
        Action::Quiet { code, minutes, .. } => {
            format!("Alarm quiet for {minutes} min: {}", alarm_words(code))
        }
        Action::Note { text } => text.clone(),
    }
}

fn vessel_words(record: &VesselRecord) -> String {
    let what = match record.vessel {
        Vessel::Residue => "Residue in the boiler",
        Vessel::Feints => "Feints outside the jars",
        Vessel::Sample => "Sample",
    };
    let amount = match record.amount {
        Amount::Litres(litres) => format!("{litres} L"),
        Amount::Kilograms(kg) => format!("{kg} kg"),
    };
    let glass = record.apparent_vol.map_or(String::new(), |vol| format!(", glass {vol} % vol"));
    let warmth = record.celsius.map_or(String::new(), |celsius| format!(" at {celsius} °C"));
    format!("{what}: {amount}{glass}{warmth}")
}

fn jar_words(jar: &JarRecord) -> String {
    let cut = jar.cut.map_or(String::new(), |cut| format!(", {}", cut.name()));
    let glass = match (jar.apparent_vol, jar.temperature_c) {
        (Some(vol), Some(celsius)) => format!(", glass {vol} % vol at {celsius} °C"),
        (Some(vol), None) => format!(", glass {vol} % vol"),
        (None, _) => String::new(),
    };
    let with = jar.gauged_with.as_ref();
    let with = with.map_or_else(String::new, |one| format!(", with {}", one.words()));
    format!("Jar {}: {} mL{cut}{glass}{with}", jar.number, jar.volume_ml)
}
