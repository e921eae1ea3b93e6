//! The page under docs that holds a collection's scores: tables and drawings, the same bytes from the same inputs.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use workbench::{Scored, places, sides};

use super::out::write_file;
use super::report::{Report, Runs};
use super::svg::{self, Histogram};
use super::tables;
use super::work::RunResult;
use crate::error::BenchError;

/// Writes `README.md` and its drawings into the folder; drawings of an earlier time go.
pub(super) fn write(
    folder: &Path,
    report: &Report,
    runs: &Runs<'_>,
    results: &[RunResult],
) -> Result<(), BenchError> {
    let failed = |why| BenchError::Write { option: "--report", path: folder.to_path_buf(), why };
    fs::create_dir_all(folder).map_err(failed)?;
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let name =
            path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let is_drawing = path.extension().is_some_and(|extension| extension == "svg");
        if is_drawing && (name.starts_with("run-") || name.starts_with("places-")) {
            fs::remove_file(&path).map_err(failed)?;
        }
    }
    let save = |name: &str, text: &str| write_file("--report", &folder.join(name), text);
    for (of, _) in sides() {
        save(&format!("places-{of}.svg"), &histograms(report, of))?;
    }
    for run in &report.worst_runs {
        let forecasts =
            results.iter().find(|result| result.name == *run).map(|result| &result.forecasts);
        if let (Some(truth), Some(forecasts)) = (runs.truth(run), forecasts) {
            save(&file_of(run), &svg::run(run, truth, forecasts))?;
        }
    }
    save("README.md", &markdown(report))
}

/// A file's name for the drawing of a run: of letters, digits and hyphens only.
fn file_of(run: &str) -> String {
    let plain: String =
        run.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    format!("run-{plain}.svg")
}

fn histograms(report: &Report, of: &str) -> String {
    let Some((_, mark)) = sides().into_iter().find(|(name, _)| *name == of) else {
        return String::new();
    };
    let families = super::report::families(&report.scored);
    let whole = std::iter::once("all".to_owned()).chain(families);
    let all: Vec<Histogram> = whole
        .map(|group| {
            let members: Vec<&Scored> =
                report.scored.iter().filter(|one| one.groups().contains(&group)).collect();
            Histogram { bars: places(&members, mark).to_vec(), title: group }
        })
        .collect();
    svg::histograms(&format!("Where the true {of} lay in the forecast distribution"), &all)
}

fn markdown(report: &Report) -> String {
    let mut text = format!(
        "# Forecasts scored\n\n\
        Written by `workbench benchmark`; changes by hand are lost.\n\n\
        {} forecasts of {} runs, {} series of runs of one still among them, each forecast made from what had been \
        recorded by its moment. The recordings are simulated, by a program with other physics than this one's: no real still was \
        recorded. Scores are CRPS, the continuous ranked probability score (0 is best), from five quantiles: \
        linear in the normal score, the outer slopes carried on.\n",
        report.forecasts, report.runs, report.series
    );
    for table in tables::all(report) {
        let _ = write!(text, "\n## {}\n\n{}\n\n", table.title, table.words);
        text.push_str(&markdown_table(&table.header, &table.rows));
    }
    text.push_str(
        "\n## Places\n\nHow often the truth took each tenth of the forecast distribution. Honest bands fill all \
        tenths alike, as the line marks; two high ends mean that bands are too narrow, a hill that they are too wide.\n\n\
        ![Places of the end](places-end.svg)\n\n![Places of the litres](places-litres.svg)\n\n\
        ## The worst runs\n\nHighest mean score over all moments first. Thin line: 95 % band; bar: 80 % band; dash: \
        likely value.\n",
    );
    for run in &report.worst_runs {
        let _ = write!(text, "\n![Run {run}]({})\n", file_of(run));
    }
    text
}

fn markdown_table(header: &[String], rows: &[Vec<String>]) -> String {
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
        format!("| {} |\n", cells.join(" | "))
    };
    let rule = vec!["---".to_owned(); header.len()];
    let rows: String = rows.iter().map(|row| line(row)).collect();
    format!("{}{}{rows}", line(header), line(&rule))
}
