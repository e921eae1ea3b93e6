//! Whole runs being watched: rehearsed ones and recorded ones.

use advise::{Live, LiveOptions};
use rehearse::{Attended, attend};
use sense::{Cursor, RecordedRun};
use still::plan::RunPlan;

use super::report::Report;
use super::watch::Watch;

/// Watches a rehearsal; `Err` says in words why there is none.
///
/// # Errors
/// The still or the engine refuses.
pub fn rehearsed(plan: &RunPlan, how: &Attended) -> Result<Report, String> {
    let mut watch = Watch::new(plan);
    let on_second = &mut |second: rehearse::Second<'_>| {
        watch.second(&second.live.knowledge(), second.said);
    };
    let end = attend(plan, how, on_second).map_err(|error| error.to_string())?;
    Ok(watch.report(plan, plan.charge.strength_vol, end))
}

/// Watches a recording, second by second to its last row; `really_vol` is the strength of its charge
/// where that is known and not what was stated.
///
/// # Errors
/// The engine refuses.
pub fn recorded(
    plan: &RunPlan,
    rows: &RecordedRun,
    estimate: bool,
    really_vol: Option<f64>,
) -> Result<Report, String> {
    let options = LiveOptions { estimate, ..LiveOptions::default() };
    let mut live = Live::new(plan.clone(), options).map_err(|error| error.to_string())?;
    let mut watch = Watch::new(plan);
    let mut cursor = Cursor::new(rows);
    for second in (0_u64..).take_while(|second| *second as f64 <= rows.last_s()) {
        let mut said = Vec::new();
        while let Some(row) = cursor.next_until(second as f64) {
            said.extend(live.row(row));
        }
        said.extend(live.tick(second));
        watch.second(&live.knowledge(), &said);
    }
    let end = live.end().unwrap_or_else(|| live.end_now());
    Ok(watch.report(plan, really_vol.unwrap_or(plan.charge.strength_vol), end))
}
