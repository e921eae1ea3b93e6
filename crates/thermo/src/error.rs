//! What can go wrong here: an iteration that does not end, or a composition that is none.

/// A failure of an equilibrium calculation, with its inputs.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ThermoError {
    /// The iteration did not end.
    #[error(
        "{what} did not converge in {iterations} iterations: residual {residual:e} at \
         {temperature_k} K and {pressure_pa} Pa for composition {composition:?}"
    )]
    NotConverged {
        /// Which calculation.
        what: &'static str,
        /// Iterations made.
        iterations: usize,
        /// Last residual (relative pressure, or mole fraction).
        residual: f64,
        /// Last temperature, K.
        temperature_k: f64,
        /// Pressure asked for, Pa.
        pressure_pa: f64,
        /// Composition asked for, mole fractions in the mixture's order.
        composition: Vec<f64>,
    },
    /// The composition holds a NaN or sums to nothing.
    #[error("the composition {composition:?} is not a mixture of these substances")]
    Composition {
        /// The composition.
        composition: Vec<f64>,
    },
    /// More substances than the mixture has room for.
    #[error("{given} substances do not fit into a mixture of at most {room}")]
    TooMany {
        /// How many were given.
        given: usize,
        /// How many fit.
        room: usize,
    },
}
