//! What goes otherwise than planned and can be seen: a jar that is full, a take-off or a run over the
//! plan, a head that does not settle, coolant that comes warmer, an instrument that is overdue, a barometer that moved.

use sense::Probe;
use still::plan::{StepKind, TakeOff};

use crate::engine::Live;
use crate::event::Priority;
use crate::finding::{Finding, Found};
use crate::numbers::minutes;
use crate::rules::{
    COOLANT_INLET_WARMER, INSTRUMENT_OVERDUE_READ, PLATEAU_UNSTABLE_MOVES,
    PLATEAU_UNSTABLE_MOVES_SETTLED_S, RECEIVER_FULL_FULL, RUN_LONG_OVER_FORECAST,
    TAKE_OFF_FAST_OVER_PLAN,
};

/// A stream under this is none, mL/min (judgement).
const RUNS_ML_MIN: f64 = 0.1;
/// The barometer is told of at each of these since the plateau was taken, hPa (judgement, as A19).
const BAROMETER_HPA: f64 = 3.0;
/// The head is looked at over this, s: the 10 min of the rule.
const HEAD_OVER_S: f64 = 600.0;

impl Live {
    /// All of them.
    pub(crate) fn plan_findings(&self) -> Vec<Found> {
        let all = [
            self.full_finding(),
            self.fast_finding(),
            self.unstable_finding(),
            self.inlet_finding(),
            self.long_finding(),
            self.overdue_finding(),
        ];
        all.into_iter().flatten().collect()
    }

    fn full_finding(&self) -> Option<Found> {
        if !self.spirit.jar_stated || self.rate_ml_min() <= RUNS_ML_MIN {
            return None;
        }
        let in_it_ml = self.open_jar_ml()?;
        let full = self.voice.alarms.is_over(&RECEIVER_FULL_FULL, in_it_ml / self.spirit.jar_ml);
        full.then(|| {
            let text = "The jar under the spout should be full and spirit runs into it.";
            let from = if self.weighs() { "weighed" } else { "reckoned from the take-off" };
            let size_ml = self.spirit.jar_ml;
            let how = format!("{in_it_ml:.0} mL of {size_ml:.0} mL, {from}");
            RECEIVER_FULL_FULL.found(text, how)
        })
    }

    fn fast_finding(&self) -> Option<Found> {
        let step = self.plan.steps.get(self.course.steps.index())?;
        let TakeOff::MlPerMin(planned) = step.take_off() else { return None };
        let rate = self.rate_ml_min();
        if !step.kind.draws() || !self.heater_on() || planned <= RUNS_ML_MIN {
            return None;
        }
        let fast = self.voice.alarms.is_over(&TAKE_OFF_FAST_OVER_PLAN, rate / planned);
        fast.then(|| {
            let from = if self.weighed_ml_min().is_some() { "weighed" } else { "as set or timed" };
            let how = format!("{rate:.0} mL/min {from}, {planned:.0} mL/min by the plan");
            TAKE_OFF_FAST_OVER_PLAN.found("More is taken off than the plan has.", how)
        })
    }

    fn unstable_finding(&self) -> Option<Found> {
        let equalises = self.course.steps.kind() == StepKind::Equalise && !self.is_pot();
        let settled_s = PLATEAU_UNSTABLE_MOVES_SETTLED_S;
        let passed_s = self.now_s - self.course.steps.started().seconds();
        let settled = passed_s >= settled_s && self.now_s - self.hand.heater_s >= settled_s;
        if !equalises || !settled || !self.heater_on() || self.doubtful(Probe::Head) {
            return None;
        }
        self.head_c()?;
        let moves_k = HEAD_OVER_S * self.probes.head().slope_per_s(self.now_s, HEAD_OVER_S)?;
        self.voice.alarms.is_over(&PLATEAU_UNSTABLE_MOVES, moves_k.abs()).then(|| {
            let passed = minutes(passed_s);
            let how = format!("{moves_k:+.1} K in 10 min, after {passed} of equalising");
            PLATEAU_UNSTABLE_MOVES.found("The head does not settle.", how)
        })
    }

    fn inlet_finding(&self) -> Option<Found> {
        let before_c = self.course.at_plateau.coolant_in_c?;
        let now_c = self.probes.reader().fresh(Probe::CoolantIn, self.now_s)?;
        let warmer_k = now_c - before_c;
        let over = self.heater_on() && self.voice.alarms.is_over(&COOLANT_INLET_WARMER, warmer_k);
        over.then(|| {
            let how = format!("{now_c:.1} °C now, {before_c:.1} °C when the plateau was taken");
            COOLANT_INLET_WARMER.found("The coolant comes warmer and warmer.", how)
        })
    }

    fn long_finding(&self) -> Option<Found> {
        let latest_s = self.foresight.forecasts.as_ref()?.latest_end_s();
        let over = self.voice.alarms.is_over(&RUN_LONG_OVER_FORECAST, self.now_s / latest_s);
        (over && self.heater_on()).then(|| {
            let (now, latest) = (minutes(self.now_s), minutes(latest_s));
            let how = format!("{now} now, {latest} at the latest by the forecast before heat");
            RUN_LONG_OVER_FORECAST.found("The run takes much longer than it should.", how)
        })
    }

    fn overdue_finding(&self) -> Option<Found> {
        let read = |probe: &Probe| self.probes.reader().fresh(*probe, self.now_s).is_some();
        let mut read = Probe::ALL.into_iter().filter(read);
        let (probe, name) =
            read.find_map(|probe| Some((probe, self.overdue(probe)?.to_owned())))?;
        let words = probe.words();
        let mut found = INSTRUMENT_OVERDUE_READ.found(
            format!("The {words} is read by {name}, which is overdue for calibration."),
            "by the date of its last calibration".to_owned(),
        );
        found.about = name;
        Some(found)
    }

    /// By how many times three hPa the barometer has moved since the plateau was taken.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few")]
    pub(crate) fn barometer_steps(&self) -> u64 {
        let before = self.course.at_plateau.pressure_hpa;
        let moved = before.map_or(0.0, |before| (self.probes.pressure_hpa() - before).abs());
        (moved / BAROMETER_HPA).floor() as u64
    }

    /// The barometer moved: plateau and triggers go with it.
    pub(crate) fn barometer_due(&self) -> Option<Finding> {
        let before_hpa = self.course.at_plateau.pressure_hpa?;
        let draws = self.course.steps.kind().draws() && self.heater_on();
        (draws && self.barometer_steps() > 0).then(|| {
            let now_hpa = self.probes.pressure_hpa();
            Finding {
                code: "barometer_moved",
                priority: Priority::Low,
                text: format!(
                    "The barometer stands {:+.0} hPa from where it was; plateau and triggers are shifted.",
                    now_hpa - before_hpa
                ),
                how_sure: format!(
                    "{now_hpa:.0} hPa now, {before_hpa:.0} hPa when the plateau was taken"
                ),
                to_do: "Go by the rise that is shown, not by the thermometer alone.".to_owned(),
                within_s: None,
            }
        })
    }
}
