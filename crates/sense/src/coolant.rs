//! Whether the coolant fails, by what it takes up and how hot it leaves: the one rule, live and in
//! the estimate. Flow alone says nothing, except that none is none: many stills are steered by it.

/// Heat that warms a litre of water by a kelvin, J: near 40 °C, 0.992 kg of 4179 J/(kg K)
/// (handbook).
pub const WATER_J_PER_L_K: f64 = 4146.0;
/// Coolant below this does not flow, L/min (judgement: what a meter shows of a dripping hose).
const NO_FLOW_L_PER_MIN: f64 = 0.01;
/// Below this it counts as flowing only where what it takes up shows it, L/min (judgement).
pub const TRICKLE_L_PER_MIN: f64 = 0.05;
/// Coolant outlet that is too hot to condense everything, °C (judgement: 13 K under the vapour).
pub const TOO_HOT_C: f64 = 65.0;
/// An outlet under this shows that the heat is not there, whatever the flow, °C (judgement).
const COLD_C: f64 = 45.0;
/// A flow that can carry less than this share of the heat fails (judgement: in a run steered by the
/// flow of its partial condenser it went down to 0.64 within a quarter of an hour).
const CARRIES_SHARE: f64 = 0.5;
/// What it took up so long ago, s, is what it has to carry (judgement: before a failure began).
pub const CARRIED_S: (f64, f64) = (600.0, 1500.0);
/// Seconds in a minute (definition).
const MINUTE_S: f64 = 60.0;

/// Heat of the coolant within this of the heat it should take, ln, is believed to be that heat
/// (judgement: flow by a bucket or a cheap meter, a few kelvin between two thermometers).
const NEAR_LN: f64 = 0.3;

/// What heat the coolant takes up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HeatOf {
    /// That of all the vapour.
    #[default]
    Vapour,
    /// That of the reflux alone: it runs through a partial condenser.
    Reflux,
    /// Neither: the meter or a thermometer is off.
    Neither,
}

/// Whose heat the coolant takes up, by the medians of what it took over the heat of all the
/// vapour, and over that of the reflux alone.
#[must_use]
pub fn heat_of(over_vapour: f64, over_reflux: f64) -> HeatOf {
    let (vapour, reflux) = (over_vapour.ln().abs(), over_reflux.ln().abs());
    if vapour <= reflux && vapour <= NEAR_LN {
        HeatOf::Vapour
    } else if reflux <= NEAR_LN {
        HeatOf::Reflux
    } else {
        HeatOf::Neither
    }
}

/// What is known of the coolant at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CoolantSeen {
    /// Flow as metered, L/min.
    pub flow_l_per_min: Option<f64>,
    /// Temperature going in, °C.
    pub in_c: f64,
    /// Temperature coming out, °C.
    pub out_c: Option<f64>,
    /// Heat that it has to carry: what it took up some time ago or, where that was not measured,
    /// the heat of the vapour, W.
    pub to_carry_w: Option<f64>,
}

/// How coolant fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CoolantTrouble {
    /// None flows.
    NoFlow,
    /// What flows can carry away only so much, W.
    CarriesTooLittle(f64),
    /// It leaves too hot.
    TooHot,
}

/// Heat that a flow takes up, W.
#[must_use]
pub fn coolant_w(flow_l_per_min: f64, in_c: f64, out_c: f64) -> f64 {
    flow_l_per_min / MINUTE_S * WATER_J_PER_L_K * (out_c - in_c)
}

impl CoolantSeen {
    /// Whether nothing is wrong with it whatever it has to carry: it flows and leaves cold.
    #[must_use]
    pub fn leaves_cold(&self) -> bool {
        let flows = self.flow_l_per_min.is_none_or(|flow| flow >= TRICKLE_L_PER_MIN);
        flows && self.out_c.is_some_and(|out_c| out_c < COLD_C)
    }

    /// What is wrong with it while vapour comes.
    #[must_use]
    pub fn trouble(&self) -> Option<CoolantTrouble> {
        if self.leaves_cold() {
            return None;
        }
        let flow = self.flow_l_per_min.unwrap_or(f64::INFINITY);
        if flow <= NO_FLOW_L_PER_MIN {
            return Some(CoolantTrouble::NoFlow);
        }
        let trickles = flow < TRICKLE_L_PER_MIN;
        let most_w = coolant_w(flow, self.in_c, TOO_HOT_C);
        match self.to_carry_w {
            Some(heat_w) if most_w < CARRIES_SHARE * heat_w => {
                let cold = self.out_c.is_some_and(|out_c| out_c < COLD_C);
                if trickles || !cold {
                    return Some(CoolantTrouble::CarriesTooLittle(most_w));
                }
            }
            Some(_) if self.out_c.is_some() => {}
            _ if trickles => return Some(CoolantTrouble::NoFlow),
            _ => {}
        }
        self.out_c.is_some_and(|out_c| out_c > TOO_HOT_C).then_some(CoolantTrouble::TooHot)
    }
}

#[cfg(test)]
mod tests {
    use super::{CoolantSeen, CoolantTrouble, HeatOf, coolant_w, heat_of};

    fn seen(flow: f64, out_c: Option<f64>, to_carry_w: Option<f64>) -> CoolantSeen {
        CoolantSeen { flow_l_per_min: Some(flow), in_c: 20.0, out_c, to_carry_w }
    }

    #[test]
    fn val_coolant_of_a_partial_condenser_is_told_from_that_of_all_the_vapour() {
        // W in the coolant, and in the spirit drawn meanwhile as its jars and latent heats
        // (handbook) have it: four logged runs, data of doi 10.1109/ACCESS.2022.3197604. There is
        // no other reflux, so all the vapour carries both.
        for (coolant_w, drawn_w) in [(139.0, 371.0), (139.0, 355.0), (198.0, 306.0), (248.0, 259.0)]
        {
            let over_vapour = coolant_w / (coolant_w + drawn_w);
            assert_eq!(heat_of(over_vapour, 1.0), HeatOf::Reflux, "{coolant_w}");
        }
        // A meter that reads an eighth too little at a ratio of 3, and one that reads a third.
        assert_eq!(heat_of(0.88, 0.88 / 0.75), HeatOf::Vapour);
        assert_eq!(heat_of(0.33, 0.33 / 0.75), HeatOf::Neither);
    }

    #[test]
    fn val_stills_steered_by_coolant_flow_are_not_called_broken() {
        // L/min, °C out, W taken up a quarter of an hour before: the lowest flows of five logged
        // runs, data of doi 10.1109/ACCESS.2022.3197604.
        for (flow, out_c, before_w) in [
            (0.070, 49.7, 140.0),
            (0.050, 62.0, 140.0),
            (0.075, 59.9, 200.0),
            (0.100, 38.1, 250.0),
            (0.0244, 55.4, 119.0),
        ] {
            assert_eq!(seen(flow, Some(out_c), Some(before_w)).trouble(), None, "{flow}");
        }
    }

    #[test]
    fn lost_flow_is_trouble_at_once_however_cold_the_outlet_still_is() {
        let lost = [
            seen(0.0, None, None),
            seen(0.0, Some(21.0), Some(1500.0)),
            seen(0.03, None, None),
            seen(0.03, Some(25.0), Some(1500.0)),
            seen(0.15, Some(50.0), Some(1500.0)),
            seen(0.15, None, Some(1500.0)),
        ];
        for lost in lost {
            assert!(lost.trouble().is_some(), "{lost:?}");
        }
        assert_eq!(seen(1.8, Some(66.0), None).trouble(), Some(CoolantTrouble::TooHot));
        assert_eq!(
            seen(0.6, Some(50.0), Some(1500.0)).trouble(),
            None,
            "a third of it carries all"
        );
        assert_eq!(seen(0.15, Some(30.0), Some(1500.0)).trouble(), None, "the heat is not there");
    }

    #[test]
    fn prop_heat_taken_up_is_flow_times_warming() {
        // Handbook: 4.18 kJ warm a kilogram by a kelvin.
        assert!((coolant_w(1.0, 15.0, 25.0) / (4180.0 * 0.992 * 10.0 / 60.0) - 1.0).abs() < 1e-3);
    }
}
