//! The scores as tables of words, for the terminal and for the page alike.

use workbench::{Accused, Gain, Paired, PromptMark, Scored, Side, StrengthSide, Summary};

use super::report::{Comparison, Report};

/// One table.
pub(super) struct Printed {
    /// Above it.
    pub(super) title: String,
    /// What its columns say.
    pub(super) words: String,
    /// Names of the columns.
    pub(super) header: Vec<String>,
    /// Cells.
    pub(super) rows: Vec<Vec<String>>,
}

/// All tables of a report that have rows.
pub(super) fn all(report: &Report) -> Vec<Printed> {
    let mut tables = vec![
        quantity(report, "end", "duration", |line| line.end),
        quantity(report, "litres", "litres", |line| line.litres),
        strength(report),
        checks(report),
    ];
    tables.extend(report.comparisons.iter().map(comparison));
    tables.extend([prompts(report), worst(report), faults(report)]);
    tables.extend([accused(report), doubted(report), traits(report)]);
    tables.retain(|table| !table.rows.is_empty());
    tables
}

fn printed(title: &str, words: &str, header: &[&str], rows: Vec<Vec<String>>) -> Printed {
    let header = header.iter().map(|&name| name.to_owned()).collect();
    Printed { title: title.to_owned(), words: words.to_owned(), header, rows }
}

fn percent_of_hearts(fraction: Option<f64>) -> String {
    fraction.map_or_else(|| "all".to_owned(), |share| format!("{} %", number(100.0 * share, 0)))
}

fn quantity(report: &Report, of: &str, scale: &str, side: fn(&Summary) -> Side) -> Printed {
    let row = |line: &Summary| {
        let found = side(line);
        vec![
            line.group.clone(),
            percent_of_hearts(line.at_fraction),
            line.count.to_string(),
            number(found.crps, 2),
            number(found.median_error, 1),
            number(found.p90_error, 1),
            format!("{:+.1}", found.bias),
            number(found.width_80, 1),
            number(found.cover_80, 2),
            number(found.cover_95, 2),
        ]
    };
    printed(
        &format!("The hearts' {of}"),
        &format!(
            "In % of the hearts' {scale}: mean CRPS, median and 90th percentile of the error's size, median error, mean width of the 80 % band; then the share of truths inside the 80 and 95 % bands."
        ),
        &["group", "at", "n", "CRPS", "median", "p90", "bias", "width", "in 80", "in 95"],
        report.summaries.iter().map(row).collect(),
    )
}

fn strength(report: &Report) -> Printed {
    let row = |line: &Summary| {
        let found = line.strength?;
        let naive =
            |value: fn(StrengthSide) -> f64| line.naive_strength.map(|side| number(value(side), 2));
        Some(vec![
            line.group.clone(),
            percent_of_hearts(line.at_fraction),
            found.count.to_string(),
            number(found.median_error, 2),
            number(found.p90_error, 2),
            found.cover_80.map(|share| number(share, 2)).unwrap_or_default(),
            naive(|side| side.median_error).unwrap_or_default(),
            naive(|side| side.p90_error).unwrap_or_default(),
        ])
    };
    printed(
        "Strength now",
        "In % vol: median and 90th percentile of the error's size, share of truths in the 80 % band; beside it what the raw head probe, read as a strength, would have been off.",
        &["group", "at", "n", "median", "p90", "in 80", "raw probe median", "raw probe p90"],
        report.summaries.iter().filter_map(row).collect(),
    )
}

fn checks(report: &Report) -> Printed {
    let row = |check: &workbench::Check| {
        vec![
            check.what.clone(),
            number(check.value, 3),
            format!("{} to {}", number(check.low, 2), number(check.high, 2)),
            if check.kept { "kept" } else { "NOT kept" }.to_owned(),
        ]
    };
    printed(
        "Bounds",
        "Over all moments where none is named; what is lower is the mean CRPS.",
        &["of", "found", "bound", ""],
        report.checks.iter().map(row).collect(),
    )
}

fn comparison(comparison: &Comparison) -> Printed {
    let row = |line: &Paired| {
        let mut cells = vec![
            line.group.clone(),
            line.moments.clone(),
            line.count.to_string(),
            line.units.to_string(),
        ];
        for Gain { percent, low, high } in [line.end, line.litres, line.both] {
            cells.push(format!("{percent:+.1}"));
            cells.push(format!("{low:+.1} to {high:+.1}"));
        }
        cells
    };
    printed(
        &format!("Against {}", comparison.with),
        "How much lower the mean CRPS is on the same runs and moments, in % of the other's (below 0: higher), with a 95 % bootstrap interval; runs, and series as a whole, are drawn.",
        &["group", "at", "n", "units", "end", "interval", "litres", "interval", "both", "interval"],
        comparison.lines.iter().map(row).collect(),
    )
}

fn worst(report: &Report) -> Printed {
    let row = |one: &Scored| {
        let beyond = |value: f64| if value > 0.0 { number(value, 2) } else { String::new() };
        vec![
            one.run.clone(),
            percent_of_hearts(Some(one.at_fraction)),
            one.family.clone(),
            if one.healthy { "healthy" } else { "faulty" }.to_owned(),
            format!("{:+.1}", one.end.error),
            beyond(one.end.beyond_95),
            format!("{:+.1}", one.litres.error),
            beyond(one.litres.beyond_95),
            if Report::is_far_off(one) { "far off" } else { "" }.to_owned(),
        ]
    };
    printed(
        "The worst forecasts",
        "Error of the likely value in % of the hearts, and how far outside the 95 % band the truth lies, in half-widths of that band; far off: by more than one.",
        &["run", "at", "family", "", "end", "outside", "litres", "outside", ""],
        report.worst.iter().map(row).collect(),
    )
}

fn faults(report: &Report) -> Printed {
    let row = |run: &workbench::Naming| {
        let minutes =
            |seconds: Option<f64>| seconds.map(|s| number(s / 60.0, 0)).unwrap_or_default();
        vec![
            run.run.clone(),
            run.fault.clone(),
            minutes(run.set_in_s),
            run.named_from
                .map_or_else(|| "not named".to_owned(), |share| percent_of_hearts(Some(share))),
            minutes(run.delay_s),
            run.named.clone(),
            run.distrusted_from.map(|share| percent_of_hearts(Some(share))).unwrap_or_default(),
            run.distrusted.join(" "),
        ]
    };
    let table = &report.faults;
    printed(
        "Faults",
        &format!(
            "{} of {} runs with a fault were met: named by kind, or an answer not trusted. Times in minutes of the run; named from: the moment from which on it was named at every later one too.",
            table.met(),
            table.faulty.len()
        ),
        &["run", "fault", "set in", "named from", "delay", "said", "not trusted from", "which"],
        table.faulty.iter().map(row).collect(),
    )
}

fn prompts(report: &Report) -> Printed {
    let row = |mark: &PromptMark| {
        let minutes = |seconds: f64| number(seconds / 60.0, 0);
        vec![
            mark.run.clone(),
            mark.family.clone(),
            if mark.healthy { "healthy" } else { "faulty" }.to_owned(),
            mark.lead_s.map_or_else(|| "none".to_owned(), minutes),
            minutes(mark.early_limit_s),
            match mark {
                PromptMark { late: true, .. } => "late",
                PromptMark { left_plan: true, .. } => "left the plan",
                PromptMark { early: true, .. } => "early",
                _ => "kept",
            }
            .to_owned(),
        ]
    };
    printed(
        "The prompt before the end of hearts",
        "Each column played live, as attended and as the first run of its still. Lead: from the first time it said that the end of hearts is near to their true end, min; below 10, or none, is late, above the limit early. Left the plan: the operator stopped or slowed outside the plan in between, so that it is not counted among those that may be early.",
        &["run", "family", "", "lead", "limit", "how"],
        report.prompts.marks.iter().map(row).collect(),
    )
}

fn accused(report: &Report) -> Printed {
    printed(
        "Healthy runs accused of a fault",
        "At how many moments, and of what.",
        &["run", "moments", "said"],
        healthy_runs(report, &report.faults.accused, "healthy runs accused"),
    )
}

fn doubted(report: &Report) -> Printed {
    printed(
        "Healthy runs with an answer not trusted",
        "At how many moments, and which answers, no fault being named then. These are no accusations: the run says where its own forecast may not hold.",
        &["run", "moments", "not trusted"],
        healthy_runs(report, &report.faults.doubted, "healthy runs doubted"),
    )
}

/// A row for each, and how many of all healthy runs they are.
fn healthy_runs(report: &Report, runs: &[Accused], last: &str) -> Vec<Vec<String>> {
    let row = |run: &Accused| vec![run.run.clone(), run.moments.to_string(), run.of.join(" ")];
    let mut rows: Vec<Vec<String>> = runs.iter().map(row).collect();
    if report.faults.healthy_runs > 0 {
        let count = format!("{} of {}", runs.len(), report.faults.healthy_runs);
        rows.push(vec![last.to_owned(), count, String::new()]);
    }
    rows
}

fn traits(report: &Report) -> Printed {
    let row = |mark: &workbench::TraitMark| {
        let shown = |value: f64| {
            if mark.of.is_ratio() {
                format!("{} %", number(100.0 * value.exp(), 0))
            } else {
                format!("{value:+.2} K")
            }
        };
        let band = format!(
            "{} to {}",
            shown(mark.mean - 1.2816 * mark.sd),
            shown(mark.mean + 1.2816 * mark.sd)
        );
        let name = mark.of.name().replace('_', " ");
        vec![
            mark.run.clone(),
            name,
            shown(mark.mean),
            band,
            shown(mark.truth),
            format!("{:+.1}", mark.off_sd),
        ]
    };
    printed(
        "What was learned of the stills",
        "Belief after each run of a series with its 80 % band, beside the truth: factors in % of what is stated, offsets in K. The true separating power is stages times their efficiency, which is right near total reflux only. Heat loss, heater, valve and yield have no truth in the recordings.",
        &["after run", "trait", "believed", "80 % band", "true", "off by sd"],
        report.traits.iter().map(row).collect(),
    )
}

/// A number with that many decimals, never "-0.00".
fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn nothing_is_minus_nothing() {
        assert_eq!(number(-0.001, 2), "0.00");
        assert_eq!(number(-0.1, 1), "-0.1");
    }
}
