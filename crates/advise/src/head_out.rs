//! A head thermometer that the gauged jars speak against: let go of by the rule of `sense`, and said.

use sense::{JarHead, head_left_out};
use still::plan::StepKind;

use crate::engine::Live;
use crate::event::Event;
use crate::finding::state_event;
use crate::jars::JARS_MAX;
use crate::knowledge::Value;

/// Half of the 95 % band of a strength by forecast and jars, % vol: judgement.
const HALF_VOL: f64 = 2.0;

impl Live {
    /// Lays a gauged jar beside what the head read meanwhile.
    pub(crate) fn weigh_head(
        &mut self,
        number: u32,
        span: (f64, f64),
        strength_vol: f64,
        cut: StepKind,
    ) {
        let samples = self.probes.head().samples();
        let Some(jar) = JarHead::of(span, strength_vol, cut, samples) else { return };
        let gauged = &mut self.spirit.gauged;
        gauged.heads.retain(|other| other.0 != number);
        if gauged.heads.len() < JARS_MAX {
            gauged.heads.push((number, jar));
        }
        gauged.heads.sort_by(|a, b| a.1.end_s.total_cmp(&b.1.end_s));
        let jars: Vec<JarHead> = gauged.heads.iter().map(|jar| jar.1).collect();
        gauged.head_out = head_left_out(self.probes.strengths(), self.plan.still.head_place, &jars);
    }

    /// Says when the head is let go of, and when it counts again.
    pub(crate) fn say_head_out(&mut self, said: &mut Vec<Event>) {
        let out = self.spirit.gauged.head_out;
        if out.is_some() == self.spirit.gauged.head_out_said {
            return;
        }
        self.spirit.gauged.head_out_said = out.is_some();
        let (code, text) = match out {
            Some(out) => {
                let mut words = out.words();
                words[..1].make_ascii_uppercase();
                ("head_left_out", format!("{words}."))
            }
            None => ("head_counts_again", "The head and the jars agree again.".to_owned()),
        };
        self.foresight.reasons.note(self.now_s, text.trim_end_matches('.').to_owned());
        let how = "the gauged jars against the head at the same time, pressure-corrected";
        said.push(state_event(self.now_s, code, text, how));
    }

    /// Strength of what runs now, the head left out.
    pub(crate) fn strength_without_head(&self) -> Option<Value> {
        let last_jar = || self.spirit.gauged.heads.last().map(|jar| jar.1.strength_vol);
        let vol = self.forecast_vol().or_else(last_jar)?;
        let basis = "forecast and jars: the head is left out, it disagrees with the jars";
        Some(self.reckoned_value(vol, HALF_VOL, basis))
    }
}
