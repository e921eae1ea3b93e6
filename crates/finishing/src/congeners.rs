//! What a run's model says of the congeners of each jar: taken over by the pure alcohol that had run
//! before it, not by the clock, since a run is seldom as fast as its forecast.

use still::outcome::Forecast;
use thermo::Component;

use crate::jar::Jar;

/// Nothing was measured of them: the amounts of a wash are usual ones by its kind, right to a
/// factor of so much in 4 of 5 washes (judgement).
pub const FACTOR_OF_USUAL: f64 = 3.0;
/// Where a person stated what the charge holds, the model spreads it over the jars right to a
/// factor of so much (judgement).
pub const FACTOR_OF_STATED: f64 = 1.5;

/// What is said of methanol wherever it is shown. Sources: `docs/safety.md`.
pub const METHANOL_WORDS: &str = "Cuts do not take methanol out: in a weak wash it boils after ethanol, in strong spirit before it, so it runs through every jar. What the wash held decides; fruit holds most. Only an analysis tells.";

/// A congener, or a group of them that limits speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Substance {
    /// Methanol.
    Methanol,
    /// Ethyl acetate.
    EthylAcetate,
    /// Acetaldehyde.
    Acetaldehyde,
    /// Propanol, isobutanol and the amyl alcohols together.
    HigherAlcohols,
}

impl Substance {
    /// All, in the order they are shown.
    pub const ALL: [Self; 4] =
        [Self::Methanol, Self::EthylAcetate, Self::Acetaldehyde, Self::HigherAlcohols];

    /// The name in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Methanol => "methanol",
            Self::EthylAcetate => "ethyl_acetate",
            Self::Acetaldehyde => "acetaldehyde",
            Self::HigherAlcohols => "higher_alcohols",
        }
    }

    /// The name as a person reads it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Methanol => "methanol",
            Self::EthylAcetate => "ethyl acetate",
            Self::Acetaldehyde => "acetaldehyde",
            Self::HigherAlcohols => "higher alcohols",
        }
    }

    /// The substance of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|substance| substance.name() == name)
    }

    /// Whether it counts this component.
    #[must_use]
    pub const fn counts(self, component: Component) -> bool {
        match self {
            Self::Methanol => matches!(component, Component::Methanol),
            Self::EthylAcetate => matches!(component, Component::EthylAcetate),
            Self::Acetaldehyde => matches!(component, Component::Acetaldehyde),
            Self::HigherAlcohols => matches!(
                component,
                Component::Propanol
                    | Component::Isobutanol
                    | Component::IsoamylAlcohol
                    | Component::ActiveAmylAlcohol
            ),
        }
    }
}

/// Milligrams of each substance, in the order of [`Substance::ALL`].
pub type Milligrams = [f64; 4];

/// Grams per hectolitre of pure alcohol of milligrams in litres of it; none without alcohol.
#[must_use]
pub fn g_per_hl_pa(mg: f64, pure_alcohol_l: f64) -> Option<f64> {
    (pure_alcohol_l > 0.0).then(|| 0.1 * mg / pure_alcohol_l)
}

/// The model of a run, as far as its jars need it.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Pure alcohol drawn, L, and what had come with it; rising in the first.
    points: Vec<(f64, Milligrams)>,
    /// Factor by which an amount may be off either way, 4 in 5.
    pub factor: f64,
}

impl Curve {
    /// The curve of a forecast; nothing where it knows no congeners.
    #[must_use]
    pub fn of(forecast: &Forecast, is_stated: bool) -> Option<Self> {
        let congeners: Vec<Component> =
            forecast.components.iter().copied().filter(|one| one.is_congener()).collect();
        let mut points: Vec<(f64, Milligrams)> = vec![(0.0, [0.0; 4])];
        for row in &forecast.rows {
            let sum = |substance: Substance| {
                let all = congeners.iter().zip(&row.congeners_mg);
                all.filter(|(one, _)| substance.counts(**one)).map(|(_, mg)| mg).sum()
            };
            let last = points.last().map_or(0.0, |point| point.0);
            if row.pure_alcohol_l > last {
                points.push((row.pure_alcohol_l, Substance::ALL.map(sum)));
            }
        }
        let factor = if is_stated { FACTOR_OF_STATED } else { FACTOR_OF_USUAL };
        (points.len() > 1 && !congeners.is_empty()).then_some(Self { points, factor })
    }

    /// What had come when so much pure alcohol was drawn; at the end of the forecast it stays.
    fn drawn(&self, pure_alcohol_l: f64) -> Milligrams {
        let after = self.points.partition_point(|point| point.0 < pure_alcohol_l);
        let Some(&(to, high)) = self.points.get(after) else {
            return self.points.last().map_or([0.0; 4], |point| point.1);
        };
        let Some(&(from, low)) = after.checked_sub(1).and_then(|before| self.points.get(before))
        else {
            return high;
        };
        let share = (pure_alcohol_l - from) / (to - from);
        [0, 1, 2, 3].map(|i| low[i] + share * (high[i] - low[i]))
    }

    /// Most pure alcohol the forecast draws, L.
    #[must_use]
    pub fn pure_alcohol_l(&self) -> f64 {
        self.points.last().map_or(0.0, |point| point.0)
    }

    /// Predicted milligrams in each jar; the jars stand by number, in the order they were filled.
    ///
    /// A jar that was not gauged, told by its number and litres, is taken to be as strong as the
    /// gauged one before it, so that those behind it stand in their place.
    #[must_use]
    pub fn of_jars(&self, jars: &[Jar], not_gauged: &[(u32, f64)]) -> Vec<Milligrams> {
        let mut run = 0.0;
        let mut last: Option<&Jar> = None;
        let predicted = jars.iter().map(|jar| {
            let from = last.map_or(0, |last| last.number);
            let between = not_gauged.iter().filter(|one| one.0 > from && one.0 < jar.number);
            let strength = last.unwrap_or(jar).strength_vol_20c / 100.0;
            run += between.map(|one| one.1 * strength).sum::<f64>();
            let before = self.drawn(run);
            run += jar.pure_alcohol_l;
            let after = self.drawn(run);
            last = Some(jar);
            [0, 1, 2, 3].map(|i| (after[i] - before[i]).max(0.0))
        });
        predicted.collect()
    }
}
