//! What is believed about the present: heater, coolant, vapour, take-off, rise and strength.
//!
//! Strength of a column is that of its plateau (forecast, put right by the glass) warmed by the
//! head's rise: the head thermometer is only read as a difference. Strength of a pot is that of the
//! head temperature at the present pressure, put right by the glass. No band is narrower than
//! 0.5 % vol each way, whatever the fit says.

use alcoholometry::kernel;
use quantities::Band;
use still::outcome::Row;
use still::plan::{StepKind, StillKind, TakeOff};

use super::drawn::Source;
use super::engine::Live;
use crate::knowledge::{FILLING_K, Value, banded};
use sense::coolant::TRICKLE_L_PER_MIN;
use sense::{HEATER_OFF_W, Probe, Quality};

/// Heat that a mole of top vapour costs where no forecast says, J/mol: latent heat of strong
/// vapour (about 39 kJ/mol) and the warming of the pot.
const HEAT_PER_MOLE_J: f64 = 42_000.0;
/// Latent heat of a mole of strong vapour, J (handbook, rounded).
pub(crate) const LATENT_J_MOL: f64 = 39_000.0;
/// Strength of the vapour of a column or a pot of which nothing is known, % vol.
const USUAL_VOL: (f64, f64) = (94.0, 65.0);
/// Least half-width of the 95 % band of a strength, % vol.
const STRENGTH_BAND_LEAST: f64 = 0.5;
/// A take-off this many times the vapour cannot be true: the losses behind it are only believed.
/// Once said, it is possible again under the second. Judgement.
const IMPOSSIBLE_OVER: f64 = 1.6;
const POSSIBLE_UNDER: f64 = 1.2;
/// It is said after this long, and then for so long at least, s. Judgement.
const IMPOSSIBLE_S: f64 = 120.0;
const IMPOSSIBLE_HOLD_S: f64 = 900.0;
/// How far a probe may be off where it is read as it stands, K.
const PROBE_BAND_K: f64 = 0.5;
/// A head thermometer has warmed to the vapour after this long, s: three of the longest lags that
/// pockets have (120 s; judgement).
const HEAD_WARMS_S: f64 = 360.0;
/// The head and the plateau of a forecast may be so far apart, K: probe, pressure and stages
/// (judgement).
const APART_K: f64 = 2.0;

impl Live {
    pub(super) fn heater_w(&self) -> f64 {
        let meter = self.probes.reader().of(Probe::Heater);
        let since_s = self.hand.heater_w.map_or(-1.0, |_| self.hand.heater_s);
        if let Some(watts) = meter.fresh_since(self.now_s, since_s) {
            return watts;
        }
        self.said_heater_w()
    }

    /// Heat as it was recorded, or as planned where it was not; none once the run stops, W.
    pub(crate) fn said_heater_w(&self) -> f64 {
        let running = self.course.is_recorded() || self.course.vapour_s().is_some();
        let planned = if running && self.course.steps.kind() != StepKind::Stop {
            self.plan.step_power(self.course.steps.index()).watts()
        } else {
            0.0
        };
        self.hand.heater_w.unwrap_or(planned)
    }

    pub(super) fn heater_on(&self) -> bool {
        self.heater_w() > HEATER_OFF_W
    }

    /// Whether the run has begun.
    pub(super) fn begun(&self) -> bool {
        self.course.is_recorded()
            || self.hand.heater_w.is_some()
            || self.course.vapour_s().is_some()
            || self.heater_on()
    }

    /// Coolant flow, as read or else as recorded, L/min.
    pub(super) fn coolant_l_per_min(&self) -> Option<f64> {
        let since_s = self.hand.coolant_s.unwrap_or(-1.0);
        let read = self.probes.reader().of(Probe::CoolantFlow).fresh_since(self.now_s, since_s);
        read.or(self.hand.coolant_l_per_min)
    }

    pub(super) fn coolant_on(&self) -> bool {
        self.coolant_l_per_min().is_some_and(|flow| flow > TRICKLE_L_PER_MIN)
            || self.coolant_trickles_enough()
    }

    pub(super) fn ambient_c(&self) -> f64 {
        self.probes.reader().fresh(Probe::Ambient, self.now_s).unwrap_or(self.plan.site.ambient_c)
    }

    pub(super) fn head_c(&self) -> Option<f64> {
        self.probes.reader().channel(Probe::Head, self.now_s, &self.context()).value
    }

    /// The head, where it is read and was hot in this run.
    pub(crate) fn head_in_vapour_c(&self) -> Option<f64> {
        self.head_c().filter(|_| !self.course.head_never_hot())
    }

    pub(super) fn is_pot(&self) -> bool {
        self.plan.still.kind == StillKind::Pot
    }

    /// The forecast's row where the run stands.
    pub(super) fn place(&self) -> Option<&Row> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        if self.course.vapour_s().is_none() {
            return forecasts.at_time(self.now_s.min(forecasts.nominal().boil_s));
        }
        forecasts.at_alcohol(self.spirit.drawn.alcohol_ml() / 1000.0)
    }

    fn lost_w(&self, pot_c: f64, head_c: f64) -> f64 {
        let ambient_c = self.plan.site.ambient_c;
        let column_c = 0.5 * (pot_c + head_c);
        self.plan.still.boiler_loss_w_per_k * (pot_c - ambient_c)
            + self.plan.still.column_loss_w_per_k * (column_c - ambient_c)
    }

    /// Vapour that reaches the condenser, mol/s: the forecast's, scaled by the heat that is left
    /// after losses now and there.
    pub(crate) fn top_vapour_mol_s(&self) -> f64 {
        if self.course.vapour_s().is_none() && !self.course.steps.kind().draws() {
            return 0.0;
        }
        let place = self.place();
        let pot_c = self.probes.reader().fresh(Probe::Pot, self.now_s);
        let pot_c = pot_c.or(place.map(|row| row.pot_c)).unwrap_or(90.0);
        let left_w = self.heater_w() - self.lost_w(pot_c, 80.0);
        let cost_j = self.foresight.forecasts.as_ref().zip(place).and_then(|(forecasts, row)| {
            let there_w = forecasts.watts_at(row.time_s) - self.lost_w(row.pot_c, 80.0);
            let cost_j = there_w / row.vn_mol_s;
            (35_000.0..60_000.0).contains(&cost_j).then_some(cost_j)
        });
        (left_w / cost_j.unwrap_or(HEAT_PER_MOLE_J)).max(0.0)
    }

    /// What all of the top vapour would bring into the jar as spirit, mL/min at 20 °C: less what the
    /// still is stated to lose as vapour.
    fn all_ml_min(&self) -> f64 {
        let p = kernel::mass_fraction_from_vol20(self.running_strength() / 100.0);
        let x = kernel::mole_fraction_from_mass_fraction(p);
        let kept = 1.0 - self.plan.still.vapour_lost.unwrap_or(0.0);
        60_000.0 * kept * self.top_vapour_mol_s() * kernel::litres_20c(x, 1.0 - x)
    }

    /// Take-off now, mL/min at 20 °C: as weighed, else as set.
    pub(super) fn rate_ml_min(&self) -> f64 {
        self.weighed_ml_min().unwrap_or_else(|| self.set_ml_min())
    }

    /// Take-off as timed, set or planned, mL/min at 20 °C.
    pub(crate) fn set_ml_min(&self) -> f64 {
        if self.warms_again() || self.fills() {
            return 0.0;
        }
        let valve = self.spirit.drawn.valve();
        match self.spirit.drawn.take_off {
            TakeOff::Closed => 0.0,
            TakeOff::RefluxRatio(ratio) => self.all_ml_min() / (ratio + 1.0) * valve,
            TakeOff::RefluxWatts(watts) => {
                let returned = watts / LATENT_J_MOL / self.top_vapour_mol_s().max(1e-9);
                self.all_ml_min() * (1.0 - returned).max(0.0) * valve
            }
            // Never more than the vapour gives; the losses behind that bound are only believed.
            TakeOff::MlPerMin(rate) => (rate * valve).min(1.3 * self.all_ml_min()),
        }
    }

    /// Whether the first vapour still warms and fills the way to the spout, by the forecast.
    fn fills(&self) -> bool {
        let fill_s = self.foresight.forecasts.as_ref().map(|forecasts| {
            let course = forecasts.nominal();
            course.ready_s - course.head_jump_s
        });
        let filled_s = self.course.vapour_s().zip(fill_s).map(|(at_s, fill_s)| at_s + fill_s);
        self.course.steps.kind() == StepKind::Heat && filled_s.is_some_and(|at_s| self.now_s < at_s)
    }

    /// Take-off now with its band, and where it comes from.
    pub(crate) fn rate_value(&self) -> Option<Value> {
        self.begun().then(|| {
            let rate = self.rate_ml_min();
            let how = match self.spirit.drawn.source {
                _ if self.weighed_ml_min().is_some() => "weighed under the jar",
                Source::Planned => "as planned, not recorded",
                Source::Set => "as set by hand",
                Source::Measured => "timed into a jug",
            };
            let at = Band::of_half_95(rate, rate * self.rate_doubt()).at_least(0.0);
            Value { at, basis: how.to_owned(), made_at_s: self.now_s }
        })
    }

    /// Says so where a take-off that was set is more than the vapour can give.
    pub(crate) fn impossible_take_off(&self) -> Option<String> {
        let TakeOff::MlPerMin(set) = self.spirit.drawn.take_off else { return None };
        let most = self.all_ml_min();
        self.spirit.over_vapour_s.filter(|since_s| self.now_s - since_s >= IMPOSSIBLE_S)?;
        Some(format!("a take-off of {set:.0} mL/min, of which the vapour can give about {most:.0}"))
    }

    /// Follows whether the take-off that was set can be true; said until it clearly can.
    pub(crate) fn follow_take_off(&mut self) {
        let set = match self.spirit.drawn.take_off {
            TakeOff::MlPerMin(rate) => rate,
            TakeOff::Closed | TakeOff::RefluxRatio(_) | TakeOff::RefluxWatts(_) => 0.0,
        };
        let runs = self.course.steps.kind().draws() && self.heater_on();
        let most = self.all_ml_min();
        let since_s = self.spirit.over_vapour_s;
        let said = since_s.is_some_and(|since_s| self.now_s - since_s >= IMPOSSIBLE_S);
        let held = since_s.is_some_and(|since_s| self.now_s - since_s < IMPOSSIBLE_HOLD_S);
        let share = if said { POSSIBLE_UNDER } else { IMPOSSIBLE_OVER };
        let over = runs && most > 0.1 && set > share * most;
        self.spirit.over_vapour_s = match since_s {
            Some(since_s) if over || (said && held) => Some(since_s),
            _ => over.then_some(self.now_s),
        };
    }

    /// Whether a probe that shows the course of the run was read and is not to be had now: the
    /// head, or the pot where the running step ends by it or the head never was read.
    pub(crate) fn blind(&self) -> bool {
        let context = self.context();
        let lost = |probe: Probe| {
            let quality = self.probes.reader().channel(probe, self.now_s, &context).quality;
            matches!(quality, Quality::Bad(_)) || self.doubtful(probe)
        };
        let by_pot =
            self.plan.steps.get(self.course.steps.index()).is_some_and(|s| s.until_pot_c.is_some())
                || !self.probes.reader().of(Probe::Head).ever();
        lost(Probe::Head) || (by_pot && lost(Probe::Pot))
    }

    pub(crate) fn drawing_or_equalising(&self) -> bool {
        self.course.steps.kind().draws() || self.course.steps.kind() == StepKind::Equalise
    }

    /// Strength on the plateau as forecast, put right by the glass, % vol.
    pub(crate) fn plateau_vol(&self) -> f64 {
        let first = || self.plan.steps.iter().position(|step| step.kind.draws());
        let hearts = self.plan.first_hearts().or_else(first);
        let forecast =
            self.foresight.forecasts.as_ref().zip(hearts).and_then(|(forecasts, index)| {
                let step = forecasts.nominal().steps.iter().find(|step| step.index == index)?;
                let at_s = (step.start_s + 900.0).min(0.5 * (step.start_s + step.end_s));
                forecasts.at_time(at_s)?.distillate_vol
            });
        (forecast.unwrap_or(USUAL_VOL.0) + self.spirit.gauged.offset_vol).clamp(1.0, 96.5)
    }

    /// Whether spirit runs or would run.
    pub(crate) fn spirit_may_run(&self) -> bool {
        let vapour = self.course.vapour_s().is_some() || self.course.steps.kind().draws();
        let over = self.course.is_over() || self.course.steps.kind() == StepKind::Stop;
        vapour && !over && self.heater_on()
    }

    /// Strength of what runs now, reckoned from the forecast, the glass and the head.
    pub(crate) fn reckoned_strength(&self) -> Option<Value> {
        if self.spirit.gauged.head_out.is_some() {
            return self.strength_without_head();
        }
        if self.head_is_below() {
            return self.strength_from_below();
        }
        if self.is_pot() { self.pot_strength() } else { self.column_strength() }
    }

    fn column_strength(&self) -> Option<Value> {
        if let Some(rise) = self.head_rise_k() {
            let plateau_c = self.probes.head_of(self.plateau_vol());
            let strength = self.probes.strength_at(plateau_c + rise.max(0.0));
            let basis = if rise < 0.3 {
                "forecast of the plateau: the head thermometer cannot show strength here"
            } else {
                "head rise above the plateau"
            };
            return Some(self.reckoned_value(strength, 0.5 + 1.2 * rise.clamp(0.0, 8.0), basis));
        }
        let basis = if self.head_c().is_some() {
            "forecast: the plateau is not known yet"
        } else {
            "forecast: the head is not read"
        };
        Some(self.reckoned_value(self.forecast_vol()?, 2.0, basis))
    }

    fn pot_strength(&self) -> Option<Value> {
        let frozen = self.doubtful(Probe::Head);
        let read = self.head_c().filter(|_| !frozen).and(self.probes.head().present());
        if let Some(head_c) = read {
            if let Some(vol) = self.forecast_vol().filter(|vol| self.head_warms(head_c, *vol)) {
                return Some(self.reckoned_value(vol, 4.0, "forecast: the head still warms"));
            }
            let at = |k: f64| self.probes.strength_at(head_c + k);
            let band = 0.5 * (at(-PROBE_BAND_K) - at(PROBE_BAND_K)).abs();
            let strength = at(0.0) + self.spirit.gauged.offset_vol;
            return Some(self.reckoned_value(strength, band, "head temperature"));
        }
        Some(self.reckoned_value(self.forecast_vol()?, 4.0, "forecast: the head cannot be read"))
    }

    /// Strength of the spirit where the run stands by the forecast, put right by the glass, % vol.
    pub(crate) fn forecast_vol(&self) -> Option<f64> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        let there = if self.course.vapour_s().is_none() {
            self.place()?.distillate_vol
        } else {
            forecasts.strength_at_alcohol(self.spirit.drawn.alcohol_ml() / 1000.0)
        };
        Some((there? + self.spirit.gauged.offset_vol).max(0.0))
    }

    /// Whether a head in the first vapour, also that after a pause of the heat, is so cold only
    /// because it still warms: vapour that was stronger by as much is not in this charge.
    fn head_warms(&self, head_c: f64, forecast_vol: f64) -> bool {
        let heated_s = self.course.heat.on_since_s().unwrap_or(0.0);
        let since_s = self.course.vapour_s().map(|at_s| at_s.max(heated_s));
        since_s.is_some_and(|at_s| self.now_s - at_s < HEAD_WARMS_S)
            && head_c < self.probes.head_of(forecast_vol) - FILLING_K
    }

    /// Rise that the strength of a column goes by: over this run's plateau, else over that of the
    /// forecast.
    pub(crate) fn head_rise_k(&self) -> Option<f64> {
        self.rise_k().or_else(|| self.rise_over_forecast_k())
    }

    /// Rise of a column's head over the plateau of the forecast where the plan has no hearts, so
    /// takes none: only where that is more than thermometer and forecast may be apart.
    fn rise_over_forecast_k(&self) -> Option<f64> {
        let takes_none = self.plan.first_hearts().is_none() && self.course.steps.kind().draws();
        let head_c = self.head_c().filter(|_| takes_none).and(self.probes.head().present())?;
        let rise = head_c - self.probes.head_of(self.plateau_vol());
        (rise >= APART_K).then_some(rise)
    }

    pub(crate) fn reckoned_value(&self, strength_vol: f64, half: f64, basis: &str) -> Value {
        let at = banded(strength_vol, half.max(STRENGTH_BAND_LEAST));
        Value { at, basis: basis.to_owned(), made_at_s: self.now_s }
    }

    /// Strength of what runs now, for the account: what is shown, else reckoned, else the usual one
    /// of such a still.
    pub(crate) fn running_strength(&self) -> f64 {
        let usual = if self.is_pot() { USUAL_VOL.1 } else { USUAL_VOL.0 };
        let now = self.strength_now();
        let now = now.or_else(|| self.reckoned_strength().filter(|_| self.spirit_may_run()));
        now.map_or(usual, |strength| strength.at.p50)
    }

    /// Litres at 20 °C in the pot, likely and low; never less than none.
    pub(super) fn pot_litres(&self) -> (f64, f64) {
        let charge = &self.plan.charge;
        let drawn_l = self.spirit.drawn.ml() / 1000.0;
        let held_l =
            if self.course.vapour_s().is_some() { self.plan.still.holdup_litres } else { 0.0 };
        let likely = charge.litres - drawn_l - held_l;
        let doubt =
            (2.0 * charge.litres_sd.unwrap_or(0.0)).hypot(self.spirit.drawn.band_ml() / 1000.0);
        let doubt = doubt + self.spirit.drawn.in_doubt().more_ml / 1000.0;
        let some = |litres: f64| if litres > 0.0 { litres } else { 0.0 };
        (some(likely), some(likely - doubt))
    }
}
