//! Numbers as they were typed, and what sources count in, in words.

use quantities::TypedValue;
use sense::Probe;
use store::{FedUnit, FedUnits};

/// The sign before the names of temperature scales.
fn degree(unit: &str) -> &'static str {
    if matches!(unit, "C" | "F" | "Plato") { "°" } else { "" }
}

/// What a channel is called; its own name where it is none of a still.
pub(crate) fn channel_words(channel: &str) -> &str {
    Probe::of_column(channel).map_or(channel, |probe| probe.words())
}

/// Numbers as they were typed.
pub(crate) fn typed_words(list: &[TypedValue]) -> String {
    let one = |TypedValue { field, value, unit }: &TypedValue| {
        let what = Probe::of_column(field).map_or("", Probe::words);
        let (gap, degree) = (if what.is_empty() { "" } else { " " }, degree(unit));
        format!("{what}{gap}{value} {degree}{unit}")
    };
    list.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The same beside words that name what it is: a single number needs no name of its own.
pub(crate) fn entered_words(list: &[TypedValue]) -> String {
    match list {
        [TypedValue { value, unit, .. }] => format!("{value} {}{unit}", degree(unit)),
        all => typed_words(all),
    }
}

/// What the sources of the readings count in from here on.
pub(crate) fn fed_words(fed: &FedUnits) -> (&'static str, Option<f64>, String) {
    let one = |FedUnit { source, channel, unit, scale, offset }: &FedUnit| {
        let times = if *scale == 1.0 { String::new() } else { format!(" × {scale}") };
        let more = if *offset == 0.0 { String::new() } else { format!(" {offset:+}") };
        let channel = channel_words(channel);
        format!("{channel} by {source} in {}{unit}{times}{more}", degree(unit))
    };
    let all: Vec<String> = fed.values.iter().map(one).collect();
    let words = match all.as_slice() {
        [] => "Sources send what is recorded".to_owned(),
        all => format!("Sources send {}", all.join(", ")),
    };
    ("instruments", Some(fed.time_s), words)
}
