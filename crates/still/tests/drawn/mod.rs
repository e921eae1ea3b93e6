//! Plans drawn by seed: columns and pots, 5 to 200 L, high up and by the sea, every kind of ending. Another crate takes
//! this file in with `#[path]`.

use std::collections::BTreeMap;

use still::plan::{Charge, ChargeKind, OwnStill, RunPlan, Site, Step, StepKind, Still, StillKind};

/// Seeds tried for one plan that passes its check; nearly every first one does.
const TRIES_MAX: u64 = 50;
/// A pot boils so much colder for each hPa less than at the sea, K (steam tables, rounded).
const COLDER_C_PER_HPA: f64 = 0.033;
const SEA_HPA: f64 = 1013.25;

/// A small generator of its own (splitmix64), the same on every machine.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) const fn of(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Even over the logarithm.
    pub(crate) fn scaled(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    pub(crate) fn pick(&mut self, count: usize) -> usize {
        let share = self.unit();
        (1..count).take_while(|place| *place as f64 <= share * count as f64).count()
    }
}

/// Number of plans asked for by `MIDDLECUT_DRAWN_PLANS`, or so many.
pub(crate) fn count(usual: u64) -> u64 {
    std::env::var("MIDDLECUT_DRAWN_PLANS").ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// The plan of a seed; it passes its check.
pub(crate) fn plan(seed: u64) -> RunPlan {
    let tries = (0..TRIES_MAX).map(|attempt| draw(seed.wrapping_mul(TRIES_MAX) + attempt));
    let mut sound = tries.filter(|plan| plan.check().is_ok());
    sound.next().unwrap_or_else(|| panic!("no sound plan of seed {seed}"))
}

fn draw(seed: u64) -> RunPlan {
    let mut dice = Dice(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x5eed);
    let litres = dice.scaled(5.0, 200.0);
    let still = still(&mut dice, litres);
    let charge = charge(&mut dice, litres);
    let site = Site {
        pressure_hpa: dice.between(600.0, 1040.0),
        ambient_c: dice.between(5.0, 30.0),
        coolant_in_c: 12.0,
        coolant_l_per_min: 3.0,
    };
    let mut steps = steps(&mut dice, &still, &charge);
    let colder_c = COLDER_C_PER_HPA * (SEA_HPA - site.pressure_hpa);
    for limit_c in steps.iter_mut().filter_map(|step| step.until_pot_c.as_mut()) {
        *limit_c -= colder_c;
    }
    let mut plan = RunPlan {
        format: 1,
        title: format!("drawn {seed}"),
        start: "2026-10-03T08:12:00+02:00".into(),
        still,
        charge,
        site,
        steps,
    };
    odd_end(&mut dice, &mut plan);
    plan
}

/// Some plans come to an end that they do not ask for.
fn odd_end(dice: &mut Dice, plan: &mut RunPlan) {
    let share = dice.unit();
    match dice.pick(20) {
        // A cover that bites: somewhere between what heads and tails leave.
        0..=2 => plan.still.element_cover_litres = plan.charge.litres * (0.75 + 0.22 * share),
        // Heated from outside and drawn till nothing is left.
        3 => last_drawn(plan, |step, plan| {
            step.until_total_ml = Some(1.1e3 * plan.charge.litres);
            step.takeoff_ml_per_min = None;
            step.reflux_ratio = Some(0.1);
            plan.still.element_cover_litres = 0.0;
        }),
        // About the power that the boiler loses: at last, or at once, no vapour comes.
        4 => last_drawn(plan, |step, plan| {
            let lost_w = plan.still.boiler_loss_w_per_k * (95.0 - plan.site.ambient_c);
            step.watts = Some((lost_w * (0.9 + 0.2 * share)).min(plan.heater_power().watts()));
        }),
        _ => {}
    }
}

/// Changes the last step before the stop, which then has no other end.
fn last_drawn(plan: &mut RunPlan, change: impl Fn(&mut Step, &mut RunPlan)) {
    let place = plan.steps.len() - 2;
    let before = plan.steps[place].clone();
    let mut step = Step {
        until_ml: Some(1e3 * plan.charge.litres),
        until_rise_k: None,
        until_pot_c: None,
        until_strength_vol: None,
        minutes: None,
        ..before
    };
    change(&mut step, plan);
    plan.steps[place] = step;
}

fn still(dice: &mut Dice, litres: f64) -> Still {
    let watts = (litres * dice.between(60.0, 140.0)).clamp(600.0, 12_000.0).round();
    let pot = dice.chance(0.3);
    let kind = if pot { StillKind::Pot } else { StillKind::Column };
    let own = OwnStill { kind, boiler_litres: litres, elements_watts: vec![watts] };
    let (mut still, _) = own.complete("Drawn still");
    still.element_cover_litres = 0.08 * litres;
    if pot {
        still.stages = if dice.chance(0.5) { 0.0 } else { 1.0 };
        return still;
    }
    still.stages = dice.between(2.0, 25.0);
    if dice.chance(0.5) {
        still.stages = still.stages.round();
        still.efficiency = dice.chance(0.5).then(|| dice.between(0.5, 1.0));
    }
    still.holdup_litres *= dice.between(0.5, 1.5);
    if dice.chance(0.15) {
        still.reflux_c = Some(dice.between(30.0, 60.0));
    }
    still
}

fn charge(dice: &mut Dice, litres: f64) -> Charge {
    let kinds =
        [ChargeKind::SugarWash, ChargeKind::GrainWash, ChargeKind::FruitWash, ChargeKind::LowWines];
    let strength_vol =
        if dice.chance(0.7) { dice.between(5.0, 14.0) } else { dice.between(20.0, 45.0) };
    Charge {
        kind: Some(kinds[dice.pick(4)]),
        litres: litres * dice.between(0.5, 0.8),
        strength_vol,
        temperature_c: dice.between(5.0, 35.0),
        litres_sd: None,
        strength_sd: None,
        congeners_mg_per_l: dice.chance(0.5).then(BTreeMap::new),
        feints: None,
    }
}

fn steps(dice: &mut Dice, still: &Still, charge: &Charge) -> Vec<Step> {
    let watts: f64 = still.elements_watts.iter().sum();
    let run_w = watts * dice.between(0.5, 1.0);
    let alcohol_ml = 10.0 * charge.litres * charge.strength_vol;
    // Moles of vapour by those watts, as mL/min of spirit.
    let vapour_ml_min = run_w * 60.0 * 44.1 / 39_000.0;
    let column = still.kind == StillKind::Column;
    let rate = |dice: &mut Dice, step: &mut Step, low: f64, high: f64| {
        if dice.chance(0.5) || !column {
            step.takeoff_ml_per_min = Some(vapour_ml_min * dice.between(low, high));
        } else {
            step.reflux_ratio = Some(1.0 / dice.between(low, high) - 1.0);
        }
        if !column && dice.chance(0.6) {
            step.takeoff_ml_per_min = None;
        }
    };
    let mut steps = vec![Step { watts: Some(watts), ..Step::new(StepKind::Heat) }];
    if column {
        let minutes = Some(dice.between(10.0, 40.0).round());
        steps.push(Step { watts: Some(run_w), minutes, ..Step::new(StepKind::Equalise) });
    }
    for (kind, share) in [(StepKind::Foreshots, 0.01), (StepKind::Heads, 0.06)] {
        if dice.chance(0.8) {
            let mut step = Step { watts: Some(run_w), ..Step::new(kind) };
            rate(dice, &mut step, 0.05, 0.3);
            let total = kind == StepKind::Heads && dice.chance(0.3);
            let ml = Some((alcohol_ml * share * dice.between(0.5, 1.5)).max(2.0));
            (step.until_ml, step.until_total_ml) = if total { (None, ml) } else { (ml, None) };
            if dice.chance(0.2) {
                step.minutes = Some(dice.between(5.0, 60.0));
            }
            steps.push(step);
        }
    }
    let phases = if dice.chance(0.35) { 2 } else { 1 };
    for phase in 0..phases {
        let mut step = Step { watts: Some(run_w), ..Step::new(StepKind::Hearts) };
        let slower = if phase == 1 { 0.4 } else { 1.0 };
        rate(dice, &mut step, 0.15 * slower, 0.45 * slower);
        ends(dice, &mut step, alcohol_ml, phase, column);
        steps.push(step);
    }
    if dice.chance(0.65) {
        let mut step = Step::new(StepKind::Tails);
        step.watts = dice.chance(0.3).then(|| run_w * dice.between(0.5, 1.0));
        rate(dice, &mut step, 0.2, 0.8);
        match dice.pick(3) {
            0 => step.until_strength_vol = Some(dice.between(15.0, 50.0)),
            1 => step.until_pot_c = Some(dice.between(95.0, 99.0)),
            _ => step.until_ml = Some(alcohol_ml * dice.between(0.05, 0.5)),
        }
        if dice.chance(0.4) {
            step.minutes = Some(dice.between(20.0, 200.0));
        }
        steps.push(step);
    }
    steps.push(Step::new(StepKind::Stop));
    steps
}

/// Ends of a hearts phase: one kind or two.
fn ends(dice: &mut Dice, step: &mut Step, alcohol_ml: f64, phase: usize, column: bool) {
    let share = if phase == 0 { dice.between(0.3, 0.7) } else { dice.between(0.05, 0.2) };
    for _ in 0..=dice.pick(2) {
        match dice.pick(if column { 8 } else { 6 }) {
            0 => step.until_ml = Some(alcohol_ml * share),
            1 => step.until_total_ml = Some(alcohol_ml * (share + 0.15)),
            2 => step.until_strength_vol = Some(dice.between(45.0, 90.0)),
            3 => step.until_pot_c = Some(dice.between(88.0, 97.0)),
            4 => step.minutes = Some(dice.between(20.0, 240.0)),
            _ => step.until_rise_k = Some(dice.between(0.15, 1.2)),
        }
    }
}
