//! The rules as the engine has them.

use std::fmt::Write as _;

use super::rules::{Alarm, Cause, Phase, Rules};

/// The whole file of code, not yet formatted.
pub(super) fn table(rules: &Rules) -> String {
    let mut code = String::from(
        "//! The alarms and their causes, made by `cargo xtask alarms` from `alarms.toml`: change \
         that, not this.\n\nuse super::{Calls, Cause, Load, Phase, Rule};\nuse crate::event::Priority;\n",
    );
    let _ = write!(
        code,
        "\n/// All of them.\npub(crate) static RULES: [Rule; {}] = [",
        rules.alarm.len()
    );
    for alarm in &rules.alarm {
        let _ = write!(
            code,
            "Rule {{ code: {:?}, words: {:?}, group: {:?}, rank: {}, off_delay_s: {:?}, hush: {}, \
             suppressed: {}, because: {:?} }},",
            alarm.code,
            alarm.words,
            alarm.group,
            alarm.rank,
            alarm.off_delay_s,
            alarm.hush,
            phases(&alarm.suppressed),
            alarm.because
        );
    }
    code.push_str("];\n");
    for alarm in &rules.alarm {
        for cause in &alarm.cause {
            write_cause(&mut code, alarm, cause);
        }
    }
    let (second, load) = (&rules.second_person, &rules.load);
    let _ = write!(
        code,
        "\n/// Calls of the second person: {}.\npub(crate) static CALLS: Calls = \
         Calls {{ after_s: {:?}, again_s: {:?}, times: {} }};\n",
        second.source, second.after_s, second.again_s, second.times
    );
    let _ = write!(
        code,
        "\n/// How many alarms are too many: {}.\npub(crate) static LOAD: Load = \
         Load {{ window_s: {:?}, flood: {}, chatters: {}, stands_long_s: {:?} }};\n",
        load.source, load.window_s, load.flood, load.chatters, load.stands_long_s
    );
    code
}

fn write_cause(code: &mut String, alarm: &Alarm, cause: &Cause) {
    let name = format!("{}_{}", alarm.code, cause.name).to_uppercase();
    let within_s =
        cause.within_s.map_or("None".to_owned(), |within_s| format!("Some({within_s:?})"));
    let suppressed = cause.suppressed.as_ref().unwrap_or(&alarm.suppressed);
    let _ = write!(
        code,
        "\n/// {}: {} (from: {}).\npub(crate) static {name}: Cause = Cause {{ code: {:?}, name: {:?}, \
         priority: Priority::{}, to_do: {:?}, within_s: {within_s}, on_delay_s: {:?}, limit: {:?}, \
         dead_band: {:?}, suppressed: {} }};\n",
        alarm.words,
        cause.when,
        cause.source,
        alarm.code,
        cause.name,
        cause.priority.name().0,
        cause.to_do,
        cause.on_delay_s,
        cause.limit.unwrap_or(0.0),
        cause.dead_band,
        phases(suppressed)
    );
    for number in &cause.numbers {
        let (part, what, value) = (number.name.to_uppercase(), &number.what, number.value);
        let _ = write!(
            code,
            "\n/// {}, `{}`: {what}.\npub(crate) const {name}_{part}: f64 = {value:?};\n",
            alarm.words, cause.name
        );
    }
}

fn phases(phases: &[Phase]) -> String {
    let each: Vec<String> =
        phases.iter().map(|phase| format!("Phase::{}", phase.name().0)).collect();
    format!("&[{}]", each.join(", "))
}
