//! The head probe comes off in hearts, and minutes later the coolant is lost: every still, however
//! its probe fails and whatever else is read, tells it.

use std::thread::scope;

use sense::{Probe, Reading};
use serde_json::Value;

use crate::drawn::Dice;
use crate::figures::Figures;
use crate::past::{Past, example, rehearsed};
use crate::run::{Run, alarm, cells, codes, every_second};
use crate::served::Served;

/// Longest from lost coolant to the alarm, s: where the flow or the vent is read, or nothing is and
/// that must be said; and where only the outlet is, which has to grow hot first.
const SOON_S: f64 = 10.0;
const OUTLET_S: f64 = 60.0;
/// From the probe that came off to the coolant, s.
const BETWEEN_S: [u32; 4] = [60, 120, 180, 300];
/// How the water that stands warms, and how the vent does once vapour leaves by it, K/s: judgement.
const OUTLET_K_PER_S: f64 = 1.2;
const VENT_K_PER_S: f64 = 5.0;

/// How the head probe fails.
#[derive(Clone, Copy, Debug)]
enum Head {
    Ambient,
    Frozen,
    Dead,
}

/// What else is read of the coolant.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Seen {
    Flow,
    Outlet,
    FlowAndOutlet,
    Vent,
    Nothing,
}

#[derive(Clone, Copy, Debug)]
struct Case {
    still: &'static str,
    head: Head,
    seen: Seen,
    between_s: u32,
}

impl Case {
    fn all() -> Vec<Self> {
        let mut cases = Vec::new();
        for still in ["perry", "low-wines"] {
            for head in [Head::Ambient, Head::Frozen, Head::Dead] {
                for seen in [Seen::FlowAndOutlet, Seen::Outlet, Seen::Vent, Seen::Nothing] {
                    let between_s = BETWEEN_S[cases.len() * 7 / 4 % BETWEEN_S.len()];
                    cases.push(Self { still, head, seen, between_s });
                }
            }
            let (head, between_s) = (Head::Ambient, BETWEEN_S[0]);
            cases.push(Self { still, head, seen: Seen::Flow, between_s });
        }
        cases
    }

    /// The probes there are.
    fn keeps(self, probe: Probe) -> bool {
        let (flow, outlet) = match self.seen {
            Seen::Flow => (true, false),
            Seen::Outlet => (false, true),
            Seen::FlowAndOutlet => (true, true),
            Seen::Vent | Seen::Nothing => (false, false),
        };
        match probe {
            Probe::CoolantFlow => flow,
            Probe::CoolantIn | Probe::CoolantOut => outlet,
            Probe::Vent => self.seen == Seen::Vent,
            _ => true,
        }
    }

    fn words(self) -> String {
        let still = if self.still == "perry" { "column" } else { "pot" };
        let head = match self.head {
            Head::Ambient => "reads ambient",
            Head::Frozen => "frozen",
            Head::Dead => "dead",
        };
        let seen = match self.seen {
            Seen::Flow => "flow",
            Seen::Outlet => "outlet",
            Seen::FlowAndOutlet => "flow and outlet",
            Seen::Vent => "vent",
            Seen::Nothing => "nothing",
        };
        format!("{still}, head {head}, {seen} read, lost {} s later", self.between_s)
    }

    /// The past as these probes had it.
    fn past(self, past: &Past) -> Past {
        let mut past = past.clone();
        let ambient_c = past.plan.site.ambient_c;
        for (_, reading) in &mut past.rows.readings {
            let vent = self.keeps(Probe::Vent).then_some(ambient_c);
            *reading = kept(reading, |probe| self.keeps(probe)).with(Probe::Vent, vent);
        }
        past
    }
}

fn kept(reading: &Reading, keeps: impl Fn(Probe) -> bool) -> Reading {
    reading
        .iter()
        .filter(|(probe, _)| keeps(*probe))
        .fold(Reading::default(), |row, (probe, value)| row.with(probe, value))
}

/// A still of a case, its probes by the second.
struct Still<'a> {
    case: Case,
    past: &'a Past,
    dice: Dice,
    last: Reading,
}

impl Still<'_> {
    /// The row of now: how long the head has been off and the coolant lost, s.
    fn row(&mut self, off_s: Option<u32>, lost_s: Option<u32>) -> Value {
        let ambient_c = self.past.plan.site.ambient_c;
        let mut row = self.last;
        for probe in [Probe::Head, Probe::Pot, Probe::CoolantOut, Probe::Vent] {
            let noise_c = self.dice.between(-0.06, 0.06);
            row.set(probe, row.get(probe).map(|value| value + noise_c));
        }
        match self.case.head {
            _ if off_s.is_none() => {}
            Head::Ambient => {
                row.set(Probe::Head, Some(ambient_c + self.dice.between(-0.06, 0.06)));
            }
            Head::Frozen => row.set(Probe::Head, self.last.get(Probe::Head)),
            Head::Dead => row.set(Probe::Head, None),
        }
        if let Some(lost_s) = lost_s.map(f64::from) {
            let towards = |value: f64, most: f64, rate: f64| (value + rate * lost_s).min(most);
            let out = row.get(Probe::CoolantOut).map(|c| towards(c, 95.0, OUTLET_K_PER_S));
            row.set(Probe::CoolantOut, out);
            let vent = row.get(Probe::Vent).map(|c| towards(c, 78.0, VENT_K_PER_S));
            row.set(Probe::Vent, vent);
            row.set(Probe::CoolantFlow, row.get(Probe::CoolantFlow).map(|_| 0.0));
        }
        Value::Object(cells(&row))
    }
}

/// What the server says of the coolant, in words; nothing where it is silent.
fn told(shown: &Value) -> Option<String> {
    if alarm(shown, "coolant_loss") {
        return Some("alarm".to_owned());
    }
    let unknown = shown["knowledge"]["unknown"].as_array().expect("a list");
    let coolant = unknown.iter().find(|item| item["what"] == "coolant")?;
    Some(format!("unknown: {}", coolant["why"].as_str().expect("words")))
}

/// Takes the probe off and then the coolant; seconds from there until it is told, and how.
fn lose(case: Case, past: &Past) -> (f64, String) {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let past = case.past(past);
    let run = Run::begin(&served, &past, 1.0);
    let last = past.rows.readings.last().expect("it was read").1;
    let seed = u64::from(case.between_s) + case.seen as u64;
    let mut still = Still { case, past: &past, dice: Dice::of(seed), last };
    every_second(5, |_| {
        run.read(&served, &still.row(None, None));
        false
    });
    every_second(case.between_s, |second| {
        run.read(&served, &still.row(Some(second), None));
        false
    });
    if alarm(&run.shown(&served), "coolant_loss") {
        return (f64::NAN, "an alarm before the coolant was lost".to_owned());
    }
    let lost_s = run.passed_s();
    let (mut told_s, mut how) = (f64::NAN, String::new());
    every_second(90, |second| {
        run.read(&served, &still.row(Some(case.between_s), Some(second)));
        let shown = run.shown(&served);
        let Some(words) = told(&shown) else {
            let alarms: Vec<&str> = codes(&shown["knowledge"]["alarms"]).collect();
            how = format!("alarms {alarms:?}, unknown {}", shown["knowledge"]["unknown"]);
            return false;
        };
        (told_s, how) = (run.passed_s() - lost_s, words);
        true
    });
    (told_s, how)
}

#[test]
fn a_head_probe_that_came_off_hides_no_lost_coolant() {
    let mut figures = Figures::of("head off");
    let pasts = ["perry", "low-wines"].map(|name| rehearsed(&example(name), 5, 600.0, None));
    let cases = Case::all();
    let found: Vec<(f64, String)> = scope(|scope| {
        let past = |case: Case| &pasts[usize::from(case.still != "perry")];
        let threads: Vec<_> =
            cases.iter().map(|case| scope.spawn(move || lose(*case, past(*case)))).collect();
        threads.into_iter().map(|thread| thread.join().expect("the case is played")).collect()
    });
    for (case, (told_s, how)) in cases.iter().zip(found) {
        let bound_s = if case.seen == Seen::Outlet { OUTLET_S } else { SOON_S };
        let alone = case.seen == Seen::Nothing;
        let rightly = how == "alarm" || (alone && how.starts_with("unknown"));
        let measured = format!("{told_s:.1} s, {how}");
        let bound = format!("{} by {bound_s} s", if alone { "told" } else { "alarm" });
        figures.tell(&case.words(), measured, &bound, rightly && told_s <= bound_s);
    }
    figures.finish();
}
