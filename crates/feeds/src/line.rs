//! One line of a device: a JSON object, or numbers parted by commas.

use serde_json::Value;

use crate::file::{At, LineShape, Wanted};
use crate::unread::{Told, Unread, number, shown, text};

/// Reads a line without its end.
///
/// # Errors
/// [`Unread`] where the line is none of that shape; what is wrong with one value stands in its
/// place.
pub fn read_line(bytes: &[u8], shape: LineShape, wanted: &[Wanted]) -> Told {
    let line = text(bytes)?;
    match shape {
        LineShape::Json => {
            let object: Value =
                serde_json::from_str(line).map_err(|error| Unread::NotJson(error.to_string()))?;
            if !object.is_object() {
                return Err(Unread::NotJson(shown(line)));
            }
            Ok(wanted.iter().map(|wanted| of_json(&object, &wanted.at)).collect())
        }
        LineShape::Commas => {
            let cells = cells(line, b',')?;
            Ok(wanted.iter().map(|wanted| of_cells(&cells, &wanted.at)).collect())
        }
    }
}

/// The cells of one line of a table that are parted by that sign.
pub(crate) fn cells(line: &str, parted_by: u8) -> Result<csv::StringRecord, Unread> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .delimiter(parted_by)
        .trim(csv::Trim::All)
        .from_reader(line.as_bytes());
    let mut record = csv::StringRecord::new();
    // What is text and in memory has no way to fail; an empty line has no cells.
    reader.read_record(&mut record).map_err(|_| Unread::NotText)?;
    Ok(record)
}

/// The number at a place of a line.
pub(crate) fn of_cells(cells: &csv::StringRecord, at: &At) -> Result<f64, Unread> {
    let At::Place(place) = at else { return Err(Unread::Absent(words(at))) };
    let cell = place.checked_sub(1).and_then(|index| cells.get(index));
    number(cell.ok_or_else(|| Unread::Absent(words(at)))?, &words(at))
}

/// The number at a place of JSON.
pub(crate) fn of_json(object: &Value, at: &At) -> Result<f64, Unread> {
    let found = match at {
        At::Field(name) => object.get(name),
        At::Pointer(pointer) => object.pointer(pointer),
        At::Only | At::Place(_) => None,
    };
    match found {
        None => Err(Unread::Absent(format!("{}{}", words(at), names_of(object)))),
        Some(Value::Null) => Err(Unread::Empty(words(at))),
        Some(Value::Number(found)) => number(&found.to_string(), &words(at)),
        // Boards send numbers as text, too.
        Some(Value::String(found)) => number(found, &words(at)),
        Some(other) => Err(Unread::NotANumber(shown(&other.to_string()))),
    }
}

/// What an object holds instead, in words.
fn names_of(object: &Value) -> String {
    let Some(object) = object.as_object() else { return String::new() };
    let names: Vec<&str> = object.keys().map(String::as_str).collect();
    if names.is_empty() {
        String::new()
    } else {
        format!("; it holds {}", shown(&names.join(", ")))
    }
}

/// Where a value should stand, in words.
pub(crate) fn words(at: &At) -> String {
    match at {
        At::Only => "all that it says".to_owned(),
        At::Field(name) => format!("\"{}\"", shown(name)),
        At::Pointer(pointer) => shown(pointer),
        At::Place(place) => format!("place {place}"),
    }
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{At, LineShape, Unread, Wanted, read_line};
    use crate::unit::own_unit;

    fn wanted(at: At) -> Wanted {
        let probe = Probe::Head;
        Wanted {
            probe: probe.into(),
            topic: None,
            at,
            unit: own_unit(probe),
            scale: 1.0,
            offset: 0.0,
        }
    }

    fn one(line: &str, shape: LineShape, at: At) -> Result<f64, Unread> {
        read_line(line.as_bytes(), shape, &[wanted(at)])?.remove(0)
    }

    #[test]
    fn json_is_read_by_name_and_by_pointer() {
        let read = |line, at| one(line, LineShape::Json, at);
        let field = || At::Field("head".into());
        assert_eq!(read(r#"{"head": 78.3}"#, field()), Ok(78.3));
        assert_eq!(read(r#"{"t": [1, 78.4]}"#, At::Pointer("/t/1".into())), Ok(78.4));
        assert_eq!(read(r#"{"head": null}"#, field()), Err(Unread::Empty("\"head\"".into())));
        assert_eq!(read("{}", field()), Err(Unread::Absent("\"head\"".into())));
        assert_eq!(read(r#"{"head": "78.25"}"#, field()), Ok(78.25), "a number as text");
        assert_eq!(read(r#"{"head": "warm"}"#, field()), Err(Unread::NotANumber("warm".into())));
        assert_eq!(read(r#"{"head": [7]}"#, field()), Err(Unread::NotANumber("[7]".into())));
        let other = read(r#"{"pot": 1, "vent": 2}"#, field());
        assert_eq!(other, Err(Unread::Absent("\"head\"; it holds pot, vent".into())));
        for line in ["", "78.3", "[78.3]", r#"{"head": NaN}"#, r#"{"head": 1e999}"#, "{\"head\": 7"]
        {
            assert!(matches!(read(line, field()), Err(Unread::NotJson(_))), "{line}");
        }
    }

    #[test]
    fn numbers_parted_by_commas_are_read_by_place() {
        let read = |line, place| one(line, LineShape::Commas, At::Place(place));
        assert_eq!(read("78.3, 91", 2), Ok(91.0));
        assert_eq!(read("78.3", 2), Err(Unread::Absent("place 2".into())));
        assert_eq!(read("78.3,,5", 2), Err(Unread::Empty("place 2".into())));
        assert_eq!(read("78.3,", 0), Err(Unread::Absent("place 0".into())));
        for word in ["NaN", "nan", "inf", "-inf", "1e999"] {
            assert_eq!(read(word, 1), Err(Unread::NotFinite(word.into())), "{word}");
        }
        assert_eq!(read("78.3\0", 1), Ok(78.3), "the end of a text as C has it");
        assert_eq!(read("78,3 C", 2), Err(Unread::NotANumber("3 C".into())));
    }

    #[test]
    fn bytes_that_are_no_line_are_told() {
        for shape in [LineShape::Json, LineShape::Commas] {
            let read = |bytes: &[u8]| read_line(bytes, shape, &[wanted(At::Place(1))]);
            assert_eq!(read(&[0xc3, 0x28]), Err(Unread::NotText));
            assert_eq!(read(&[b'1'; 4097]), Err(Unread::TooLong));
        }
    }
}
