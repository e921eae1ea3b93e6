//! A reduction in steps, printed.

use finishing::entering::{Act, reduced};
use finishing::steps::{Steps, StepsInput, plan};
use server::StepsAnswer;

use crate::args::ReduceArgs;
use crate::command::entering::{book, place, refused, say, stands};
use crate::command::kept::kept;
use crate::error::CliError;
use crate::print::{Sheet, columns, number};

/// Standard deviation of a strength that nothing is said of, % vol (judgement: gauged at rest).
const FROM_SD_VOL: f64 = finishing::steps::GAUGE_SD_VOL;

/// Plans the steps, prints them.
pub(super) fn run(args: &ReduceArgs, litres: f64, json: bool) -> Result<(), CliError> {
    let steps = plan(&StepsInput {
        litres,
        from: args.from.value,
        from_sd: FROM_SD_VOL,
        to: args.to.value,
        celsius: args.at.value,
        steps: args.steps.unwrap_or(1),
        rest_hours: args.rest,
        gauged: args.gauged.clone(),
    })?;
    let typed = kept([
        ("steps.litres", args.litres.as_ref()),
        ("steps.kg", args.kg.as_ref()),
        ("steps.from", Some(&args.from)),
        ("steps.to", Some(&args.to)),
        ("steps.celsius", Some(&args.at)),
    ]);
    let booked = book(&args.book, args.places.data.as_deref(), typed, || {
        let (stands, lost_to) = (stands(&args.places, true)?, place(args.lost_to.as_deref())?);
        Ok(Act::Moved(reduced(stands, &steps, lost_to).map_err(refused)?))
    })?;
    say(&StepsAnswer::from(&steps), &text(args, &steps), booked.as_ref(), json)
}

fn text(args: &ReduceArgs, of: &Steps) -> String {
    let head = ["step", "to % vol", "pour kg", "then trim kg", "±", "warms K", "then kg", "rest h"];
    let head: Vec<String> = head.map(str::to_owned).to_vec();
    let some = |value: Option<f64>, decimals| value.map_or("?".into(), |v| number(v, decimals));
    let rows = of.steps.iter().map(|step| {
        let done = step.gauged.map(|vol| format!("gauged {}", number(vol, 2)));
        vec![
            step.number.to_string(),
            done.unwrap_or_else(|| number(step.to, 2)),
            number(step.pour_kg, 3),
            number(step.trim_kg, 3),
            number(step.trim_kg_sd, 3),
            some(step.warming_k, 1),
            number(step.shown_kg, 3),
            number(step.rest_hours, 0),
        ]
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    let mut sheet = Sheet::new();
    sheet.row("water in all", of.water_kg, 3, "kg");
    sheet.row("pure alcohol", of.pure_alcohol_l, 3, "L");
    if !args.gauged.is_empty() {
        let off = of.pure_alcohol_now_l - of.pure_alcohol_l;
        let words =
            format!("L more than before, ± {} by the gauges", number(of.difference_sd_l, 3));
        sheet.row("the last gauge says", off, 3, &words);
    }
    let warm = of.steps.iter().find(|step| step.gauged.is_none());
    if let Some((step, reads)) = warm.and_then(|step| Some((step, step.warm_reading_vol?))) {
        sheet.remark(format!(
            "Right after the pour of step {} the glass shows about {} % vol and means less: let it \
             cool, gauge, then trim by weight.",
            step.number,
            number(reads, 1)
        ));
    }
    if of.may_haze {
        sheet.remark(format!(
            "Below {:.0} % vol it may turn hazy, in the cold above all: soft water, slow steps, and \
             filter cold.",
            finishing::steps::HAZE_BELOW_VOL
        ));
    }
    format!("{}\n{sheet}", columns(&rows))
}
