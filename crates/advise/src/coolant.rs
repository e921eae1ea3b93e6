//! What is wrong with the coolant, as an alarm: by the rule of `sense`, by vapour at the vent, and by
//! heat that goes elsewhere than it did.

use sense::Probe;
use sense::coolant::{CoolantSeen, CoolantTrouble, TOO_HOT_C, coolant_w};
use still::plan::StepKind;

use crate::belief::LATENT_J_MOL;
use crate::coolant_usual::CoolantUsual;
use crate::engine::Live;
use crate::finding::Found;
use crate::knowledge::COOL_C;
use crate::rules::{
    COOLANT_LOSS_CARRIES_TOO_LITTLE, COOLANT_LOSS_NONE, COOLANT_LOSS_OUTLET_GREW,
    COOLANT_LOSS_OUTLET_GREW_LEAST_K, COOLANT_LOSS_OUTLET_GREW_MORE_K,
    COOLANT_LOSS_OUTLET_GREW_PAUSE_S, COOLANT_LOSS_OUTLET_GREW_SETTLED_S, COOLANT_LOSS_TOO_HOT,
    COOLANT_LOSS_VENT_WARM, COOLANT_TAKES_LESS_HALF, COOLANT_TAKES_LESS_HALF_FLOW_SHARE,
    COOLANT_TAKES_LESS_HALF_HEATER_SHARE, COOLANT_TAKES_LESS_HALF_SETTLES_S,
    COOLANT_TAKES_LESS_HALF_USUAL_S, Phase,
};

/// Coolant whose stated flow can carry this share of the vapour's heat is all there is; less serves
/// a partial condenser alone. Judgement.
const ALL_SHARE: f64 = 0.5;
/// How far back what is usual reaches, and how near to now it comes, s: judgement.
const USUAL_FROM_S: f64 = 1200.0;
const USUAL_TO_S: f64 = 120.0;

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

    /// Whether a probe is read that would show lost coolant, and often enough for that.
    pub(crate) fn coolant_is_watched(&self) -> bool {
        let watch = [Probe::CoolantFlow, Probe::CoolantOut, Probe::Vent];
        let reader = self.probes.reader();
        let watched = |probe: &Probe| {
            reader.fresh(*probe, self.now_s).is_some()
                && reader.of(*probe).cadence().too_seldom_s().is_none()
        };
        watch.iter().any(watched)
    }

    /// Whether a flow that hardly shows does what it has to.
    pub(crate) fn coolant_trickles_enough(&self) -> bool {
        let seen = self.coolant_seen();
        seen.flow_l_per_min.is_some() && seen.trouble().is_none()
    }

    /// What is wrong with the coolant.
    pub(crate) fn coolant_findings(&self) -> Vec<Found> {
        let mut found: Vec<Found> = self.vent_finding().into_iter().collect();
        if self.phase() != Phase::Boil {
            return found;
        }
        if self.coolant_l_per_min().is_none() {
            found.push(COOLANT_LOSS_NONE.found(self.no_coolant(), "none is recorded".to_owned()));
            return found;
        }
        match self.trouble_finding() {
            Some(trouble) => found.push(trouble),
            None => found.extend(self.takes_less_finding()),
        }
        found.extend(self.outlet_finding());
        found
    }

    fn vent_finding(&self) -> Option<Found> {
        let vent_c = self.probes.reader().fresh(Probe::Vent, self.now_s)?;
        let over_k = vent_c - self.ambient_c();
        let warm = self.voice.alarms.is_over(&COOLANT_LOSS_VENT_WARM, over_k);
        (warm && self.begun() && self.heater_on()).then(|| {
            let how = format!("the vent reads {vent_c:.0} °C");
            COOLANT_LOSS_VENT_WARM.found("Vapour leaves by the vent.", how)
        })
    }

    fn no_coolant(&self) -> &'static str {
        let hot = self.head_c().is_some_and(|head_c| head_c >= COOL_C);
        if hot {
            "The head is hot and no coolant runs."
        } else {
            "There is vapour and no coolant runs."
        }
    }

    fn trouble_finding(&self) -> Option<Found> {
        let seen = self.coolant_seen();
        Some(match seen.trouble()? {
            CoolantTrouble::NoFlow => {
                let read = self.probes.reader().fresh(Probe::CoolantFlow, self.now_s).is_some();
                let how = if read { "the flow meter shows none" } else { "none is recorded" };
                COOLANT_LOSS_NONE.found(self.no_coolant(), how.to_owned())
            }
            CoolantTrouble::CarriesTooLittle(most_w) => {
                let flow = seen.flow_l_per_min.unwrap_or(0.0);
                let need = seen.to_carry_w.unwrap_or(0.0);
                let how = format!("{flow:.2} L/min take up {most_w:.0} W at most of {need:.0} W");
                COOLANT_LOSS_CARRIES_TOO_LITTLE.found("The coolant flow is nearly lost.", how)
            }
            CoolantTrouble::TooHot => {
                let how = format!("the outlet reads {:.0} °C", seen.out_c.unwrap_or(TOO_HOT_C));
                COOLANT_LOSS_TOO_HOT
                    .found("The coolant leaves too hot to condense everything.", how)
            }
        })
    }

    fn outlet_finding(&self) -> Option<Found> {
        self.probes.reader().fresh(Probe::CoolantOut, self.now_s)?;
        let rise = self.probes.coolant_rise().present()?;
        let (from_s, to_s) = (self.now_s - 1500.0, self.now_s - 600.0);
        // What was read around a pause, as a power cut makes one, is no measure of the boil.
        let typed_s = self.probes.reader().of(Probe::CoolantOut).stale_after_s();
        let pause_s = COOLANT_LOSS_OUTLET_GREW_PAUSE_S.max(typed_s);
        if !self.probes.coolant_rise().is_unbroken(from_s, pause_s) {
            return None;
        }
        let before = self.probes.coolant_rise().median(from_s, to_s)?;
        let settled_s = COOLANT_LOSS_OUTLET_GREW_SETTLED_S;
        let late = self.course.vapour_s().is_some_and(|at| self.now_s - at > settled_s)
            && self.now_s - self.hand.heater_s > settled_s;
        let grown = rise > COOLANT_LOSS_OUTLET_GREW.limit * before
            && rise - before > COOLANT_LOSS_OUTLET_GREW_MORE_K
            && before > COOLANT_LOSS_OUTLET_GREW_LEAST_K;
        (late && grown && self.course.steps.kind() != StepKind::Heat).then(|| {
            let how = format!("outlet {rise:.0} K over inlet, {before:.0} K ten minutes ago");
            COOLANT_LOSS_OUTLET_GREW.found("The coolant warms more than it did.", how)
        })
    }

    /// Follows how the coolant runs, while nothing is wrong with it.
    pub(crate) fn follow_coolant(&mut self) {
        let changed_s = [
            self.hand.heater_s,
            self.hand.coolant_s.unwrap_or(0.0),
            self.hand.take_off_s.unwrap_or(0.0),
            self.course.vapour_s().unwrap_or(self.now_s),
            self.course.heat.on_since_s().unwrap_or(self.now_s),
        ];
        let since_s = changed_s.into_iter().fold(0.0, f64::max) + COOLANT_TAKES_LESS_HALF_SETTLES_S;
        let changed = since_s > self.course.coolant.since_s;
        if changed {
            self.course.coolant = CoolantUsual { usual: None, since_s };
        }
        let alarms = &self.voice.alarms;
        let wrong = alarms.since_s(&COOLANT_TAKES_LESS_HALF).is_some()
            || alarms.stands(COOLANT_LOSS_NONE.code);
        let (from_s, to_s) = (since_s.max(self.now_s - USUAL_FROM_S), self.now_s - USUAL_TO_S);
        let due =
            self.now_s.rem_euclid(10.0) < 1.0 && to_s - from_s >= COOLANT_TAKES_LESS_HALF_USUAL_S;
        if wrong || !due {
            return;
        }
        let flow = self.probes.coolant_flow().median(from_s, to_s);
        let carried_w = self.probes.coolant_w().median(from_s, to_s);
        let heater_w = self.probes.heater().median(from_s, to_s).unwrap_or(self.heater_w());
        self.course.coolant.usual = flow.zip(carried_w).map(|(flow, w)| (flow, w, heater_w));
    }

    /// The heat that the coolant took up goes elsewhere, while as much of it comes as before.
    fn takes_less_finding(&self) -> Option<Found> {
        let (usual_flow, usual_w, usual_heater_w) = self.course.coolant.usual?;
        let seen = self.coolant_seen();
        self.probes.reader().fresh(Probe::CoolantFlow, self.now_s)?;
        let out_c = seen.out_c?;
        let (flow, now_w) =
            self.probes.coolant_flow().present().zip(self.probes.coolant_w().present())?;
        let less = self.voice.alarms.is_under(&COOLANT_TAKES_LESS_HALF, now_w / usual_w.max(1.0));
        let heater_w = self.heater_w();
        let as_before = (heater_w - usual_heater_w).abs()
            <= COOLANT_TAKES_LESS_HALF_HEATER_SHARE * usual_heater_w;
        let slower = flow < COOLANT_TAKES_LESS_HALF_FLOW_SHARE * usual_flow;
        (less && as_before && slower && self.drawing_or_equalising()).then(|| {
            let how = format!(
                "{flow:.2} L/min with the outlet at {out_c:.0} °C take up {now_w:.0} W; it was \
                 {usual_w:.0} W at {usual_flow:.2} L/min, and the heater is as it was"
            );
            COOLANT_TAKES_LESS_HALF
                .found("The coolant takes up less than half of the heat it did.", how)
        })
    }
}
