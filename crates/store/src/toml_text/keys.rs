//! Where a key stands in a text, and how deep keys may go before the text is parsed.

use toml::de::{DeTable, DeValue};
use toml_parser::lexer::TokenKind;

/// Most parts of a dotted key; the deepest of any file has four.
pub(super) const KEY_PARTS_MAX: usize = 8;

/// Where the first key stands that has more parts than any key of a file of ours. Such a key is refused
/// before the text is parsed: a parser's work grows with the square of the parts.
pub(super) fn too_deep(text: &str) -> Option<usize> {
    let (mut start, mut parts) = (0_usize, 1_usize);
    for token in toml_parser::Source::new(text).lex() {
        match token.kind() {
            TokenKind::Dot => {
                parts += 1;
                if parts > KEY_PARTS_MAX {
                    return Some(start);
                }
            }
            TokenKind::Atom
            | TokenKind::BasicString
            | TokenKind::LiteralString
            | TokenKind::Whitespace => {
                if parts == 1 && token.kind() != TokenKind::Whitespace {
                    start = token.span().start();
                }
            }
            _ => parts = 1,
        }
    }
    None
}

/// Line and column (from 1, in characters) of a byte of the text.
pub(super) fn line_and_column(text: &str, offset: usize) -> (usize, usize) {
    let before = text.get(..offset).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
    (line, column)
}

/// One part of the path of a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Part {
    /// A key of a table.
    Key(String),
    /// An element of a list, counted from 0.
    Element(usize),
}

/// A path as messages write it: `step[3].until_ml`, elements counted from 1.
pub(super) fn written(path: &[Part]) -> String {
    path.iter().fold(String::new(), |text, part| match part {
        Part::Key(key) if text.is_empty() => key.clone(),
        Part::Key(key) => format!("{text}.{key}"),
        Part::Element(index) => format!("{text}[{}]", index + 1),
    })
}

/// The path that [`written`] wrote; what is no path gives what could be read of it.
pub(super) fn path_of(field: &str) -> Vec<Part> {
    let mut path = Vec::new();
    for part in field.split('.') {
        let mut pieces = part.split('[');
        path.extend(pieces.next().map(|key| Part::Key(key.to_owned())));
        let numbers = pieces.filter_map(|piece| piece.trim_end_matches(']').parse::<usize>().ok());
        path.extend(numbers.map(|number| Part::Element(number.saturating_sub(1))));
    }
    path
}

/// The byte at which a path stands: its key, or of its nearest part that is there.
pub(super) fn place(table: &DeTable<'_>, path: &[Part]) -> Option<usize> {
    let Some(Part::Key(name)) = path.first() else { return None };
    let (key, value) = table.iter().find(|(key, _)| key.get_ref().as_ref() == name.as_str())?;
    Some(inside(value.get_ref(), value.span().start, &path[1..]).unwrap_or(key.span().start))
}

fn inside(value: &DeValue<'_>, at: usize, path: &[Part]) -> Option<usize> {
    match (value, path) {
        // The head of a section: there is no key before it.
        (DeValue::Table(_), []) => Some(at),
        (DeValue::Table(table), _) => place(table, path).or(Some(at)),
        (DeValue::Array(list), [Part::Element(index), rest @ ..]) => {
            let element = list.get(*index)?;
            inside(element.get_ref(), element.span().start, rest).or(Some(element.span().start))
        }
        _ => None,
    }
}

/// The path of the last key that begins at or before a byte.
pub(super) fn key_before(table: &DeTable<'_>, offset: usize) -> Vec<Part> {
    let mut last = (0, Vec::new());
    collect(table, &mut Vec::new(), offset, &mut last);
    last.1
}

/// The key that begins at a byte, with its equals sign behind it: one that stands twice is in no table.
pub(super) fn key_at(text: &str, offset: usize) -> Option<&str> {
    let rest = text.get(offset..)?;
    let bare = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '_' | '-');
    let (key, behind) = rest.split_at(rest.find(|letter| !bare(letter))?);
    (!key.is_empty() && behind.trim_start_matches([' ', '\t']).starts_with('=')).then_some(key)
}

fn collect(
    table: &DeTable<'_>,
    above: &mut Vec<Part>,
    offset: usize,
    last: &mut (usize, Vec<Part>),
) {
    for (key, value) in table {
        above.push(Part::Key(key.get_ref().to_string()));
        let start = key.span().start;
        if start <= offset && start >= last.0 {
            *last = (start, above.clone());
        }
        match value.get_ref() {
            DeValue::Table(inner) => collect(inner, above, offset, last),
            DeValue::Array(list) => {
                for (index, element) in list.iter().enumerate() {
                    if let DeValue::Table(inner) = element.get_ref() {
                        above.push(Part::Element(index));
                        collect(inner, above, offset, last);
                        above.pop();
                    }
                }
            }
            _ => {}
        }
        above.pop();
    }
}

#[cfg(test)]
mod tests {
    use toml::de::DeTable;

    use super::{key_before, line_and_column, path_of, place, too_deep, written};

    const TEXT: &str = "title = \"x\"\n[still]\nelements_watts = [1, 2]\n[[step]]\ndo = \"heat\"\n[[step]]\nwatts = 3\n";

    #[test]
    fn keys_are_found_by_path_and_place() {
        let table = DeTable::parse(TEXT).unwrap().into_inner();
        let line = |field: &str| {
            place(&table, &path_of(field)).map(|offset| line_and_column(TEXT, offset).0)
        };
        assert_eq!(line("title"), Some(1));
        assert_eq!(line("still.elements_watts[2]"), Some(3));
        assert_eq!(line("step[2].watts"), Some(7));
        assert_eq!(line("step[2].minutes"), Some(6));
        assert_eq!(line("charge"), None);
        let offset = TEXT.find("3\n").unwrap();
        assert_eq!(line_and_column(TEXT, offset), (7, 9));
        assert_eq!(written(&key_before(&table, offset)), "step[2].watts");
    }

    #[test]
    fn only_keys_deeper_than_any_plan_are_too_deep() {
        assert_eq!(
            too_deep(
                "[a.b.c]\nd.'e.f.g.h.i.j.k.l'.\"m\" = [1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5]\n# a.b.c.d.e.f.g.h.i.j\n"
            ),
            None
        );
        assert_eq!(too_deep("x = 1\n[a.b.c.d.e.f.g.h.i]\n"), Some(7));
        assert_eq!(too_deep("x = 1\ny = { a . b . c . d . e . f . g . h . i = 1 }"), Some(12));
    }
}
