//! The strip of the sheet: steps with their textures, rise, strength and litres on one clock, black on white.

use std::fmt::Write;

use still::plan::{RunPlan, StepKind};

use super::words::time;
use crate::wire::event::EventKindWire;
use crate::wire::forecast::RowWire;
use crate::wire::run::RunWire;

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 262.0;
/// Top and bottom of the ribbon and of each lane.
const RIBBON: (f64, f64) = (44.0, 60.0);
const RISE: (f64, f64) = (66.0, 134.0);
const STRENGTH: (f64, f64) = (138.0, 188.0);
const COLLECTED: (f64, f64) = (192.0, 244.0);
/// Rise at which the scale turns from even to squeezed, K, as on the page.
const RISE_KNEE_K: f64 = 0.15;
/// Least and greatest rise, K, and strength, % vol, that are drawn.
const RISE_K: (f64, f64) = (-0.3, 5.0);
const STRENGTH_VOL: (f64, f64) = (30.0, 97.0);
/// Most points of a line, most marks along the clock.
const POINTS_MAX: usize = 400;
const CLOCK_MARKS_MAX: f64 = 10.0;
/// Room for the time of an end, points.
const LABEL_WIDTH: f64 = 104.0;
/// Crosses and dots mean early, waves late, plain clean.
const TEXTURES: &str = "<defs>\
<pattern id=\"foreshots\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><path d=\"M1 1l5 5M6 1l-5 5\" stroke=\"#000\"/></pattern>\
<pattern id=\"heads\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\"><circle cx=\"2\" cy=\"2\" r=\"1.2\"/><circle cx=\"5.5\" cy=\"5.5\" r=\"1.2\"/></pattern>\
<pattern id=\"tails\" width=\"12\" height=\"7\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 3.5q3-3.5 6 0t6 0\" fill=\"none\" stroke=\"#000\"/></pattern></defs>";

/// When each step so far began, oldest first, s: what was said, and the running one.
pub(super) fn begun(run: &RunWire) -> Vec<(usize, f64)> {
    if !run.started {
        return Vec::new();
    }
    let running = run.knowledge.step.index;
    let mut list = vec![(0, 0.0)];
    for event in run.events.iter().filter(|event| event.kind == EventKindWire::Step) {
        let last = list.last().map_or(0, |(index, _)| *index);
        let steps = run.plan.step.iter().enumerate().skip(last + 1);
        let mut named = steps.filter(|(_, step)| is_told(&event.code, step.kind.into()));
        let Some((index, _)) = named.next() else { continue };
        if index <= running {
            list.push((index, event.time_s));
        }
    }
    if list.last().is_some_and(|(index, _)| *index < running) {
        list.push((running, run.knowledge.step.started_s));
    }
    list
}

/// Whether an event tells that a step of that kind began; the slow phase is hearts too.
fn is_told(code: &str, kind: StepKind) -> bool {
    code == kind.name() || (kind == StepKind::Hearts && code.contains("slow"))
}

struct Strip<'a> {
    run: &'a RunWire,
    end_s: f64,
    /// Where the forecast begins, s.
    now_s: f64,
    text: String,
}

/// The drawing as it stands in a page.
pub(super) fn drawing(run: &RunWire, plan: &RunPlan) -> String {
    let known = &run.knowledge;
    let ends = known.ends.iter().map(|end| end.at.p90);
    let planned =
        run.forecast.as_ref().filter(|_| !run.started).map_or(0.0, |held| held.summary.end_s);
    let now_s = if run.started { known.time_s } else { 0.0 };
    let end_s = ends.chain([planned, now_s, 600.0]).fold(0.0, f64::max) * 1.01;
    let text = format!(
        "<svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-label=\"The run on one clock\">{TEXTURES}"
    );
    let mut strip = Strip { run, end_s, now_s, text };
    strip.clock();
    strip.ribbon(plan);
    strip.ends();
    strip.lanes();
    strip.text.push_str("</svg>");
    strip.text
}

impl Strip<'_> {
    fn x(&self, time_s: f64) -> f64 {
        (time_s / self.end_s * WIDTH).clamp(0.0, WIDTH)
    }

    fn clock(&mut self) {
        let widths = [900.0, 1800.0, 3600.0, 7200.0, 14_400.0];
        let width = widths.into_iter().find(|width| self.end_s / width <= CLOCK_MARKS_MAX);
        let width = width.unwrap_or(self.end_s / CLOCK_MARKS_MAX);
        // Round by the clock of the run, once it counts.
        let begun_s = (self.run.started_ms / 1000 + i64::from(self.run.zone_offset_minutes) * 60)
            .rem_euclid(86_400);
        let past_mark_s = if self.run.started { (begun_s as f64) % width } else { 0.0 };
        let mut at_s = width - past_mark_s;
        while at_s < self.end_s {
            let (x, words) = (self.x(at_s), time(self.run, at_s));
            let _ = write!(
                self.text,
                "<path d=\"M{x:.1} {}V{}\" stroke=\"#bbb\"/><text x=\"{x:.1}\" y=\"258\" text-anchor=\"middle\">{words}</text>",
                RISE.0, COLLECTED.1
            );
            at_s += width;
        }
        if self.run.started && self.run.ended.is_none() {
            let x = self.x(self.now_s);
            let _ = write!(
                self.text,
                "<path d=\"M{x:.1} {}V{}\" stroke=\"#000\" stroke-width=\"2\"/>",
                RIBBON.0 - 4.0,
                COLLECTED.1
            );
        }
    }

    /// Steps that were, and those to come in a broken outline.
    fn ribbon(&mut self, plan: &RunPlan) {
        let so_far = begun(self.run);
        let mut pieces: Vec<(usize, f64, f64, bool)> = Vec::new();
        for (place, (index, from)) in so_far.iter().enumerate() {
            let to = so_far.get(place + 1).map_or(self.now_s, |(_, at_s)| *at_s);
            pieces.push((*index, *from, to, true));
        }
        if self.run.started {
            let mut from = self.now_s;
            for end in &self.run.knowledge.ends {
                let Some(index) = end.step_index else { continue };
                if end.at.p50 > from {
                    pieces.push((index, from, end.at.p50, false));
                    from = end.at.p50;
                }
            }
        } else if let Some(forecast) = &self.run.forecast {
            let steps = forecast.summary.steps.iter().enumerate();
            pieces.extend(steps.map(|(index, step)| (index, step.start_s, step.end_s, false)));
        }
        for (index, from, to, past) in pieces {
            let (a, b) = (self.x(from), self.x(to));
            let Some(kind) = plan.steps.get(index).map(|step| step.kind) else { continue };
            let fill = match kind {
                StepKind::Foreshots => "url(#foreshots)",
                StepKind::Heads => "url(#heads)",
                StepKind::Tails => "url(#tails)",
                _ => "none",
            };
            let dashes = if past { "" } else { " stroke-dasharray=\"3 3\"" };
            let (top, high) = (RIBBON.0, RIBBON.1 - RIBBON.0);
            let _ = write!(
                self.text,
                "<rect x=\"{a:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{high}\" fill=\"{fill}\" stroke=\"#000\"{dashes}/>",
                b - a
            );
            let name = plan.step_name(index);
            // A letter is about six points wide.
            if past && fill == "none" && b - a > 6.4 * name.len() as f64 {
                let _ = write!(self.text, "<text x=\"{:.1}\" y=\"56\">{name}</text>", a + 4.0);
            }
        }
    }

    /// The lens of each end to come, its name and times where there is room.
    fn ends(&mut self) {
        let mut free = 0.0;
        for end in self.run.knowledge.ends.iter().filter(|end| end.unsure.is_none()) {
            let at = &end.at;
            let [a95, a, mid, b, b95] =
                [at.p025, at.p10, at.p50, at.p90, at.p975].map(|s| self.x(s));
            let y = f64::midpoint(RIBBON.0, RIBBON.1);
            for (from, to, fill) in [(a95, b95, "#ddd"), (a, b, "#999")] {
                let (x, half) = (f64::midpoint(from, to), ((to - from) / 2.0).max(4.0));
                let _ = write!(
                    self.text,
                    "<ellipse cx=\"{x:.1}\" cy=\"{y}\" rx=\"{half:.1}\" ry=\"6\" fill=\"{fill}\" stroke=\"#000\" stroke-width=\"0.6\"/>"
                );
            }
            let _ = write!(
                self.text,
                "<path d=\"M{mid:.1} {}V{}\" stroke=\"#000\" stroke-width=\"1.6\"/>",
                RIBBON.0 - 3.0,
                RIBBON.1 + 3.0
            );
            let left = (mid - LABEL_WIDTH / 2.0).clamp(0.0, WIDTH - LABEL_WIDTH);
            if left < free {
                continue;
            }
            free = left + LABEL_WIDTH;
            let x = left + LABEL_WIDTH / 2.0;
            let [from, likely, to] = [at.p10, at.p50, at.p90].map(|s| time(self.run, s));
            let _ = write!(
                self.text,
                "<text x=\"{x:.1}\" y=\"10\" text-anchor=\"middle\">{}</text><text class=\"b\" x=\"{x:.1}\" y=\"23\" text-anchor=\"middle\">{likely}</text><text x=\"{x:.1}\" y=\"36\" text-anchor=\"middle\">{from}–{to}</text>",
                super::words::plain(&end.short)
            );
        }
    }

    fn lanes(&mut self) {
        let run = self.run;
        let place = |kelvin: f64| (kelvin / RISE_KNEE_K).asinh();
        let rise = scale((place(RISE_K.0), place(RISE_K.1)), RISE);
        let rise = |kelvin: f64| rise(place(kelvin));
        // As -ln(1 - strength): it opens up the top.
        let bend = |vol: f64| -(1.0 - vol.min(99.0) / 100.0).ln();
        let vol = scale((bend(STRENGTH_VOL.0), bend(STRENGTH_VOL.1)), STRENGTH);
        let rows = run
            .forecast
            .as_ref()
            .filter(|_| run.ended.is_none())
            .map_or(&[][..], |held| &held.rows);
        let drawn = run.readings.litres.iter().flatten().copied().fold(0.0, f64::max);
        let most = rows.iter().map(|row| row.collected_l).fold(drawn, f64::max).max(0.2);
        let litres = scale((0.0, most * 1.05), COLLECTED);
        for (name, lane) in
            [("rise above plateau", RISE), ("strength", STRENGTH), ("collected", COLLECTED)]
        {
            let _ = write!(
                self.text,
                "<path d=\"M0 {}H{WIDTH}\" stroke=\"#999\"/><text x=\"2\" y=\"{}\">{name}</text>",
                lane.1,
                lane.0 + 10.0
            );
        }
        let read = &run.readings;
        let measured =
            |values: &[Option<f64>], y: &dyn Fn(f64) -> f64| -> Vec<Option<(f64, f64)>> {
                let points = read.time_s.iter().zip(values);
                points.map(|(at_s, value)| Some((self.x(*at_s), y((*value)?)))).collect()
            };
        let past = [
            (measured(&read.rise_k, &rise), "#000\" stroke-width=\"1.8"),
            (measured(&read.strength_vol, &|value| vol(bend(value))), "#555\" stroke-width=\"1.4"),
            (measured(&read.litres, &litres), "#000\" stroke-width=\"1.8"),
        ];
        let mut lines: Vec<(String, &str)> =
            past.iter().map(|(points, pen)| (line(points), *pen)).collect();
        if !run.started {
            let plateau = run.forecast.as_ref().and_then(|held| held.summary.plateau_c);
            let ready_s = run.forecast.as_ref().map_or(0.0, |held| held.summary.heat_up_min * 60.0);
            let to_come = |value: &dyn Fn(&RowWire) -> Option<f64>, y: &dyn Fn(f64) -> f64| {
                let points = rows.iter().map(|row| Some((self.x(row.time_s), y(value(row)?))));
                line(&points.collect::<Vec<_>>())
            };
            let head = |row: &RowWire| Some(row.head_c - plateau?).filter(|_| row.time_s > ready_s);
            let pen = "#000\" stroke-dasharray=\"5 3";
            lines.push((to_come(&head, &rise), pen));
            lines.push((to_come(&|row| row.distillate_vol, &|value| vol(bend(value))), pen));
            lines.push((to_come(&|row| Some(row.collected_l), &litres), pen));
        }
        for (path, pen) in lines.into_iter().filter(|(path, _)| !path.is_empty()) {
            let _ = write!(self.text, "<path d=\"{path}\" fill=\"none\" stroke=\"{pen}\"/>");
        }
        for gauge in &run.gauges {
            let (x, y) = (self.x(gauge.time_s), vol(bend(gauge.true_vol)));
            let _ = write!(
                self.text,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.4\"/>"
            );
        }
        let _ = write!(
            self.text,
            "<text class=\"b\" x=\"{WIDTH}\" y=\"{}\" text-anchor=\"end\">{most:.2} L</text>",
            COLLECTED.0 + 10.0
        );
    }
}

/// A straight scale into a lane, held inside it.
fn scale((low, high): (f64, f64), (top, bottom): (f64, f64)) -> impl Fn(f64) -> f64 {
    move |value| (bottom - (value - low) / (high - low) * (bottom - top - 3.0)).clamp(top, bottom)
}

/// A path through points, thinned to what paper shows; a gap where a value is missing.
fn line(points: &[Option<(f64, f64)>]) -> String {
    let mut path = String::new();
    let mut pen = false;
    let each = points.len().div_ceil(POINTS_MAX).max(1);
    for point in points.iter().step_by(each) {
        match point {
            Some((x, y)) => {
                let _ = write!(path, "{}{x:.1} {y:.1}", if pen { 'L' } else { 'M' });
                pen = true;
            }
            None => pen = false,
        }
    }
    path
}
