//! What an estimate says, on the wire, under the names it has inside.

use super::twin::{enum_twin, exact_twin};

exact_twin!(
    /// The 2.5, 10, 50, 90 and 97.5 % quantiles of a forecast: likely value, 80 % and 95 % bands.
    QuantilesWire, quantities::Band, {
        /// Low end of the 95 % band.
        p025: f64,
        /// Low end of the 80 % band.
        p10: f64,
        /// As likely above as below.
        p50: f64,
        /// High end of the 80 % band.
        p90: f64,
        /// High end of the 95 % band.
        p975: f64,
    }
);
exact_twin!(
    /// An end of the hearts: when, and how much they are in all until then.
    EndForecastWire, estimate::EndForecast, {
        /// Run time, s.
        time_s: QuantilesWire,
        /// Litres at 20 °C drawn in hearts from their start to that end.
        litres: QuantilesWire,
        /// Strength of all of them together, % vol.
        strength_vol: QuantilesWire,
    }
);
enum_twin!(
    /// Kinds of fault.
    FaultKindWire, estimate::FaultKind,
    /// The head thermometer stands still.
    StuckHead,
    /// The pot thermometer stands still.
    StuckPot,
    /// Single readings far from their neighbours.
    Spikes,
    /// Empty cells and codes that a sensor gives when it is not read.
    Dropouts,
    /// The head thermometer drifts.
    Drift,
    /// Head and pot thermometer are exchanged.
    Swapped,
    /// The charge is not as strong as stated.
    WrongStrength,
    /// The coolant failed for a while.
    CoolantLoss,
    /// The heater gives less than it should.
    ElementFailing,
    /// The head thermometer is off by a constant.
    HeadOffset
);
exact_twin!(
    /// A fault that the readings speak for.
    FaultWire, estimate::Fault, {
        /// Which kind.
        kind: FaultKindWire,
        /// Column of the readings it is about; `charge`, `heater` and the like where it is no probe.
        channel: String,
        /// Probability that it is there, 0 to 1.
        probability: f64,
        /// Since when, run time in s.
        since_s: f64,
        /// Why, in words.
        why: String,
    }
);
exact_twin!(
    /// An answer that should not be trusted.
    UntrustedWire, estimate::Untrusted, {
        /// Which: `end`, `litres`, `strength`, `charge`, `rise`, `pot`.
        answer: String,
        /// Why, in words.
        why: String,
    }
);
exact_twin!(
    /// One contributor to a band.
    ShareWire, estimate::Share, {
        /// What: a trait or quantity, as `charge_strength`, `take_off_to_come`, `model`.
        of: String,
        /// Share of the variance of the hearts' litres, 0 to 1.
        litres: f64,
        /// Share of the variance of the end, 0 to 1.
        end: f64,
    }
);
exact_twin!(
    /// What an estimate rests on.
    EvidenceWire, estimate::Evidence, {
        /// Sum of squared weighted residuals of the measurements.
        chi_square: f64,
        /// How many measurements count, after those that repeat each other are counted once.
        effective_measurements: f64,
        /// Distance of the fit from what was believed before, in standard deviations.
        prior_distance: f64,
        /// Effective number of draws behind the bands.
        effective_draws: f64,
        /// How many runs of the still were simulated for it: what it cost.
        simulations: u64,
        /// What the band of the hearts' litres comes from: shares of its variance, largest first.
        shares: Vec<ShareWire>,
    }
);
exact_twin!(
    /// An action that would narrow the band.
    HelpWire, estimate::Help, {
        /// Code of the action, as `gauge_charge`, `time_take_off`.
        action: String,
        /// In words, beginning with a verb.
        text: String,
        /// The 80 % band of the end becomes narrower by this share (0 to 1).
        end_gain: f64,
        /// The 80 % band of the litres becomes narrower by this share (0 to 1).
        litres_gain: f64,
    }
);
exact_twin!(
    /// What is known at one moment of a run, from what was recorded up to then.
    OutlookWire, estimate::Outlook, {
        /// The moment, run time in s: nothing recorded after it was used.
        made_at_s: f64,
        /// The plan's own end of its last hearts step; none where the plan has no hearts.
        plan_end: Option<EndForecastWire>,
        /// The plan's own end of the hearts step that runs (or comes first), run time in s.
        step_end_s: Option<QuantilesWire>,
        /// Columns: the head 1.0 K over this run's plateau. Pots: the hearts' limit of strength.
        end: Option<EndForecastWire>,
        /// Litres of hearts still to come until `plan_end`.
        litres_to_come: Option<QuantilesWire>,
        /// Strength of what runs now, % vol; before anything runs, of what should run first.
        strength_now: QuantilesWire,
        /// Strength of the hearts so far, % vol; none before there are any.
        strength_so_far: Option<QuantilesWire>,
        /// Litres of pure alcohol still in the pot.
        pot_alcohol_l: QuantilesWire,
        /// Jars still needed until `plan_end`.
        jars_needed: Option<QuantilesWire>,
        /// When the plan's last step should end, run time in s.
        stop_s: Option<QuantilesWire>,
        /// Litres of the charge, as believed now.
        charge_litres: QuantilesWire,
        /// Strength of the charge, as believed now, % vol.
        charge_strength_vol: QuantilesWire,
        /// What is wrong with probes or apparatus, likeliest first.
        faults: Vec<FaultWire>,
        /// Answers that should not be trusted now, and why.
        untrusted: Vec<UntrustedWire>,
        /// What the estimate rests on.
        evidence: EvidenceWire,
        /// What narrows the band of the hearts' litres or end, most helpful first.
        would_help: Vec<HelpWire>,
    }
);

#[cfg(test)]
mod tests {
    use estimate::{EndForecast, Evidence, Fault, FaultKind, Help, Outlook, Share, Untrusted};
    use quantities::Band;

    use super::OutlookWire;

    fn quantiles(of: f64) -> Band {
        Band::from_array([0.7 * of, 0.8 * of, of, 1.2 * of, 1.4 * of])
    }

    fn end(of: f64) -> EndForecast {
        let (litres, strength_vol) = (quantiles(of / 3000.0), quantiles(93.0));
        EndForecast { time_s: quantiles(of), litres, strength_vol }
    }

    fn outlook() -> Outlook {
        let fault = |kind: FaultKind| Fault {
            kind,
            channel: "head_c".into(),
            probability: 0.125,
            since_s: 600.0,
            why: "It has not moved.".into(),
        };
        Outlook {
            made_at_s: 5400.0,
            plan_end: Some(end(9000.0)),
            step_end_s: Some(quantiles(8000.0)),
            end: Some(end(8500.0)),
            litres_to_come: Some(quantiles(1.5)),
            strength_now: quantiles(93.5),
            strength_so_far: Some(quantiles(93.75)),
            pot_alcohol_l: quantiles(0.5),
            jars_needed: None,
            stop_s: Some(quantiles(10_000.0)),
            charge_litres: quantiles(20.0),
            charge_strength_vol: quantiles(12.0),
            faults: FaultKind::ALL.into_iter().map(fault).collect(),
            untrusted: vec![Untrusted { answer: "end".into(), why: "No head is read.".into() }],
            evidence: Evidence {
                chi_square: 41.0,
                effective_measurements: 37.5,
                prior_distance: 0.75,
                effective_draws: 180.0,
                simulations: 14,
                shares: vec![Share { of: "charge_strength".into(), litres: 0.6, end: 0.4 }],
            },
            would_help: vec![Help {
                action: "gauge_charge".into(),
                text: "Gauge the charge.".into(),
                end_gain: 0.3,
                litres_gain: 0.45,
            }],
        }
    }

    #[test]
    fn an_outlook_has_the_same_names_and_values_on_the_wire() {
        let inner = serde_json::to_value(outlook()).unwrap();
        let wire = serde_json::to_value(OutlookWire::from(&outlook())).unwrap();
        assert_eq!(wire, inner);
        assert_eq!(wire["faults"][4]["kind"], "drift");
    }
}
