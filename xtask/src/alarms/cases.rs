//! The cases of the walk through all states: one for each cause.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::rules::{Alarm, Cause, Phase, Rules};

/// The whole file of code, not yet formatted.
pub(super) fn cases(rules: &Rules) -> String {
    let count: usize = rules.alarm.iter().map(|alarm| alarm.cause.len()).sum();
    let mut code = format!(
        "//! One case for each cause of an alarm, made by `cargo xtask alarms` from `alarms.toml`: \
         change that, not this.\n\nuse advise::Priority;\n\nuse super::Case;\n\n\
         /// All of them.\npub(super) static CASES: [Case; {count}] = ["
    );
    for alarm in &rules.alarm {
        for cause in &alarm.cause {
            write_case(&mut code, alarm, cause);
        }
    }
    code.push_str("];\n");
    code
}

fn write_case(code: &mut String, alarm: &Alarm, cause: &Cause) {
    let test = &cause.test;
    let suppressed = cause.suppressed.as_ref().unwrap_or(&alarm.suppressed);
    let _ = write!(
        code,
        "Case {{ code: {:?}, cause: {:?}, words: {:?}, priority: Priority::{}, to_do: {:?}, \
         within_s: {:?}, on_delay_s: {:?}, off_delay_s: {:?}, hush: {}, \
         before_heat: {}, cold: {}, said: {}, because: {:?}, row: &{}, ramp: &{}, without: &{:?}, calm: &{}, \
         acts: &{:?}, alone: {}, foretold: {}, worsens: {}, brief: {}, charge_l: {:?}, jar_ml: {:?}, overdue: {:?} }},",
        alarm.code,
        cause.name,
        alarm.words,
        cause.priority.name().0,
        cause.to_do,
        cause.within_s,
        cause.on_delay_s,
        alarm.off_delay_s,
        alarm.hush,
        suppressed.contains(&Phase::BeforeHeat),
        suppressed.contains(&Phase::Cold),
        alarm.suppressed == *suppressed,
        alarm.because,
        cells(&test.row),
        cells(&test.ramp),
        test.without,
        cells(&test.calm),
        test.acts,
        test.alone,
        test.foretold,
        test.worsens,
        test.brief,
        test.charge_l,
        test.jar_ml,
        test.overdue
    );
}

fn cells(cells: &BTreeMap<String, f64>) -> String {
    let each: Vec<String> =
        cells.iter().map(|(column, value)| format!("({column:?}, {value:?})")).collect();
    format!("[{}]", each.join(", "))
}
