//! The run on one printed page, before heat to be filled in and after it filled: it reads what the page reads.

mod printed;
mod strip;
mod tables;
mod told;
mod words;

use std::fmt::Write;

use still::plan::RunPlan;
use store::RecordHead;

pub use self::printed::printed_sheet;
pub(crate) use self::told::Told;
use self::words::{plain, short, time};
use crate::wire::run::{ModeWire, RunWire};

/// Most signs of the sentence, of a name: more would break the page.
const SENTENCE_SIGNS_MAX: usize = 150;
const NAME_SIGNS_MAX: usize = 60;

/// The moment of printing, as the sheet says it in the zone of its run.
pub(crate) fn printed_at(now_ms: i64, zone_offset_minutes: i32) -> String {
    let printed = store::time::format_start(now_ms, zone_offset_minutes).unwrap_or_default();
    printed.chars().take(16).collect::<String>().replace('T', " ")
}

/// The whole page, with its drawing in it.
pub(crate) fn page(told: &Told) -> String {
    let run = &told.run;
    let plan = RunPlan::from(run.plan.clone());
    let mut text = String::with_capacity(64 * 1024);
    let title = short(&run.title, NAME_SIGNS_MAX);
    let css = include_str!("sheet.css");
    let _ = write!(
        text,
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>{title}, run sheet</title><style>{css}</style><body>"
    );
    about(&mut text, told, &plan, &title);
    text.push_str(&strip::drawing(run, &plan));
    text.push_str("<div class=\"two\"><div>");
    tables::steps(&mut text, run, &plan);
    if run.started {
        tables::alarms(&mut text, told);
    } else {
        tables::checks(&mut text, run);
    }
    text.push_str("</div><div>");
    tables::jars(&mut text, run);
    text.push_str("</div></div>");
    foot(&mut text, told);
    text.push_str("</body></html>\n");
    text
}

/// Which run this is, and its sentence.
fn about(text: &mut String, told: &Told, plan: &RunPlan, title: &str) {
    let run = &told.run;
    let kind = match run.mode {
        ModeWire::Rehearsal => "rehearsal, ",
        ModeWire::Real => "",
    };
    let state = if run.ended.is_some() {
        "after the run"
    } else if run.started {
        "during the run"
    } else {
        "before heat"
    };
    let charge = &plan.charge;
    let _ = write!(
        text,
        "<div class=\"about\"><span><b>{title}</b>, {}, {:.1} L at {:.1} %&nbsp;vol</span><span>{kind}{state}, printed {}</span></div>",
        short(&plan.still.name, NAME_SIGNS_MAX),
        charge.litres,
        charge.strength_vol,
        plain(&told.printed),
    );
    let _ = write!(text, "<h1>{}</h1>", sentence(run));
}

/// The sentence of the run; before heat that of the plan.
fn sentence(run: &RunWire) -> String {
    let known = &run.knowledge;
    if let Some(end) = &run.ended {
        // As the jars told since, where they did: the table below says the same.
        let drawn = known.drawn.as_ref().map(|drawn| drawn.pure_alcohol_l.at.p50);
        let (litres, pure) = (end.litres_20c, drawn.unwrap_or(end.pure_alcohol_l));
        let end = time(run, end.time_s);
        return format!(
            "Over at {end}: {litres:.2} L drawn, {pure:.2} L of pure alcohol in it, reckoned."
        );
    }
    let mut said = if run.started {
        known.headline.clone()
    } else {
        let hearts = run.forecast.iter().flat_map(|forecast| &forecast.summary.steps);
        let hearts: f64 = hearts
            .filter(|step| step.kind == crate::wire::plan::StepKindWire::Hearts)
            .filter_map(|step| step.litres_20c)
            .sum();
        format!("Hearts should come to about {hearts:.1} L.")
    };
    if let Some(end) = known.ends.iter().find(|end| end.unsure.is_none()) {
        let [from, likely, to] = [end.at.p10, end.at.p50, end.at.p90].map(|at| time(run, at));
        let _ = write!(said, " {} about {likely}, between {from} and {to} (4 in 5).", end.words);
    }
    short(&said, SENTENCE_SIGNS_MAX)
}

fn foot(text: &mut String, told: &Told) {
    let RecordHead { entries, digest } = &told.head;
    let signed = told.run.checks.as_ref().and_then(|checks| checks.by.as_deref());
    let who = signed.map_or_else(
        || "<span class=\"line\">&nbsp;</span>".to_owned(),
        |who| format!("<b>{}</b>", short(who, NAME_SIGNS_MAX)),
    );
    let _ = write!(
        text,
        "<div class=\"foot\"><p>Check list signed by {who} &emsp; At the still <span class=\"line\">&nbsp;</span></p>\
         <p>Forecasts are tint, measurements ink; times {}. Advisory only: local law applies, never leave a heated still.</p>\
         <p>Run {}. Record of {entries} entries, digest <span class=\"digest\">{}</span>; <code>middlecut verify --expect</code> finds whether anything before it was written again.</p></div>",
        if told.run.started { "by the clock of the run" } else { "in h:mm from heater on" },
        plain(&told.run.id),
        plain(digest),
    );
}
