//! The page of a book that is printed: what the account comes to, every entry, and the last digest.

use std::fmt::Write as _;

use account::{Balance, Ledger, Leg, Numbered, Profile, PureAlcohol, Span};

use super::cells::{leg_text, typed};
use crate::time::format_start;

/// Black on white, A4 across; nothing is loaded from anywhere.
const STYLE: &str = "@page{size:A4 landscape;margin:12mm}body{font:10pt sans-serif;color:#000;\
background:#fff}table{border-collapse:collapse;width:100%;margin:0 0 6mm}th,td{border:0.2mm solid \
#000;padding:1mm 1.5mm;text-align:left;vertical-align:top}td.n{text-align:right;\
font-variant-numeric:tabular-nums}tr.gone td{text-decoration:line-through}thead{display:\
table-header-group}tr{break-inside:avoid}code{font-size:7pt;overflow-wrap:anywhere}";

/// Text as HTML has it.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// What a page says of the book as a whole.
#[derive(Debug, Clone, Copy)]
pub(super) struct Printed<'a> {
    /// Whether persons stand in it by number and not by name.
    pub(super) names_left_out: bool,
    /// The digest of the last line of its table.
    pub(super) head: &'a str,
}

/// The page of a book: the same entries always give the same bytes.
pub(super) fn printed(
    entries: &[Numbered],
    ledger: &Ledger,
    profile: &Profile,
    whole: Printed<'_>,
) -> String {
    let mut page = String::new();
    let mut put = |text: &str| {
        page.push_str(text);
        page.push('\n');
    };
    put("<!doctype html>");
    put("<html lang=\"en\"><head><meta charset=\"utf-8\">");
    put("<title>The account of pure alcohol</title>");
    put(&format!("<style>{STYLE}</style></head><body>"));
    put("<h1>The account of pure alcohol</h1>");
    put(&format!("<p>{} entries, in {}.</p>", entries.len(), escaped(&profile.title)));
    put(&format!(
        "<p>This is the account of a house, made by its own program. It is no legal record by itself. {}</p>",
        escaped(&profile.accepts)
    ));
    if whole.names_left_out {
        put("<p>Persons stand in it by number: their names are left out.</p>");
    }
    put("<h2>Balance</h2>");
    put(&balance_table(&ledger.balance(Span::ALL), profile));
    put("<h2>What stands where</h2>");
    put(&stock_table(ledger, profile));
    put("<h2>Entries</h2>");
    put(
        "<table><thead><tr><th>no.</th><th>act, entered</th><th>what</th><th>from</th><th>to</th><th>L pure alcohol at 20 °C</th><th>read</th><th>who</th><th>note</th></tr></thead><tbody>",
    );
    for numbered in entries {
        put(&row(numbered, ledger, profile));
    }
    put("</tbody></table>");
    put(&format!(
        "<p>Digest of the last line of the table: <code>{}</code></p>",
        escaped(whole.head)
    ));
    put(
        "<p>Entered by: ____________________ Checked by: ____________________ Date: ____________</p>",
    );
    put("</body></html>");
    page
}

fn balance_table(balance: &Balance, profile: &Profile) -> String {
    let mut table = format!(
        "<table><thead><tr><th>what</th><th>L pure alcohol at 20 °C</th><th>{}</th></tr></thead><tbody>",
        escaped(profile.unit_word())
    );
    let mut line = |what: &str, alcohol: PureAlcohol| {
        // Writing to a text never fails.
        let _ = write!(
            table,
            "\n<tr><td>{}</td><td class=\"n\">{alcohol}</td><td class=\"n\">{}</td></tr>",
            escaped(what),
            profile.reported(alcohol)
        );
    };
    line("in stock at the beginning", balance.opening);
    for (place, alcohol) in &balance.sources {
        line(&format!("came: {place}"), *alcohol);
    }
    for (place, alcohol) in &balance.gone {
        line(&format!("gone: {place}"), *alcohol);
    }
    line("gone and not explained", balance.not_explained);
    for stock in &balance.stocks {
        line(&format!("in stock at the end: {}", stock.kind.word()), stock.closing);
    }
    line("what the account is off", balance.off);
    table.push_str("\n</tbody></table>");
    table
}

fn stock_table(ledger: &Ledger, profile: &Profile) -> String {
    let mut table = format!(
        "<table><thead><tr><th>place</th><th>lot</th><th>L pure alcohol at 20 °C</th><th>{}</th></tr></thead><tbody>",
        escaped(profile.unit_word())
    );
    let mut standing: Vec<_> = ledger
        .holdings()
        .iter()
        .filter(|holding| holding.lot.is_some() && holding.now() > PureAlcohol::ZERO)
        .collect();
    standing.sort_by(|a, b| (&a.place, &a.lot).cmp(&(&b.place, &b.lot)));
    for holding in standing {
        let lot = holding.lot.as_ref().map(ToString::to_string).unwrap_or_default();
        let now = holding.now();
        // Writing to a text never fails.
        let _ = write!(
            table,
            "\n<tr><td>{}</td><td>{}</td><td class=\"n\">{now}</td><td class=\"n\">{}</td></tr>",
            escaped(&holding.place.to_string()),
            escaped(&lot),
            profile.reported(now)
        );
    }
    table.push_str("\n</tbody></table>");
    table
}

fn row(numbered: &Numbered, ledger: &Ledger, profile: &Profile) -> String {
    let Numbered { number, entry } = numbered;
    let moment = |ms| format_start(ms, entry.zone_minutes).unwrap_or_default();
    let legs = |legs: &[Leg]| {
        legs.iter().map(|leg| escaped(&leg_text(leg))).collect::<Vec<_>>().join("<br>")
    };
    let read = entry.gauge.as_ref().map_or_else(String::new, |gauge| {
        let raw = gauge.raw;
        let with = gauge.with_words(entry.act_ms);
        let with = with.map_or_else(String::new, |words| format!(" with {words}"));
        format!(
            "{} {}, {} on {} at {} °C: {:.2} % vol, {:.4} L at 20 °C by {}{with}",
            raw.quantity,
            raw.unit.word(),
            raw.reading,
            raw.scale.name(),
            raw.celsius,
            gauge.strength_vol,
            gauge.litres_20c,
            gauge.table,
        )
    });
    let people = &entry.people;
    let others = [("read", &people.read), ("checked", &people.checked)];
    let others =
        others.iter().filter_map(|(what, who)| Some(format!("; {what} by {}", who.as_ref()?)));
    let who = format!("{}{}", people.entered, others.collect::<String>());
    let mut notes: Vec<String> = entry.note.iter().cloned().collect();
    notes.extend(profile.is_late(entry).then(|| "late".to_owned()));
    notes.extend(entry.corrects.map(|old| format!("in the place of {old}")));
    notes.extend(entry.about.map(|old| format!("about {old}")));
    notes.extend((!entry.typed.is_empty()).then(|| format!("typed: {}", typed(&entry.typed))));
    let corrected = ledger.corrected_by(*number);
    notes.extend(corrected.map(|by| format!("corrected by {by}")));
    format!(
        "<tr{}><td class=\"n\">{number}</td><td>{}<br>{}</td><td>{}</td><td>{}</td><td>{}</td><td class=\"n\">{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
        if corrected.is_some() { " class=\"gone\"" } else { "" },
        moment(entry.act_ms),
        moment(entry.entered_ms),
        entry.kind,
        legs(&entry.from),
        legs(&entry.to),
        entry.moved(),
        escaped(&read),
        escaped(&who),
        escaped(&notes.join("; ")),
    )
}
