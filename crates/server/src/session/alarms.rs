//! Tells what happens to the alarms of a run through the one door.

use advise::Event;
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
        for event in said.iter().filter(|event| event.code == "second_person") {
            self.alerts.tell(self.change(What::SecondPerson, event));
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
            // Whoever is called is called for what is critical.
            priority: match what {
                What::SecondPerson => advise::Priority::Critical,
                _ => event.priority,
            },
            text: event.text.clone(),
            how_sure: event.how_sure.clone(),
            to_do: event.to_do.clone(),
            within_s: event.within_s,
        }
    }
}
