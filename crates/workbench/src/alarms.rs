//! Alarms held against what was really the matter: true, false, missed, and how late.
//!
//! What can be seen of a fault follows from which fault it is and which probes there are; what follows
//! from it counts as true, everything else as false. A healthy run has no true alarm.

use std::collections::BTreeSet;

use advise::{Event, EventKind, Live, LiveOptions, Priority, coolant_inlet_warmer_k};
use rehearse::{Attended, Manner, attend};
use sense::{Cursor, Probe, RecordedRun};
use still::plan::RunPlan;

use crate::truth::Truth;

/// What came of the alarms of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmMark {
    /// The fault, or `none`.
    pub fault: String,
    /// Alarms that were raised rightly.
    pub rightly: Vec<Event>,
    /// Alarms that were raised for nothing.
    pub wrongly: Vec<Event>,
    /// Whether the fault can be seen by what is read and no alarm told it.
    pub missed: bool,
    /// From the fault to its first alarm, s, where its beginning is known.
    pub delay_s: Option<f64>,
}

/// What a fault shows.
struct Shows {
    /// Alarms that are true.
    may: &'static [&'static str],
    /// Whether one of them must come.
    must: bool,
}

/// What must come of a fault is what the probes that are read can show at all.
fn shows(fault: &str, read: &BTreeSet<Probe>) -> Shows {
    let has = |probe: Probe| read.contains(&probe);
    let coolant = has(Probe::CoolantFlow) || has(Probe::CoolantOut) || has(Probe::Vent);
    let (may, must): (&[&str], bool) = match fault {
        "stuck_head" => (&["data_impossible"], has(Probe::Head)),
        "stuck_pot" => (&["data_impossible"], has(Probe::Pot)),
        "spikes" => (&["data_impossible"], true),
        "dropouts" => (&["data_impossible", "data_stale"], true),
        "swapped" => (&["data_impossible"], has(Probe::Head) && has(Probe::Pot)),
        "coolant_loss" => {
            (&["coolant_loss", "coolant_takes_less", "spirit_warm", "vapour_at_spout"], coolant)
        }
        // Half of it or less is alarmed; what an element less leaves depends on the still. Where it
        // fails while the column equalises the head moves, and all takes longer.
        "element_failing" => (&["heater_power", "plateau_unstable", "run_long"], false),
        // A head that reads wrong by a kelvin runs away, and moves, by its own account. That a run
        // takes longer is none of its doing: the trigger is a rise above what that head showed.
        "drift" | "head_offset" => {
            (&["head_running_away", "data_impossible", "plateau_unstable"], false)
        }
        _ => (&[], false),
    };
    Shows { may, must }
}

fn mark(
    fault: &str,
    begins_s: Option<f64>,
    read: &BTreeSet<Probe>,
    alarms: Vec<Event>,
    warms: bool,
) -> AlarmMark {
    let shows = shows(fault, read);
    let true_one =
        |alarm: &Event| shows.may.contains(&alarm.code) || (warms && alarm.code == "coolant_inlet");
    let (rightly, wrongly): (Vec<Event>, Vec<Event>) = alarms.into_iter().partition(true_one);
    let first_s = rightly.iter().map(|alarm| alarm.time_s).reduce(f64::min);
    AlarmMark {
        fault: fault.to_owned(),
        missed: shows.must && rightly.is_empty(),
        delay_s: first_s.zip(begins_s).map(|(first_s, begins_s)| (first_s - begins_s).max(0.0)),
        rightly,
        wrongly,
    }
}

/// Plays a recording as it was recorded. It holds no presses of anybody who is there: that nobody is
/// says nothing of it.
///
/// # Errors
/// The engine refuses, in words.
pub fn recorded_alarms(
    plan: &RunPlan,
    rows: &RecordedRun,
    truth: Option<&Truth>,
) -> Result<AlarmMark, String> {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut live = Live::new(plan.clone(), options).map_err(|error| error.to_string())?;
    let (mut cursor, mut alarms) = (Cursor::new(rows), Vec::new());
    for second in (0_u64..).take_while(|second| *second as f64 <= rows.last_s()) {
        while let Some(row) = cursor.next_until(second as f64) {
            alarms.extend(live.row(row));
        }
        alarms.extend(live.tick(second));
    }
    alarms.retain(|event| event.kind == EventKind::Alarm && event.code != "attendant_absent");
    let read: BTreeSet<Probe> =
        rows.readings.iter().flat_map(|(_, row)| row.iter().map(|(probe, _)| probe)).collect();
    let fault = truth.and_then(|truth| truth.fault.clone()).unwrap_or_else(|| "none".to_owned());
    let begins_s = truth.and_then(|truth| truth.fault_start_s);
    Ok(mark(&fault, begins_s, &read, alarms, coolant_warms(rows)))
}

/// Whether the coolant's inlet really grows warmer by what is alarmed, first and last tenth of the
/// readings held against each other: a tank that warms up is the matter, though no fault of the run.
fn coolant_warms(rows: &RecordedRun) -> bool {
    let inlet = rows.readings.iter().filter_map(|(_, row)| row.get(Probe::CoolantIn));
    let all: Vec<f64> = inlet.collect();
    let tenth = all.len() / 10;
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    tenth > 0 && mean(&all[all.len() - tenth..]) - mean(&all[..tenth]) >= coolant_inlet_warmer_k()
}

/// Rehearses a plan with somebody who attends it: nothing is the matter.
///
/// # Errors
/// The still or the engine refuses, in words.
pub fn rehearsed_alarms(plan: &RunPlan, seed: u64) -> Result<AlarmMark, String> {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let how = Attended { seed, manner: Manner::Careful, options, scale: false };
    let mut alarms = Vec::new();
    let on_second = &mut |second: rehearse::Second<'_>| {
        let said = second.said.iter().filter(|event| event.kind == EventKind::Alarm);
        alarms.extend(said.cloned());
    };
    attend(plan, &how, on_second).map_err(|error| error.to_string())?;
    Ok(mark("none", None, &BTreeSet::new(), alarms, false))
}

/// Codes and moments of alarms, in words; each priority told where it is not the usual look.
#[must_use]
pub fn alarms_in_words(alarms: &[Event]) -> String {
    let words = |alarm: &Event| {
        let urgent = match alarm.priority {
            Priority::Critical => " critical",
            Priority::High => " high",
            Priority::Medium => " medium",
            Priority::Low => " low",
        };
        format!("{}{urgent} at {:.0} s", alarm.code, alarm.time_s)
    };
    let each: Vec<String> = alarms.iter().take(3).map(words).collect();
    let more = alarms.len().saturating_sub(each.len());
    let more = if more > 0 { format!(", {more} more") } else { String::new() };
    if each.is_empty() { String::new() } else { each.join(", ") + &more }
}

#[cfg(test)]
mod tests {
    use super::{BTreeSet, Event, EventKind, Priority, Probe, mark};

    fn alarm(code: &'static str, time_s: f64) -> Event {
        let (text, how_sure, to_do) = (String::new(), String::new(), String::new());
        let (kind, priority) = (EventKind::Alarm, Priority::High);
        Event { time_s, kind, code, priority, text, how_sure, to_do, within_s: None }
    }

    #[test]
    fn an_alarm_is_true_where_its_fault_is_there_and_a_fault_is_missed_only_where_it_can_be_seen() {
        let head = BTreeSet::from([Probe::Head]);
        let told =
            mark("stuck_head", Some(100.0), &head, vec![alarm("data_impossible", 400.0)], false);
        assert_eq!((told.rightly.len(), told.wrongly.len(), told.missed), (1, 0, false));
        assert_eq!(told.delay_s, Some(300.0));
        let other =
            mark("stuck_head", Some(100.0), &head, vec![alarm("coolant_loss", 400.0)], false);
        assert_eq!((other.rightly.len(), other.wrongly.len(), other.missed), (0, 1, true));
        assert!(!mark("coolant_loss", None, &head, Vec::new(), false).missed, "nothing shows it");
        let flow = BTreeSet::from([Probe::Head, Probe::CoolantFlow]);
        assert!(mark("coolant_loss", None, &flow, Vec::new(), false).missed);
        let healthy = mark("none", None, &flow, vec![alarm("data_stale", 1.0)], false);
        assert_eq!((healthy.wrongly.len(), healthy.missed), (1, false));
        let warms = |warms| mark("none", None, &flow, vec![alarm("coolant_inlet", 1.0)], warms);
        assert_eq!((warms(true).wrongly.len(), warms(false).wrongly.len()), (0, 1));
    }
}
