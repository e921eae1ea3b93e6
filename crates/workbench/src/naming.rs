//! Faults that were named, from when on, and healthy runs that were accused or doubted.

use serde::Serialize;

use super::forecast::Forecast;
use super::truth::Truth;

/// What became of one run with a fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Naming {
    /// The run.
    pub run: String,
    /// The true kind.
    pub fault: String,
    /// When it set in, run time in s, where the truth tells.
    pub set_in_s: Option<f64>,
    /// Share of the hearts from which on it was named at every moment.
    pub named_from: Option<f64>,
    /// That moment, s after the fault had set in.
    pub delay_s: Option<f64>,
    /// What it was named then, or what was named last.
    pub named: String,
    /// Share of the hearts at which an answer was first said not to be trusted.
    pub distrusted_from: Option<f64>,
    /// Which answers, over all moments.
    pub distrusted: Vec<String>,
}

/// A healthy run that was said to have a fault, or one of whose answers was not trusted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Accused {
    /// The run.
    pub run: String,
    /// Moments at which it was.
    pub moments: usize,
    /// What it was said to have, or the answers that were not trusted.
    pub of: Vec<String>,
}

/// All runs with and without a fault.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub struct FaultTable {
    /// Runs with a fault.
    pub faulty: Vec<Naming>,
    /// Healthy runs that were accused at any moment.
    pub accused: Vec<Accused>,
    /// Healthy runs in which an answer was not trusted at a moment at which no fault was named:
    /// no accusation, a caution.
    pub doubted: Vec<Accused>,
    /// Healthy runs in all.
    pub healthy_runs: usize,
}

impl FaultTable {
    /// Takes in one run: its forecasts in the order of their moments.
    pub fn add(&mut self, forecasts: &[Forecast], truth: &Truth) {
        let Some(first) = forecasts.first() else { return };
        if truth.is_healthy() {
            self.healthy_runs += 1;
            self.accused.extend(accused(&first.run, forecasts));
            self.doubted.extend(doubted(&first.run, forecasts));
        } else {
            self.faulty.push(naming(&first.run, forecasts, truth));
        }
    }

    /// Faults that were named or whose run said which answer it does not trust.
    #[must_use]
    pub fn met(&self) -> usize {
        self.faulty
            .iter()
            .filter(|run| run.named_from.is_some() || run.distrusted_from.is_some())
            .count()
    }
}

/// Kind before the colon.
fn kind(fault: &str) -> &str {
    fault.split(':').next().unwrap_or_default()
}

fn said(forecast: &Forecast) -> &str {
    forecast.fault.as_deref().unwrap_or("none")
}

fn naming(run: &str, forecasts: &[Forecast], truth: &Truth) -> Naming {
    let fault = truth.fault.clone().unwrap_or_default();
    let right = forecasts.iter().rev().take_while(|forecast| kind(said(forecast)) == fault).count();
    let first = forecasts.get(forecasts.len() - right);
    let distrusting = forecasts.iter().find(|forecast| !forecast.untrusted.is_empty());
    let mut distrusted: Vec<String> =
        forecasts.iter().flat_map(|forecast| forecast.untrusted.clone()).collect();
    distrusted.sort();
    distrusted.dedup();
    Naming {
        run: run.to_owned(),
        set_in_s: truth.fault_start_s,
        named_from: first.map(|forecast| forecast.at_fraction),
        delay_s: first.zip(truth.fault_start_s).map(|(forecast, since)| forecast.made_at_s - since),
        named: first.or(forecasts.last()).map_or("none", said).to_owned(),
        distrusted_from: distrusting.map(|forecast| forecast.at_fraction),
        fault,
        distrusted,
    }
}

fn accused(run: &str, forecasts: &[Forecast]) -> Option<Accused> {
    let named = forecasts.iter().map(said).filter(|said| *said != "none");
    gathered(run, named.map(|said| vec![said.to_owned()]))
}

fn doubted(run: &str, forecasts: &[Forecast]) -> Option<Accused> {
    let unnamed = forecasts.iter().filter(|forecast| said(forecast) == "none");
    gathered(run, unnamed.map(|forecast| forecast.untrusted.clone()))
}

/// What was said at those moments at which anything was.
fn gathered(run: &str, said: impl Iterator<Item = Vec<String>>) -> Option<Accused> {
    let said: Vec<Vec<String>> = said.filter(|said| !said.is_empty()).collect();
    let moments = said.len();
    let mut of: Vec<String> = said.into_iter().flatten().collect();
    of.sort();
    of.dedup();
    (moments > 0).then(|| Accused { run: run.to_owned(), moments, of })
}
