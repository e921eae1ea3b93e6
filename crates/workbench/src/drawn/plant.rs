//! A batch still in time: a boiler, stages that each hold liquid, a drum, and what was drawn.
//!
//! One mole of vapour condensed boils one mole of liquid (constant molal overflow), but for what the
//! wall loses; each stage has its own balance of ethanol, integrated explicitly with a step that the
//! fastest stage allows. Flows are those of one state, so that what leaves one place arrives in another.

use super::boiling::{Boil, Boiling, ICE_POINT_K};

/// Latent heats of ethanol and water near 80 and 95 °C, J/mol (handbook, from memory: 0.84 and 2.26 kJ/g).
pub(super) const LATENT_J_MOL: [f64; 2] = [38_700.0, 40_700.0];
/// Heat capacities of the liquids near 70 °C, J/(mol K) (handbook, from memory).
const CP_J_MOL_K: [f64; 2] = [130.0, 75.5];
/// Most that the vapour of a weak liquid is stronger than it, for the step.
const STEEPEST: f64 = 14.0;
/// Most of the vapour that a valve can draw (judgement): some must run back.
const DRAWN_SHARE_MAX: f64 = 0.95;

/// The still as it really is.
#[derive(Debug, Clone)]
pub(super) struct Build {
    pub(super) is_pot: bool,
    pub(super) stages: usize,
    /// Murphree efficiency of each, by vapour.
    pub(super) efficiency: f64,
    pub(super) stage_mol: f64,
    pub(super) drum_mol: f64,
    pub(super) boiler_loss_w_k: f64,
    pub(super) column_loss_w_k: f64,
    pub(super) boiler_metal_j_k: f64,
    pub(super) column_metal_j_k: f64,
    pub(super) drop_pa: f64,
}

/// How much of the condensate is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Draw {
    /// A share of it.
    Share(f64),
    /// Moles per second.
    MolS(f64),
}

/// What acts on the still now.
#[derive(Debug, Clone, Copy)]
pub(super) struct Around {
    pub(super) heater_w: f64,
    pub(super) ambient_c: f64,
    pub(super) top_pa: f64,
    /// Loss of the walls over what it is in calm air.
    pub(super) draught: f64,
    pub(super) draw: Draw,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Phase {
    Warming,
    /// Heat that the column's metal still takes, J.
    Soaking(f64),
    /// Moles that still have to condense to fill column and drum.
    Filling(f64),
    Boiling,
}

/// The flows of one state.
#[derive(Debug, Clone, Copy, Default)]
struct Flows {
    top_mol_s: f64,
    top_y: f64,
    is_starved: bool,
}

/// The still in time.
#[derive(Debug, Clone)]
pub(super) struct Plant {
    pub(super) build: Build,
    boiling: Boiling,
    phase: Phase,
    pot_k: f64,
    /// Moles of ethanol and water in the boiler; mole fractions on the stages, upwards, and in the
    /// drum; moles drawn.
    state: Vec<f64>,
    flows: Flows,
}

fn fraction([ethanol, water]: [f64; 2]) -> f64 {
    ethanol / (ethanol + water)
}

fn mix(x: f64, [ethanol, water]: [f64; 2]) -> f64 {
    x * ethanol + (1.0 - x) * water
}

impl Plant {
    /// Charged and cold.
    pub(super) fn new(build: Build, boiling: Boiling, charge_mol: [f64; 2], celsius: f64) -> Self {
        let mut state = vec![0.0; build.stages + 5];
        state[..2].copy_from_slice(&charge_mol);
        let pot_k = celsius + ICE_POINT_K;
        Self { build, boiling, phase: Phase::Warming, pot_k, state, flows: Flows::default() }
    }

    fn drum(&self) -> usize {
        self.build.stages + 2
    }

    /// Moles of ethanol and water in the boiler.
    pub(super) fn pot_mol(&self) -> [f64; 2] {
        [self.state[0], self.state[1]]
    }

    /// Moles of ethanol and water drawn.
    pub(super) fn drawn_mol(&self) -> [f64; 2] {
        [self.state[self.drum() + 1], self.state[self.drum() + 2]]
    }

    /// Moles of ethanol and water in boiler, column and drum.
    pub(super) fn held_mol(&self) -> [f64; 2] {
        let drum = self.drum();
        let [ethanol, water] = self.pot_mol();
        if !self.is_boiling() {
            return [ethanol, water];
        }
        let held = |x: &f64| x * self.build.stage_mol;
        let in_column = self.state[2..drum].iter().map(held).sum::<f64>();
        let held_e = in_column + self.state[drum] * self.build.drum_mol;
        let all = self.build.stages as f64 * self.build.stage_mol + self.build.drum_mol;
        [ethanol + held_e, water + all - held_e]
    }

    /// Mole fraction in the drum.
    pub(super) fn drum_x(&self) -> f64 {
        self.state[self.drum()]
    }

    /// Vapour that reaches the condenser, mol/s.
    pub(super) fn top_mol_s(&self) -> f64 {
        self.flows.top_mol_s
    }

    /// Whether more was asked for than the condenser gives.
    pub(super) fn is_starved(&self) -> bool {
        self.flows.is_starved
    }

    /// Whether everything is filled and spirit can run.
    pub(super) fn is_boiling(&self) -> bool {
        self.phase == Phase::Boiling
    }

    /// Temperature in the boiler, °C.
    pub(super) fn pot_c(&self) -> f64 {
        self.pot_k - ICE_POINT_K
    }

    /// Temperature of the vapour that leaves the column, °C; of the room before any does.
    pub(super) fn head_c(&self, around: &Around) -> f64 {
        match self.phase {
            Phase::Warming | Phase::Soaking(_) => around.ambient_c,
            Phase::Filling(_) => {
                self.boiling.dew_k(self.first_y(around), around.top_pa) - ICE_POINT_K
            }
            Phase::Boiling => self.boiling.dew_k(self.flows.top_y, around.top_pa) - ICE_POINT_K,
        }
    }

    /// Vapour that leaves the boiler, mole fraction.
    pub(super) fn pot_y(&self, around: &Around) -> f64 {
        self.boiling.at(fraction(self.pot_mol()), self.pot_pa(around)).y
    }

    /// The liquid of a stage, upwards from 0, at the boil.
    pub(super) fn boiling_at(&self, stage: usize, pressure_pa: f64) -> Boil {
        self.boiling.at(self.state[2 + stage], pressure_pa)
    }

    /// So much of a liquid's temperature, the rest of a vapour's, °C.
    pub(super) fn mixed_c(&self, wet: f64, (liquid_k, y): (f64, f64), pressure_pa: f64) -> f64 {
        let vapour_k = self.boiling.dew_k(y, pressure_pa);
        wet * liquid_k + (1.0 - wet) * vapour_k - ICE_POINT_K
    }

    fn pot_pa(&self, around: &Around) -> f64 {
        around.top_pa + (self.build.stages as f64 + 1.0) * self.build.drop_pa
    }

    /// The first vapour at the top: it passes what condensed before it.
    fn first_y(&self, around: &Around) -> f64 {
        let y = self.boiling.at(fraction(self.pot_mol()), self.pot_pa(around)).y;
        y + self.build.efficiency * (self.boiling.at(y, around.top_pa).y - y)
    }

    fn heat_j_k(&self) -> f64 {
        let [ethanol, water] = self.pot_mol();
        ethanol * CP_J_MOL_K[0] + water * CP_J_MOL_K[1] + self.build.boiler_metal_j_k
    }

    fn net_w(&self, around: &Around) -> f64 {
        let over_k = self.pot_k - ICE_POINT_K - around.ambient_c;
        around.heater_w - self.build.boiler_loss_w_k * around.draught * over_k
    }

    /// Goes on by whole seconds.
    pub(super) fn go_on(&mut self, around: &Around, seconds: u32) {
        for _ in 0..seconds {
            match self.phase {
                Phase::Boiling => self.boil(around),
                _ => self.heat_up(around),
            }
        }
    }

    /// One second before spirit can run.
    fn heat_up(&mut self, around: &Around) {
        let pot_pa = self.pot_pa(around);
        let at = self.boiling.at(fraction(self.pot_mol()), pot_pa);
        let net_w = self.net_w(around);
        self.phase = match self.phase {
            Phase::Warming => {
                self.pot_k += net_w / self.heat_j_k();
                let top_k = self.boiling.dew_k(self.first_y(around), around.top_pa);
                let soak_j = self.build.column_metal_j_k * (top_k - ICE_POINT_K - around.ambient_c);
                if self.pot_k < at.kelvin { Phase::Warming } else { Phase::Soaking(soak_j) }
            }
            Phase::Soaking(left_j) if left_j > net_w => Phase::Soaking(left_j - net_w.max(0.0)),
            Phase::Soaking(_) => {
                let stages = self.build.stages as f64 * self.build.stage_mol;
                Phase::Filling(stages + self.build.drum_mol)
            }
            Phase::Filling(left_mol) => {
                let slope_k = self.boiling.slope_k(fraction(self.pot_mol()), pot_pa);
                let mol: f64 = self.pot_mol().iter().sum();
                let x = fraction(self.pot_mol());
                let each_j = mix(at.y, LATENT_J_MOL) - self.heat_j_k() * slope_k * (at.y - x) / mol;
                let boiled = (net_w.max(0.0) / each_j).min(left_mol);
                self.state[0] -= boiled * at.y;
                self.state[1] -= boiled * (1.0 - at.y);
                // Until it is full all that condensed stands mixed; the sum waits in the drum's place.
                let drum = self.drum();
                self.state[drum] += boiled * at.y;
                self.pot_k = self.boiling.at(fraction(self.pot_mol()), pot_pa).kelvin;
                if boiled < left_mol { Phase::Filling(left_mol - boiled) } else { self.filled() }
            }
            Phase::Boiling => Phase::Boiling,
        };
    }

    fn filled(&mut self) -> Phase {
        let drum = self.drum();
        let all = self.build.stages as f64 * self.build.stage_mol + self.build.drum_mol;
        let x = self.state[drum] / all;
        self.state[2..=drum].fill(x);
        self.flows.top_y = x;
        Phase::Boiling
    }

    /// One second at the boil, by Heun's method in steps that the fastest stage allows.
    fn boil(&mut self, around: &Around) {
        let least_mol = self.build.stage_mol.min(self.build.drum_mol);
        let fastest = STEEPEST * (around.heater_w.max(1.0) / LATENT_J_MOL[0]) / least_mol;
        let steps = fastest.ceil().max(1.0);
        let step_s = 1.0 / steps;
        let mut count = steps;
        while count > 0.0 {
            let (first, _) = self.rates(&self.state, around);
            let ahead: Vec<f64> =
                self.state.iter().zip(&first).map(|(value, rate)| value + step_s * rate).collect();
            let (second, flows) = self.rates(&ahead, around);
            for (value, (a, b)) in self.state.iter_mut().zip(first.iter().zip(&second)) {
                *value += 0.5 * step_s * (a + b);
            }
            self.flows = flows;
            count -= 1.0;
        }
        self.pot_k = self.boiling.at(fraction(self.pot_mol()), self.pot_pa(around)).kelvin;
    }

    /// How the state changes, per second.
    fn rates(&self, state: &[f64], around: &Around) -> (Vec<f64>, Flows) {
        let build = &self.build;
        let (stages, drum) = (build.stages, self.drum());
        let pot_pa = self.pot_pa(around);
        let mut rates = vec![0.0; state.len()];
        let losses = self.wall_mol_s(state, around);
        let pot_x = fraction([state[0], state[1]]);
        let pot = self.boiling.at(pot_x, pot_pa);
        let lost: f64 = losses.iter().sum();
        let boiled = self.boiled_mol_s(state, around, lost);
        let top_mol_s = boiled - lost;
        if top_mol_s <= 0.0 {
            return (rates, Flows { is_starved: true, top_y: pot.y, ..Flows::default() });
        }
        let (drawn, is_starved) = self.drawn_mol_s(around.draw, top_mol_s);
        let (mut vapour, mut y) = (boiled, pot.y);
        for stage in 0..stages {
            let (x, above) = (state[2 + stage], state[3 + stage]);
            let stage_pa = around.top_pa + (stages - stage) as f64 * build.drop_pa;
            let leaving = vapour - losses[stage];
            let leaving_y = y + build.efficiency * (self.boiling.at(x, stage_pa).y - y);
            let (from_above, down) = (leaving - drawn, vapour - drawn);
            rates[2 + stage] = (from_above * above + vapour * y - leaving * leaving_y - down * x)
                / build.stage_mol;
            (vapour, y) = (leaving, leaving_y);
        }
        rates[drum] = vapour * (y - state[drum]) / build.drum_mol;
        rates[drum + 1] = drawn * state[drum];
        rates[drum + 2] = drawn * (1.0 - state[drum]);
        let back = boiled - drawn;
        rates[0] = back * state[2] - boiled * pot.y;
        rates[1] = back * (1.0 - state[2]) - boiled * (1.0 - pot.y);
        (rates, Flows { top_mol_s, top_y: y, is_starved })
    }

    /// What condenses at the wall of each stage, mol/s.
    fn wall_mol_s(&self, state: &[f64], around: &Around) -> Vec<f64> {
        let of_each = self.build.column_loss_w_k * around.draught / self.build.stages as f64;
        let lost = |x: &f64| {
            let over_k = self.boiling.at(*x, around.top_pa).kelvin - ICE_POINT_K - around.ambient_c;
            of_each * over_k / mix(*x, LATENT_J_MOL)
        };
        state[2..self.drum()].iter().map(lost).collect()
    }

    /// What the boiler boils, mol/s: the heat that is left after the wall and after warming what
    /// weakens.
    fn boiled_mol_s(&self, state: &[f64], around: &Around, lost: f64) -> f64 {
        let pot_pa = self.pot_pa(around);
        let mol = state[0] + state[1];
        let x = state[0] / mol;
        let at = self.boiling.at(x, pot_pa);
        let warms = self.heat_j_k() * self.boiling.slope_k(x, pot_pa) / mol;
        // Drawn = fixed + share x boiled.
        let (fixed, share) = match around.draw {
            Draw::MolS(fixed) => (fixed, 0.0),
            Draw::Share(share) => (-share * lost, share),
        };
        let returned = state[2] - x;
        let each_j = mix(at.y, LATENT_J_MOL) + warms * ((1.0 - share) * returned - (at.y - x));
        (self.net_w(around) + warms * fixed * returned) / each_j
    }

    fn drawn_mol_s(&self, draw: Draw, top_mol_s: f64) -> (f64, bool) {
        let asked = match draw {
            Draw::Share(share) => share * top_mol_s,
            Draw::MolS(asked) => asked,
        };
        let most = if self.build.is_pot { top_mol_s } else { DRAWN_SHARE_MAX * top_mol_s };
        (asked.min(most), asked > most)
    }
}
