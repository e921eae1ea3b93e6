//! What the broker is told of one still: topics and payloads, made of what is known of its run.

use std::collections::BTreeMap;

use quantities::Band;
use serde::Serialize;

use crate::session::Known;
use crate::wire::event::PriorityWire;
use crate::wire::knowledge::{EvidenceWire, StateWire, WhatWire};
use crate::wire::twin::{Twin, word};

/// Retained messages: topic and payload.
pub(super) type Messages = BTreeMap<String, String>;

/// To what the moment is told at which something was so, ms: what is less is no news.
const AS_OF_MS: i64 = 10_000;

/// The run.
#[derive(Debug, Serialize)]
struct RunTold<'of> {
    still: &'of str,
    run: &'of str,
    state: StateWire,
    /// What the page's sentence begins with.
    headline: &'of str,
    /// What is to be done next, in words.
    instruction: Option<&'of str>,
    /// Whether it is to be done now.
    now: Option<bool>,
    /// When its heater came on.
    started: Option<String>,
    /// When this was so, to [`AS_OF_MS`].
    as_of: Option<String>,
}

/// What is to come. Ranges: low to high holds 4 times in 5, `low_95` to `high_95` 19 in 20.
#[derive(Debug, Serialize)]
struct ForecastTold<'of> {
    next: Option<WhatWire>,
    next_words: Option<&'of str>,
    next_at: Option<String>,
    next_low: Option<String>,
    next_high: Option<String>,
    next_low_95: Option<String>,
    next_high_95: Option<String>,
    next_evidence: Option<EvidenceWire>,
    /// Why it should not be trusted, where it should not.
    next_unsure: Option<&'of str>,
    /// When it was found.
    next_made: Option<String>,
    /// Hearts in all, those to come included.
    hearts_l: Option<f64>,
    hearts_low_l: Option<f64>,
    hearts_high_l: Option<f64>,
    hearts_low_95_l: Option<f64>,
    hearts_high_95_l: Option<f64>,
}

/// Alarms that stand, most urgent first.
#[derive(Debug, Serialize)]
struct AlarmsTold<'of> {
    standing: usize,
    /// The most urgent of them, in words.
    first: Option<&'of str>,
    alarms: Vec<AlarmTold<'of>>,
}

#[derive(Debug, Serialize)]
struct AlarmTold<'of> {
    code: &'of str,
    priority: PriorityWire,
    text: &'of str,
    #[serde(rename = "do")]
    to_do: &'of str,
    /// Whether a person has seen it.
    seen: bool,
    since: Option<String>,
}

/// The last parts of a still's topics.
pub(super) const STATE: &str = "state";
pub(super) const RUN: &str = "run";
pub(super) const FORECAST: &str = "forecast";
pub(super) const ALARM: &str = "alarm";
pub(super) const ALARMS: &str = "alarms";

/// All of them.
pub(super) const PARTS: [&str; 5] = [STATE, RUN, FORECAST, ALARM, ALARMS];

/// Everything that is told of a run, below that topic.
pub(super) fn messages(topic: &str, known: &Known, now_ms: i64) -> Messages {
    let knowledge = &known.knowledge;
    let at = |time_s: f64| moment(known.started_ms? + ms(time_s));
    let state = knowledge.state.twin();
    let instruction = knowledge.instruction.as_ref();
    let run = RunTold {
        still: &known.still,
        run: known.run.as_str(),
        state,
        headline: &knowledge.headline,
        instruction: instruction.map(|instruction| instruction.text.as_str()),
        now: instruction.map(|instruction| instruction.now),
        started: known.started_ms.and_then(moment),
        as_of: moment(now_ms - now_ms.rem_euclid(AS_OF_MS)),
    };
    let alarms = knowledge.alarms.iter().map(|event| AlarmTold {
        code: event.code,
        priority: event.priority.twin(),
        text: &event.text,
        to_do: &event.to_do,
        seen: knowledge.seen.iter().any(|code| code == event.code),
        since: at(event.time_s),
    });
    let alarms = AlarmsTold {
        standing: knowledge.alarms.len(),
        first: knowledge.alarms.first().map(|event| event.text.as_str()),
        alarms: alarms.collect(),
    };
    let stands = if alarms.standing > 0 { "ON" } else { "OFF" };
    let all = [
        (STATE, word(&state)),
        (RUN, json(&run)),
        (FORECAST, json(&forecast(known, at))),
        (ALARM, stands.to_owned()),
        (ALARMS, json(&alarms)),
    ];
    all.into_iter().map(|(part, payload)| (format!("{topic}/{part}"), payload)).collect()
}

fn forecast(known: &Known, at: impl Fn(f64) -> Option<String>) -> ForecastTold<'_> {
    let next = known.knowledge.ends.first();
    let moment = |of: fn(&Band) -> f64| next.and_then(|next| at(of(&next.at)));
    let hearts = known.knowledge.hearts_in_all_l.as_ref().map(|hearts| hearts.at);
    ForecastTold {
        next: next.map(|next| next.what.twin()),
        next_words: next.map(|next| next.words.as_str()),
        next_at: moment(|band| band.p50),
        next_low: moment(|band| band.p10),
        next_high: moment(|band| band.p90),
        next_low_95: moment(|band| band.p025),
        next_high_95: moment(|band| band.p975),
        next_evidence: next.map(|next| next.evidence.twin()),
        next_unsure: next.and_then(|next| next.unsure.as_deref()),
        next_made: next.and_then(|next| at(next.made_at_s)),
        hearts_l: hearts.map(|band| millilitres(band.p50)),
        hearts_low_l: hearts.map(|band| millilitres(band.p10)),
        hearts_high_l: hearts.map(|band| millilitres(band.p90)),
        hearts_low_95_l: hearts.map(|band| millilitres(band.p025)),
        hearts_high_95_l: hearts.map(|band| millilitres(band.p975)),
    }
}

/// Litres to the millilitre: what is less is no news.
fn millilitres(litres: f64) -> f64 {
    (litres * 1000.0).round() / 1000.0
}

/// Seconds in whole seconds, as ms: what is less is no news.
#[expect(clippy::cast_possible_truncation, reason = "run times stay far below 2^53")]
fn ms(time_s: f64) -> i64 {
    time_s.round() as i64 * 1000
}

/// A moment in RFC 3339, UTC.
fn moment(utc_ms: i64) -> Option<String> {
    store::time::format_start(utc_ms - utc_ms.rem_euclid(1000), 0)
}

pub(super) fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).expect("types of the broker have text keys and no maps of others")
}

/// The part of a topic that is a still: what is no letter or digit of ASCII becomes a hyphen, and
/// then a mark is added that tells such names apart.
pub(super) fn part_of(still: &str) -> String {
    let plain = still.to_lowercase().replace(' ', "-");
    let letters = plain.chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { '-' });
    let part: String = letters.collect();
    if part == plain {
        return part;
    }
    // FNV-1a, 32 bits (public domain; constants from memory): the same in every version.
    let mark = still
        .bytes()
        .fold(0x811c_9dc5_u32, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193));
    format!("{part}-{mark:08x}")
}
