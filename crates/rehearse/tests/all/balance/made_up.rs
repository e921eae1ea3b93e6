//! Runs with a hidden truth: what is stated, rehearsed with a charge, a glass or a loss that nobody
//! knows.

use advise::{Event, Live, LiveOptions};
use alcoholometry::gauge::{Scale, would_read};
use rehearse::Rehearsal;
use sense::{Action, Amount, JarRecord, RecordedRun, Vessel, VesselRecord, jar};
use still::plan::{RunPlan, StepKind, TakeOff};

/// Numbers from 0 to 1 of a seed, each by its name.
#[derive(Clone, Copy)]
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    pub(crate) fn unit(self, name: u64) -> f64 {
        let mut x =
            self.0.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ name.wrapping_mul(0xD1B5_4A32_D192_ED03);
        for _ in 0..3 {
            x ^= x >> 30;
            x = x.wrapping_mul(0xBF58_476D_1CE4_E5B9);
            x ^= x >> 27;
        }
        (x >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(self, name: u64, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit(name)
    }

    /// Nearly normal: the sum of four.
    pub(crate) fn normal(self, name: u64) -> f64 {
        let sum: f64 = (0..4).map(|n| self.unit(1000 * (name + 1) + n)).sum();
        (sum - 2.0) * 3.0_f64.sqrt()
    }

    fn sign(self, name: u64) -> f64 {
        if self.unit(name) < 0.5 { -1.0 } else { 1.0 }
    }
}

/// What is really the matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Truth {
    Nothing,
    Charge,
    Glass,
    Lost,
    Forgotten,
}

impl Truth {
    pub(crate) const ALL: [Self; 5] =
        [Self::Nothing, Self::Charge, Self::Glass, Self::Lost, Self::Forgotten];

    pub(crate) const fn code(self) -> &'static str {
        match self {
            Self::Nothing => "nothing_missing",
            Self::Charge => "charge_not_as_stated",
            Self::Glass => "reading_error",
            Self::Lost => "vapour_lost",
            Self::Forgotten => "left_in_boiler",
        }
    }
}

/// A run as it was recorded, everything gauged.
pub(crate) struct MadeUp {
    pub(crate) hidden: String,
    pub(crate) stated: RunPlan,
    pub(crate) rows: RecordedRun,
}

/// Makes a run of `stated` with a truth drawn by the seed.
pub(crate) fn made_up(stated: &RunPlan, truth: Truth, seed: u64) -> MadeUp {
    let chance = Chance(seed);
    let mut stated = stated.clone();
    if truth == Truth::Forgotten {
        // Nobody runs it out: the plan stops in the middle of its hearts.
        let first = stated.first_hearts().expect("it has hearts");
        let litres = stated.charge.litres * stated.charge.strength_vol / 100.0;
        stated.steps.truncate(first + 1);
        stated.steps[first].until_strength_vol = None;
        stated.steps[first].until_rise_k = None;
        stated.steps[first].until_ml = Some(1000.0 * litres * chance.between(1, 0.4, 0.65));
        stated.steps.push(still::plan::Step::new(StepKind::Stop));
    }
    let lost = if truth == Truth::Lost { chance.between(2, 0.03, 0.15) } else { 0.0 };
    let mut real = stated.clone();
    let charge = &mut real.charge;
    let sd = |stated: Option<f64>, value: f64| stated.unwrap_or(0.02 * value);
    charge.litres += sd(charge.litres_sd, charge.litres) * chance.normal(3);
    charge.strength_vol += sd(charge.strength_sd, charge.strength_vol) * chance.normal(4);
    if truth == Truth::Charge {
        let off = 1.0 + chance.sign(5) * chance.between(6, 0.05, 0.2);
        if chance.unit(7) < 0.7 { charge.strength_vol *= off } else { charge.litres *= off }
    }
    let still = &mut real.still;
    if still.kind == still::plan::StillKind::Column {
        still.stages = (still.stages * (1.0 + 0.12 * chance.normal(8))).round().max(2.0);
    }
    still.boiler_loss_w_per_k *= 1.0 + 0.25 * chance.normal(9);
    still.column_loss_w_per_k *= 1.0 + 0.25 * chance.normal(10);
    still.holdup_litres *= 1.0 + 0.2 * chance.normal(11);
    for step in &mut real.steps {
        for drawn in [&mut step.takeoff_ml_per_min, &mut step.until_ml].into_iter().flatten() {
            *drawn /= 1.0 - lost;
        }
    }
    let glass =
        if truth == Truth::Glass { chance.sign(12) * chance.between(13, 0.03, 0.1) } else { 0.0 };
    let rows = recorded(&stated, &real, chance, lost, glass);
    let (stated_charge, charge) = (&stated.charge, &real.charge);
    let hidden = format!(
        "litres {:+.3} strength {:+.3} lost {lost:.3} glass {glass:+.3}",
        charge.litres / stated_charge.litres - 1.0,
        charge.strength_vol / stated_charge.strength_vol - 1.0,
    );
    MadeUp { hidden, stated, rows }
}

/// Rehearses the real still while the engine knows the stated one.
fn recorded(
    stated: &RunPlan,
    real: &RunPlan,
    chance: Chance,
    lost: f64,
    glass: f64,
) -> RecordedRun {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut live = Live::new(stated.clone(), options).expect("the plan is sound");
    let mut rehearsal = Rehearsal::new(real, chance.0, true).expect("the plan is sound");
    let (mut due, mut rows): (Vec<Event>, _) = (Vec::new(), RecordedRun::default());
    let mut drawn = vec![(0.0, 0.0, 0.0)];
    let (jug, own_glass) = (0.008 * chance.normal(20), 0.2 * chance.normal(21));
    for second in 0..90_000 {
        let mut part = rehearsal.second(second, &due).expect("the still can be simulated");
        for (_, action) in &mut part.actions {
            if let Action::TakeOff { take_off: TakeOff::MlPerMin(rate), .. } = action {
                *rate *= 1.0 - lost;
            }
        }
        if second.is_multiple_of(5) || !part.jars.is_empty() {
            let state = rehearsal.truth().expect("the still can be simulated");
            drawn.push((second as f64, state.drawn.litres_20c, state.drawn.pure_alcohol_l));
        }
        for record in &mut part.jars {
            read_all(record, &drawn);
            record.volume_ml *= (1.0 - lost) * (1.0 + jug);
            if let Some(read) = &mut record.apparent_vol {
                *read = (*read * (1.0 + glass) + own_glass).clamp(0.0, 100.0);
            }
        }
        due = live.rows(&part);
        due.extend(live.tick(second));
        rows.append(part);
        if live.end().is_some() || rehearsal.finished() {
            break;
        }
    }
    let state = rehearsal.truth().expect("the still can be simulated");
    let drained = chance.between(22, 0.6, 1.0);
    let litres = state.pot.litres_20c + drained * state.held.litres_20c;
    let alcohol_l = state.pot.pure_alcohol_l + drained * state.held.pure_alcohol_l;
    let vol = (100.0 * alcohol_l / litres + 0.3 * chance.normal(23)).clamp(0.1, 90.0);
    let apparent_vol = would_read(vol, 22.0, Scale::Vol20).ok();
    let amount = Amount::Litres(litres * (1.0 + 0.015 * chance.normal(24)));
    let residue =
        VesselRecord { vessel: Vessel::Residue, amount, apparent_vol, celsius: Some(22.0) };
    rows.actions.push((rows.last_s(), Action::Vessel(residue)));
    rows
}

/// Reads the glass in a jar that holds enough for it and was not read.
fn read_all(record: &mut JarRecord, drawn: &[(f64, f64, f64)]) {
    let at =
        |time_s: f64| drawn.iter().rev().find(|row| row.0 <= time_s).copied().unwrap_or_default();
    let (from, to) = (at(record.start_s), at(record.end_s));
    if record.apparent_vol.is_some() || record.volume_ml < 80.0 || to.1 - from.1 < 0.02 {
        return;
    }
    let vol = 100.0 * (to.2 - from.2) / (to.1 - from.1);
    record.temperature_c = Some(21.0);
    record.apparent_vol = would_read(vol, 21.0, Scale::Vol20).ok();
}

/// Without the residue's gauging, and without what the glass read in the jars.
pub(crate) fn without(rows: &RecordedRun, residue: bool, readings: bool) -> RecordedRun {
    let mut rows = rows.clone();
    if residue {
        rows.actions.retain(|(_, action)| !matches!(action, Action::Vessel(_)));
    }
    if readings {
        rows.jars.iter_mut().for_each(|jar| jar.apparent_vol = None);
    }
    rows
}

/// Litres of pure alcohol in the jars that were measured and read.
pub(crate) fn read_l(rows: &RecordedRun) -> f64 {
    let pure = |record| {
        let read = jar::gauged(record, None);
        read.litres_20c * read.strength_vol.unwrap_or(0.0) / 100.0
    };
    rows.jars.iter().map(pure).sum()
}

/// A sample of that many litres and % vol at 20 °C.
pub(crate) fn sample(litres: f64, vol: f64) -> Action {
    Action::Vessel(VesselRecord {
        vessel: Vessel::Sample,
        amount: Amount::Litres(litres),
        apparent_vol: Some(vol),
        celsius: Some(20.0),
    })
}
