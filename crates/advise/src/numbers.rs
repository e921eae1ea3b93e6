//! Times in words, for messages.

/// Seconds as whole minutes in words, for messages.
pub(super) fn minutes(seconds: f64) -> String {
    let whole = (seconds / 60.0).round().max(0.0);
    if whole < 1.0 { "less than a minute".to_owned() } else { format!("{whole:.0} min") }
}
