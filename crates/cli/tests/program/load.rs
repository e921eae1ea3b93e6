//! The load of a shed for a moment: what `cargo xtask trials feeds` does for ten minutes.
//!
//! Against mosquitto where it is on the path, else against a small stand-in for a broker.

use std::time::Duration;

use crate::rig::{By, Load, run};

#[test]
fn for_a_moment_feeds_lose_double_and_swap_nothing() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let load = Load { stills: 2, time: Duration::from_secs(2), away: None };
    let outcome = run(folder.path(), load);
    let said = format!("against {}: {} of {} values", outcome.broker, outcome.stored, outcome.sent);
    assert!(outcome.sent > 100, "{said}");
    assert_eq!(outcome.stored, outcome.sent, "{said}");
    assert_eq!((outcome.doubled, outcome.out_of_order), (0, 0), "{said}");
    for by in By::ALL {
        let to_page_ms = &outcome.to_page_ms[by as usize];
        assert!(to_page_ms.iter().any(|ms| ms.is_finite()), "no {} was seen", by.words());
    }
    assert!(outcome.processor_s < 60.0, "{} s of a processor for two", outcome.processor_s);
}
