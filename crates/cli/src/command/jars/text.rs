//! The jars as a page of text.

use std::fmt::Write as _;

use finishing::congeners::{METHANOL_WORDS, g_per_hl_pa};
use finishing::cuts::{Lot, Move};

use super::told::Told;
use crate::print::{Sheet, columns, number};

/// Everything that is said of the jars.
pub(super) fn write(told: &Told) -> String {
    let mut text = String::new();
    if let Some(run) = &told.bench.run {
        _ = writeln!(text, "{run}\n");
    }
    text.push_str(&listed(told));
    for left in &told.bench.left_out {
        _ = writeln!(text, "jar {left} was not gauged with a temperature and is left out");
    }
    _ = writeln!(text, "\n{}", hearts(told));
    text.push_str(&limits(told));
    text.push_str(&moves(told));
    text.push_str(&rest(told));
    if !told.glasses.is_empty() {
        text.push_str(
            "\nPour these and keep the list from who smells; diluted to 20 to 30 % vol:\n",
        );
        let cells =
            |glass: &finishing::nose::Glass| vec![glass.letter.clone(), glass.jar.to_string()];
        let head = vec!["glass".to_owned(), "jar".to_owned()];
        let rows: Vec<Vec<String>> =
            std::iter::once(head).chain(told.glasses.iter().map(cells)).collect();
        text.push_str(&columns(&rows));
    }
    _ = writeln!(text, "\n{METHANOL_WORDS}");
    text
}

fn listed(told: &Told) -> String {
    let bench = &told.bench;
    let mut head = vec!["jar", "in", "mL", "% vol", "±", "pure mL"];
    if bench.congeners.is_some() {
        head.extend(["methanol", "ethyl acetate", "higher alcohols"]);
    }
    let with = bench.jars.iter().any(|jar| jar.gauged_with.is_some());
    if with {
        head.push("gauged with");
    }
    head.push("nose");
    let head: Vec<String> = head.into_iter().map(str::to_owned).collect();
    let rows = bench.jars.iter().enumerate().map(|(i, jar)| {
        let is_in = told.cuts.hearts.jars.contains(&jar.number);
        let mut cells = vec![
            format!("{} {}", jar.number, jar.cut.map_or("", still::plan::StepKind::name)),
            if is_in { "in".to_owned() } else { String::new() },
            number(1000.0 * jar.litres_20c, 0),
            number(jar.strength_vol_20c, 1),
            number(jar.strength_sd, 1),
            number(1000.0 * jar.pure_alcohol_l, 0),
        ];
        let each = g_per_hl_pa(1.0, jar.pure_alcohol_l);
        if let Some((all, each)) = bench.congeners.as_ref().zip(each) {
            let [methanol, acetate, _, higher] = all[i].map(|mg| each * mg);
            cells.extend([methanol, acetate, higher].map(|grams| number(grams, 0)));
        }
        if with {
            let with = jar.gauged_with.as_ref();
            cells.push(with.map_or_else(String::new, sense::GaugedWith::words));
        }
        cells.push(jar.note.clone());
        cells
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    let note = if bench.congeners.is_some() {
        "Congeners are predicted by the run's model, in grams per 100 L of pure alcohol.\n"
    } else {
        ""
    };
    format!("{}{note}", columns(&rows))
}

fn numbers(jars: &[u32]) -> String {
    jars.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn hearts(told: &Told) -> Sheet {
    let lot = &told.cuts.hearts;
    let mut sheet = Sheet::new();
    sheet.remark(format!("In: jars {}", numbers(&lot.jars)));
    let with = |sd: f64, decimals, unit: &str| format!("± {} {unit}", number(sd, decimals));
    sheet.row("makes", lot.litres_20c, 3, &with(lot.sd[0], 3, "L at 20 °C"));
    sheet.row("strength", lot.strength_vol_20c, 2, &with(lot.sd[1], 2, "% vol"));
    sheet.row("pure alcohol", lot.pure_alcohol_l, 3, &with(lot.sd[2], 3, "L"));
    if let Some(charged) = told.bench.charged_l {
        sheet.row("of the charge", 100.0 * lot.pure_alcohol_l / charged, 0, "%");
    }
    sheet
}

fn limits(told: &Told) -> String {
    let mut text = String::new();
    for one in &told.cuts.against {
        let limit = one.limit;
        let source = if limit.from_memory {
            format!("{}; from memory, not read again", limit.source)
        } else {
            limit.source.to_owned()
        };
        _ = writeln!(
            text,
            "{}: {} g, {} to {} in 4 of 5; {} may hold {} ({source}): {}",
            limit.substance.words(),
            number(one.predicted, 1),
            number(one.low_high.0, 1),
            number(one.low_high.1, 1),
            limit.words,
            limit.most_g_per_hl_pa,
            one.word(),
        );
    }
    text
}

fn moves(told: &Told) -> String {
    let mut text = String::from("\nIf a cut moves by one jar:\n");
    let worst = told.cuts.worst.map(|place| told.cuts.moves[place].jar);
    for one in &told.cuts.moves {
        _ = writeln!(
            text,
            "  {}{}",
            moved(one),
            if worst == Some(one.jar) { "; the worst" } else { "" }
        );
    }
    text
}

fn moved(one: &Move) -> String {
    let act = if one.takes_in { "take in" } else { "leave out" };
    let mut line = format!("{act} jar {}: pure alcohol {:+.3} L", one.jar, one.pure_alcohol_l);
    if let Some((substance, from, to)) = one.most {
        _ = write!(line, ", {} {} to {} g", substance.words(), number(from, 1), number(to, 1));
        if one.passes_limit {
            line.push_str(", over the limit");
        }
    }
    line
}

fn rest(told: &Told) -> String {
    let mut text = String::new();
    let lot = |lot: &Lot| {
        format!(
            "jars {}: {} L at {} % vol, {} L pure",
            numbers(&lot.jars),
            number(lot.litres_20c, 3),
            number(lot.strength_vol_20c, 1),
            number(lot.pure_alcohol_l, 3)
        )
    };
    if let Some(feints) = &told.cuts.feints {
        _ = writeln!(text, "\nStays as feints, {}", lot(feints));
    }
    if let Some(discarded) = &told.cuts.discarded {
        _ = writeln!(text, "Is thrown away, {}", lot(discarded));
    }
    if let Some(next) = &told.next {
        _ = writeln!(
            text,
            "Next charge: {} L at {} % vol, {} L pure, {} of it from feints",
            number(next.litres_20c, 2),
            number(next.strength_vol_20c, 1),
            number(next.pure_alcohol_l, 3),
            number(next.of_feints_l, 3)
        );
    }
    text
}
