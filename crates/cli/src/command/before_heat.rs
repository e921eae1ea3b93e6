//! `middlecut before-heat`: what is to be looked at before a run, made from its plan, with what is
//! overdue at its still.

use serde::Serialize;
use server::Clock;
use still::before_heat::{Finding, Item, list};
use still::forecast::{Options, forecast};
use store::Store;

use super::data;
use crate::args::BeforeHeatArgs;
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct ItemWire {
    code: &'static str,
    words: String,
    figure: Option<String>,
    reason: &'static str,
    finding: &'static str,
}

/// Makes the list.
pub(crate) fn run(args: &BeforeHeatArgs, json: bool) -> Result<(), CliError> {
    let plan = store::folder::read_plan(&args.run)?;
    let outcome = forecast(&plan, &Options::default())?;
    let mut items = list(&plan, Some(&outcome));
    // A house without a record has nothing that is overdue; one that was named must be there.
    let folder = data::folder(args.data.as_deref())?;
    if args.data.is_some() || folder.is_dir() {
        let store = Store::open_read_only(&folder)?;
        items.extend(store.overdue_before_heat(&plan.still.name, Clock::default().now_ms())?);
    }
    if json {
        let wire = |item: Item| ItemWire {
            code: item.code,
            words: item.words,
            figure: item.figure,
            reason: item.reason,
            finding: item.finding.name(),
        };
        print::json(&items.into_iter().map(wire).collect::<Vec<_>>())?;
    } else {
        let mut text: String = items.iter().map(told).collect();
        text.push_str("\nA list shows what was looked at, not that nothing can happen.\n");
        print::text(&text)?;
    }
    Ok(())
}

fn told(item: &Item) -> String {
    let mark = match item.finding {
        Finding::Holds => "[holds by the plan]",
        Finding::Fails => "[DOES NOT HOLD]",
        Finding::Asked => "[ ]",
    };
    let figure = item.figure.as_ref().map_or_else(String::new, |figure| format!(" ({figure})"));
    format!("{mark} {}{figure}\n    {}\n", item.words, item.reason)
}
