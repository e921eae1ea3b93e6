//! Tells what happens to the alarms of a run through the one door.

use advise::{AlarmState, Event, Priority};
use store::RunMode;

use super::state::RunSession;
use crate::alerts::{AlarmChange, What, changes};

impl RunSession {
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
