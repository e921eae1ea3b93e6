//! The bell of the terminal that the program runs in.

use std::io::{IsTerminal, Write};

use advise::Priority;

/// Rings it, the more often the more urgent. Says in words why it is not heard.
pub(super) fn ring(priority: Priority) -> Result<(), String> {
    let mut terminal = std::io::stderr();
    if !terminal.is_terminal() {
        return Err("the program runs in no terminal".to_owned());
    }
    let times = match priority {
        Priority::Critical => 3,
        Priority::High => 2,
        Priority::Medium | Priority::Low => 1,
    };
    let bells = "\u{7}".repeat(times);
    let rung = terminal.write_all(bells.as_bytes()).and_then(|()| terminal.flush());
    rung.map_err(|error| format!("the terminal: {error}"))
}
