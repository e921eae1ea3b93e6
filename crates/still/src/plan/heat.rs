//! What heats the boiler, and how surely its power is known.

use quantities::Power;
use serde::{Deserialize, Serialize};

use super::Still;

/// What heats the boiler.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HeatSource {
    /// Elements or a plate: the label, or a meter, says the power.
    #[default]
    Electric,
    /// Steam in a jacket or coil.
    Steam,
    /// A gas burner.
    Gas,
    /// An open fire.
    Fire,
}

/// Spread of the power of a label, ln (common practice, no source: mains voltage and the label's
/// tolerance).
const LABEL_LOG_SD: f64 = 0.025;
/// Spread of the power that reaches the pot from run to run of one still that steam or gas heats,
/// ln: 25 heat-ups of a wash still of 2000 L scatter by 0.29 to 0.31, by 0.21 to 0.34 within a pass
/// (data set of R package MPV 1.64, C. Woods 2014).
const STEAM_OR_GAS_LOG_SD: f64 = 0.27;
/// The same of a fire, which nobody measured here (judgement: no better than the worst of those).
const FIRE_LOG_SD: f64 = 0.3;
/// Spread where no power is stated at all, ln (judgement: from half to twice the usual).
const UNSTATED_LOG_SD: f64 = 0.6;
/// Power that reaches the pot where nobody stated any, W per litre of boiler (judgement, between 34
/// as in those heat-ups and the 80 of a small pot on a kitchen burner).
const USUAL_W_PER_L: f64 = 55.0;

impl HeatSource {
    /// Whether it is the usual one, so that a file may leave the key out.
    #[must_use]
    pub const fn is_electric(&self) -> bool {
        matches!(self, Self::Electric)
    }

    /// Power that is counted on where nobody stated any, by the litres of the boiler.
    #[must_use]
    pub fn usual_power(boiler_litres: f64) -> Power {
        Power::nearest_watts(USUAL_W_PER_L * boiler_litres)
    }
}

impl Still {
    /// Most power that reaches the pot: the elements together; else what is stated, or usual.
    #[must_use]
    pub fn heater_power(&self) -> Power {
        if self.elements_watts.is_empty() {
            return HeatSource::usual_power(self.boiler_litres);
        }
        Power::nearest_watts(self.elements_watts.iter().sum())
    }

    /// Whether its power is to be learned from the heat-up.
    #[must_use]
    pub fn power_unstated(&self) -> bool {
        self.elements_watts.is_empty()
    }

    /// Standard deviation of the logarithm of the power that really reaches the pot.
    #[must_use]
    pub fn power_log_sd(&self) -> f64 {
        match self.heat_source {
            HeatSource::Electric => LABEL_LOG_SD,
            _ if self.power_unstated() => UNSTATED_LOG_SD,
            HeatSource::Steam | HeatSource::Gas => STEAM_OR_GAS_LOG_SD,
            HeatSource::Fire => FIRE_LOG_SD,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::test_plan;
    use super::{HeatSource, Power};

    /// All heat-ups of one wash still: start and end °C, minutes, litres; the weaker charges, then
    /// the stronger. Data set of R package MPV 1.64 (licence Unlimited), C. Woods 2014.
    const HEAT_UPS: [&[(f64, f64, f64, f64)]; 2] = [
        &[
            (24.0, 94.0, 205.0, 1000.0),
            (24.0, 92.0, 120.0, 1000.0),
            (24.0, 94.0, 110.0, 900.0),
            (24.0, 92.0, 150.0, 2000.0),
            (24.0, 91.0, 120.0, 2000.0),
            (23.0, 90.0, 150.0, 2000.0),
            (24.0, 93.0, 180.0, 2000.0),
            (23.0, 92.0, 150.0, 1950.0),
            (24.0, 92.5, 195.0, 2000.0),
            (23.0, 95.0, 120.0, 2000.0),
            (22.0, 92.0, 150.0, 1550.0),
            (22.0, 90.0, 180.0, 1800.0),
            (22.0, 87.0, 140.0, 2000.0),
            (22.0, 88.0, 110.0, 2000.0),
            (22.0, 90.0, 80.0, 1500.0),
            (23.0, 93.0, 135.0, 1800.0),
            (22.0, 90.0, 210.0, 1800.0),
            (21.0, 90.0, 115.0, 1800.0),
            (21.0, 90.0, 80.0, 1300.0),
        ],
        &[
            (23.0, 85.0, 120.0, 1354.0),
            (23.0, 83.0, 95.0, 1369.0),
            (23.0, 85.5, 70.0, 1019.0),
            (22.0, 84.0, 135.0, 1423.0),
            (22.0, 86.0, 75.0, 1386.0),
            (22.0, 82.0, 120.0, 1666.0),
        ],
    ];
    /// Heat that warms a litre of wash by a kelvin, J (handbook, water; the same for all of them).
    const WASH_J_PER_L_K: f64 = 4100.0;

    #[test]
    fn val_power_outside_electric_heat_scatters_as_measured_heat_ups_do() {
        let mut still = test_plan().still;
        (still.heat_source, still.elements_watts) = (HeatSource::Steam, vec![60_000.0]);
        let stated = still.power_log_sd();
        let (mut squares, mut freedom) = (0.0, 0.0);
        for heat_ups in HEAT_UPS {
            let power = |(from, to, minutes, litres)| {
                litres * WASH_J_PER_L_K * (to - from) / (60.0 * minutes)
            };
            let logs: Vec<f64> = heat_ups.iter().map(|row| power(*row).ln()).collect();
            let mean = logs.iter().sum::<f64>() / logs.len() as f64;
            squares += logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>();
            freedom += logs.len() as f64 - 1.0;
        }
        let ratio = (squares / freedom).sqrt() / stated;
        // Chi-square of 23 degrees of freedom: 95 % of such spreads are 0.71 to 1.29 of the true one.
        assert!((0.71..=1.29).contains(&ratio), "{ratio}");
        assert!((0.2..=0.31).contains(&stated));
    }

    #[test]
    fn prop_the_less_is_known_of_the_power_the_wider() {
        let mut still = test_plan().still;
        let electric = still.power_log_sd();
        let mut last = electric;
        for source in [HeatSource::Gas, HeatSource::Fire] {
            still.heat_source = source;
            assert!(still.power_log_sd() > last);
            last = still.power_log_sd();
        }
        still.elements_watts.clear();
        assert!(still.power_log_sd() > last && still.power_unstated());
        assert!(still.heater_power() > Power::OFF);
        assert!((electric - 0.025).abs() < 1e-12);
    }
}
