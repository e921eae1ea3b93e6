//! The forecast as a drawing: one lane each for the head's rise, strength and litres, one clock.

use std::ops::Range;

use plotters::coord::Shift;
use plotters::coord::ranged1d::{DefaultFormatting, KeyPointHint};
use plotters::prelude::*;
use still::outcome::{Forecast, Row};
use still::plan::RunPlan;

const WIDTH_PX: u32 = 1000;
const HEIGHT_PX: u32 = 760;
const INK: RGBColor = RGBColor(28, 28, 26);
const HAIRLINE: RGBColor = RGBColor(176, 174, 166);
const PAPER: RGBColor = RGBColor(252, 251, 247);
/// Rise at which the scale turns from even to squeezed, K: 0.4 and 15 K are both to be seen.
const RISE_KNEE_K: f64 = 0.15;
/// Most marks along the clock.
const CLOCK_MARKS_MAX: f64 = 12.0;

type Fault = DrawingAreaErrorKind<std::io::Error>;
type Draw<'a> = Box<dyn Fn(&Row) -> Option<f64> + 'a>;

/// One lane of the drawing; all its numbers are where they are drawn.
struct Lane<'a> {
    name: &'static str,
    low: f64,
    high: f64,
    marks: Vec<f64>,
    label: fn(&f64) -> String,
    value: Draw<'a>,
}

/// A straight scale with marks where we want them.
struct Scale {
    low: f64,
    high: f64,
    marks: Vec<f64>,
}

impl Ranged for Scale {
    type FormatOption = DefaultFormatting;
    type ValueType = f64;

    #[expect(clippy::cast_possible_truncation, reason = "a place within the drawing, in pixels")]
    fn map(&self, value: &f64, (from, to): (i32, i32)) -> i32 {
        let share = (value - self.low) / (self.high - self.low);
        (f64::from(from) + share * f64::from(to - from)).round() as i32
    }

    fn key_points<Hint: KeyPointHint>(&self, _: Hint) -> Vec<f64> {
        self.marks.clone()
    }

    fn range(&self) -> Range<f64> {
        self.low..self.high
    }
}

/// Draws; the result is the whole SVG file.
pub(super) fn draw(forecast: &Forecast, plan: &RunPlan) -> Result<String, Fault> {
    let mut text = String::new();
    {
        let area = SVGBackend::with_string(&mut text, (WIDTH_PX, HEIGHT_PX)).into_drawing_area();
        area.fill(&PAPER)?;
        let area = area.titled(&plan.title, ("sans-serif", 22).into_font().color(&INK))?;
        let lanes = [head(forecast), strength(), collected(forecast)];
        for (index, part) in area.split_evenly((lanes.len(), 1)).iter().enumerate() {
            draw_lane(part, forecast, &lanes[index], (index == 0).then_some(plan))?;
        }
        area.present()?;
    }
    Ok(text)
}

/// The rise above the plateau; of a run without one, the head itself.
fn head(forecast: &Forecast) -> Lane<'_> {
    let Some(plateau_c) = forecast.plateau_c else {
        return Lane {
            name: "head, °C",
            low: 0.0,
            high: 105.0,
            marks: vec![0.0, 25.0, 50.0, 75.0, 100.0],
            label: |value| crate::print::number(*value, 0),
            value: Box::new(|row| Some(row.head_c)),
        };
    };
    let place = |rise_k: f64| (rise_k / RISE_KNEE_K).asinh();
    Lane {
        name: "head above this run's plateau, K",
        low: place(-3.0),
        high: place(25.0),
        marks: [-1.0, -0.2, 0.0, 0.2, 0.5, 1.0, 2.0, 5.0, 20.0].map(place).to_vec(),
        label: |value| crate::print::number(value.sinh() * RISE_KNEE_K, 1),
        value: Box::new(move |row| {
            let rise_k = row.head_c - plateau_c;
            (-3.0..=25.0).contains(&rise_k).then(|| place(rise_k))
        }),
    }
}

fn strength() -> Lane<'static> {
    Lane {
        name: "strength drawn now, % vol",
        low: 0.0,
        high: 105.0,
        marks: vec![0.0, 25.0, 50.0, 75.0, 100.0],
        label: |value| crate::print::number(*value, 0),
        value: Box::new(|row| row.distillate_vol),
    }
}

fn collected(forecast: &Forecast) -> Lane<'static> {
    let most_l = forecast.totals.litres_20c.max(0.1);
    Lane {
        name: "collected, L at 20 °C",
        low: 0.0,
        high: most_l * 1.05,
        marks: (0..=4_u8).map(|part| most_l * f64::from(part) / 4.0).collect(),
        label: |value| crate::print::number(*value, 2),
        value: Box::new(|row| Some(row.collected_l)),
    }
}

/// Marks of the clock: every quarter of an hour, or wider.
fn clock_marks(end_s: f64) -> Vec<f64> {
    let widths = [900.0, 1800.0, 3600.0, 7200.0, 14_400.0, 86_400.0];
    let width = widths.into_iter().find(|width| end_s / width <= CLOCK_MARKS_MAX);
    let width = width.unwrap_or(end_s / CLOCK_MARKS_MAX);
    let marks = std::iter::successors(Some(0.0), |mark| Some(mark + width));
    marks.take_while(|mark| *mark <= end_s).take(100).collect()
}

fn draw_lane(
    area: &DrawingArea<SVGBackend, Shift>,
    forecast: &Forecast,
    lane: &Lane,
    named: Option<&RunPlan>,
) -> Result<(), Fault> {
    let small = ("sans-serif", 14).into_font().color(&INK);
    let end_s = forecast.end_s.max(60.0);
    let clock = Scale { low: 0.0, high: end_s, marks: clock_marks(end_s) };
    let scale = Scale { low: lane.low, high: lane.high, marks: lane.marks.clone() };
    let mut chart = ChartBuilder::on(area)
        .margin_right(28)
        .margin_left(8)
        .caption(lane.name, ("sans-serif", 15).into_font().color(&INK))
        .x_label_area_size(24)
        .y_label_area_size(52)
        .build_cartesian_2d(clock, scale)?;
    chart
        .configure_mesh()
        .disable_mesh()
        .axis_style(HAIRLINE)
        .label_style(small.clone())
        .x_label_formatter(&|seconds| crate::print::clock(*seconds))
        .y_label_formatter(&lane.label)
        .draw()?;
    for (index, step) in forecast.steps.iter().enumerate() {
        let edge = [(step.start_s, lane.low), (step.start_s, lane.high)];
        chart.draw_series(LineSeries::new(edge, HAIRLINE))?;
        if let Some(plan) = named {
            // Every second name one line lower: short steps stand close together.
            let drop_px = if index % 2 == 0 { 0 } else { 16 };
            let name = Text::new(plan.step_name(step.index), (5, drop_px), small.clone());
            chart.draw_series([EmptyElement::at((step.start_s, lane.high)) + name])?;
        }
    }
    let points = forecast.rows.iter().filter_map(|row| Some((row.time_s, (lane.value)(row)?)));
    chart.draw_series(LineSeries::new(points, INK.stroke_width(2)))?;
    Ok(())
}
