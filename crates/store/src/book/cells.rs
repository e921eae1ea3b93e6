//! One entry as the cells of a table, and back, to the last digit.

use std::fmt::Write as _;

use account::{
    Counted, Entry, EntryKind, Gauge, Instrument, Leg, Name, Numbered, People, Place, PureAlcohol,
    Raw, Spent, Unit,
};
use alcoholometry::gauge::Scale;
use quantities::TypedValue;

use crate::time::{format_start, parse_start};

/// The columns before the two digests.
pub(super) const COLUMNS: [&str; 37] = [
    "serial",
    "kind",
    "act",
    "entered",
    "from",
    "to",
    "pure_alcohol_l",
    "found_l",
    "book_l",
    "not_explained_sd_l",
    "quantity",
    "unit",
    "quantity_sd",
    "reading",
    "scale",
    "celsius",
    "litres_20c",
    "strength_vol",
    "gauged_l",
    "gauged_sd_l",
    "proof_gallons",
    "table",
    "instruments",
    "overdue",
    "spirit",
    "entered_by",
    "read_by",
    "checked_by",
    "corrects",
    "about",
    "run",
    "energy_kwh",
    "water_l",
    "cost",
    "note",
    "key",
    "typed",
];
/// So many of them are in a book that was written before numbers were kept as they were typed.
pub(super) const COLUMNS_BEFORE: usize = 36;

fn optional<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

fn moment(ms: i64, zone_minutes: i32) -> String {
    format_start(ms, zone_minutes).unwrap_or_default()
}

/// A leg as text: `tank:T1/L1=1.250000000 l:3.1 vol:40 n:4 ml:700`.
pub(super) fn leg_text(leg: &Leg) -> String {
    let mut text = format!("{}={}", leg.whereabouts(), leg.alcohol);
    let parts = [
        ("l", leg.litres_20c.map(|value| value.to_string())),
        ("vol", leg.strength_vol.map(|value| value.to_string())),
        ("n", leg.bottles.map(|value| value.to_string())),
        ("ml", leg.bottle_ml.map(|value| value.to_string())),
    ];
    for (name, value) in parts {
        if let Some(value) = value {
            // Writing to a text never fails.
            let _ = write!(text, " {name}:{value}");
        }
    }
    text
}

fn legs(legs: &[Leg]) -> String {
    legs.iter().map(leg_text).collect::<Vec<_>>().join(" + ")
}

fn instruments(all: &[Instrument]) -> String {
    let one = |one: &Instrument| {
        let due = one.due_ms.map_or_else(String::new, |due_ms| moment(due_ms, 0));
        format!("{}|{due}|{}", one.id, one.calibration.as_deref().unwrap_or_default())
    };
    all.iter().map(one).collect::<Vec<_>>().join(";")
}

/// The instruments that were overdue at the act: it follows from their dates, and stands for whoever
/// reads the table.
fn overdue(entry: &Entry) -> String {
    let late = entry.gauge.iter().flat_map(|gauge| gauge.overdue(entry.act_ms));
    late.map(|one| one.id.as_str()).collect::<Vec<_>>().join(";")
}

/// Numbers as they were typed: `from[0].litres_20c=5 US gal;found_l=0.7 pg`.
pub(super) fn typed(all: &[TypedValue]) -> String {
    let one = |TypedValue { field, value, unit }: &TypedValue| format!("{field}={value} {unit}");
    all.iter().map(one).collect::<Vec<_>>().join(";")
}

fn read_typed(text: &str) -> Result<Vec<TypedValue>, String> {
    let one = |text: &str| {
        let refused = || format!("typed: \"{text}\" is no FIELD=NUMBER UNIT");
        let (field, rest) = text.split_once('=').ok_or_else(refused)?;
        let (value, unit) = rest.split_once(' ').ok_or_else(refused)?;
        let value = value.parse().map_err(|_| refused())?;
        Ok(TypedValue { field: field.to_owned(), value, unit: unit.to_owned() })
    };
    text.split(';').filter(|text| !text.is_empty()).map(one).collect()
}

/// The cells of an entry, in the order of [`COLUMNS`].
pub(super) fn cells(numbered: &Numbered) -> [String; 37] {
    let entry = &numbered.entry;
    let raw = entry.gauge.as_ref().map(|gauge| gauge.raw);
    let gauge = entry.gauge.as_deref();
    let spent = entry.spent.unwrap_or_default();
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    [
        numbered.number.to_string(),
        entry.kind.word().to_owned(),
        moment(entry.act_ms, entry.zone_minutes),
        moment(entry.entered_ms, entry.zone_minutes),
        legs(&entry.from),
        legs(&entry.to),
        entry.moved().to_string(),
        optional(entry.counted.map(|counted| counted.found)),
        optional(entry.counted.map(|counted| counted.book)),
        optional(entry.not_explained_sd_l),
        optional(raw.map(|raw| raw.quantity)),
        optional(raw.map(|raw| raw.unit.word())),
        optional(raw.and_then(|raw| raw.quantity_sd)),
        optional(raw.map(|raw| raw.reading)),
        optional(raw.map(|raw| raw.scale.name())),
        optional(raw.map(|raw| raw.celsius)),
        optional(gauge.map(|gauge| gauge.litres_20c)),
        optional(gauge.map(|gauge| gauge.strength_vol)),
        optional(gauge.map(|gauge| gauge.alcohol)),
        optional(gauge.map(|gauge| gauge.alcohol_sd_l)),
        optional(gauge.map(|gauge| gauge.proof_gallons)),
        optional(gauge.map(|gauge| &gauge.table)),
        gauge.map_or_else(String::new, |gauge| instruments(&gauge.instruments)),
        overdue(entry),
        text(&entry.spirit),
        entry.people.entered.clone(),
        text(&entry.people.read),
        text(&entry.people.checked),
        optional(entry.corrects),
        optional(entry.about),
        text(&entry.run),
        optional(spent.energy_kwh),
        optional(spent.water_l),
        optional(spent.cost),
        text(&entry.note),
        text(&entry.key),
        typed(&entry.typed),
    ]
}

/// The cells of one line, by the names of their columns.
struct Line<'a>(&'a [String]);

impl Line<'_> {
    fn text(&self, column: &str) -> &str {
        let at = COLUMNS.iter().position(|known| *known == column);
        at.and_then(|at| self.0.get(at)).map_or("", String::as_str)
    }

    fn words(&self, column: &str) -> Option<String> {
        Some(self.text(column)).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    fn number<T: std::str::FromStr>(&self, column: &str) -> Result<Option<T>, String> {
        match self.text(column) {
            "" => Ok(None),
            text => {
                text.parse().map(Some).map_err(|_| format!("{column} is \"{text}\": no number"))
            }
        }
    }

    fn must<T: std::str::FromStr>(&self, column: &str) -> Result<T, String> {
        self.number(column)?.ok_or_else(|| format!("{column} is empty"))
    }

    fn amount(&self, column: &str) -> Result<Option<PureAlcohol>, String> {
        self.words(column).map(|text| amount(column, &text)).transpose()
    }

    fn moment(&self, column: &str) -> Result<(i64, i32), String> {
        let text = self.text(column);
        parse_start(text).ok_or_else(|| format!("{column} is \"{text}\": no moment with its zone"))
    }
}

fn amount(column: &str, text: &str) -> Result<PureAlcohol, String> {
    PureAlcohol::of_text(text).map_err(|error| format!("{column}: {error}"))
}

/// The legs of a cell.
pub(super) fn read_legs(column: &str, text: &str) -> Result<Vec<Leg>, String> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    text.split(" + ").map(|text| read_leg(column, text)).collect()
}

fn read_leg(column: &str, text: &str) -> Result<Leg, String> {
    let mut words = text.split(' ');
    let first = words.next().unwrap_or_default();
    let (whereabouts, litres) = first
        .split_once('=')
        .ok_or_else(|| format!("{column}: \"{text}\" is no PLACE/LOT=LITRES"))?;
    let (place, lot) = match whereabouts.split_once('/') {
        Some((place, lot)) => {
            (place, Some(Name::new(lot).map_err(|error| format!("{column}: {error}"))?))
        }
        None => (whereabouts, None),
    };
    let place = Place::of_text(place).map_err(|error| format!("{column}: {error}"))?;
    let mut leg = Leg::new(place, lot, amount(column, litres)?);
    for word in words {
        let refused = || format!("{column}: \"{word}\" is none of l: vol: n: ml: with a number");
        let (name, value) = word.split_once(':').ok_or_else(refused)?;
        let number = || value.parse::<f64>().map_err(|_| refused());
        match name {
            "l" => leg.litres_20c = Some(number()?),
            "vol" => leg.strength_vol = Some(number()?),
            "n" => leg.bottles = Some(value.parse().map_err(|_| refused())?),
            "ml" => leg.bottle_ml = Some(number()?),
            _ => return Err(refused()),
        }
    }
    Ok(leg)
}

fn read_instruments(text: &str) -> Result<Vec<Instrument>, String> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let one = |text: &str| {
        let parts: Vec<&str> = text.split('|').collect();
        let [id, due, calibration] = parts[..] else {
            return Err(format!("instruments: \"{text}\" is no NAME|DUE|CALIBRATION"));
        };
        let no_moment = || format!("instruments: \"{due}\" is no moment");
        let due_ms = match due {
            "" => None,
            due => Some(parse_start(due).ok_or_else(no_moment)?.0),
        };
        let calibration = Some(calibration.to_owned()).filter(|text| !text.is_empty());
        Ok(Instrument { id: id.to_owned(), due_ms, calibration })
    };
    text.split(';').map(one).collect()
}

fn read_gauge(line: &Line<'_>) -> Result<Option<Box<Gauge>>, String> {
    let Some(quantity) = line.number("quantity")? else { return Ok(None) };
    let unit = Unit::ALL.into_iter().find(|unit| unit.word() == line.text("unit"));
    let raw = Raw {
        quantity,
        unit: unit.ok_or_else(|| format!("unit is \"{}\"", line.text("unit")))?,
        reading: line.must("reading")?,
        scale: Scale::from_name(line.text("scale"))
            .ok_or_else(|| format!("scale is \"{}\"", line.text("scale")))?,
        celsius: line.must("celsius")?,
        quantity_sd: line.number("quantity_sd")?,
    };
    Ok(Some(Box::new(Gauge {
        raw,
        litres_20c: line.must("litres_20c")?,
        strength_vol: line.must("strength_vol")?,
        alcohol: line.amount("gauged_l")?.ok_or("gauged_l is empty")?,
        alcohol_sd_l: line.must("gauged_sd_l")?,
        proof_gallons: line.must("proof_gallons")?,
        table: line.text("table").to_owned(),
        instruments: read_instruments(line.text("instruments"))?,
    })))
}

/// The entry of a line's cells, as many as the head of its book has columns.
pub(super) fn read_cells(cells: &[String]) -> Result<Numbered, String> {
    let line = Line(cells);
    let kind = line.text("kind");
    let (act_ms, zone_minutes) = line.moment("act")?;
    let counted = match (line.amount("found_l")?, line.amount("book_l")?) {
        (Some(found), Some(book)) => Some(Counted { found, book }),
        (None, None) => None,
        _ => return Err("found_l and book_l belong together".to_owned()),
    };
    let spent = Spent {
        energy_kwh: line.number("energy_kwh")?,
        water_l: line.number("water_l")?,
        cost: line.number("cost")?,
    };
    let entry = Entry {
        kind: EntryKind::of_word(kind).ok_or_else(|| format!("kind is \"{kind}\""))?,
        act_ms,
        entered_ms: line.moment("entered")?.0,
        zone_minutes,
        from: read_legs("from", line.text("from"))?,
        to: read_legs("to", line.text("to"))?,
        spirit: line.words("spirit"),
        gauge: read_gauge(&line)?,
        counted,
        not_explained_sd_l: line.number("not_explained_sd_l")?,
        people: People {
            entered: line.text("entered_by").to_owned(),
            read: line.words("read_by"),
            checked: line.words("checked_by"),
        },
        note: line.words("note"),
        corrects: line.number("corrects")?,
        about: line.number("about")?,
        run: line.words("run"),
        spent: (spent != Spent::default()).then_some(spent),
        key: line.words("key"),
        typed: read_typed(line.text("typed"))?,
    };
    let (written, follows) = (line.text("overdue"), overdue(&entry));
    if written != follows {
        return Err(format!(
            "overdue is \"{written}\": by the dates of its instruments it is \"{follows}\""
        ));
    }
    Ok(Numbered { number: line.must("serial")?, entry })
}
