//! The course of a run as a person sets it: ended, given up, gone on with, named; a rehearsal's speed.

use sense::{Action, Row};
use still::plan::{StepKind, StillKind, TakeOff};
use store::{Entry, RunMode};

use super::advance::SPEED_MAX;
use super::command::Said;
use super::keys::Key;
use super::log::json;
use super::record::conflict;
use super::state::{Drive, RunSession};
use crate::problem::ApiError;
use crate::wire::record::{AbandonAsk, BegunWire, EntryWire, GoOnAsk, NameAsk, SpeedWire};

impl RunSession {
    /// The person ends the run where it stands; one that is over stays as it is.
    pub(super) fn end(&mut self) -> Result<EntryWire, ApiError> {
        if self.ended.is_some() && self.mode != RunMode::Imported {
            return Ok(EntryWire { already: true, ..EntryWire::new(self.log.last_entry) });
        }
        self.must_go_on()?;
        self.advance();
        let said = self.engine.close();
        self.say(&said);
        self.settle();
        Ok(EntryWire::new(self.log.last_entry))
    }

    /// The run is given up, for a reason: it ends here and teaches nothing.
    pub(super) fn abandon(&mut self, ask: &AbandonAsk) -> Result<EntryWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("abandon", &ask.reason))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            return Ok(EntryWire::new(known.entry));
        }
        self.must_go_on()?;
        self.advance();
        self.must_go_on()?;
        let time_s = self.told("reason", None)?;
        let reason = ask.reason.trim().to_owned();
        let entries =
            vec![(self.moment_ms(time_s), Entry::Abandoned { time_s, reason: reason.clone() })];
        let entry = self.write_act(key, entries, 1, None)?;
        self.log.abandoned = Some(reason);
        let said = self.engine.close();
        self.say(&said);
        self.settle();
        Ok(EntryWire::new(entry))
    }

    /// Goes on after an interruption: the heater as planned, and the step gone back to. A column
    /// that lost its vapour equalises again; `step` names another one.
    pub(super) fn go_on_again(&mut self, ask: &GoOnAsk) -> Result<BegunWire, ApiError> {
        let key = Key::of(ask.key.as_deref(), ("go_on", ask.step))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            let entry = Some(known.entry);
            return Ok(BegunWire { entry, entries: known.entries, already: false });
        }
        self.must_go_on()?;
        self.advance();
        self.must_go_on()?;
        let known = self.engine.knowledge();
        if known.state != advise::State::Interrupted {
            let hint = "going on is for a run whose heater was switched off in mid-run";
            return Err(conflict("not_interrupted", "the run is not interrupted", hint));
        }
        let now = known.step.index;
        let back = match ask.step {
            Some(step) if step == now => None,
            Some(step) => Some(self.reachable(step)?),
            None => self.equalise_before(now).filter(|step| self.reachable(*step).is_ok()),
        };
        let step = back.unwrap_or(now);
        let mut acts = vec![Action::Heater { watts: self.plan.step_power(step).watts() }];
        let kind = back.map(|back| self.plan.steps[back].kind);
        if kind == Some(StepKind::Equalise) {
            acts.push(Action::TakeOff { take_off: TakeOff::Closed, measured: false });
        }
        acts.extend(kind.map(|kind| Action::Step { kind }));
        self.begin_with(key, step, now, acts)
    }

    /// The last step before that one in which a column settles.
    fn equalise_before(&self, index: usize) -> Option<usize> {
        let before = self.plan.steps.iter().take(index);
        let found = before.into_iter().rposition(|step| step.kind == StepKind::Equalise);
        found.filter(|_| self.plan.still.kind == StillKind::Column)
    }

    /// Refuses a step that recording its kind does not lead to.
    fn reachable(&self, step: usize) -> Result<usize, ApiError> {
        let kind = self.plan.steps.get(step).map(|step| step.kind);
        let time_s = self.now_s();
        let led = kind.map(|kind| {
            self.tried(|live| drop(live.row(Row::Action(time_s, &Action::Step { kind }))))
        });
        if led == Some(step) {
            return Ok(step);
        }
        let bound = "must be a step that can be gone back to from the running one";
        Err(ApiError::field("step", step, bound, "leave it out to go on where the run was"))
    }

    /// The person calls the run so.
    pub(super) fn name(&mut self, ask: &NameAsk) -> Result<EntryWire, ApiError> {
        let name = ask.name.trim().to_owned();
        let entries = vec![(self.clock.now_ms(), Entry::Named { name: name.clone() })];
        let entry = self.write_act(None, entries, 1, None)?;
        self.log.title = name;
        Ok(EntryWire::new(entry))
    }

    /// A rehearsal goes on at another speed.
    pub(super) fn set_speed(&mut self, speed: f64) -> Result<SpeedWire, ApiError> {
        check_speed(speed)?;
        self.must_go_on()?;
        self.advance();
        let Drive::Rehearsal(_) = &self.drive else {
            let hint = "only a rehearsal has a speed";
            return Err(conflict("not_a_rehearsal", "a real run goes by the clock", hint));
        };
        let time_s = self.engine.ticked().map_or(0.0, |second| second as f64);
        self.write(vec![(self.clock.now_ms(), Entry::Speed { time_s, speed })])?;
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            simulated.set_speed(speed);
        }
        let answer = SpeedWire { speed };
        // Nobody there to hear it is no fault.
        let _ = self.feed.send(Said::Speed(json(&answer)));
        Ok(answer)
    }
}

/// Refuses a speed that no rehearsal has.
pub(crate) fn check_speed(speed: f64) -> Result<(), ApiError> {
    if (0.0..=SPEED_MAX).contains(&speed) {
        return Ok(());
    }
    let bound = format!("must lie from 0 to {SPEED_MAX}");
    Err(ApiError::field("speed", speed, bound, "run seconds per second; 0 halts"))
}
