//! What the person does: every action, and the jars they measure.

use quantities::{ApparentStrength, RunTime};
use still::plan::{StepKind, TakeOff};

use super::drawn::Source;
use super::engine::Live;
use super::event::Event;
use super::finding::state_event;
use super::jars::{Filled, Open};
use sense::jar::{gauged, true_strength};
use sense::{Action, HEATER_OFF_W, JarRecord};

/// An action recorded later than this after it was done does not change the past, s.
const LATE_MAX_S: f64 = 1800.0;
/// How much of a difference between glass and reckoning is taken over at once.
const GAUGE_WEIGHT: f64 = 0.7;
/// Most that the glass may put the reckoned strength right by, % vol.
const OFFSET_MAX_VOL: f64 = 6.0;
/// A step of the same kind this soon after is the same press, s: judgement.
const REPEATED_S: f64 = 10.0;

impl Live {
    /// Takes one action of the person. Any action shows that somebody is there.
    pub fn action(&mut self, at: RunTime, action: &Action) -> Vec<Event> {
        if self.course.is_over() {
            return Vec::new();
        }
        let time_s = at.seconds();
        self.row_since_tick = true;
        let told = !matches!(action, Action::Here | Action::Seen { .. } | Action::Quiet { .. });
        if told {
            self.foresight.asking.rows.actions.push((time_s, action.clone()));
        }
        // An alarm can be seen, reset and made quiet from another room: that is no presence. Nor is
        // a liquid that is measured on a bench.
        let afar = matches!(
            action,
            Action::Seen { .. } | Action::Reset { .. } | Action::Quiet { .. } | Action::Vessel(_)
        );
        if !afar {
            self.hand.actions += 1;
            self.hand.last_s = self.hand.last_s.max(time_s);
        }
        // A step or a jar may only be what was asked for.
        let at_spout =
            matches!(action, Action::TakeOff { measured: true, .. } | Action::Gauge { .. });
        if at_spout {
            self.hand.spout_s = Some(self.hand.spout_s.map_or(time_s, |at_s| at_s.max(time_s)));
        }
        match action {
            Action::Heater { watts } => self.heater(time_s, *watts),
            Action::TakeOff { take_off, measured: true }
                if self.spirit.drawn.timed_before(time_s, *take_off) =>
            {
                return vec![Self::timed_too_soon(time_s)];
            }
            Action::TakeOff { take_off, measured } => self.take_off(time_s, *take_off, *measured),
            Action::Coolant { l_per_min } if l_per_min.is_finite() => {
                self.hand.coolant_l_per_min = Some(l_per_min.max(0.0));
                self.hand.coolant_s = Some(time_s);
            }
            Action::Jar { number } => self.new_jar(time_s, *number),
            Action::Step { kind } => return self.step(time_s, *kind),
            Action::Gauge { apparent_vol, celsius } => {
                self.gauge(time_s, *apparent_vol, *celsius);
            }
            Action::Seen { code } => self.voice.alarms.seen(code),
            Action::Reset { code } => return self.voice.alarms.reset(self.now_s.max(time_s), code),
            Action::Quiet { code, minutes, reason } => {
                return self.voice.alarms.quieten(self.now_s.max(time_s), code, *minutes, reason);
            }
            Action::Coolant { .. } | Action::Vessel(_) | Action::Here | Action::Note { .. } => {}
        }
        Vec::new()
    }

    fn heater(&mut self, time_s: f64, watts: f64) {
        if !watts.is_finite() {
            return;
        }
        self.foresight.reasons.note(time_s, "the heater was changed");
        self.hand.heater_w = Some(watts.max(0.0));
        self.hand.heater_s = time_s;
        let off = watts <= HEATER_OFF_W;
        self.hand.heater_off_s = if off { self.hand.heater_off_s.or(Some(time_s)) } else { None };
    }

    fn timed_too_soon(time_s: f64) -> Event {
        let text = "The rate just timed is taken for what ran before the valve was turned. \
                    Time it once more."
            .to_owned();
        state_event(time_s, "timed_before_the_turn", text, "recorded within a minute of the turn")
    }

    fn take_off(&mut self, time_s: f64, take_off: TakeOff, measured: bool) {
        self.foresight.reasons.note(time_s, "the take-off was changed");
        let possible = match take_off {
            TakeOff::Closed => true,
            TakeOff::RefluxRatio(value)
            | TakeOff::MlPerMin(value)
            | TakeOff::RefluxWatts(value) => value.is_finite() && value >= 0.0,
        };
        if !possible {
            return;
        }
        let before = self.rate_ml_min();
        let source = if measured { Source::Measured } else { Source::Set };
        let since_s = self.spirit.drawn.since_s;
        self.spirit.drawn.change(time_s, take_off, source);
        self.hand.take_off_s = Some(time_s);
        let late_s = self.now_s - time_s.max(since_s);
        if late_s > 0.0 && late_s <= LATE_MAX_S {
            let after = self.rate_ml_min();
            self.draw(late_s, after - before);
        }
        let early = self.spirit.drawn.open()
            && matches!(self.course.steps.kind(), StepKind::Heat | StepKind::Equalise)
            && self.course.vapour_s().is_some();
        self.hand.open_early_s = if early { self.hand.open_early_s.or(Some(time_s)) } else { None };
    }

    fn step(&mut self, time_s: f64, kind: StepKind) -> Vec<Event> {
        self.course.record();
        if kind == StepKind::Heat && self.course.steps.kind() == StepKind::Heat {
            return vec![self.begin_step(time_s, 0, "recorded by a person")];
        }
        match self.target(kind, time_s) {
            Some(index) => vec![self.begin_step(time_s, index, "recorded by a person")],
            None => Vec::new(),
        }
    }

    /// Where a recorded step of `kind` leads: the next of its kind, else one before (gone back to);
    /// none where it is the running one or not in the plan.
    fn target(&self, kind: StepKind, time_s: f64) -> Option<usize> {
        let (steps, running) = (&self.plan.steps, &self.course.steps);
        let next = (running.index() + 1..steps.len()).find(|index| steps[*index].kind == kind);
        if kind == running.kind() {
            // Hearts after hearts is the slow phase; otherwise, and right after the step began, it
            // is a repetition: a second press, a late packet.
            let repeated = time_s - running.started().seconds() < REPEATED_S;
            return next.filter(|index| *index == running.index() + 1 && !repeated);
        }
        next.or_else(|| steps.iter().take(running.index()).rposition(|step| step.kind == kind))
    }

    pub(crate) fn new_jar(&mut self, time_s: f64, number: u32) {
        let cut = self.cut_now();
        if self.is_weighed_jar(time_s)
            && let Some(open) = self.spirit.jars.open.as_mut()
        {
            (open.number, open.cut) = (number, cut);
            return;
        }
        let begun_rise_k = self.rise_k().unwrap_or(0.0);
        let jar = Open { number, cut, start_s: time_s, begun_rise_k };
        let Some(closed) = self.spirit.jars.open(jar) else { return };
        if self.spirit.jars.record(closed.number).is_some_and(|jar| jar.measured) {
            return;
        }
        let (ml, alcohol_ml) = self.spirit.drawn.between(closed.start_s, time_s);
        self.spirit.jars.keep(Filled {
            number: closed.number,
            cut: closed.cut,
            start_s: closed.start_s,
            end_s: time_s,
            ml,
            measured: false,
            strength_vol: (ml > 0.0).then(|| 100.0 * alcohol_ml / ml),
            read: false,
            share: None,
            begun_rise_k: closed.begun_rise_k,
        });
    }

    /// The fraction that runs now.
    pub(super) fn cut_now(&self) -> StepKind {
        if self.course.steps.kind().draws() {
            return self.course.steps.kind();
        }
        let drawing = |step: &&still::plan::Step| step.kind.draws();
        let later = self.plan.steps.iter().skip(self.course.steps.index()).find(drawing);
        let before = self.plan.steps.iter().take(self.course.steps.index()).rfind(drawing);
        later.or(before).map_or(StepKind::Foreshots, |step| step.kind)
    }

    fn gauge(&mut self, time_s: f64, apparent_vol: f64, celsius: f64) {
        let apparent = ApparentStrength::from_reading(apparent_vol).ok();
        let strength = apparent.and_then(|apparent| true_strength(apparent, celsius));
        let Some(strength) = strength else { return };
        if let Some(reckoned) = self.reckoned_strength() {
            self.put_right(GAUGE_WEIGHT * (strength - reckoned.at.p50));
        }
        self.spirit.gauged.last = Some((time_s, strength));
        self.foresight.reasons.note(time_s, "the glass was read");
    }

    fn put_right(&mut self, by_vol: f64) {
        let offset = self.spirit.gauged.offset_vol + by_vol;
        self.spirit.gauged.offset_vol = offset.clamp(-OFFSET_MAX_VOL, OFFSET_MAX_VOL);
    }

    pub(super) fn measured_jar(&mut self, jar: &JarRecord) {
        let span = (jar.start_s, jar.end_s);
        let (ml_before, alcohol_before) = self.spirit.drawn.between(jar.start_s, jar.end_s);
        let reckoned = (ml_before > 0.0).then(|| 100.0 * alcohol_before / ml_before);
        let glass = gauged(jar, reckoned);
        let (read, ml) = (glass.strength_vol, 1000.0 * glass.litres_20c);
        let strength = read.or(reckoned);
        let before = self.spirit.jars.record(jar.number).and_then(|filled| filled.share);
        let share = self.spirit.drawn.jar(span, ml, read, before);
        if let (Some(read), Some(reckoned), None) = (read, reckoned, before)
            && ml_before > 50.0
        {
            self.put_right(0.5 * (read - reckoned));
        }
        let earlier = self.spirit.jars.record(jar.number);
        let earlier = earlier.map(|filled| (filled.cut, filled.begun_rise_k));
        let open = self.spirit.jars.open.as_ref().filter(|open| open.number == jar.number);
        let known = earlier.or(open.map(|open| (open.cut, open.begun_rise_k)));
        let (known_cut, begun_rise_k) = known.unwrap_or((self.cut_now(), 0.0));
        let cut = jar.cut.unwrap_or(known_cut);
        self.foresight.reasons.note(self.now_s, format!("jar {} was measured", jar.number));
        if let Some(read) = read {
            self.weigh_head(jar.number, span, read, cut);
        }
        self.spirit.jars.taken_away(jar.number, jar.end_s);
        self.spirit.jars.keep(Filled {
            number: jar.number,
            cut,
            start_s: jar.start_s,
            end_s: jar.end_s,
            ml,
            measured: true,
            strength_vol: strength,
            read: read.is_some(),
            share: Some(share),
            begun_rise_k,
        });
    }
}
