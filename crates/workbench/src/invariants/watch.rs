//! Watches a run second by second: the rules of one second, and those that need a memory.

use std::collections::{BTreeMap, VecDeque};

use advise::{Event, EventKind, Evidence, Knowledge, RunEnd, What};
use still::plan::RunPlan;

use super::report::{Broken, Count, Report};
use super::rules::of_one_second;

/// Most examples kept of one broken rule.
const EXAMPLES_MAX: u64 = 2;
/// A forecast's middle may not move further within this time without an event, s.
const WITHIN_S: f64 = 120.0;
/// Explanations take turns no more than once in this time, s.
const TURNS_S: f64 = 600.0;

/// Jars are measured to so much, relative: their sum may be over the charge by that.
const MEASURED: f64 = 0.01;
/// Rules that look at one second, and those with a memory.
const CHECKS_A_SECOND: u64 = 15;

type Which = (u8, Option<usize>);

/// One run being watched.
#[derive(Debug)]
pub(super) struct Watch<'a> {
    plan: &'a RunPlan,
    middles: BTreeMap<Which, VecDeque<(f64, f64)>>,
    said_why_s: Vec<f64>,
    explained: VecDeque<(f64, &'static str)>,
    plateau: bool,
    counts: BTreeMap<&'static str, u64>,
    broken: Vec<Broken>,
    count: Count,
    alarms: Vec<Event>,
}

impl<'a> Watch<'a> {
    /// Before heat.
    pub(super) fn new(plan: &'a RunPlan) -> Self {
        Self {
            plan,
            middles: BTreeMap::new(),
            said_why_s: Vec::new(),
            explained: VecDeque::new(),
            plateau: false,
            counts: BTreeMap::new(),
            broken: Vec::new(),
            count: Count::default(),
            alarms: Vec::new(),
        }
    }

    /// Looks at a second: what is known after it, and what was said in it.
    pub(super) fn second(&mut self, known: &Knowledge, said: &[Event]) {
        self.count.seconds += 1;
        self.count.checks += CHECKS_A_SECOND;
        for event in said {
            self.hear(event);
        }
        for (rule, what) in of_one_second(self.plan, known) {
            self.break_rule(rule, known.time_s, what);
        }
        if !self.plateau && known.rise.is_some() {
            let what = format!("{:?}", known.rise);
            self.break_rule(
                "nothing is held against the trigger before the plateau",
                known.time_s,
                what,
            );
        }
        self.moves(known);
        self.explanations(known);
    }

    fn hear(&mut self, event: &Event) {
        self.plateau |= event.code == "plateau_known";
        if event.code == "forecast_moved" {
            self.said_why_s.push(event.time_s);
            self.count.moves += 1;
        }
        if event.kind == EventKind::Alarm {
            self.alarms.push(event.clone());
        }
    }

    fn break_rule(&mut self, rule: &'static str, time_s: f64, what: String) {
        let count = self.counts.entry(rule).or_default();
        *count += 1;
        if *count <= EXAMPLES_MAX {
            self.broken.push(Broken { rule, time_s, what });
        }
    }

    fn moves(&mut self, known: &Knowledge) {
        let now_s = known.time_s;
        let waits = known.ends.iter().any(|end| end.evidence == Evidence::Seen);
        let mut jumped = Vec::new();
        for end in &known.ends {
            let memory = self.middles.entry((rank(end.what), end.step_index)).or_default();
            if end.evidence == Evidence::Seen {
                memory.clear();
                continue;
            }
            while memory.front().is_some_and(|(at, _)| now_s - at > WITHIN_S) {
                memory.pop_front();
            }
            let limit = 0.5 * end.at.width_80() + 1.0;
            let why_s = self.said_why_s.last().copied().unwrap_or(f64::NEG_INFINITY);
            let far = memory.iter().find(|(at, middle)| {
                let by_s = end.at.p50 - middle;
                // What waits for an end that is seen moves on with the time.
                let with_time_s = if waits { by_s.clamp(0.0, now_s - at) } else { 0.0 };
                *at >= why_s && (by_s - with_time_s).abs() > limit
            });
            if let Some((at, middle)) = far {
                jumped.push(format!("{} from {middle:.0} (at {at:.0}) to {:?}", end.words, end.at));
            }
            memory.push_back((now_s, end.at.p50));
        }
        self.middles.retain(|(what, index), _| {
            known.ends.iter().any(|end| rank(end.what) == *what && end.step_index == *index)
        });
        for what in jumped {
            self.break_rule("a forecast moves only with an event that says why", now_s, what);
        }
    }

    fn explanations(&mut self, known: &Knowledge) {
        let now = known.doubts.first().map_or("sound", |doubt| doubt.code);
        if self.explained.back().is_none_or(|(_, last)| *last != now) {
            self.explained.push_back((known.time_s, now));
        }
        while self.explained.len() > 3 {
            self.explained.pop_front();
        }
        if let [(_, first), (turned_s, _), (back_s, third)] = self.explained.make_contiguous()
            && first == third
            && *back_s - *turned_s < TURNS_S
            && (*back_s - known.time_s).abs() < 0.5
        {
            let what = format!("{:?}", self.explained);
            self.break_rule("explanations take no turns", known.time_s, what);
        }
    }

    /// What was found; the end of the run is held to its charge, which is of that strength.
    pub(super) fn report(mut self, plan: &RunPlan, strength_vol: f64, end: RunEnd) -> Report {
        self.count.checks += 1;
        let charged_l = plan.charge.litres * strength_vol / 100.0;
        let found = (end.pure_alcohol_l > (1.0 + MEASURED) * charged_l)
            || end.pure_alcohol_l < 0.0
            || end.litres_20c > (1.0 + MEASURED) * plan.charge.litres;
        if found {
            let what = format!("{end:?} of {charged_l:.3} L of pure alcohol charged");
            self.break_rule("no run gives more than its charge", end.time_s, what);
        }
        let Self { count, broken, counts: often, alarms, .. } = self;
        Report { count, broken, often, alarms, end }
    }
}

const fn rank(what: What) -> u8 {
    match what {
        What::FirstVapour => 0,
        What::Filled => 1,
        What::StepEnd => 2,
        What::Stop => 3,
        What::Cool => 4,
    }
}
