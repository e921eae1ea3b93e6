//! What `replay` and `rehearse` share: the pace, the events as they are said, the end.

use std::io;
use std::time::{Duration, Instant};

use advise::{Event, EventKind, LiveOptions, RunEnd};
use serde::Serialize;

use super::progress::Progress;
use crate::error::CliError;
use crate::number::within;
use crate::print::{self, number};

/// Fastest and slowest speed that is kept; without one there is no waiting at all.
const SPEED_LOW: f64 = 0.1;
const SPEED_HIGH: f64 = 1e6;

/// Listens to the engine: waits as the speed asks, prints as text or keeps for the JSON object.
pub(super) struct Listener<'a> {
    progress: &'a Progress,
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

/// The speed that was asked for, checked.
pub(super) fn speed(asked: Option<f64>) -> Result<Option<f64>, CliError> {
    let hint = "times real time: 60 plays an hour in a minute; leave it out for no waiting";
    asked.map(|speed| within("--speed", speed, SPEED_LOW, SPEED_HIGH, "", hint)).transpose()
}

/// The engine as it is played here: forecasts from what is measured only where asked for, for a fit
/// every minute is nearly all of the work.
pub(super) fn options(forecasts: bool) -> LiveOptions {
    LiveOptions { estimate: forecasts, ..LiveOptions::default() }
}

impl<'a> Listener<'a> {
    /// A listener at a speed that [`speed`] has checked.
    pub(super) fn new(speed: Option<f64>, json: bool, progress: &'a Progress) -> Self {
        let (started, events) = (Instant::now(), Vec::new());
        Self { progress, speed, started, json, events, failed: None }
    }

    /// Hears one event.
    pub(super) fn hear(&mut self, event: &Event) {
        if let Some(speed) = self.speed {
            let due = Duration::from_secs_f64((event.time_s / speed).max(0.0));
            std::thread::sleep(due.saturating_sub(self.started.elapsed()));
        }
        self.progress.at_time(event.time_s);
        if self.json {
            self.events.push(event.clone());
        } else if self.failed.is_none() {
            self.failed = self.progress.aside(|| print::text(&said(event))).err();
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
            let ended = ended(end);
            self.progress.aside(|| print::text(&ended))?;
        }
        Ok(())
    }
}

/// How the run ended, as the last line.
fn ended(end: &RunEnd) -> String {
    format!(
        "\n{}  ended by {}: {} L at 20 °C drawn, {} L of pure alcohol in it as reckoned\n",
        clock(end.time_s),
        end.ended_by.words(),
        number(end.litres_20c, 2),
        number(end.pure_alcohol_l, 2),
    )
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
    let mut lines = vec![format!("{:>8}  {kind:<6}  {}", clock(event.time_s), event.text)];
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
