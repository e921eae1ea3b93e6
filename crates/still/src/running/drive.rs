//! What can be done to a driven still, whatever the size of its mixture.

use super::state::RunningState;
use crate::error::StillError;
use crate::plan::TakeOff;
use crate::walk::{Met, PlanWalk};

/// What a size-erased still can do.
pub(super) trait Drive: Send {
    fn set_heater_watts(&mut self, watts: f64) -> Result<(), StillError>;
    fn set_take_off(&mut self, take_off: TakeOff) -> Result<(), StillError>;
    fn set_coolant_l_per_min(&mut self, flow: f64);
    fn set_pressure_pa(&mut self, pressure_pa: f64) -> Result<(), StillError>;
    fn advance_to(&mut self, time_s: f64) -> Result<(), StillError>;
    fn begin_step(&mut self) -> Result<(), StillError>;
    fn follow(&mut self, walk: &mut PlanWalk, limit_s: f64) -> Result<Option<Met>, StillError>;
    fn state(&mut self) -> Result<RunningState, StillError>;
}
