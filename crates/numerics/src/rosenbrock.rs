//! Stiff initial-value problems by a stiffly accurate Rosenbrock method of order 4(3) with
//! dense output of order 3 (RODAS: Hairer and Wanner, Solving ODEs II, 2nd ed. 1996, IV.7).
//!
//! Autonomous systems only. One Jacobian and one factorisation a step, six derivatives, no
//! Newton loop. Linear invariants of the system are kept to the last bits of the solver.

use std::fmt;

/// Fraction of the step on the diagonal.
const GAMMA: f64 = 0.25;
/// Strictly lower triangle of the stage weights, row by row.
const A: [&[f64]; 5] = [
    &[],
    &[1.544],
    &[0.9466785280815826, 0.2557011698983284],
    &[3.314825187068521, 2.896124015972201, 0.9986419139977817],
    &[1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950],
];
/// Strictly lower triangle of the coupling, row by row.
const C: [&[f64]; 6] = [
    &[],
    &[-5.6688],
    &[-2.430093356833875, -0.2063599157091915],
    &[-0.1073529058151375, -9.594562251023355, -20.47028614809616],
    &[7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160],
    &[
        8.083246795921522,
        -7.981132988064893,
        -31.52159432874371,
        16.31930543123136,
        -6.058818238834054,
    ],
];
/// Dense output.
const D: [[f64; 5]; 2] = [
    [
        10.12623508344586,
        -7.487995877610167,
        -34.80091861555747,
        -7.992771707568823,
        1.025137723295662,
    ],
    [
        -0.6762803392801253,
        6.087714651680015,
        16.43084320892478,
        24.76722511418386,
        -6.594389125716872,
    ],
];
/// The step control's safety factor and its limits of change (Hairer and Wanner's defaults).
const SAFETY: f64 = 0.9;
const SHRINK_MOST: f64 = 5.0;
const GROW_MOST: f64 = 6.0;
/// Attempts at one step before giving up; each shortens it.
const ATTEMPTS_MAX: usize = 40;

/// A stiff autonomous system `y' = f(y)`.
pub trait StiffSystem {
    /// What its evaluation can fail with.
    type Error;

    /// Evaluates `f(y)` into `slope` and keeps its linearisation at `y`.
    ///
    /// # Errors
    /// Whatever the system cannot evaluate.
    fn linearise(&mut self, y: &[f64], slope: &mut [f64]) -> Result<(), Self::Error>;

    /// Factors `diagonal I - J` of the kept linearisation.
    ///
    /// # Errors
    /// A matrix without inverse.
    fn factor(&mut self, diagonal: f64) -> Result<(), Self::Error>;

    /// Evaluates `f(y)` into `slope` near the kept linearisation.
    ///
    /// # Errors
    /// Whatever the system cannot evaluate.
    fn derivative(&mut self, y: &[f64], slope: &mut [f64]) -> Result<(), Self::Error>;

    /// Solves `(diagonal I - J) z = right` in place.
    fn solve(&mut self, right: &mut [f64]);
}

/// Why a step could not be made.
#[derive(Debug, Clone, PartialEq)]
pub enum StepError<E> {
    /// The system failed even at the shortest step tried.
    System(E),
    /// The error stayed too large down to the shortest step.
    TooSmall {
        /// Time of the step, s.
        time: f64,
        /// Last step tried.
        step: f64,
        /// Last scaled error (1 is acceptable).
        error: f64,
    },
}

impl<E: fmt::Display> fmt::Display for StepError<E> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::System(error) => write!(f, "{error}"),
            Self::TooSmall { time, step, error } => write!(
                f,
                "no step is short enough at time {time}: error {error} times the tolerance at \
                 step {step:e} after {ATTEMPTS_MAX} attempts"
            ),
        }
    }
}

impl<E: fmt::Debug + fmt::Display> std::error::Error for StepError<E> {}

/// The integrator: tolerances, step size and the last step's dense output.
#[derive(Debug, Clone)]
pub struct Rosenbrock {
    relative_tolerance: f64,
    /// Absolute tolerance of each unknown; 0 leaves it out of the error.
    absolute_tolerance: Vec<f64>,
    /// Largest change of each unknown in one step.
    change_limit: Vec<f64>,
    step: f64,
    previous: Option<(f64, f64)>,
    stages: [Vec<f64>; 6],
    slope: Vec<f64>,
    trial: Vec<f64>,
    start: Vec<f64>,
    start_time: f64,
    last_step: f64,
    dense: [Vec<f64>; 2],
    end: Vec<f64>,
    /// Accepted steps.
    pub accepted: usize,
    /// Rejected steps.
    pub rejected: usize,
    /// Evaluations of the derivative.
    pub derivative_calls: usize,
}

impl Rosenbrock {
    /// An integrator that begins with steps of `first_step`.
    #[must_use]
    pub fn new(relative_tolerance: f64, absolute_tolerance: Vec<f64>, first_step: f64) -> Self {
        let zeros = || vec![0.0; absolute_tolerance.len()];
        Self {
            relative_tolerance,
            change_limit: vec![f64::INFINITY; absolute_tolerance.len()],
            step: first_step,
            previous: None,
            stages: std::array::from_fn(|_| zeros()),
            slope: zeros(),
            trial: zeros(),
            start: zeros(),
            start_time: 0.0,
            last_step: 0.0,
            dense: [zeros(), zeros()],
            end: zeros(),
            accepted: 0,
            rejected: 0,
            derivative_calls: 0,
            absolute_tolerance,
        }
    }

    /// Lets no unknown change by more than its limit in one step: a front that moves through the
    /// unknowns must not pass inside a single step, where the dense output would overshoot.
    #[must_use]
    pub fn with_change_limit(mut self, change_limit: Vec<f64>) -> Self {
        self.change_limit = change_limit;
        self
    }

    /// Begins again with steps of `first_step` (after a discontinuity).
    pub fn restart(&mut self, first_step: f64) {
        self.step = first_step;
        self.previous = None;
    }

    /// The step that would be tried next.
    #[must_use]
    pub const fn next_step(&self) -> f64 {
        self.step
    }

    /// Makes one accepted step from `time`, not past `limit`; moves `y` and returns the new time.
    ///
    /// # Errors
    /// [`StepError`] after [`ATTEMPTS_MAX`] attempts; `y` is then unchanged.
    pub fn advance<S: StiffSystem>(
        &mut self,
        system: &mut S,
        time: f64,
        limit: f64,
        y: &mut [f64],
    ) -> Result<f64, StepError<S::Error>> {
        self.start.copy_from_slice(y);
        self.start_time = time;
        let mut first_slope = std::mem::take(&mut self.slope);
        let linearised = system.linearise(y, &mut first_slope);
        self.slope = first_slope;
        linearised.map_err(StepError::System)?;
        self.derivative_calls += 1;
        let mut failure = StepError::TooSmall { time, step: self.step, error: f64::INFINITY };
        let mut after_rejection = false;
        for _ in 0..ATTEMPTS_MAX {
            let (step, reaches) = if time + 1.0001 * self.step >= limit {
                (limit - time, true)
            } else {
                (self.step, false)
            };
            match self.attempt(system, step) {
                Ok(error) if error <= 1.0 => {
                    y.copy_from_slice(&self.end);
                    self.last_step = step;
                    self.accepted += 1;
                    self.choose_next(step, error, reaches, after_rejection);
                    return Ok(if reaches { limit } else { time + step });
                }
                Ok(error) => {
                    let factor = (error.powf(0.25) / SAFETY).clamp(1.0 / GROW_MOST, SHRINK_MOST);
                    self.step = step / factor.max(1.1);
                    failure = StepError::TooSmall { time, step, error };
                }
                Err(error) => {
                    self.step = step / SHRINK_MOST;
                    failure = StepError::System(error);
                }
            }
            self.rejected += 1;
            after_rejection = true;
        }
        Err(failure)
    }

    /// Computes the six stages, the end and its scaled error.
    fn attempt<S: StiffSystem>(&mut self, system: &mut S, step: f64) -> Result<f64, S::Error> {
        system.factor(1.0 / (step * GAMMA))?;
        for stage in 0..6 {
            if stage == 0 {
                self.stages[0].copy_from_slice(&self.slope);
            } else {
                self.derivative_calls += 1;
                self.stage_argument(stage);
                let (_, rest) = self.stages.split_at_mut(stage);
                system.derivative(&self.trial, &mut rest[0])?;
                self.add_coupling(stage, step);
            }
            system.solve(&mut self.stages[stage]);
        }
        let n = self.end.len();
        let mut sum = 0.0;
        let mut counted = 0usize;
        let mut change: f64 = 0.0;
        for i in 0..n {
            self.end[i] = self.trial[i] + self.stages[5][i];
            change = change.max((self.end[i] - self.start[i]).abs() / self.change_limit[i]);
            if self.absolute_tolerance[i] > 0.0 {
                let size = self.start[i].abs().max(self.end[i].abs());
                let scale = self.absolute_tolerance[i] + self.relative_tolerance * size;
                let scaled = self.stages[5][i] / scale;
                sum += scaled * scaled;
                counted += 1;
            }
        }
        self.keep_dense();
        let error = (sum / counted.max(1) as f64).sqrt();
        let error = if change > 1.0 { error.max(change.powi(4)) } else { error };
        // A NaN anywhere must count as a refusal.
        Ok(if error.is_finite() { error } else { 1e6 })
    }

    /// Where stage 1 to 5 evaluates the derivative; the last two build on each other.
    fn stage_argument(&mut self, stage: usize) {
        if stage == 5 {
            for (trial, u) in self.trial.iter_mut().zip(&self.stages[4]) {
                *trial += u;
            }
            return;
        }
        self.trial.copy_from_slice(&self.start);
        for (weight, u) in A[stage].iter().zip(&self.stages) {
            for (trial, u) in self.trial.iter_mut().zip(u) {
                *trial += weight * u;
            }
        }
    }

    fn add_coupling(&mut self, stage: usize, step: f64) {
        let (before, rest) = self.stages.split_at_mut(stage);
        for (weight, u) in C[stage].iter().zip(before.iter()) {
            let weight = weight / step;
            for (target, u) in rest[0].iter_mut().zip(u) {
                *target += weight * u;
            }
        }
    }

    fn keep_dense(&mut self) {
        for (dense, weights) in self.dense.iter_mut().zip(&D) {
            dense.fill(0.0);
            for (weight, u) in weights.iter().zip(&self.stages) {
                for (target, u) in dense.iter_mut().zip(u) {
                    *target += weight * u;
                }
            }
        }
    }

    /// Predictive control of the step (Gustafsson 1994).
    fn choose_next(&mut self, step: f64, error: f64, reaches: bool, after_rejection: bool) {
        let error = error.max(1e-8);
        let mut factor = (error.powf(0.25) / SAFETY).clamp(1.0 / GROW_MOST, SHRINK_MOST);
        if let Some((previous_step, previous_error)) = self.previous {
            let predicted =
                (previous_step / step) * (error * error / previous_error).powf(0.25) / SAFETY;
            factor = factor.max(predicted.clamp(1.0 / GROW_MOST, SHRINK_MOST));
        }
        self.previous = Some((step, error.max(1e-2)));
        let mut next = step / factor;
        if after_rejection {
            next = next.min(step);
        }
        // A step cut short to reach its limit says nothing against the longer one.
        self.step = if reaches { next.max(self.step) } else { next };
    }

    /// The solution inside the last accepted step, at `time`.
    pub fn interpolate(&self, time: f64, out: &mut [f64]) {
        let s = ((time - self.start_time) / self.last_step).clamp(0.0, 1.0);
        let rest = 1.0 - s;
        for (i, out) in out.iter_mut().enumerate() {
            *out = self.start[i] * rest
                + s * (self.end[i] + rest * (self.dense[0][i] + s * self.dense[1][i]));
        }
    }
}
