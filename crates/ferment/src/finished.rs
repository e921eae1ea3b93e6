//! What must hold before a wash counts as finished: each by itself, yes or not yet.

use crate::forecast::Forecast;
use crate::log::Log;
use crate::problem::at_glass_temperature;
use crate::recipe::Recipe;

/// One thing that must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Which.
    pub code: &'static str,
    /// Whether it holds.
    pub holds: bool,
    /// What must hold, in words.
    pub text: String,
    /// What was found so far, in words.
    pub found: String,
}

/// What a person found with tongue and ear.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tasted {
    /// No taste of sugar; none where nobody said.
    pub no_sugar: Option<bool>,
    /// The gas has nearly stopped; none where nobody said.
    pub gas_stopped: Option<bool>,
}

/// A gravity that stays within this for [`STEADY_H`] is steady (common practice, no source).
const STEADY: f64 = 0.001;
const STEADY_H: f64 = 48.0;
/// So far over what could ferment a wash is at its limit: the reading of a glass.
const AT_LIMIT: f64 = 0.0015;
/// A wash whose chance to rest too high is below this is not stuck (judgement).
const STUCK_CHANCE: f64 = 0.1;

/// Gravities at the temperature of the glass that are not doubted, in the order of time.
fn gravities(recipe: &Recipe, log: &Log, forecast: &Forecast) -> Vec<(f64, f64)> {
    let doubted = |time_h: f64| {
        let mut of = forecast.doubted.iter();
        of.any(|doubted| doubted.spoils_the_glass() && (doubted.time_h - time_h).abs() < 1e-9)
    };
    let read = log.glass.iter().filter(|row| !doubted(row.time_h));
    read.filter_map(|row| {
        let celsius = row.temperature_c.unwrap_or(recipe.reading.hydrometer_true_at_c);
        Some((row.time_h, at_glass_temperature(recipe, row.gravity?, celsius)))
    })
    .collect()
}

fn steady(read: &[(f64, f64)]) -> (bool, String) {
    let Some(&(last_h, last)) = read.last() else {
        return (false, "no gravity was read yet".to_owned());
    };
    let first = read.iter().rposition(|row| last_h - row.0 >= STEADY_H);
    let Some(first) = first else {
        return (false, format!("no reading {STEADY_H:.0} h before the last one yet"));
    };
    let off = read[first..].iter().map(|row| (row.1 - last).abs()).fold(0.0, f64::max);
    let hours = last_h - read[first].0;
    // A glass is read to its step: half of the last figure is no change.
    (off < STEADY + 5e-4, format!("within {off:.4} over {hours:.0} h"))
}

/// The list. It is for a person: the forecast's own state says the rest.
#[must_use]
pub fn finished(recipe: &Recipe, log: &Log, forecast: &Forecast, tasted: Tasted) -> Vec<Condition> {
    let read = gravities(recipe, log, forecast);
    let (is_steady, steadily) = steady(&read);
    let bound = forecast.expected_gravity.p50 + AT_LIMIT;
    let last = read.last().map(|row| row.1);
    let chance = forecast.ends_stuck;
    let said = |said: Option<bool>| match said {
        None => "nobody said yet".to_owned(),
        Some(true) => "so it was said".to_owned(),
        Some(false) => "not when it was last tried".to_owned(),
    };
    let of =
        |code, holds, text: &str, found| Condition { code, holds, text: text.to_owned(), found };
    vec![
        of("steady", is_steady, "gravity the same within 0.001 for 48 h", steadily),
        of(
            "low",
            last.is_some_and(|last| last <= bound),
            &format!("gravity at or below {bound:.4}, all that could ferment gone"),
            last.map_or_else(|| "no gravity was read yet".to_owned(), |last| format!("{last:.4}")),
        ),
        of("no_sugar", tasted.no_sugar == Some(true), "no taste of sugar", said(tasted.no_sugar)),
        of(
            "gas_stopped",
            tasted.gas_stopped == Some(true),
            "the gas has nearly stopped",
            said(tasted.gas_stopped),
        ),
        of(
            "not_stuck",
            !read.is_empty() && chance < STUCK_CHANCE,
            "on the way to its limit, so it is not stuck",
            format!("chance that it rests too high {:.0} %", 100.0 * chance),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::{Tasted, finished};
    use crate::forecast::{sample_log, sample_recipe};
    use crate::{Log, forecast};

    fn held(log: &Log, at_h: f64, tasted: Tasted) -> Vec<bool> {
        let recipe = sample_recipe();
        let found = forecast(&recipe, log, at_h).unwrap();
        finished(&recipe, log, &found, tasted).iter().map(|one| one.holds).collect()
    }

    #[test]
    fn each_holds_by_itself() {
        let none = held(&Log::default(), 10.0, Tasted::default());
        assert_eq!(none, [false; 5]);
        let way = [(0.1, 1.069), (48.0, 1.045), (120.0, 1.006), (200.0, 0.9866)];
        let rests = [(270.0, 0.9865), (320.0, 0.9865)];
        let said = Tasted { no_sugar: Some(true), gas_stopped: Some(false) };
        let before = sample_log(&way);
        assert_eq!(held(&before, 201.0, said)[0..3], [false, true, true]);
        let after = sample_log(&[&way[..], &rests[..]].concat());
        assert_eq!(held(&after, 321.0, said), [true, true, true, false, true]);
    }
}
