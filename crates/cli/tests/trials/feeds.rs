//! Fifty values at ten a second for ten minutes: five stills with ten channels each, by a broker,
//! serial lines, 1-wire thermometers and growing tables. The broker is killed and an adapter pulled
//! out meanwhile.
//!
//! A still has no fifty channels; fifty values of one still would be five probes for each channel,
//! of which one speaks. So it is five stills in one server, each with a page that follows it.

use std::time::Duration;

use crate::figures::{Figures, percentile};
use crate::rig::{By, Load, run};

/// How long, s, where nothing else is asked for.
const SECONDS: u64 = 600;
/// Asks for another length, s.
const SECONDS_VARIABLE: &str = "MIDDLECUT_TRIAL_SECONDS";
/// Longest way from a source of any kind to the page, 99 in 100, ms.
const TO_PAGE_MAX_MS: f64 = 250.0;
/// Longest from the mending of a way to its first value, s: twice the longest wait between two tries.
const BACK_MAX_S: f64 = 20.0;
/// Most memory of the server, MB.
const RESIDENT_MAX_MB: f64 = 60.0;

#[test]
fn feeds_lose_double_and_swap_nothing() {
    let mut figures = Figures::of("feeds");
    let asked = std::env::var(SECONDS_VARIABLE).ok().and_then(|text| text.parse().ok());
    let time = Duration::from_secs(asked.unwrap_or(SECONDS));
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let load = Load { stills: 5, time, away: Some(Duration::from_secs(5).min(time / 6)) };
    let mut outcome = run(folder.path(), load);
    figures.note("broker", outcome.broker);
    figures.note("time", format!("{} s", time.as_secs()));
    figures.all("values stored", outcome.stored, outcome.sent);
    figures.all(
        "of all, not doubled",
        outcome.stored - outcome.doubled.min(outcome.stored),
        outcome.stored,
    );
    figures.all(
        "of all, in order",
        outcome.stored - outcome.out_of_order.min(outcome.stored),
        outcome.stored,
    );
    for by in By::ALL {
        let ms = &mut outcome.to_page_ms[by as usize];
        let words = by.words();
        let (median_ms, longest_ms) = (percentile(ms, 0.5), percentile(ms, 1.0));
        figures.note(&format!("{words} to page, median"), format!("{median_ms:.0} ms"));
        let most_ms = percentile(ms, 0.99);
        figures.at_most(&format!("{words} to page, 99 in 100"), most_ms, TO_PAGE_MAX_MS, "ms");
        figures.note(&format!("{words} to page, longest"), format!("{longest_ms:.0} ms"));
    }
    let back_s = percentile(&mut outcome.back_s, 1.0);
    figures.at_most("broker and adapter back, longest", back_s, BACK_MAX_S, "s");
    figures.note("processor time of the server", format!("{:.1} s", outcome.processor_s));
    figures.note("memory of the server at the end", format!("{:.0} MB", outcome.resident_mb));
    figures.at_most("memory of the server, most", outcome.most_resident_mb, RESIDENT_MAX_MB, "MB");
    figures.finish();
}
