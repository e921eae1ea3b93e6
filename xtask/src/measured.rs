//! `cargo xtask measured`: runs of real stills against this program, as a page with drawings.

use std::fmt::Write as _;
use std::path::Path;

use crate::command::{ChoreError, Done, cargo, output};

/// Where the page and its drawings go.
const PAGE: &str = "docs/benchmark/measured.md";
/// Runs whose charge is not stated: their strength cannot be foretold, only followed.
const NOT_FORETOLD: &str = "T2";
/// The drawing's size and the field inside it: left, right, top, bottom.
const SIZE: (f64, f64) = (640.0, 360.0);
const FIELD: (f64, f64, f64, f64) = (52.0, 620.0, 30.0, 316.0);
/// Strengths drawn, % vol.
const VOL: (f64, f64) = (35.0, 90.0);

const WORDS: &str = "\
# Against measured stills

Written by `cargo xtask measured`; changes by hand are lost.

Five runs of one packed pilot still (40 L, 1 kW, partial condenser at a metered duty), as points derived from their log: [where they come from](../../crates/estimate/reference/measured/README.md). Its losses, efficiency, hold-up and lost vapour are fitted to all runs together (`middlecut calibrate`); then each run is foretold from the fit of the others, by heater and reflux alone, its charge as stated but for what all charges have in common. The strength is compared over slices of the volume, the time to the same volume, and the pure alcohol in it.

One run repeats to about 1.5 % vol: three runs at the same duty read 60.3 to 63.3 % vol at the same minute. No forecast can be better than that.
";

const UNSUPPORTED: &str = "
## What no measurement here supports

- **Cuts by congeners**: where heads end and fusel begins is checked by its order only (what comes first), never by number. No run with analysed fractions is here.
- **Pots with a head**, alembics and their first and second runs: strengths at a handful of published points, no logged run.
- **Total reflux, heads at high reflux, a column of ten contacts and more**: simulated recordings only. The measured still has about two effective contacts and a reflux ratio up to one.
- **Heat-up**: the logs begin with the first spirit. Of a charge heated by steam or gas only the spread of one large wash still's heat-ups is measured (its power is not stated); of one heated by fire nothing.
- **The head thermometer**: on the measured still it sits below the partial condenser, where it shows other vapour than the spirit's; it is let go of, so no head reading of a column is held to a measurement.
- **The charge**: its strength is not stated. That a tenth of the alcohol leaves as vapour and that the charge was a tenth weaker give nearly the same runs; the value of the vapour lost leans on what is believed beforehand.
- **The balance of the alcohol**: the causes it weighs are held to made-up runs. Behind the belief about lost vapour stand this rig and a flask that lost 13 % of its alcohol; no run here has residue, feints and jars all gauged.
- **Taste**: nothing here says what a cut should taste like; that stays with who stands at the still.
- **Other stills**: one rig is one rig. That losses derived from sizes come near it says little of another.
";

/// Makes the rows, writes the page and a drawing for each run.
pub(crate) fn run_measured(root: &Path) -> Done {
    let example = ["run", "--quiet", "-p", "estimate", "--example", "measured"];
    let rows = output(&mut cargo(root, &example))?;
    let rows: Vec<Vec<&str>> = rows.lines().map(|line| line.split(',').collect()).collect();
    let write = |place: String, text: String| {
        let path = root.join(place);
        std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })
    };
    let mut names: Vec<&str> = of_kind(&rows, "run").map(|row| row[1]).collect();
    names.dedup();
    for name in &names {
        write(format!("docs/benchmark/measured-{name}.svg"), drawing(&rows, name))?;
    }
    write(PAGE.to_owned(), page(&rows, &names))
}

fn of_kind<'a>(rows: &'a [Vec<&'a str>], kind: &'a str) -> impl Iterator<Item = &'a Vec<&'a str>> {
    rows.iter().filter(move |row| row.first() == Some(&kind) && row.len() >= 6)
}

fn page(rows: &[Vec<&str>], names: &[&str]) -> String {
    let mut text = WORDS.to_owned();
    text.push_str(
        "\n## The values\n\n| value | now | 4 in 5 | told by these runs |\n|---|---|---|---|\n",
    );
    for row in of_kind(rows, "value") {
        let told = if row[5] == "true" { "yes" } else { "no" };
        let _ = writeln!(text, "| {} | {} | {} to {} | {told} |", row[1], row[3], row[2], row[4]);
    }
    text.push_str(
        "\n## The runs\n\n| run | how | strength off by (rms), % vol | mean, % vol | time, % | alcohol, % |\n|---|---|---|---|---|---|\n",
    );
    for row in of_kind(rows, "run").filter(|row| foretold(row[1], row[2])) {
        let how = if row[2] == "fitted" { "fitted" } else { "from the others" };
        let cells = row[3..].join(" | ");
        let _ = writeln!(text, "| {} | {how} | {cells} |", row[1]);
    }
    text.push_str("\nPoints are measured, the line is foretold from the other runs (of T2, whose charge is not stated, fitted).\n\n");
    for name in names {
        let _ = writeln!(text, "![run {name}](measured-{name}.svg)");
    }
    text.push_str(UNSUPPORTED);
    text
}

/// Whether a comparison is one to show.
fn foretold(name: &str, how: &str) -> bool {
    how == "fitted" || name != NOT_FORETOLD
}

/// Strength over volume: measured points, the simulated line.
fn drawing(rows: &[Vec<&str>], name: &str) -> String {
    let how = if name == NOT_FORETOLD { "fitted" } else { "left_out" };
    let slices: Vec<[f64; 3]> = of_kind(rows, "slice")
        .filter(|row| row[1] == name && row[2] == how)
        .map(|row| [3, 4, 5].map(|at: usize| row[at].parse().unwrap_or(f64::NAN)))
        .collect();
    let most_l = slices.last().map_or(1.0, |slice| slice[0]) * 1.05;
    let (left, right, top, bottom) = FIELD;
    let x = |litres: f64| left + (right - left) * litres / most_l;
    let y = |vol: f64| bottom - (bottom - top) * (vol - VOL.0) / (VOL.1 - VOL.0);
    let (width, height) = SIZE;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" font-family=\"sans-serif\" font-size=\"12\" role=\"img\" aria-label=\"Strength of run {name}, measured and simulated\">\n<rect width=\"{width:.0}\" height=\"{height:.0}\" fill=\"#fcfbf8\"/>\n<text x=\"{left}\" y=\"18\" fill=\"#26323a\">Run {name}: strength, % vol, over litres drawn</text>\n"
    );
    for vol in [40.0, 50.0, 60.0, 70.0, 80.0, 90.0] {
        let _ = writeln!(
            text,
            "<line x1=\"{left}\" y1=\"{0:.1}\" x2=\"{right}\" y2=\"{0:.1}\" stroke=\"#d8dcdc\"/>\n<text x=\"44\" y=\"{1:.1}\" text-anchor=\"end\" fill=\"#26323a\">{vol:.0}</text>",
            y(vol),
            y(vol) + 4.0
        );
    }
    let mut litres = 0.0;
    while litres <= most_l {
        let _ = writeln!(
            text,
            "<text x=\"{:.1}\" y=\"336\" text-anchor=\"middle\" fill=\"#26323a\">{litres:.0} L</text>",
            x(litres)
        );
        litres += 1.0;
    }
    let line: Vec<String> =
        slices.iter().map(|[litres, _, vol]| format!("{:.1},{:.1}", x(*litres), y(*vol))).collect();
    let _ = writeln!(
        text,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"#3d7ea6\" stroke-width=\"2\"/>",
        line.join(" ")
    );
    for [litres, vol, _] in &slices {
        let _ = writeln!(
            text,
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"4\" fill=\"#b3541e\"/>",
            x(*litres),
            y(*vol)
        );
    }
    text.push_str("</svg>\n");
    text
}

#[cfg(test)]
mod tests {
    use super::{drawing, page};

    #[test]
    fn the_page_shows_what_was_foretold_and_leaves_out_what_cannot_be() {
        let rows: Vec<Vec<&str>> = [
            "value,efficiency,0.600,0.650,0.700,true",
            "run,Q4,fitted,1.00,0.10,-1.00,0.20",
            "run,Q4,left_out,1.20,0.40,-2.00,0.60",
            "run,T2,left_out,4.00,-3.00,7.00,-5.00",
            "slice,Q4,left_out,1.000,76.00,75.00",
        ]
        .iter()
        .map(|line| line.split(',').collect())
        .collect();
        let text = page(&rows, &["Q4", "T2"]);
        assert!(text.contains("| Q4 | from the others | 1.20 | 0.40 | -2.00 | 0.60 |"), "{text}");
        assert!(!text.contains("| T2 | from the others"), "{text}");
        assert!(drawing(&rows, "Q4").contains("<circle"), "no point is drawn");
    }
}
