//! Runs a textbook still: constant molar overflow, given hold-up, from a uniform start.

use numerics::rosenbrock::Rosenbrock;
use still::column::{Apparatus, Column, Draw};
use still::equilibrium::Equilibrium;
use thermo::{BubblePoint, ThermoError, Warm};

/// Vapour flow of every textbook still here, mol/s.
pub(crate) const VAPOUR_MOL_S: f64 = 1.0;
/// A hold-up that stands for none, mol in each node: what it keeps back is 1e-8 of the charge.
pub(crate) const NEXT_TO_NOTHING_MOL: f64 = 1e-7;
const RTOL: f64 = 1e-9;
const STEPS_MAX: usize = 2_000_000;

/// A textbook still.
pub(crate) struct Textbook<E> {
    pub(crate) equilibrium: E,
    /// Contacts besides the pot.
    pub(crate) plates: usize,
    pub(crate) stage_mol: f64,
    pub(crate) drum_mol: f64,
    pub(crate) draw: Draw,
}

/// What a run left and gave.
pub(crate) struct Outcome<const C: usize> {
    pub(crate) pot_mol: [f64; C],
    pub(crate) pot: [f64; C],
    pub(crate) plates: Vec<[f64; C]>,
    pub(crate) drum: [f64; C],
    pub(crate) drawn: [f64; C],
}

fn fractions<const C: usize>(moles: [f64; C]) -> [f64; C] {
    let sum: f64 = moles.iter().sum();
    if sum > 0.0 { moles.map(|n| n / sum) } else { [0.0; C] }
}

impl<E> Textbook<E> {
    /// A still without hold-up.
    pub(crate) fn new(equilibrium: E, plates: usize, draw: Draw) -> Self {
        let (stage_mol, drum_mol) = (NEXT_TO_NOTHING_MOL, NEXT_TO_NOTHING_MOL);
        Self { equilibrium, plates, stage_mol, drum_mol, draw }
    }

    fn apparatus(&self) -> Apparatus {
        Apparatus {
            stages: self.plates,
            efficiency: 1.0,
            stage_mol: self.stage_mol,
            drum_mol: self.drum_mol,
            top_pressure_pa: 101_325.0,
            pressure_drop_pa: 0.0,
            boiler_loss_w_k: 0.0,
            column_loss_w_k: 0.0,
            ambient_k: 293.15,
            boiler_metal_j_k: 0.0,
            column_metal_j_k: 0.0,
            reflux_k: None,
            vapour_lost: 0.0,
            head_below: false,
            column_probe: 0.5,
            constant_overflow_mol_s: Some(VAPOUR_MOL_S),
        }
    }

    /// Runs `seconds` from a pot of `pot_mol`, all nodes at the pot's composition.
    pub(crate) fn run<const C: usize>(self, pot_mol: [f64; C], seconds: f64) -> Outcome<C>
    where
        E: Equilibrium<C>,
    {
        let apparatus = self.apparatus();
        let start = fractions(pot_mol);
        let mut state = pot_mol.to_vec();
        for _ in 0..=self.plates {
            state.extend(start);
        }
        state.extend([0.0; C]);
        let last = self.plates + 2;
        let size =
            |i: usize| if i / C == 0 || i / C == last { pot_mol[i % C] } else { start[i % C] };
        let absolute = (0..state.len()).map(|i| RTOL * size(i)).collect();
        let mut column =
            Column::new(self.equilibrium, apparatus, &state).expect("a textbook case runs");
        column.draw = self.draw;
        let mut integrator = Rosenbrock::new(RTOL, absolute, 1e-9);
        let mut time = 0.0;
        while time < seconds {
            time = integrator
                .advance(&mut column, time, seconds, &mut state)
                .expect("a textbook case runs");
            assert!(integrator.accepted < STEPS_MAX);
        }
        let rows: &[[f64; C]] = state.as_chunks().0;
        Outcome {
            pot_mol: rows[0],
            pot: fractions(rows[0]),
            plates: rows[1..=self.plates].to_vec(),
            drum: rows[self.plates + 1],
            drawn: rows[last],
        }
    }

    /// Runs until `drawn_mol` have been drawn at the still's reflux ratio.
    pub(crate) fn draw_off<const C: usize>(self, pot_mol: [f64; C], drawn_mol: f64) -> Outcome<C>
    where
        E: Equilibrium<C>,
    {
        let Draw::Ratio(ratio) = self.draw else { panic!("a reflux ratio is needed") };
        self.run(pot_mol, drawn_mol * (ratio + 1.0) / VAPOUR_MOL_S)
    }
}

/// A binary equilibrium given as y over x of the lighter substance.
pub(crate) struct Curve<F>(pub(crate) F);

impl<F: Fn(f64) -> f64> Curve<F> {
    fn point(&self, x: &[f64; 2]) -> BubblePoint<2> {
        let y = (self.0)(x[1]);
        BubblePoint { temperature_k: 350.0, y: [1.0 - y, y] }
    }
}

impl<F: Fn(f64) -> f64> Equilibrium<2> for Curve<F> {
    fn warm(&self, x: &[f64; 2], pressure_pa: f64, _: f64) -> Result<Warm<2>, ThermoError> {
        let (low, high) = ((x[1] - 1e-6).max(0.0), x[1] + 1e-6);
        let slope = ((self.0)(high) - (self.0)(low)) / (high - low);
        let slopes = [[0.0, -slope], [0.0, slope]];
        Ok(Warm::without_activity(*x, pressure_pa, self.point(x), slopes, 40_000.0, 0.0))
    }

    fn renew(&self, warm: &mut Warm<2>, x: &[f64; 2]) -> Result<(), ThermoError> {
        *warm = self.warm(x, warm.pressure_pa, 350.0)?;
        Ok(())
    }

    fn near(&self, x: &[f64; 2], _: &Warm<2>) -> Result<BubblePoint<2>, ThermoError> {
        Ok(self.point(x))
    }

    fn slopes_near(
        &self,
        x: &[f64; 2],
        _: &Warm<2>,
    ) -> Result<(BubblePoint<2>, [f64; 2]), ThermoError> {
        Ok((self.point(x), [0.0; 2]))
    }

    fn dew(&self, _: &[f64; 2], _: f64, _: &[f64; 2], _: f64) -> Result<f64, ThermoError> {
        Ok(350.0)
    }

    fn heat_capacities(&self, _: f64) -> [f64; 2] {
        [0.0; 2]
    }
}

/// Rows of numbers of a reference file; comments and the header are skipped.
pub(crate) fn rows(text: &str) -> Vec<Vec<f64>> {
    let numbers = |line: &str| line.split(',').map(str::parse).collect::<Result<Vec<f64>, _>>();
    text.lines().filter_map(|line| numbers(line).ok()).collect()
}

/// Asserts that two numbers differ by at most `within`.
#[track_caller]
pub(crate) fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} for {want}, within {within:e}");
}

impl<const C: usize> Outcome<C> {
    /// Mean composition of what was drawn.
    pub(crate) fn average(&self) -> [f64; C] {
        fractions(self.drawn)
    }
}
