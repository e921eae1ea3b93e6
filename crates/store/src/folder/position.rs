//! Where a key stands in the text of a plan: section and key of a place, line of a key.

/// A line of the text with the section it belongs to.
struct Place<'a> {
    line: usize,
    start: usize,
    section: String,
    key: Option<&'a str>,
}

/// Walks over the lines; `[[step]]` is counted from 1, as in messages.
fn places(text: &str) -> Vec<Place<'_>> {
    let (mut section, mut steps, mut start) = (String::new(), 0_usize, 0_usize);
    let mut places = Vec::new();
    for (index, line) in text.split_inclusive('\n').enumerate() {
        let trimmed = line.trim();
        let mut key = None;
        if let Some(name) = trimmed.strip_prefix("[[").and_then(|rest| rest.split("]]").next()) {
            steps += 1;
            section = format!("{}[{steps}]", name.trim());
        } else if let Some(name) = trimmed.strip_prefix('[').and_then(|rest| rest.split(']').next())
        {
            name.trim().clone_into(&mut section);
        } else if let Some((name, _)) = trimmed.split_once('=') {
            key = Some(name.trim().trim_matches('"'));
        }
        places.push(Place { line: index + 1, start, section: section.clone(), key });
        start += line.len();
    }
    places
}

fn join(section: &str, key: &str) -> String {
    if section.is_empty() { key.to_owned() } else { format!("{section}.{key}") }
}

/// Line and column (from 1) of a byte of the text, its section, and the key of its line.
pub(super) fn at(text: &str, offset: usize) -> (usize, usize, String, Option<String>) {
    let places = places(text);
    let Some(place) = places.iter().rev().find(|place| place.start <= offset) else {
        return (1, 1, String::new(), None);
    };
    let before = text.get(place.start..offset).unwrap_or_default();
    let column = before.chars().count() + 1;
    (place.line, column, place.section.clone(), place.key.map(|key| join(&place.section, key)))
}

/// The line of a key by its path, as `step[3].until_ml`; the section's line where the key itself
/// is not there.
pub(super) fn line_of(text: &str, field: &str) -> Option<usize> {
    let places = places(text);
    let named = |place: &&Place<'_>| {
        place.key.is_some_and(|key| {
            let path = join(&place.section, key);
            // An element of a list stands on the line of the list.
            path == field || field.strip_prefix(&path).is_some_and(|rest| rest.starts_with('['))
        })
    };
    let section = field.rsplit_once('.').map_or(field, |(section, _)| section);
    let key = places.iter().find(named);
    key.or_else(|| places.iter().find(|place| place.section == section)).map(|place| place.line)
}

#[cfg(test)]
mod tests {
    use super::{at, line_of};

    const TEXT: &str = "title = \"x\"\n[still]\nelements_watts = [1, 2]\n[[step]]\ndo = \"heat\"\n[[step]]\nwatts = 3\n";

    #[test]
    fn keys_are_found_by_path_and_place() {
        assert_eq!(line_of(TEXT, "title"), Some(1));
        assert_eq!(line_of(TEXT, "still.elements_watts[2]"), Some(3));
        assert_eq!(line_of(TEXT, "step[2].watts"), Some(7));
        assert_eq!(line_of(TEXT, "step[2].minutes"), Some(6));
        let offset = TEXT.find("watts = 3").unwrap() + 8;
        assert_eq!(at(TEXT, offset), (7, 9, "step[2]".into(), Some("step[2].watts".into())));
    }
}
