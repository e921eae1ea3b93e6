//! What is assumed where a person said nothing: congeners by kind of charge, a whole still from
//! its kind, litres and heater.

use std::collections::BTreeMap;

use super::{Charge, Still, StillKind};

/// The three things a person must say about a still of their own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnStill {
    /// Pot head or reflux column.
    pub kind: StillKind,
    /// Boiler volume, L.
    pub boiler_litres: f64,
    /// Each heating element, W.
    pub elements_watts: Vec<f64>,
}

impl OwnStill {
    /// The whole still, and the names of the keys that were assumed.
    #[must_use]
    pub fn complete(&self, name: &str) -> (Still, Vec<&'static str>) {
        let _ = name;
        unimplemented!()
    }
}

/// Default congeners, mg per litre of charge, where the plan names none.
#[must_use]
pub fn default_congeners_mg_per_l(charge: &Charge) -> BTreeMap<String, f64> {
    let _ = charge;
    unimplemented!()
}
