//! Taken back and corrected, at any time: what was recorded stays, struck through; what holds is
//! what the engine reckons with.

use advise::Event;
use sense::{Action, SentRow};
use store::{Entry, EntryNumber, StoredEnd};

use super::acts::action_row;
use super::jars::{asked_jar, checked_ml};
use super::keys::Key;
use super::log::{Gone, Held, Noted};
use super::record::{conflict, moves_the_still};
use super::row::Row;
use super::state::RunSession;
use crate::problem::ApiError;
use crate::wire::record::{ActionAsk, CorrectAsk, EnteredWire, EntryWire, JarAsk, UndoAsk};

/// The entry number of the wire, for the store.
fn stored(entry: u64) -> EntryNumber {
    EntryNumber::try_from(entry).unwrap_or(EntryNumber::MAX)
}

impl RunSession {
    /// Takes back what was recorded, with all of the step it began; the entry stays, with one that
    /// withdraws it.
    pub(super) fn undo(&mut self, ask: &UndoAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("undo", ask.entry))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.advance();
        let entry = ask.entry;
        if self.log.gone.get(&entry) == Some(&Gone::TakenBack) {
            // Two people saw the same slip: it does not hold, as both of them wish.
            return Ok(EntryWire { already: true, ..EntryWire::new(entry) });
        }
        let gone = self.log.with(entry);
        self.must_hold(entry, &gone)?;
        let group = self
            .log
            .groups
            .iter()
            .position(|group| group.begun == entry || group.entries.contains(&entry));
        let named = group.map_or(entry, |at| self.log.groups[at].begun);
        let now_ms = self.clock.now_ms();
        // What was put in the place of one of its entries goes with it: so the record reads it, too.
        let entries = vec![(now_ms, Entry::Withdrawn { entry: stored(named) })];
        let answer = self.write_act(key, entries, 1, None)?;
        self.log.gone.extend(gone.iter().chain([&named]).map(|entry| (*entry, Gone::TakenBack)));
        if let Some(at) = group {
            self.log.groups.remove(at);
        }
        self.replace(&gone, None)?;
        Ok(EntryWire::new(answer))
    }

    /// Refuses what does not hold, and what a simulated still has moved on with.
    fn must_hold(&self, entry: u64, gone: &[u64]) -> Result<(), ApiError> {
        let held: Vec<&Noted> =
            self.log.noted.iter().filter(|noted| gone.contains(&noted.entry)).collect();
        if let (true, Some(gone)) = (held.is_empty(), self.log.gone.get(&entry)) {
            return Err(match gone {
                Gone::TakenBack => {
                    let what = format!("entry {entry} was taken back meanwhile");
                    conflict("taken_back", what, "record it anew, as it really was")
                }
                Gone::Corrected(_) => {
                    let by = self.log.holds_instead(entry);
                    let what = format!("entry {entry} was corrected meanwhile: {by} holds instead");
                    conflict("corrected", what, "look at the log, and change what holds now")
                }
            });
        }
        if held.is_empty() {
            let what = format!("entry {entry} is nothing that holds and can be taken back");
            return Err(conflict("no_such_entry", what, "give the number that was answered"));
        }
        let moves = |noted: &&Noted| match &noted.what {
            Held::Action(_, action) => moves_the_still(action),
            _ => false,
        };
        if self.rehearsal() && self.ended.is_none() && held.iter().any(moves) {
            let what = "the simulated still has moved on with it";
            return Err(conflict("has_moved_on", what, "change it back with a new entry"));
        }
        Ok(())
    }

    /// Puts another entry in the place of one, at its run time.
    pub(super) fn correct(&mut self, ask: CorrectAsk) -> Result<EntryWire, ApiError> {
        let act = ask.action.as_ref().map(|act| (&act.action, act.value, &act.unit, &act.note));
        let read = ask.reading.as_ref().map(|row| row.cells);
        let asked = ("correct", ask.entry, act, ask.jar.as_ref().map(asked_jar), read, ask.ml);
        let key = Key::of(ask.key.as_deref(), asked)?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.must_have_room(1)?;
        self.advance();
        let CorrectAsk { entry, action, jar, reading, ml, sure, entered, .. } = ask;
        let held = self.log.noted.iter().find(|noted| noted.entry == entry).cloned();
        self.must_hold(entry, &[entry])?;
        let what = match (held.map(|noted| noted.what), action, jar, reading, ml) {
            (Some(Held::Action(time_s, before)), Some(action), None, None, None) => {
                self.corrected_action(time_s, &before, action)?
            }
            (Some(Held::Jar(before)), None, Some(jar), None, None) if jar.jar == before.number => {
                self.corrected_jar(jar)?
            }
            (Some(Held::Reading(time_s, _)), None, None, Some(row), None) => {
                self.corrected_reading(time_s, row, sure, &entered)?
            }
            (Some(Held::JarSize(_)), None, None, None, Some(ml)) => Held::JarSize(checked_ml(ml)?),
            _ => {
                let bound = "must be given as what it corrects was: an action, the same jar, a \
                             reading by hand, or the size of a jar";
                return Err(ApiError::field(
                    "action",
                    entry,
                    bound,
                    "to change more, take it back",
                ));
            }
        };
        let now_ms = self.clock.now_ms();
        let new = match &what {
            Held::Action(time_s, action) => Entry::Action(*time_s, action.clone()),
            Held::Jar(jar) => Entry::Jar(jar.clone()),
            Held::Reading(time_s, reading) => Entry::ReadByHand(*time_s, *reading),
            Held::JarSize(ml) => {
                let time_s = if self.is_over() { self.end_s() } else { self.now_s() };
                Entry::JarSize { time_s, ml: *ml }
            }
            Held::Checks(..) => return Err(ApiError::Busy),
        };
        let entries = vec![(now_ms, Entry::Corrected { entry: stored(entry) }), (now_ms, new)];
        let answer = self.write_act(key, entries, 2, None)?;
        if let Some(group) = self.log.groups.iter_mut().find(|group| group.entries.contains(&entry))
        {
            group.entries.push(answer);
        }
        self.log.gone.insert(entry, Gone::Corrected(answer));
        self.replace(&[entry], Some(Noted { entry: answer, what }))?;
        Ok(EntryWire::new(answer))
    }

    fn corrected_action(
        &mut self,
        time_s: f64,
        before: &Action,
        ask: ActionAsk,
    ) -> Result<Held, ApiError> {
        let time_s = self.moved(time_s, ask.time_s, ask.ago_s)?;
        let (sure, entered) = (ask.sure, ask.entered.clone());
        let (action, remark) = action_row(ask).action()?;
        if std::mem::discriminant(&action) != std::mem::discriminant(before) || remark.is_some() {
            let bound = "must be the same kind of action, without a remark";
            let hint = "to change more, take it back and record it anew";
            return Err(ApiError::field("action.action", "another", bound, hint));
        }
        if !sure {
            self.must_be_likely(|against| against.action(&action))?;
        }
        self.typed_action(&entered, &action)?;
        Ok(Held::Action(time_s, action))
    }

    /// When what is corrected happened: as it was recorded, or as it is said now.
    fn moved(&self, was_s: f64, time_s: Option<f64>, ago_s: Option<f64>) -> Result<f64, ApiError> {
        if time_s.is_none() && ago_s.is_none() {
            return Ok(was_s);
        }
        if was_s == 0.0 {
            let hint = "run time counts from the heat that began the run";
            return Err(conflict("run_began_then", "what began the run cannot be moved", hint));
        }
        if self.is_over() { self.when_over(time_s) } else { self.when(time_s, ago_s, false) }
    }

    /// A reading by hand as it really was.
    fn corrected_reading(
        &mut self,
        was_s: f64,
        row: SentRow,
        sure: bool,
        entered: &[EnteredWire],
    ) -> Result<Held, ApiError> {
        let time_s = self.moved(was_s, row.time_s, None)?;
        let reading = self.read_by_a_person(&row, sure)?;
        self.typed_row(entered, &[row])?;
        Ok(Held::Reading(time_s, reading))
    }

    fn corrected_jar(&mut self, ask: JarAsk) -> Result<Held, ApiError> {
        let (sure, told) = (ask.sure, ask.end_s.is_some());
        self.typed_jar(&ask)?;
        let jar = self.jar_row(ask)?.record()?;
        self.must_be_closed_by_now(&jar, told)?;
        if !sure {
            self.must_be_likely(|against| against.jar(&jar))?;
        }
        Ok(Held::Jar(jar))
    }

    /// Takes entries out of what holds, puts one in, and lets the engine reckon it all again.
    fn replace(&mut self, gone: &[u64], new: Option<Noted>) -> Result<(), ApiError> {
        let is_gone = |noted: &Noted| gone.contains(&noted.entry);
        let sized = |noted: &Noted| matches!(noted.what, Held::JarSize(_));
        let sized = self.log.noted.iter().any(|noted| is_gone(noted) && sized(noted));
        self.log.noted.retain(|noted| !is_gone(noted));
        let row = new.as_ref().and_then(|noted| match &noted.what {
            Held::Action(time_s, action) => Some(Row::Action(noted.entry, *time_s, action.clone())),
            Held::Jar(jar) => Some(Row::Jar(noted.entry, jar.clone())),
            Held::Reading(time_s, reading) => {
                let right = self.options.instruments.corrected(*time_s, reading);
                Some(Row::Reading(noted.entry, *time_s, right))
            }
            Held::Checks(..) | Held::JarSize(_) => None,
        });
        self.log.noted.extend(new);
        if sized {
            self.resize_jars()?;
        }
        let said = self.engine.amend(gone, row);
        self.follow_up(&said);
        Ok(())
    }

    /// After a change: what the engine says is said; a run that is over stays so, with the figures
    /// that hold now.
    pub(super) fn follow_up(&mut self, said: &[Event]) {
        let Some(before) = self.ended.clone() else {
            self.say(said);
            self.settle();
            return;
        };
        // The record is over: nothing more is said about it, but its figures count.
        self.engine.close();
        let Some(end) = self.engine.end() else { return };
        let end = advise::RunEnd { time_s: before.time_s, ended_by: before.ended_by, ..end };
        if end != before {
            let entry = Entry::Ended(StoredEnd::from(&end));
            if let Err(error) = self.write(vec![(self.moment_ms(end.time_s), entry)]) {
                tracing::error!("run {}: its figures could not be stored: {error}", self.id);
            }
            self.ended = Some(end);
        }
        self.news = true;
        self.teacher.ended(&self.id, self.example);
    }
}
