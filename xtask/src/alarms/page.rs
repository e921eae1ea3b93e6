//! The rules as a page of the documentation.

use std::fmt::Write as _;

use super::rules::{Alarm, Cause, Phase, Rules};

const HEAD: &str = "\
# Alarms

Made by `cargo xtask alarms` from [alarms.toml](../crates/advise/alarms.toml); changes by hand are lost. How the program behaves with them is told below, what each looks at after that.

An alarm is something that needs an act in time; what needs none is no alarm, and what is due by the plan is a *prompt*: another colour, another sound, no bell, no call. The principles (a response to each, priority by time to respond, dead bands, delays, suppression by phase, first-out, no floods) are those of ISA-18.2, IEC 62682 and EEMUA 191. An alarm never replaces a relief valve, a thermal cut-out or a residual current device, and silence never means that nothing is wrong.

## States

| state | meaning | how it is left |
|---|---|---|
| normal | its cause is not there | the cause lasts for its on-delay |
| active, unseen | it sounds | *Seen*, or the cause is gone for its off-delay |
| active, seen | silent, still there | the cause is gone; it gets worse: unseen again |
| cleared, unseen | the cause went before anybody saw it | *Seen*; the cause comes back |
| cleared, to be reset | a critical one whose cause is gone | a person resets it; the cause comes back |
| quiet | made quiet by a person for a reason, for 10, 20 or 30 min; never a critical one | the time is over: raised again where its cause is there; it becomes critical |
| suppressed | this phase of a run does not have it, and that is said | another phase |

*Seen* silences and does not cure. Every change stands in the log: what the engine says as an event, what a person does as an action. Alarms of one group follow from each other: the first that came stands on top, the others are said to follow it.
";

/// The whole page.
pub(super) fn page(rules: &Rules) -> String {
    let mut text = HEAD.to_owned();
    let (second, load) = (&rules.second_person, &rules.load);
    let _ = write!(
        text,
        "\nA critical alarm that nobody has seen for {:.0} s calls the named second person through the [outputs](#heard), again each {:.0} min, {} times at most ({}). {} alarms within {:.0} min are a flood; one that came {} times in that time chatters; one that stands for {:.0} min stands long ({}).\n",
        second.after_s,
        second.again_s / 60.0,
        second.times,
        second.source,
        load.flood,
        load.window_s / 60.0,
        load.chatters,
        load.stands_long_s / 60.0,
        load.source
    );
    text.push_str(super::page_heard::HEARD);
    text.push_str("\n## What is alarmed\n\nOff-delay: over after so long without the cause. The numbers A1 to A22 are those of the trade's list of proposals; none is a published set-point.\n");
    for alarm in &rules.alarm {
        write_alarm(&mut text, alarm);
    }
    text.push_str("\n## What is none\n\n| of the list | what | why |\n|---|---|---|\n");
    for not in &rules.not {
        let _ = writeln!(text, "| {} | {} | {} |", not.job.join(", "), not.what, not.why);
    }
    text
}

fn write_alarm(text: &mut String, alarm: &Alarm) {
    let job = if alarm.job.is_empty() { "none".to_owned() } else { alarm.job.join(", ") };
    let _ = write!(
        text,
        "\n### `{}`: {}\n\nGroup {}, place {}. Over after {:.0} s. {} {}. Of the list: {job}.\n\n\
         | raised when | priority | first | within | on-delay | limit, dead band | from |\n\
         |---|---|---|---|---|---|---|\n",
        alarm.code,
        alarm.words,
        alarm.group,
        alarm.rank,
        alarm.off_delay_s,
        if alarm.hush { "Can be made quiet where it is not critical." } else { "Never quiet." },
        suppressed(&alarm.suppressed, &alarm.because)
    );
    for cause in &alarm.cause {
        write_cause(text, alarm, cause);
    }
    let numbers = alarm.cause.iter().flat_map(|cause| &cause.numbers);
    let each: Vec<String> =
        numbers.map(|number| format!("{}: {}", number.value, number.what)).collect();
    if !each.is_empty() {
        let _ = write!(text, "\nFurther numbers: {}.\n", each.join("; "));
    }
}

fn write_cause(text: &mut String, alarm: &Alarm, cause: &Cause) {
    let within =
        cause.within_s.map_or("next look".to_owned(), |within_s| format!("{within_s:.0} s"));
    let limit = match cause.limit {
        Some(limit) if cause.dead_band > 0.0 => {
            format!("{limit}, {} {}", cause.dead_band, cause.unit)
        }
        Some(limit) => format!("{limit} {}", cause.unit),
        None => "none".to_owned(),
    };
    let other = cause.suppressed.as_ref().map_or(String::new(), |phases| {
        format!(" ({})", suppressed(phases, &alarm.because).to_lowercase())
    });
    let _ = writeln!(
        text,
        "| {}{other} | {} | {} | {within} | {:.0} s | {} | {} |",
        cause.when,
        cause.priority.name().1,
        cause.to_do,
        cause.on_delay_s,
        limit.trim(),
        cause.source
    );
}

fn suppressed(phases: &[Phase], because: &str) -> String {
    if phases.is_empty() {
        return "Never suppressed".to_owned();
    }
    let each: Vec<&str> = phases.iter().map(|phase| phase.name().1).collect();
    format!("Suppressed {}: {because}", each.join(", "))
}
