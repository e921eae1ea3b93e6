//! The tables of the sheet: steps and triggers, the check list, jars, alarms with their answers.

use std::fmt::Write;

use still::plan::RunPlan;

use super::told::Told;
use super::words::{long, plain, short, step, time};
use crate::wire::event::EventKindWire;
use crate::wire::run::RunWire;

/// Most lines of each table: one page holds no more. Judgement, by looking.
const STEPS_MAX: usize = 12;
const JARS_MAX: usize = 22;
/// So many empty lines for jars wait on a sheet to be filled in.
const JARS_EMPTY: usize = 16;
const ALARMS_MAX: usize = 9;
const WORDS_SIGNS_MAX: usize = 62;

pub(super) fn steps(text: &mut String, run: &RunWire, plan: &RunPlan) {
    text.push_str("<h2>Steps and triggers</h2><table><thead><tr><th>step<th class=\"r\">from<th>heat, draw, until</thead>");
    let forecast = run.forecast.as_ref();
    for (index, planned) in plan.steps.iter().enumerate().take(STEPS_MAX) {
        let begun = begun_s(run, index);
        let planned_s = || Some(forecast?.summary.steps.get(index)?.start_s);
        let from = begun.or_else(|| planned_s().filter(|_| run.ended.is_none()));
        let from = from.map_or_else(String::new, |from| {
            format!("{}{}", if begun.is_some() { "" } else { "~" }, time(run, from))
        });
        let _ = write!(
            text,
            "<tr><th>{}<td class=\"r\">{from}<td>{}",
            plain(plan.step_name(index)),
            plain(&step(planned)),
        );
    }
    more(text, 3, plan.steps.len(), STEPS_MAX);
    text.push_str("</table>");
}

/// When a step really began, s: told in order, since names come again.
fn begun_s(run: &RunWire, index: usize) -> Option<f64> {
    super::strip::begun(run).into_iter().find(|(step, _)| *step == index).map(|(_, at_s)| at_s)
}

pub(super) fn checks(text: &mut String, run: &RunWire) {
    text.push_str("<h2>Before heat</h2><ul class=\"checks\">");
    let signed = run.checks.as_ref();
    for item in &run.before_heat {
        let line = &item.words;
        let done = signed.is_some_and(|signed| signed.ticked.iter().any(|ticked| ticked == line));
        let _ = write!(text, "<li{}>{}", if done { " class=\"done\"" } else { "" }, plain(line));
        if item.finding == still::before_heat::Finding::Fails.name() {
            let figure = item.figure.as_deref().unwrap_or("by the plan");
            let _ = write!(text, " <b>Does not hold: {}.</b>", plain(figure));
        }
    }
    text.push_str("</ul>");
}

pub(super) fn jars(text: &mut String, run: &RunWire) {
    text.push_str("<h2>Jars</h2><table class=\"jars\"><thead><tr><th>jar<th>from<th class=\"r\">mL<th class=\"r\">reads<th class=\"r\">at °C<th class=\"r\">% vol<th>nose</thead>");
    let filled: Vec<_> = run.knowledge.jars.iter().filter(|jar| jar.status != "expected").collect();
    for jar in filled.iter().take(JARS_MAX) {
        let about = |known: bool| if known { "" } else { "~" };
        let vol = jar
            .strength_vol
            .map_or_else(String::new, |vol| format!("{}{vol:.1}", about(jar.strength_read)));
        let _ = write!(
            text,
            "<tr><td><b>{}</b> {}<td>{}<td class=\"r\">{}{:.0}<td><td><td class=\"r\">{vol}<td>",
            jar.number,
            cut(jar.cut),
            time(run, jar.start_s),
            about(jar.measured),
            jar.volume_ml,
        );
    }
    more(text, 7, filled.len(), JARS_MAX);
    let empty = if run.ended.is_some() { 0 } else { JARS_EMPTY.saturating_sub(filled.len()) };
    for _ in 0..empty {
        text.push_str("<tr><td>&nbsp;<td><td><td><td><td><td>");
    }
    text.push_str("</table><p>mL and % vol at 20 °C; ~ is reckoned, not measured.</p>");
}

fn cut(kind: crate::wire::plan::StepKindWire) -> &'static str {
    still::plan::StepKind::from(kind).name()
}

pub(super) fn alarms(text: &mut String, told: &Told) {
    let run = &told.run;
    let review = &told.alarms;
    text.push_str("<h2>Alarms and answers</h2>");
    let long = long(review.run_s);
    let quiet = match review.quiet.len() {
        0 => "none was made quiet".to_owned(),
        quiet => format!("{quiet} made quiet"),
    };
    let _ = match review.alarms {
        0 => write!(text, "<p>No alarm in {long}; {quiet}.</p>"),
        alarms => {
            write!(text, "<p>{alarms} in {long}, {:.1} an hour; {quiet}.</p>", review.per_hour)
        }
    };
    let mut all: Vec<_> =
        run.events.iter().filter(|event| event.kind == EventKindWire::Alarm).collect();
    all.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    if all.is_empty() {
        return;
    }
    text.push_str("<table><thead><tr><th>at<th>alarm<th>answer</thead>");
    for event in all.iter().take(ALARMS_MAX) {
        let answers = run.actions.iter().filter(|act| {
            ["seen", "reset", "quiet"].contains(&act.action.as_str())
                && act.time_s >= event.time_s
                && act.note.starts_with(&event.code)
        });
        let answer = answers.min_by(|a, b| a.time_s.total_cmp(&b.time_s)).map_or_else(
            || "none".to_owned(),
            |act| format!("{} {}", plain(&act.action), time(run, act.time_s)),
        );
        let words = short(&event.text, WORDS_SIGNS_MAX);
        let _ = write!(text, "<tr><td>{}<td>{words}<td>{answer}", time(run, event.time_s));
    }
    more(text, 3, all.len(), ALARMS_MAX);
    text.push_str("</table>");
}

/// What has no room here stands in the record.
fn more(text: &mut String, columns: usize, there: usize, most: usize) {
    if there > most {
        let _ =
            write!(text, "<tr><td colspan=\"{columns}\">and {} more, in the record", there - most);
    }
}
