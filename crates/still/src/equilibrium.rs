//! What the column asks of an equilibrium: real mixtures, and the constant relative volatility of
//! the textbooks.

use thermo::{BubblePoint, Mixture, ThermoError, Warm};

/// An equilibrium between boiling liquid and vapour of `C` substances.
pub trait Equilibrium<const C: usize> {
    /// Solves a boiling liquid in full and keeps its slopes.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn warm(&self, x: &[f64; C], pressure_pa: f64, guess_k: f64) -> Result<Warm<C>, ThermoError>;

    /// Renews a solved point at a liquid near it.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn renew(&self, warm: &mut Warm<C>, x: &[f64; C]) -> Result<(), ThermoError>;

    /// Renews a solved point at a liquid whose bubble point is known.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn renew_at(
        &self,
        warm: &mut Warm<C>,
        x: &[f64; C],
        point: BubblePoint<C>,
    ) -> Result<(), ThermoError> {
        let _ = point;
        self.renew(warm, x)
    }

    /// The bubble point of a liquid near a solved one.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn near(&self, x: &[f64; C], warm: &Warm<C>) -> Result<BubblePoint<C>, ThermoError>;

    /// The bubble point of a liquid near a solved one, with its slopes by mole fraction, K.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn slopes_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<(BubblePoint<C>, [f64; C]), ThermoError>;

    /// Dew temperature in K of vapour `y`, started from a liquid and temperature near it.
    ///
    /// # Errors
    /// When the iteration does not end.
    fn dew(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        x_start: &[f64; C],
        start_k: f64,
    ) -> Result<f64, ThermoError>;

    /// Heat capacities of the liquids at one temperature, J/(mol K).
    fn heat_capacities(&self, temperature_k: f64) -> [f64; C];
}

impl<const C: usize> Equilibrium<C> for Mixture<C> {
    fn warm(&self, x: &[f64; C], pressure_pa: f64, guess_k: f64) -> Result<Warm<C>, ThermoError> {
        Self::warm(self, x, pressure_pa, guess_k)
    }

    fn renew(&self, warm: &mut Warm<C>, x: &[f64; C]) -> Result<(), ThermoError> {
        Self::renew(self, warm, x)
    }

    fn renew_at(
        &self,
        warm: &mut Warm<C>,
        x: &[f64; C],
        point: BubblePoint<C>,
    ) -> Result<(), ThermoError> {
        Self::renew_at(self, warm, x, point);
        Ok(())
    }

    #[inline]
    fn near(&self, x: &[f64; C], warm: &Warm<C>) -> Result<BubblePoint<C>, ThermoError> {
        self.bubble_point_near(x, warm)
    }

    fn slopes_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<(BubblePoint<C>, [f64; C]), ThermoError> {
        Mixture::slopes_near(self, x, warm)
    }

    fn dew(
        &self,
        y: &[f64; C],
        pressure_pa: f64,
        x_start: &[f64; C],
        start_k: f64,
    ) -> Result<f64, ThermoError> {
        self.dew_point(y, pressure_pa, x_start, start_k).map(|dew| dew.temperature_k)
    }

    fn heat_capacities(&self, temperature_k: f64) -> [f64; C] {
        std::array::from_fn(|i| self.pure(i).heat_capacity_liquid(temperature_k))
    }
}

/// `y_i = a_i x_i / sum a x` at one fixed temperature: the textbook mixture.
#[derive(Debug, Clone, Copy)]
pub struct ConstantVolatility<const C: usize> {
    /// Relative volatilities.
    pub volatility: [f64; C],
    /// Latent heat of every substance, J/mol.
    pub latent_j_mol: f64,
}

/// Temperature at which the textbook mixture boils, K: any number would do.
const TEXTBOOK_TEMPERATURE_K: f64 = 350.0;

impl<const C: usize> ConstantVolatility<C> {
    fn point(&self, x: &[f64; C]) -> BubblePoint<C> {
        let sum: f64 = (0..C).map(|i| self.volatility[i] * x[i]).sum();
        let y = std::array::from_fn(|i| self.volatility[i] * x[i] / sum);
        BubblePoint { temperature_k: TEXTBOOK_TEMPERATURE_K, y }
    }
}

impl<const C: usize> Equilibrium<C> for ConstantVolatility<C> {
    fn warm(&self, x: &[f64; C], pressure_pa: f64, _guess_k: f64) -> Result<Warm<C>, ThermoError> {
        let sum: f64 = (0..C).map(|i| self.volatility[i] * x[i]).sum();
        let point = self.point(x);
        let slope = |i: usize, k: usize| {
            let own = if i == k { self.volatility[i] / sum } else { 0.0 };
            own - point.y[i] * self.volatility[k] / sum
        };
        let slopes = std::array::from_fn(|i| std::array::from_fn(|k| slope(i, k)));
        Ok(Warm::without_activity(*x, pressure_pa, point, slopes, self.latent_j_mol, 0.0))
    }

    fn renew(&self, warm: &mut Warm<C>, x: &[f64; C]) -> Result<(), ThermoError> {
        *warm = self.warm(x, warm.pressure_pa, TEXTBOOK_TEMPERATURE_K)?;
        Ok(())
    }

    fn near(&self, x: &[f64; C], _warm: &Warm<C>) -> Result<BubblePoint<C>, ThermoError> {
        Ok(self.point(x))
    }

    fn slopes_near(
        &self,
        x: &[f64; C],
        _warm: &Warm<C>,
    ) -> Result<(BubblePoint<C>, [f64; C]), ThermoError> {
        Ok((self.point(x), [0.0; C]))
    }

    fn dew(
        &self,
        _y: &[f64; C],
        _pressure_pa: f64,
        _x_start: &[f64; C],
        _start_k: f64,
    ) -> Result<f64, ThermoError> {
        Ok(TEXTBOOK_TEMPERATURE_K)
    }

    fn heat_capacities(&self, _temperature_k: f64) -> [f64; C] {
        [0.0; C]
    }
}
