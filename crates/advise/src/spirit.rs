//! The spirit that runs, added to the account second by second: never more than the charge holds.

use crate::engine::Live;
use crate::event::Event;
use crate::finding::state_event;
use crate::knowledge::State;

/// Pure alcohol in the pot below which nothing more is reckoned, mL.
const NOTHING_ML: f64 = 1.0;

/// Room from which on a charge is no longer said to be overdrawn, share of it: judgement.
const ROOM_SHARE: f64 = 0.02;

impl Live {
    /// Adds what ran in `seconds` at `rate` mL/min (a late action gives a difference). Litres and
    /// alcohol are held to what is left of the charge.
    pub(crate) fn draw(&mut self, seconds: f64, rate_ml_min: f64) {
        let strength = self.running_strength();
        let account = self.alcohol_account();
        let room_ml = (1000.0 * account.left_l.p50).max(0.0);
        let liquid_ml = 1000.0 * self.pot_litres().0.max(0.0);
        let ml = (rate_ml_min * seconds / 60.0).min(liquid_ml);
        let most_vol = if ml > 0.0 { 100.0 * room_ml / ml } else { strength };
        let full = strength > most_vol && room_ml < NOTHING_ML;
        // Said until there is room again, as after a jar that was measured.
        let said = self.spirit.over_charge.shown_since_s().is_some();
        let charged_ml = 1000.0 * account.charged_l.p50;
        let over = full || (said && room_ml < ROOM_SHARE * charged_ml);
        self.spirit.over_charge.take(self.now_s, over);
        if seconds > 0.0 {
            let rate = 60.0 * ml / seconds;
            self.spirit.drawn.add(self.now_s, seconds, rate, strength.min(most_vol));
        }
    }

    /// Says why a forecast moved, where one did.
    pub(crate) fn say_moves(&mut self, said: &mut Vec<Event>) {
        let state = self.state();
        if matches!(state, State::BeforeHeat | State::Ended) {
            return;
        }
        let blind = self.blind();
        if blind != self.foresight.was_blind {
            self.foresight.was_blind = blind;
            let words =
                if blind { "a probe is not read any more" } else { "a probe is read again" };
            self.foresight.reasons.note(self.now_s, words);
        }
        let ends = self.ends(state);
        let moves = self.foresight.moved.take(self.now_s, &ends, &self.foresight.reasons);
        // The nearest is told; those after it hang on it.
        if let Some((of, later)) = moves.split_first() {
            let minutes = (of.by_s.abs() / 60.0).ceil();
            let way = if of.by_s > 0.0 { "later" } else { "sooner" };
            let with_it = match later.len() {
                0 => String::new(),
                1 => " One end after it moves too.".to_owned(),
                more => format!(" {more} ends after it move too."),
            };
            let words = &of.words;
            let text = format!("{words} about {minutes:.0} min {way} than was told.{with_it}");
            let how = format!("because {}", of.why);
            said.push(state_event(self.now_s, "forecast_moved", text, &how));
        }
    }
}
