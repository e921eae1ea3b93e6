//! What may stand in the file once only: a serial device, and the place of one value at a still.

use super::rules::{Refused, refused};
use crate::file::{Feeds, FeedsOf, Source, SourceKind, Wanted};

/// Refuses a file in which one thing is read twice.
pub(super) fn refuse_twice(feeds: &Feeds) -> Result<(), Refused> {
    let mut devices: Vec<&str> = Vec::new();
    for all in [&feeds.stills, &feeds.washes] {
        for (index, of) in all.iter().enumerate() {
            let key = format!("{}[{}]", of.whose.word(), index + 1);
            for (index, source) in of.sources.iter().enumerate() {
                if !matches!(source.kind, SourceKind::Serial { .. }) {
                    continue;
                }
                if devices.contains(&source.path.as_str()) {
                    let key = format!("{key}.source[{}].path", index + 1);
                    let bound = "must not be read by two sources: each would get half of its lines";
                    let hint = "one source may have several values; a device for two stills sends \
                                by a broker";
                    return Err(refused(key, &source.path, bound, hint));
                }
                devices.push(&source.path);
            }
            once_each(&key, of)?;
        }
    }
    Ok(())
}

/// Refuses one value as two channels, or as its own fallback.
fn once_each(key: &str, of: &FeedsOf) -> Result<(), Refused> {
    let mut before: Vec<(&Source, &Wanted)> = Vec::new();
    for (source_index, source) in of.sources.iter().enumerate() {
        for (index, value) in source.values.iter().enumerate() {
            let same = |(other, known): &&(&Source, &Wanted)| {
                other.path == source.path
                    && other.kind.word() == source.kind.word()
                    && (&known.topic, &known.at) == (&value.topic, &value.at)
            };
            if let Some((other, known)) = before.iter().find(same) {
                let key = format!("{key}.source[{}].value[{}]", source_index + 1, index + 1);
                let column = known.probe.column();
                let bound = format!("is what \"{}\" reads as {column}", other.name);
                let hint = "one probe is in one place: see which of the two it is, and where the \
                            other one sends";
                return Err(refused(key, value.probe.column(), bound, hint));
            }
            before.push((source, value));
        }
    }
    Ok(())
}
