//! Tells what happens to the alarms of a run through the one door.

use advise::{AlarmState, Event, Priority, alarm_codes};
use sense::Action;
use store::RunMode;

use super::record::conflict;
use super::state::RunSession;
use crate::alerts::{AlarmChange, What, changes};
use crate::problem::ApiError;

impl RunSession {
    /// Refuses what no alarm answers to, and quiet that the rules do not give: the record is not to
    /// say that an alarm was made quiet that was not.
    pub(super) fn must_be_allowed(&self, action: &Action) -> Result<(), ApiError> {
        let (Action::Seen { code } | Action::Reset { code } | Action::Quiet { code, .. }) = action
        else {
            return Ok(());
        };
        if !alarm_codes().any(|known| known == code) {
            let hint = "GET /api/runs/{id} lists the alarms that stand";
            return Err(ApiError::field("note", code, "must be the code of an alarm", hint));
        }
        let Action::Quiet { minutes, reason, .. } = action else { return Ok(()) };
        let refused = self.engine.live().quiet_refused(code, *minutes, reason);
        let hint = "say a reason, and 10, 20 or 30 min; what is critical sounds until it is seen";
        refused.map_or(Ok(()), |why| Err(conflict("not_quiet", why, hint)))
    }

    /// Tells what changed since the last look; over a run that has ended no alarm stands.
    pub(super) fn tell_alarms(&mut self) {
        let now = if self.ended.is_some() { Vec::new() } else { self.engine.live().alarms_now() };
        if now.is_empty() && self.told.is_empty() {
            return;
        }
        for (what, event) in changes(&self.told, &now) {
            self.alerts.tell(self.change(what, event));
        }
        self.told = now;
    }

    /// Calls the second person where what is said asks for it.
    pub(super) fn call_for(&self, said: &[Event]) {
        for call in said.iter().filter(|event| event.code == "second_person") {
            let now = self.engine.live().alarms_now();
            let open = now.iter().filter(|(alarm, _)| {
                alarm.state == AlarmState::ActiveUnseen && alarm.priority == Priority::Critical
            });
            let first = open.min_by(|a, b| a.1.time_s.total_cmp(&b.1.time_s));
            let about = first.map_or(call, |(_, event)| event);
            let mut change = self.change(What::SecondPerson, about);
            // Whoever is called is called for what is critical.
            change.priority = Priority::Critical;
            self.alerts.tell(change);
        }
    }

    fn change(&self, what: What, event: &Event) -> AlarmChange {
        AlarmChange {
            what,
            run: self.id.to_string(),
            still: self.plan.still.name.clone(),
            real: self.mode == RunMode::Real && !self.example,
            time_s: event.time_s,
            code: event.code,
            priority: event.priority,
            text: event.text.clone(),
            how_sure: event.how_sure.clone(),
            to_do: event.to_do.clone(),
            within_s: event.within_s,
        }
    }
}
