//! What is wrong with the coolant, as an alarm: by the rule of `sense`, and by vapour at the vent.

use sense::Probe;
use sense::coolant::{CoolantSeen, CoolantTrouble, TOO_HOT_C, coolant_w};
use still::plan::StepKind;

use crate::alarms::Finding;
use crate::belief::LATENT_J_MOL;
use crate::engine::Live;
use crate::event::Priority;
use crate::heat::STILL_BOILS_S;
use crate::knowledge::COOL_C;

/// Growth of outlet less inlet over ten minutes that is not explained by the heater.
const OUTLET_GROWTH: f64 = 1.6;
/// A pause in the readings longer than this lets a still grow cold, s: judgement. One that is read
/// less often has none.
const PAUSE_S: f64 = 300.0;
/// How far the vent may stand over ambient, K.
const VENT_OVER_AMBIENT_K: f64 = 20.0;
/// Coolant whose stated flow can carry this share of the vapour's heat is all there is; less serves
/// a partial condenser alone. Judgement.
const ALL_SHARE: f64 = 0.5;

fn critical(text: &str, how_sure: String) -> Finding {
    Finding {
        code: "coolant_loss",
        priority: Priority::Critical,
        about: String::new(),
        text: text.to_owned(),
        how_sure,
        to_do: "Heat off at the switch outside the vapour; air the room; then look at the coolant."
            .to_owned(),
        within_s: Some(60.0),
    }
}

impl Live {
    /// What is known of the coolant now.
    fn coolant_seen(&self) -> CoolantSeen {
        let fresh = |probe: Probe| self.probes.reader().fresh(probe, self.now_s);
        let in_c = fresh(Probe::CoolantIn).unwrap_or(self.plan.site.coolant_in_c);
        // Water that stands warms by a kelvin a second: a minute's median would be half a minute late.
        let out_c = fresh(Probe::CoolantOut).and(self.probes.coolant_rise().risen());
        let vapour_w = LATENT_J_MOL * self.top_vapour_mol_s();
        let stated = self.hand.coolant_l_per_min.filter(|set| *set > 0.0);
        let stated = stated.unwrap_or(self.plan.site.coolant_l_per_min);
        let all = coolant_w(stated, in_c, TOO_HOT_C) >= ALL_SHARE * vapour_w;
        CoolantSeen {
            flow_l_per_min: self.coolant_l_per_min(),
            in_c,
            out_c: out_c.map(|rise_k| in_c + rise_k),
            to_carry_w: self.probes.carried_w(self.now_s).or(all.then_some(vapour_w)),
        }
    }

    /// Whether a probe is read that would show lost coolant.
    pub(crate) fn coolant_is_watched(&self) -> bool {
        let watch = [Probe::CoolantFlow, Probe::CoolantOut, Probe::Vent];
        watch.into_iter().any(|probe| self.probes.reader().fresh(probe, self.now_s).is_some())
    }

    /// Whether a flow that hardly shows does what it has to.
    pub(crate) fn coolant_trickles_enough(&self) -> bool {
        let seen = self.coolant_seen();
        seen.flow_l_per_min.is_some() && seen.trouble().is_none()
    }

    pub(crate) fn coolant_finding(&self) -> Option<Finding> {
        if let Some(vent_c) = self.probes.reader().fresh(Probe::Vent, self.now_s)
            && vent_c > self.ambient_c() + VENT_OVER_AMBIENT_K
            && self.begun()
            && self.heater_on()
        {
            let how = format!("the vent reads {vent_c:.0} °C");
            return Some(critical("Vapour leaves by the vent.", how));
        }
        if !self.vapour_about()
            || self.course.heat.off_since_s().is_some_and(|at| self.now_s - at > STILL_BOILS_S)
        {
            return None;
        }
        if self.coolant_l_per_min().is_none() {
            return Some(critical(self.no_coolant(), "none is recorded".to_owned()));
        }
        self.trouble_finding().or_else(|| self.outlet_finding())
    }

    fn no_coolant(&self) -> &'static str {
        let hot = self.head_c().is_some_and(|head_c| head_c >= COOL_C);
        if hot {
            "The head is hot and no coolant runs."
        } else {
            "There is vapour and no coolant runs."
        }
    }

    fn trouble_finding(&self) -> Option<Finding> {
        let seen = self.coolant_seen();
        Some(match seen.trouble()? {
            CoolantTrouble::NoFlow => {
                let read = self.probes.reader().fresh(Probe::CoolantFlow, self.now_s).is_some();
                let how = if read { "the flow meter shows none" } else { "none is recorded" };
                critical(self.no_coolant(), how.to_owned())
            }
            CoolantTrouble::CarriesTooLittle(most_w) => {
                let flow = seen.flow_l_per_min.unwrap_or(0.0);
                let need = seen.to_carry_w.unwrap_or(0.0);
                let how = format!("{flow:.2} L/min take up {most_w:.0} W at most of {need:.0} W");
                critical("The coolant flow is nearly lost.", how)
            }
            CoolantTrouble::TooHot => {
                let how = format!("the outlet reads {:.0} °C", seen.out_c.unwrap_or(TOO_HOT_C));
                critical("The coolant leaves too hot to condense everything.", how)
            }
        })
    }

    fn outlet_finding(&self) -> Option<Finding> {
        self.probes.reader().fresh(Probe::CoolantOut, self.now_s)?;
        let rise = self.probes.coolant_rise().present()?;
        let (from_s, to_s) = (self.now_s - 1500.0, self.now_s - 600.0);
        // What was read around a pause, as a power cut makes one, is no measure of the boil.
        let pause_s = PAUSE_S.max(self.probes.reader().of(Probe::CoolantOut).stale_after_s());
        if !self.probes.coolant_rise().is_unbroken(from_s, pause_s) {
            return None;
        }
        let before = self.probes.coolant_rise().median(from_s, to_s)?;
        let late = self.course.vapour_s().is_some_and(|at| self.now_s - at > 1800.0)
            && self.now_s - self.hand.heater_s > 1800.0;
        let grown = rise > OUTLET_GROWTH * before && rise - before > 8.0 && before > 2.0;
        (late && grown && self.course.steps.kind() != StepKind::Heat).then(|| Finding {
            code: "coolant_loss",
            priority: Priority::High,
            text: "The coolant warms more than it did.".to_owned(),
            how_sure: format!("outlet {rise:.0} K over inlet, {before:.0} K ten minutes ago"),
            to_do: "Look at the coolant flow and open it further; be ready to turn the heat off."
                .to_owned(),
            within_s: Some(300.0),
            about: String::new(),
        })
    }
}
