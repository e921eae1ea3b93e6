//! Litres and pure alcohol: drawn, held, lost, left and still to come, in sums that close.

use still::plan::StepKind;

use super::{Account, Band, ChargeBelief, Spirit, Value};
use crate::drawn::InDoubt;
use crate::engine::Live;
use crate::unseen::reaching;

/// Standard deviation of litres and strength of a charge where none is stated, relative: judgement.
const CHARGE_SD_UNSTATED: f64 = 0.03;
/// How surely the hold-up is known, relative half of its 95 % band: the recordings' owners misjudge
/// theirs by a third.
const HELD_HALF: f64 = 0.6;
/// Vapour that a sound condenser lets go, share of the charge's alcohol, 90 and 97.5 % points:
/// judgement until it is learned.
const LOST_SHARE: (f64, f64) = (0.02, 0.04);
/// Half of the 95 % band of a strength that was reckoned over many jars, % vol: judgement.
const TOGETHER_HALF_VOL: f64 = 0.7;

impl Live {
    /// Everything drawn; none before anything could be.
    pub(super) fn drawn_spirit(&self) -> Option<Spirit> {
        let anything = self.course.steps.kind().draws() || self.spirit.drawn.ml() > 0.0;
        anything.then(|| self.all_spirit())
    }

    /// What was drawn as hearts; none before there were any.
    pub(super) fn hearts_spirit(&self) -> Option<Spirit> {
        let (ml, alcohol_ml) = self.spirit.drawn.hearts_ml()?;
        Some(self.spirit(ml, alcohol_ml, &self.spirit.drawn.hearts_in_doubt()))
    }

    fn all_spirit(&self) -> Spirit {
        let drawn = &self.spirit.drawn;
        self.spirit(drawn.ml(), drawn.alcohol_ml(), &drawn.in_doubt())
    }

    fn spirit(&self, ml: f64, alcohol_ml: f64, doubt: &InDoubt) -> Spirit {
        let all_ml = self.spirit.drawn.ml().max(ml);
        let own =
            if all_ml > 0.0 { self.spirit.drawn.band_ml() * (ml / all_ml).sqrt() } else { 0.0 };
        let litres = Band::of_half_95(ml / 1000.0, own / 1000.0);
        let (less_l, more_l) = (doubt.less_ml / 1000.0, doubt.more_ml / 1000.0);
        let litres = reaching(litres, less_l, more_l).at_least(0.0);
        let share = if ml > 0.0 { alcohol_ml / ml } else { 0.0 };
        let basis = if self.weighs() {
            "weighed under the jar, put right by measured jars"
        } else {
            "take-off, put right by measured jars"
        };
        let strength = (ml > 1.0).then(|| {
            let band = Band::of_half_95(100.0 * share, TOGETHER_HALF_VOL);
            self.value(band.map(|vol| vol.clamp(0.0, 97.2)), "strengths read and reckoned so far")
        });
        Spirit {
            litres: self.value(litres, basis),
            pure_alcohol_l: self.value(
                litres.map(|l| l * share),
                "litres times strength, put right by gauged jars",
            ),
            strength,
        }
    }

    /// What is believed of the charge: by the fresh estimate, else as stated.
    pub(super) fn charge_belief(&self) -> ChargeBelief {
        if let Some(outlook) = self.fresh_outlook() {
            return ChargeBelief {
                litres: outlook.charge_litres,
                strength_vol: outlook.charge_strength_vol,
            };
        }
        let charge = &self.plan.charge;
        let sd = |stated: Option<f64>, of: f64| stated.unwrap_or(CHARGE_SD_UNSTATED * of);
        let band = |of: f64, sd: f64| Band::of_normal(of, sd).at_least(0.0);
        ChargeBelief {
            litres: band(charge.litres, sd(charge.litres_sd, charge.litres)),
            strength_vol: band(charge.strength_vol, sd(charge.strength_sd, charge.strength_vol))
                .map(|vol| vol.min(100.0)),
        }
    }

    /// Where the pure alcohol is.
    pub(crate) fn alcohol_account(&self) -> Account {
        let belief = self.charge_belief();
        let (litres, vol) = (belief.litres, belief.strength_vol);
        let middle = litres.p50 * vol.p50 / 100.0;
        let spread = litres.relative_half_95().hypot(vol.relative_half_95());
        let drawn_l = self.all_spirit().pure_alcohol_l.at;
        let doubt = self.spirit.drawn.in_doubt();
        let held = self.held_alcohol_l();
        // What a still is stated to lose of what it draws.
        let share = self.plan.still.vapour_lost.unwrap_or(0.0);
        let gone = drawn_l.p50 * share / (1.0 - share);
        // What is in measured jars was in the charge.
        let charged = middle.max(drawn_l.p50 + held + gone);
        let charged_l = Band::of_half_95(charged, spread * charged).at_least(0.0);
        let held_l = Band::of_half_95(held, HELD_HALF * held).at_least(0.0);
        let lost_l = if self.course.vapour_s().is_some() {
            let beyond = [0.0, 0.0, 0.0, LOST_SHARE.0 * charged, LOST_SHARE.1 * charged];
            Band::from_array(beyond.map(|litres| gone + litres))
        } else {
            Band::point(0.0)
        };
        let left = (charged - drawn_l.p50 - held - gone).max(0.0);
        let half = |band: &Band| 0.5 * (band.p975 - band.p025);
        let unseen_l = (doubt.less_alcohol_ml + doubt.more_alcohol_ml) / 1000.0;
        let drawn_half = (half(&drawn_l) - 0.5 * unseen_l).max(0.0);
        let own = half(&charged_l).hypot(drawn_half).hypot(half(&held_l));
        let left_l = doubt.still_there(Band::of_half_95(left, own)).at_least(0.0);
        Account { charged_l, drawn_l, held_l, lost_l, left_l }
    }

    /// Pure alcohol that column and drum hold, L, by the forecast's place: stages in between pot
    /// and drum.
    fn held_alcohol_l(&self) -> f64 {
        if self.course.vapour_s().is_none() {
            return 0.0;
        }
        let still = &self.plan.still;
        let drum_vol = self.running_strength();
        let stages = self.place().map(|row| row.stages_vol.as_slice()).unwrap_or_default();
        let stage_vol = if stages.is_empty() {
            drum_vol
        } else {
            stages.iter().sum::<f64>() / stages.len() as f64
        };
        let drum_share = if stages.is_empty() { 1.0 } else { still.drum_fraction };
        let mean_vol = drum_share * drum_vol + (1.0 - drum_share) * stage_vol;
        let most_l = self.plan.charge.litres * self.plan.charge.strength_vol / 100.0;
        (still.holdup_litres * mean_vol / 100.0).min(0.5 * most_l)
    }

    /// Litres of hearts still to come: never more than the alcohol left can make.
    pub(super) fn hearts_to_come(&self, account: &Account) -> Option<Value> {
        let first = self.plan.first_hearts()?;
        let last = self.plan.steps.iter().rposition(|step| step.kind == StepKind::Hearts)?;
        if self.course.steps.index() > last || self.course.is_over() || !self.heater_on() {
            return None;
        }
        let strength = self.hearts_strength_to_come();
        let most = account.left_l.map(|alcohol| 100.0 * alcohol / strength);
        let doubt = self.spirit.drawn.in_doubt();
        let unseen = |band: Band| {
            let alcohol = doubt.still_there(band.map(|litres| litres * strength / 100.0));
            alcohol.map(|litres| 100.0 * litres / strength)
        };
        let capped = |band: Band| unseen(band).at_most_each(&most).at_least(0.0);
        if let Some(outlook) = self.fresh_outlook().filter(|_| !self.blind())
            && let Some(to_come) = outlook.litres_to_come
        {
            let in_hearts = self.course.steps.index() >= first;
            let since_s = outlook.made_at_s;
            let since_l = if in_hearts { self.spirit.drawn.since(since_s).0 / 1000.0 } else { 0.0 };
            let at = capped(to_come.map(|litres| litres - since_l));
            let basis = "everything measured so far".to_owned();
            return Some(Value { at, basis, made_at_s: since_s });
        }
        if self.blind() {
            return None;
        }
        let (low, likely, high) = self.foresight.forecasts.as_ref()?.alcohol_at_end_of(last)?;
        let before = self.foresight.forecasts.as_ref()?.alcohol_before(first);
        let drawn = (self.spirit.drawn.alcohol_ml() / 1000.0).max(before);
        let litres = |alcohol: f64| 100.0 * (alcohol - drawn).max(0.0) / strength;
        let at = capped(Band::of_eighty(litres(low), litres(likely), litres(high)));
        Some(self.value(at, "the charge as stated and what was drawn"))
    }

    /// Strength that hearts to come should have together, % vol.
    fn hearts_strength_to_come(&self) -> f64 {
        let estimated = self.fresh_outlook().and_then(|outlook| outlook.plan_end);
        let estimated = estimated.map(|end| end.strength_vol.p50);
        // Strength only falls: what runs now is the strongest that is still to come.
        estimated.unwrap_or(0.0).max(self.running_strength()).clamp(20.0, 97.2)
    }

    /// Litres of hearts in all.
    pub(super) fn hearts_in_all(
        &self,
        hearts: Option<&Spirit>,
        to_come: Option<&Value>,
    ) -> Option<Value> {
        let so_far = hearts.map_or(Band::point(0.0), |hearts| hearts.litres.at);
        let to_come = match to_come {
            Some(to_come) => to_come,
            // Hearts that are over are all there were.
            None if hearts.is_some() && !self.hearts_may_come() => {
                return hearts.map(|hearts| hearts.litres.clone());
            }
            None => return None,
        };
        Some(Value { at: so_far.plus(&to_come.at), ..to_come.clone() })
    }

    fn hearts_may_come(&self) -> bool {
        let last = self.plan.steps.iter().rposition(|step| step.kind == StepKind::Hearts);
        !self.course.is_over() && last.is_some_and(|last| self.course.steps.index() <= last)
    }
}
