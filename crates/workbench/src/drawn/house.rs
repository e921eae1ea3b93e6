//! A still as it really is, its charge, the instruments of its owner and what breaks, by chance.

use still::plan::{RunPlan, Site};

use super::chance::Chance;
use super::in_column::InColumn;
use super::liquid::mol_of;
use super::plant::{Build, LATENT_J_MOL};
use super::stated::{self, said};
use super::weather::Weather;

/// A spirit of 44 mL/mol.
const MOL_PER_L: f64 = 23.0;

/// What is distilled, in what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// A column by wash.
    ColumnWeak,
    /// A column by low wines.
    ColumnStrong,
    /// A pot of one contact to two.
    Pot,
}

impl Family {
    /// As recordings name it.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::ColumnWeak => "col_weak",
            Self::ColumnStrong => "col_strong",
            Self::Pot => "pot",
        }
    }
}

/// From where to where stills, charges and places vary.
#[derive(Debug, Clone, Copy)]
pub struct Ranges {
    stages: (f64, f64),
    efficiency: (f64, f64),
    wash_vol: (f64, f64),
    low_wines_vol: (f64, f64),
    pressure_hpa: (f64, f64),
    boiler_l: (f64, f64),
    heat_w_per_l: (f64, f64),
    pot_reflux: (f64, f64),
    /// Least strength with which an owner begins hearts by a column, % vol.
    pub(super) hearts_vol_min: f64,
}

impl Ranges {
    /// Stills as they stand in sheds.
    pub const USUAL: Self = Self {
        stages: (5.0, 25.0),
        efficiency: (0.5, 0.9),
        wash_vol: (8.0, 16.0),
        low_wines_vol: (20.0, 35.0),
        pressure_hpa: (950.0, 1030.0),
        boiler_l: (15.0, 100.0),
        heat_w_per_l: (55.0, 110.0),
        pot_reflux: (0.03, 0.15),
        hearts_vol_min: 85.0,
    };
    /// Small and big ones, on mountains, by weak wash and by feints.
    pub const STRESS: Self = Self {
        stages: (4.0, 25.0),
        efficiency: (0.4, 0.95),
        wash_vol: (6.0, 16.0),
        low_wines_vol: (20.0, 45.0),
        pressure_hpa: (600.0, 900.0),
        boiler_l: (10.0, 200.0),
        heat_w_per_l: (40.0, 140.0),
        pot_reflux: (0.02, 0.3),
        hearts_vol_min: 78.0,
    };
}

/// What is broken, and since when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Fault {
    None,
    /// The heater gives this share from then on.
    ElementFailing {
        since_s: f64,
        left: f64,
    },
    /// The head thermometer drifts by so many kelvins an hour from then on.
    Drift {
        since_s: f64,
        k_per_h: f64,
    },
    /// The strength was stated a tenth off.
    WrongStrength,
}

impl Fault {
    /// As recordings name it.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::ElementFailing { .. } => "element_failing",
            Self::Drift { .. } => "drift",
            Self::WrongStrength => "wrong_strength",
        }
    }

    /// Since when, s.
    pub(super) const fn since_s(self) -> Option<f64> {
        match self {
            Self::None => None,
            Self::ElementFailing { since_s, .. } | Self::Drift { since_s, .. } => Some(since_s),
            Self::WrongStrength => Some(0.0),
        }
    }
}

/// How the owner's instruments err.
#[derive(Debug, Clone, Copy)]
pub(super) struct Instruments {
    pub(super) sensors: &'static str,
    pub(super) every_s: u32,
    pub(super) head_lag_s: f64,
    pub(super) head_offset_k: f64,
    pub(super) pot_offset_k: f64,
    pub(super) barometer_hpa: f64,
    pub(super) wattmeter: f64,
    pub(super) coolant_meter: f64,
    /// Factor of the jug in every reading, and its scatter.
    pub(super) jug: f64,
    pub(super) jug_sd: f64,
    /// What the glass reads too high in every reading, and its scatter, % vol.
    pub(super) glass_vol: f64,
    pub(super) glass_sd_vol: f64,
}

impl Instruments {
    fn draw(chance: &mut Chance) -> Self {
        Self {
            sensors: chance.one_of(&["head", "head_pot", "full"]),
            every_s: chance.one_of(&[15, 20, 30]),
            head_lag_s: chance.between((20.0, 120.0)),
            head_offset_k: chance.normal(0.2),
            pot_offset_k: chance.normal(0.2),
            barometer_hpa: chance.normal(0.7),
            wattmeter: chance.factor(0.005),
            coolant_meter: chance.factor(0.01),
            jug: chance.factor(0.01),
            jug_sd: chance.between((0.015, 0.025)),
            glass_vol: chance.normal(0.25),
            glass_sd_vol: chance.between((0.2, 0.4)),
        }
    }
}

/// A run that can be made: the truth, and the plan by what its owner believes.
#[derive(Debug, Clone)]
pub(super) struct House {
    pub(super) family: Family,
    pub(super) is_low_wines: bool,
    pub(super) build: Build,
    /// Where between two readings of the equilibrium its liquid lies.
    pub(super) mixture: f64,
    pub(super) litres: f64,
    pub(super) vol: f64,
    pub(super) instruments: Instruments,
    /// The thermometer in the column, where the owner has one.
    pub(super) in_column: Option<InColumn>,
    pub(super) weather: Weather,
    pub(super) fault: Fault,
    pub(super) plan: RunPlan,
}

impl House {
    pub(super) fn draw(chance: &mut Chance, family: Family, ranges: &Ranges, name: &str) -> Self {
        let is_low_wines =
            family == Family::ColumnStrong || family == Family::Pot && chance.happens(0.5);
        let boiler_l = chance.size_between(ranges.boiler_l).round();
        let litres = boiler_l * chance.between((0.6, 0.85));
        let vol = chance.between(if is_low_wines { ranges.low_wines_vol } else { ranges.wash_vol });
        let heat_w = said(litres * chance.between(ranges.heat_w_per_l));
        let is_pot = family == Family::Pot;
        let run_w = said(heat_w * chance.between(if is_pot { (0.5, 0.85) } else { (0.4, 0.7) }));
        let build = build(chance, ranges, is_pot, boiler_l, run_w);
        let site = Site {
            pressure_hpa: chance.between(ranges.pressure_hpa).round(),
            ambient_c: chance.between((6.0, 30.0)).round(),
            coolant_in_c: chance.between((8.0, 22.0)).round(),
            // So much that it warms by 20 to 45 K; 69 W warm a litre a minute by one.
            coolant_l_per_min: said(heat_w / 69.0 / chance.between((20.0, 45.0))),
        };
        let mut plan = RunPlan {
            format: 1,
            title: if is_low_wines { "Low wines, again" } else { "Wash, once" }.to_owned(),
            start: "2026-03-07T08:00:00+01:00".to_owned(),
            still: stated::still(chance, &build, (boiler_l, heat_w), name),
            charge: stated::charge(chance, is_low_wines, (litres, vol), site.ambient_c),
            site,
            steps: Vec::new(),
        };
        let effective = build.stages as f64 * build.efficiency;
        plan.steps = stated::steps(chance, &plan, (heat_w, run_w), effective);
        let heated_s = litres * 4180.0 * 65.0 / heat_w;
        let fault = fault(chance, heated_s);
        if fault == Fault::WrongStrength {
            let off = chance.one_of(&[0.9, 1.1]);
            plan.charge.strength_vol = (10.0 * vol * off).round() / 10.0;
        }
        let weather = Weather::draw(chance, &plan.site, heated_s);
        let instruments = Instruments::draw(chance);
        let mixture = chance.between((0.0, 1.0));
        Self {
            family,
            is_low_wines,
            build,
            mixture,
            litres,
            vol,
            instruments,
            in_column: None,
            weather,
            fault,
            plan,
        }
    }

    /// The same with a thermometer in the column, and its place in the plan.
    pub(super) fn with_column(mut self, in_column: InColumn) -> Self {
        self.plan.format = 2;
        self.plan.still.column_probe_fraction = Some(in_column.stated);
        self.in_column = Some(in_column);
        self
    }

    /// Moles of ethanol and water charged.
    pub(super) fn charge_mol(&self) -> [f64; 2] {
        mol_of(self.litres, self.vol)
    }
}

/// A still of usual proportions (judgement): surfaces go with the two-thirds power of the litres,
/// what a column holds and loses with its height and its vapour.
fn build(chance: &mut Chance, ranges: &Ranges, is_pot: bool, boiler_l: f64, run_w: f64) -> Build {
    let surface = boiler_l.powf(2.0 / 3.0);
    let kilowatts = run_w / 1000.0;
    let stages = if is_pot { 1.0 } else { chance.between(ranges.stages).round() };
    let efficiency = chance.between(if is_pot { (0.3, 0.9) } else { ranges.efficiency });
    let size = stages * kilowatts.sqrt();
    let (column_loss_w_k, stage_mol, drum_l) = if is_pot {
        // So much of the vapour runs back at 60 K over the room, as a film that takes a minute.
        let back_w = chance.between(ranges.pot_reflux) * run_w;
        (back_w / 60.0, back_w / LATENT_J_MOL[0] * chance.between((30.0, 90.0)), 0.001 * boiler_l)
    } else {
        let held_l = 0.02 * kilowatts * chance.between((0.4, 1.3));
        let loss_w_k = 0.1 + 0.04 * size * chance.between((0.5, 1.5));
        (loss_w_k, MOL_PER_L * held_l, kilowatts * chance.between((0.02, 0.06)))
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 25")]
    Build {
        is_pot,
        stages: stages as usize,
        efficiency,
        stage_mol,
        drum_mol: MOL_PER_L * drum_l,
        boiler_loss_w_k: chance.between((0.12, 0.3)) * surface,
        column_loss_w_k,
        boiler_metal_j_k: 1000.0 * chance.between((0.45, 0.8)) * surface,
        column_metal_j_k: 1000.0 * if is_pot { 0.1 * surface } else { 0.15 * size },
        drop_pa: chance.between((15.0, 55.0)),
    }
}

/// In a quarter of the runs something is broken (judgement).
fn fault(chance: &mut Chance, heated_s: f64) -> Fault {
    if !chance.happens(0.25) {
        return Fault::None;
    }
    let since_s = heated_s * chance.between((1.1, 3.0));
    let failing = Fault::ElementFailing { since_s, left: chance.between((0.6, 0.9)) };
    let k_per_h = chance.one_of(&[-1.0, 1.0]) * chance.between((0.1, 0.5));
    chance.one_of(&[failing, Fault::Drift { since_s, k_per_h }, Fault::WrongStrength])
}
