//! What a person does: one action, a step begun as one act, the check list, a note.

use std::fmt::Debug;

use advise::Live;
use sense::{Action, acts_of_begin};
use store::rows::ActionRow;
use store::{BegunStep, CheckList, Entry};

use super::keys::Key;
use super::log::{Group, Held, Noted};
use super::record::{conflict, moves_the_still};
use super::row::Row;
use super::run_time::RunTime;
use super::state::{Drive, RunSession};
use super::unlikely::Against;
use crate::problem::ApiError;
use crate::wire::record::{ActionAsk, BeginAsk, BegunWire, ChecksAsk, EntryWire, NoteAsk};

/// How long ago the heat that begins a run may have gone on, s (judgement: a large boiler heats for
/// two hours, and whoever comes late to the page is late by less than that again).
const HEAT_AGO_MAX_S: f64 = 4.0 * 3600.0;

/// A step recorded again within this time is a second tap, s; judgement: as long as a key is dead.
const TAP_S: f64 = 2.0;

impl RunSession {
    /// Something was done.
    pub(super) fn act(&mut self, ask: ActionAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), asked_act(&ask))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.must_have_room(1)?;
        self.advance();
        let (sure, ago_s, told_s) = (ask.sure, ask.ago_s, ask.time_s);
        self.said_by(ask.by.clone());
        let entered = ask.entered.clone();
        let (action, remark) = action_row(ask).action()?;
        self.typed_action(&entered, &action)?;
        if matches!(action, Action::Vessel(_)) {
            return self.measure(key, sure, action);
        }
        let over = self.is_over();
        if over {
            self.must_be_of_the_past(&action)?;
        }
        self.must_be_allowed(&action)?;
        let now_s = self.now_s();
        let starts = !over
            && self.time.is_none()
            && matches!(action, Action::Heater { watts } if watts > 0.0);
        let time_s = if over { self.when_over(told_s)? } else { self.when(told_s, ago_s, starts)? };
        if self.rehearsal() && !over && moves_the_still(&action) && (time_s - now_s).abs() > 1e-9 {
            let hint = "leave time_s and ago_s out";
            return Err(conflict("only_now", "a rehearsal cannot be changed in its past", hint));
        }
        self.must_be_no_second_tap(time_s, &action)?;
        if !sure {
            self.must_be_likely(|against| against.action(&action))?;
        }
        let mut before = Vec::new();
        if starts {
            self.start(ago_s, &mut before);
        }
        let moment_ms = self.moment_ms(time_s);
        let remark = remark.map(|text| Action::Note { text });
        let acts = [Some(action), remark].into_iter().flatten();
        let acts: Vec<(f64, Action)> = acts.map(|action| (time_s, action)).collect();
        let answer = u32::try_from(before.len() + 1).unwrap_or(1);
        before.extend(acts.iter().map(|(t, act)| (moment_ms, Entry::Action(*t, act.clone()))));
        let written = self.write_act(key, before, answer, None);
        if written.is_err() && starts {
            self.time = None;
        }
        let entry = written?;
        for ((time_s, action), entry) in acts.into_iter().zip(entry..) {
            self.done(entry, time_s, action);
        }
        Ok(EntryWire::new(entry))
    }

    /// Liquid outside the jars was measured: also after the run, where it stands at its end.
    fn measure(
        &mut self,
        key: Option<Key>,
        sure: bool,
        action: Action,
    ) -> Result<EntryWire, ApiError> {
        if self.time.is_none() {
            let hint = "record the heater first";
            return Err(conflict("not_started", "nothing is collected before heat", hint));
        }
        let end_s = self.ended.as_ref().map(|end| end.time_s);
        let time_s = end_s.unwrap_or_else(|| self.now_s());
        if !sure {
            self.must_be_likely(|against| against.action(&action))?;
        }
        let entries = vec![(self.clock.now_ms(), Entry::Action(time_s, action.clone()))];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.noted.push(Noted::action(entry, time_s, action.clone()));
        let said = self.engine.put(Row::Action(entry, time_s, action));
        self.follow_up(&said);
        Ok(EntryWire::new(entry))
    }

    /// Asks about what is unlikely.
    pub(super) fn must_be_likely(
        &self,
        ask: impl FnOnce(&Against<'_>) -> Result<(), ApiError>,
    ) -> Result<(), ApiError> {
        let known = self.engine.knowledge();
        let jar_ml = self.log.jar_size_ml().unwrap_or_else(|| estimate::usual_jar_ml(&self.plan));
        ask(&Against { plan: &self.plan, known: &known, jar_ml })
    }

    /// The same step, twice in a moment, is one: hearts after hearts would begin the slow hearts.
    fn must_be_no_second_tap(&self, time_s: f64, action: &Action) -> Result<(), ApiError> {
        let Action::Step { kind } = action else { return Ok(()) };
        let same = |noted: &Noted| match &noted.what {
            Held::Action(at_s, Action::Step { kind: before }) => {
                before == kind && (time_s - at_s).abs() <= TAP_S
            }
            _ => false,
        };
        if self.log.noted.iter().any(same) {
            let what = format!("{} was begun a moment ago", kind.name());
            return Err(conflict("just_begun", what, "begin the step after it by its number"));
        }
        Ok(())
    }

    /// Begins a step of the plan after the one that runs: one act, all of it or nothing.
    pub(super) fn begin(&mut self, ask: &BeginAsk) -> Result<BegunWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("begin", ask.step, ask.after))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            let entry = Some(known.entry);
            return Ok(BegunWire { entry, entries: known.entries, already: false });
        }
        self.must_go_on()?;
        self.advance();
        self.must_go_on()?;
        if self.time.is_none() {
            let hint = "record the heater first";
            return Err(conflict("not_started", "no step begins before heat", hint));
        }
        let BeginAsk { step, after, .. } = *ask;
        if step != after + 1 || step >= self.plan.steps.len() {
            let most = self.plan.steps.len() - 1;
            let bound =
                format!("must be the step after {after}, and one of the plan (0 to {most})");
            let hint = "steps are begun one after the other";
            return Err(ApiError::field("step", step, bound, hint));
        }
        let known = self.engine.knowledge();
        if known.step.index == step {
            return Ok(BegunWire { entry: None, entries: Vec::new(), already: true });
        }
        if known.step.index != after {
            let runs = self.step_name(known.step.index);
            let what = format!("{runs} runs now, step {}", known.step.index);
            return Err(conflict("not_that_step", what, "look at the run again"));
        }
        let open = known.jars.iter().find(|jar| jar.status == "open");
        let open_cut = open.map(|jar| jar.cut);
        let acts = acts_of_begin(&self.plan, after, step, open_cut, self.log.next_jar());
        self.must_have_room(acts.len())?;
        self.begin_with(key, step, after, acts)
    }

    pub(super) fn begin_with(
        &mut self,
        key: Option<Key>,
        step: usize,
        after: usize,
        acts: Vec<Action>,
    ) -> Result<BegunWire, ApiError> {
        let time_s = self.told("step", None)?;
        let moment_ms = self.moment_ms(time_s);
        let count = u32::try_from(acts.len()).unwrap_or(u32::MAX);
        let mut entries =
            vec![(moment_ms, Entry::Begun(BegunStep { step, after, entries: count }))];
        entries.extend(acts.iter().map(|act| (moment_ms, Entry::Action(time_s, act.clone()))));
        let begun = self.write_act(key, entries, 1, None)?;
        let own: Vec<u64> = (begun + 1..).take(acts.len()).collect();
        self.log.groups.push(Group { begun, entries: own.clone() });
        for (action, entry) in acts.into_iter().zip(own) {
            self.done(entry, time_s, action);
        }
        let entries = (begun..=begun + u64::from(count)).collect();
        Ok(BegunWire { entry: Some(begun), entries, already: false })
    }

    /// What a step is called: the second hearts in a row are the slow hearts.
    pub(super) fn step_name(&self, index: usize) -> &'static str {
        if self.plan.is_slow_phase(index) {
            return "slow hearts";
        }
        self.plan.steps.get(index).map_or("no step", |step| step.kind.name())
    }

    /// The running engine, to try something out on.
    pub(super) fn tried(&self, try_out: impl FnOnce(&mut Live)) -> usize {
        let mut live = self.engine.live().clone();
        try_out(&mut live);
        live.knowledge().step.index
    }

    /// The check list was gone through.
    pub(super) fn check_list(&mut self, ask: ChecksAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("checks", &ask.ticked))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.must_go_on()?;
        self.said_by(ask.by);
        let list = CheckList { ticked: ask.ticked, by: self.acting.take() };
        let now_ms = self.clock.now_ms();
        let entries = vec![(now_ms, Entry::Checks(list.clone()))];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.noted.push(Noted { entry, what: Held::Checks(list, now_ms) });
        Ok(EntryWire::new(entry))
    }

    /// A note, also after the end: then it stands at the end, and the entry says when it came.
    pub(super) fn note(&mut self, ask: NoteAsk) -> Result<EntryWire, ApiError> {
        let note = ActionAsk { key: ask.key, ..ActionAsk::note(ask.text) };
        let key = Key::of(note.key.as_deref(), asked_act(&note))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        if !self.is_over() {
            return self.act(note);
        }
        self.must_have_room(1)?;
        let (action, _) = action_row(note).action()?;
        let end_s = self.ended.as_ref().map_or(0.0, |end| end.time_s);
        let entries = vec![(self.clock.now_ms(), Entry::Action(end_s, action.clone()))];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.noted.push(Noted::action(entry, end_s, action));
        Ok(EntryWire::new(entry))
    }

    /// When it happened: now, at a told time, or so long ago.
    pub(super) fn when(
        &self,
        time_s: Option<f64>,
        ago_s: Option<f64>,
        starts: bool,
    ) -> Result<f64, ApiError> {
        if time_s.is_some() && ago_s.is_some() {
            let bound = "must not be given together with time_s";
            return Err(ApiError::field("ago_s", ago_s.unwrap_or(0.0), bound, "give one of them"));
        }
        let Some(ago_s) = ago_s else { return self.told("time_s", time_s) };
        let most_s = if self.time.is_some() { self.now_s() } else { HEAT_AGO_MAX_S };
        if ago_s >= 0.0 && ago_s <= most_s {
            return Ok(if starts {
                0.0
            } else {
                self.told("ago_s", Some(self.now_s() - ago_s).filter(|t| *t >= 0.0))?
            });
        }
        let bound = format!("must lie from 0 to {most_s:.0} s");
        Err(ApiError::field("ago_s", ago_s, bound, "no longer ago than the run has lasted"))
    }

    /// Run time 0 is now, or so long ago.
    pub(super) fn start(&mut self, ago_s: Option<f64>, entries: &mut Vec<(i64, Entry)>) {
        #[expect(clippy::cast_possible_truncation, reason = "some hours at most, checked")]
        let ago_ms = if self.rehearsal() { 0 } else { (ago_s.unwrap_or(0.0) * 1000.0) as i64 };
        let now = self.clock.moment();
        let time = RunTime::begun(now, ago_ms);
        let (started_ms, steady) = (time.zero_utc_ms(), now.steady_mark(ago_ms));
        self.time = Some(time);
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            // A rehearsal's time begins here; nothing is owed from before.
            simulated.set_speed(simulated.speed());
        }
        entries.push((started_ms, Entry::Started { started_ms, steady }));
    }

    /// Gives a stored action to the engine and to a simulated still.
    pub(super) fn done(&mut self, entry: u64, time_s: f64, action: Action) {
        let said = self.engine.put(Row::Action(entry, time_s, action.clone()));
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            simulated.person(time_s, &action, &said);
        }
        self.log.noted.push(Noted::action(entry, time_s, action));
        self.follow_up(&said);
    }
}

/// What is asked of an act, but for when it was.
fn asked_act(ask: &ActionAsk) -> impl Debug + '_ {
    (&ask.action, ask.value, &ask.unit, &ask.note)
}

pub(super) fn action_row(ask: ActionAsk) -> ActionRow {
    ActionRow {
        action: ask.action,
        value: ask.value,
        unit: ask.unit.unwrap_or_default(),
        note: ask.note.unwrap_or_default(),
    }
}
