//! What `replay` and `rehearse` share: the pace, the events as they are said, the end.

use std::io;
use std::time::{Duration, Instant};

use advise::{Event, EventKind, RunEnd};
use serde::Serialize;

use crate::error::CliError;
use crate::number::within;
use crate::print::{self, number};

/// Fastest and slowest speed that is kept; without one there is no waiting at all.
const SPEED_LOW: f64 = 0.1;
const SPEED_HIGH: f64 = 1e6;

/// Listens to the engine: waits as the speed asks, prints as text or keeps for the JSON object.
pub(super) struct Listener {
    speed: Option<f64>,
    started: Instant,
    json: bool,
    events: Vec<Event>,
    failed: Option<io::Error>,
}

#[derive(Debug, Serialize)]
struct RunWire<'a> {
    events: &'a [Event],
    end: &'a RunEnd,
}

impl Listener {
    /// A listener at that speed.
    pub(super) fn new(speed: Option<f64>, json: bool) -> Result<Self, CliError> {
        let hint = "times real time: 60 plays an hour in a minute; leave it out for no waiting";
        let check = |speed| within("--speed", speed, SPEED_LOW, SPEED_HIGH, "", hint);
        let speed = speed.map(check).transpose()?;
        Ok(Self { speed, started: Instant::now(), json, events: Vec::new(), failed: None })
    }

    /// Hears one event.
    pub(super) fn hear(&mut self, event: &Event) {
        if let Some(speed) = self.speed {
            let due = Duration::from_secs_f64((event.time_s / speed).max(0.0));
            std::thread::sleep(due.saturating_sub(self.started.elapsed()));
        }
        if self.json {
            self.events.push(event.clone());
        } else if self.failed.is_none() {
            self.failed = print::text(&said(event)).err();
        }
    }

    /// Prints how it ended.
    pub(super) fn finish(self, end: &RunEnd) -> Result<(), CliError> {
        if let Some(failed) = self.failed {
            return Err(failed.into());
        }
        if self.json {
            print::json(&RunWire { events: &self.events, end })?;
        } else {
            print::text(&format!(
                "\n{}  ended by {}: {} L at 20 °C drawn, {} L of pure alcohol in it\n",
                clock(end.time_s),
                end.ended_by.name(),
                number(end.litres_20c, 2),
                number(end.pure_alcohol_l, 2),
            ))?;
        }
        Ok(())
    }
}

/// Run time as hours, minutes and seconds.
fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0).floor();
    let (hours, rest) = ((whole / 3600.0).floor(), whole % 3600.0);
    format!("{hours:.0}:{:02.0}:{:02.0}", (rest / 60.0).floor(), rest % 60.0)
}

/// An event as a person reads it: what, how sure, what to do, how long there is.
fn said(event: &Event) -> String {
    let kind = match event.kind {
        EventKind::Prompt => "prompt",
        EventKind::Alarm => "ALARM",
        EventKind::Step => "step",
        EventKind::State => "state",
    };
    let indent = " ".repeat(18);
    let mut lines =
        vec![format!("{:>8}  {kind:<6}  {}: {}", clock(event.time_s), event.code, event.text)];
    if !event.to_do.is_empty() {
        let within = event.within_s.map(|s| format!(" (within {})", how_long(s)));
        lines.push(format!("{indent}do: {}{}", event.to_do, within.unwrap_or_default()));
    }
    if !event.how_sure.is_empty() {
        lines.push(format!("{indent}how sure: {}", event.how_sure));
    }
    lines.push(String::new());
    lines.join("\n")
}

fn how_long(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{} s", number(seconds.max(0.0), 0))
    } else {
        format!("{} min", number(seconds / 60.0, 0))
    }
}
