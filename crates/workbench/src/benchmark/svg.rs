//! Drawings of the page: histograms of places, and runs whose forecasts missed.

use std::fmt::Write as _;

use quantities::Band;
use workbench::{Forecast, Truth};

const PAPER: &str = "#fcfbf8";
const INK: &str = "#26323a";
const FAINT: &str = "#8d979d";
const TINT: &str = "#3d7ea6";
const TRUTH: &str = "#b3541e";

/// A drawing in the making.
struct Drawing {
    text: String,
}

impl Drawing {
    fn new(width: f64, height: f64, title: &str) -> Self {
        let title = escaped(title);
        Self {
            text: format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" font-family=\"sans-serif\" font-size=\"12\" role=\"img\" aria-label=\"{title}\">\n<rect width=\"{width:.0}\" height=\"{height:.0}\" fill=\"{PAPER}\"/>\n"
            ),
        }
    }

    fn line(&mut self, [x1, y1]: [f64; 2], [x2, y2]: [f64; 2], colour: &str, width: f64) {
        let _ = writeln!(
            self.text,
            "<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" stroke=\"{colour}\" stroke-width=\"{width}\"/>"
        );
    }

    fn bar(&mut self, [x, y]: [f64; 2], [width, height]: [f64; 2], colour: &str) {
        let _ = writeln!(
            self.text,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"{colour}\"/>"
        );
    }

    fn words(&mut self, [x, y]: [f64; 2], anchor: &str, colour: &str, words: &str) {
        let words = escaped(words);
        let _ = writeln!(
            self.text,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" fill=\"{colour}\">{words}</text>"
        );
    }

    fn finish(mut self) -> String {
        self.text.push_str("</svg>\n");
        self.text
    }
}

fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// One histogram of places.
pub(super) struct Histogram {
    /// Above it.
    pub(super) title: String,
    /// How often each part was taken.
    pub(super) bars: Vec<usize>,
}

/// Histograms side by side; a line marks what each bar would be of honest bands.
pub(super) fn histograms(title: &str, all: &[Histogram]) -> String {
    let (cell, top, tall) = (190.0, 46.0, 120.0);
    let mut drawing = Drawing::new(20.0 + cell * all.len() as f64, top + tall + 34.0, title);
    drawing.words([14.0, 18.0], "start", INK, title);
    for (at, histogram) in all.iter().enumerate() {
        let left = 20.0 + cell * at as f64;
        let total: usize = histogram.bars.iter().sum();
        let width = (cell - 24.0) / histogram.bars.len().max(1) as f64;
        let most = histogram.bars.iter().copied().max().unwrap_or(0).max(1) as f64;
        drawing.words([left, 38.0], "start", FAINT, &format!("{}, n = {total}", histogram.title));
        for (place, &count) in histogram.bars.iter().enumerate() {
            let height = tall * count as f64 / most;
            drawing.bar(
                [left + width * place as f64, top + tall - height],
                [width - 2.0, height],
                TINT,
            );
        }
        let even = top + tall - tall * total as f64 / histogram.bars.len().max(1) as f64 / most;
        drawing.line([left, even], [left + cell - 26.0, even], TRUTH, 1.5);
        drawing.line([left, top + tall], [left + cell - 26.0, top + tall], INK, 1.0);
        drawing.words([left, top + tall + 16.0], "start", FAINT, "0");
        drawing.words([left + cell - 26.0, top + tall + 16.0], "end", FAINT, "1");
    }
    drawing.finish()
}

/// One run: its forecasts of end and litres at each moment beside the truth.
pub(super) fn run(name: &str, truth: &Truth, forecasts: &[Forecast]) -> String {
    let family = truth.family.as_deref().unwrap_or_default();
    let fault = truth.fault.as_deref().unwrap_or("none");
    let title = format!("{name}: {family}, fault: {fault}");
    let mut drawing = Drawing::new(700.0, 290.0, &title);
    drawing.words([14.0, 18.0], "start", INK, &title);
    let hours = |forecast: &Forecast| forecast.end.map(|s| s / 3600.0);
    panel(&mut drawing, 50.0, "end of hearts, h", truth.end_of_hearts_s / 3600.0, forecasts, hours);
    panel(&mut drawing, 400.0, "hearts, L", truth.hearts_l_20c, forecasts, |forecast| {
        forecast.litres
    });
    drawing.finish()
}

fn panel(
    drawing: &mut Drawing,
    left: f64,
    title: &str,
    truth: f64,
    forecasts: &[Forecast],
    of: impl Fn(&Forecast) -> Band,
) {
    let (top, tall, wide) = (52.0, 190.0, 280.0);
    let all: Vec<Band> = forecasts.iter().map(&of).collect();
    let low = all.iter().map(|five| five.p025).fold(truth, f64::min);
    let high = all.iter().map(|five| five.p975).fold(truth, f64::max);
    let margin = 0.05 * (high - low).max(1e-3);
    let (low, high) = (low - margin, high + margin);
    let y = |value: f64| top + tall * (high - value) / (high - low);
    drawing.words([left, 40.0], "start", FAINT, title);
    for step in 0..=4 {
        let value = low + (high - low) * f64::from(step) / 4.0;
        drawing.line([left, y(value)], [left + wide, y(value)], "#e3e1da", 1.0);
        drawing.words([left - 6.0, y(value) + 4.0], "end", FAINT, &format!("{value:.2}"));
    }
    drawing.line([left, y(truth)], [left + wide, y(truth)], TRUTH, 2.0);
    let step = wide / all.len().max(1) as f64;
    for (at, (five, forecast)) in all.iter().zip(forecasts).enumerate() {
        let x = left + step * (at as f64 + 0.5);
        drawing.line([x, y(five.p975)], [x, y(five.p025)], TINT, 2.0);
        drawing.bar([x - 6.0, y(five.p90)], [12.0, (y(five.p10) - y(five.p90)).max(1.0)], TINT);
        drawing.line([x - 9.0, y(five.p50)], [x + 9.0, y(five.p50)], INK, 2.0);
        let share = format!("{:.0} %", 100.0 * forecast.at_fraction);
        drawing.words([x, top + tall + 18.0], "middle", FAINT, &share);
    }
    drawing.words(
        [left, top + tall + 38.0],
        "start",
        FAINT,
        "made at this share of the hearts; line across: the truth",
    );
}
