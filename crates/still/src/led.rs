//! A plant led by a walk: it goes on until the running step ends, to the instant.

use numerics::chebyshev::Chebyshev;

use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::fraction::Fraction;
use crate::outcome::EndedBy;
use crate::plant::Plant;
use crate::walk::{Met, Observation, PlanWalk};

/// Millilitres in a litre (definition).
const ML_PER_L: f64 = 1000.0;
/// Two instants nearer than this are one, s.
const SAME_S: f64 = 1e-9;
/// The head is looked at so often in one stretch of the integrator, whose solution is a cubic there,
/// and read between by the polynomial through these points.
const HEAD_POINTS: usize = 6;

/// The head through the samples of a stretch.
type HeadCurve = Chebyshev<HEAD_POINTS>;

/// A plant and the walk that leads it.
pub(crate) struct Led<'a, const C: usize, E> {
    pub(crate) plant: &'a mut Plant<C, E>,
    pub(crate) walk: &'a mut PlanWalk,
    /// Moles drawn when the running step began.
    pub(crate) before_mol: [f64; C],
    /// Whether the plateau is watched: it costs a head every ten seconds of the first hearts.
    pub(crate) watch: bool,
}

/// What a walk may know at an instant of a plant's last stretch; `before_mol` was drawn when the
/// running step began.
pub(crate) fn observation<const C: usize, E: Equilibrium<C>>(
    plant: &mut Plant<C, E>,
    walk: &PlanWalk,
    before_mol: &[f64; C],
    time_s: f64,
) -> Result<Observation, StillError> {
    plant.look(time_s)?;
    let ml = |mol: &[f64]| ML_PER_L * Fraction::of(mol).litres_20c;
    let total = plant.drawn_mol();
    let own: [f64; C] = std::array::from_fn(|i| total[i] - before_mol[i]);
    let charged: f64 = plant.charge_mol.iter().sum();
    let head = if plant.runs() && walk.needs_head(time_s) { plant.head_k()? } else { None };
    let strength = plant.runs() && walk.has(EndedBy::UntilStrengthVol);
    Ok(Observation {
        time_s,
        step_ml: walk.has(EndedBy::UntilMl).then(|| ml(&own)),
        total_ml: walk.has(EndedBy::UntilTotalMl).then(|| ml(&total)),
        drum_vol: strength.then(|| plant.drum_vol()),
        pot_c: Some(plant.pot_c()),
        head,
        pot_litres: Some(plant.pot_litres()),
        pot_share: Some(plant.pot_mol().iter().sum::<f64>() / charged),
        vapour: plant.vapour(),
        filled: plant.is_full(),
        drawing: plant.draws(),
    })
}

impl<const C: usize, E: Equilibrium<C>> Led<'_, C, E> {
    fn observation(&mut self, time_s: f64) -> Result<Observation, StillError> {
        observation(self.plant, self.walk, &self.before_mol, time_s)
    }

    /// Goes on until the running step ends or `limit_s` is reached. After each stretch, cut at
    /// the end where there is one, `each` sees the plant and where the stretch began.
    pub(crate) fn run_step(
        &mut self,
        limit_s: f64,
        mut each: impl FnMut(&mut Plant<C, E>, f64) -> Result<(), StillError>,
    ) -> Result<Option<Met>, StillError> {
        let here = self.observation(self.plant.time_s)?;
        if let Some(met) = self.walk.observe(&here) {
            return Ok(Some(met));
        }
        while self.plant.time_s < limit_s {
            let from_s = self.plant.time_s;
            let stop_s = self.walk.next_stop_s(from_s).map_or(limit_s, |stop| stop.min(limit_s));
            self.plant.advance(stop_s)?;
            let met = self.end_since(from_s)?;
            each(self.plant, from_s)?;
            if met.is_some() {
                return Ok(met);
            }
        }
        Ok(None)
    }

    /// Goes on to `until_s` whatever the walk says of ends: what was done is past. The walk still
    /// learns of the plateau and arms.
    pub(crate) fn past(
        &mut self,
        until_s: f64,
        mut each: impl FnMut(&mut Plant<C, E>) -> Result<(), StillError>,
    ) -> Result<(), StillError> {
        let here = self.observation(self.plant.time_s)?;
        self.walk.observe(&here);
        while self.plant.time_s < until_s {
            self.plant.advance(until_s)?;
            let samples = self.samples();
            let curve = self.head_curve(&samples)?;
            for time_s in samples.into_iter().chain([self.plant.time_s]) {
                if self.asks_at(time_s) {
                    let seen = self.seen_at(time_s, curve.as_ref())?;
                    self.walk.observe(&seen);
                }
            }
            each(self.plant)?;
        }
        Ok(())
    }

    /// Sampling instants of the plateau inside the last stretch.
    fn samples(&self) -> Vec<f64> {
        let Some(first_s) = self.walk.next_sample_s().filter(|_| self.watch) else {
            return Vec::new();
        };
        let every_s = crate::walk::PlateauWatch::every_s();
        let all = (0_u32..).map(|sample| first_s + every_s * f64::from(sample));
        all.take_while(|time_s| *time_s < self.plant.time_s - SAME_S).collect()
    }

    /// The head through the last stretch, where that saves work and spirit ran all through it.
    fn head_curve(&mut self, samples: &[f64]) -> Result<Option<HeadCurve>, StillError> {
        if samples.len() <= HEAD_POINTS {
            return Ok(None);
        }
        let points = HeadCurve::points(samples[0], samples[samples.len() - 1]);
        let mut heads = [0.0; HEAD_POINTS];
        for (head_k, time_s) in heads.iter_mut().zip(points) {
            self.plant.look(time_s)?;
            let Some(seen_k) = self.plant.head_k()?.filter(|_| self.plant.draws()) else {
                return Ok(None);
            };
            *head_k = seen_k;
        }
        Ok(Some(HeadCurve::through(points, heads)))
    }

    /// Whether the walk is told of an instant of the last stretch: of its end, and of the samples
    /// before until the plateau is known.
    fn asks_at(&self, time_s: f64) -> bool {
        time_s >= self.plant.time_s || self.walk.plateau().plateau().is_none()
    }

    /// What the walk is told at an instant of the last stretch: inside it of the head alone, where a
    /// curve is at hand.
    fn seen_at(
        &mut self,
        time_s: f64,
        curve: Option<&HeadCurve>,
    ) -> Result<Observation, StillError> {
        let inside = time_s < self.plant.time_s;
        let Some(curve) = curve.filter(|_| inside) else { return self.observation(time_s) };
        let head = Some(curve.at(time_s));
        Ok(Observation { time_s, head, drawing: true, ..Observation::default() })
    }

    /// The end of the step in the last stretch, if there is one; the plant is then back there.
    fn end_since(&mut self, from_s: f64) -> Result<Option<Met>, StillError> {
        let samples = self.samples();
        // Where the step ends in this stretch each sample is looked at in full, until it does.
        let many = samples.len() > HEAD_POINTS && self.goes_on()?;
        let curve = if many { self.head_curve(&samples)? } else { None };
        let mut low_s = from_s;
        for time_s in samples.into_iter().chain([self.plant.time_s]) {
            if !self.asks_at(time_s) {
                continue;
            }
            let seen = self.seen_at(time_s, curve.as_ref())?;
            let before = self.walk.margin(&seen);
            if let Some(first) = before.filter(|met| met.margin() >= 0.0) {
                return self.crossed(low_s, time_s, first).map(Some);
            }
            if let Some(met) = self.walk.observe(&seen) {
                self.plant.back_to(time_s)?;
                return Ok(Some(met));
            }
            low_s = time_s;
        }
        Ok(None)
    }

    /// Whether nothing that the walk knows now ends the step by the end of the last stretch.
    fn goes_on(&mut self) -> Result<bool, StillError> {
        let here = self.observation(self.plant.time_s)?;
        Ok(self.walk.margin(&here).is_none_or(|met| met.margin() < 0.0))
    }

    /// Where the first margin came to zero between two instants; goes back there.
    fn crossed(&mut self, low_s: f64, high_s: f64, first: Met) -> Result<Met, StillError> {
        // What ends by time or by a full column ends where the plant was told to stop.
        let exact = matches!(first.by, EndedBy::Filled | EndedBy::Minutes);
        let time_s = if exact && first.margin() <= 0.0 {
            high_s
        } else {
            let (walk, before_mol) = (&*self.walk, &self.before_mol);
            self.plant.crossing((low_s, high_s), |plant, time_s| {
                let seen = observation(plant, walk, before_mol, time_s)?;
                Ok(walk.margin(&seen).map_or(f64::NEG_INFINITY, |met| met.margin()))
            })?
        };
        let seen = self.observation(time_s)?;
        let met = self.walk.margin(&seen).unwrap_or(first);
        self.walk.observe(&seen);
        self.plant.back_to(time_s)?;
        Ok(met)
    }
}

#[cfg(test)]
mod tests {
    use thermo::{Component, Mixture};

    use super::{HEAD_POINTS, Led};
    use crate::cancel::Cancel;
    use crate::column::Draw;
    use crate::plan::{RunPlan, TakeOff};
    use crate::plant::{Charged, Pace, Plant};
    use crate::setup;
    use crate::walk::PlanWalk;

    /// The estimate's own pace: its steps are the longest.
    const PACE: Pace = Pace { rtol: 2e-3, first_step_s: 5.0, small_change: 0.15 };
    /// Ten times finer than a thermometer's digit.
    const NEAR_K: f64 = 1e-3;

    #[test]
    fn prop_the_head_between_the_points_of_a_stretch_is_what_the_plant_shows_there() {
        let text = include_str!("../reference/column/C8/run.toml");
        let plan: RunPlan = toml::from_str(text).expect("a bundled plan runs");
        let equilibrium =
            Mixture::<2>::new(&[Component::Water, Component::Ethanol]).expect("two fit in two");
        let charged = Charged {
            equilibrium,
            apparatus: setup::apparatus(&plan, None),
            charge_mol: [900.0, 100.0],
            start_k: 293.15,
        };
        let mut plant = Plant::new(charged, PACE, Cancel::never()).expect("it boils");
        plant.set(2000.0, Draw::Closed);
        while plant.time_s < 9000.0 {
            plant.advance(9000.0).expect("it heats up");
        }
        plant.set(2000.0, setup::draw(TakeOff::RefluxRatio(3.0)));
        let mut walk = PlanWalk::new(&plan);
        let (mut stretches, mut worst_k) = (0, 0.0_f64);
        while plant.time_s < 20_000.0 && !plant.is_spent() {
            let from_s = plant.time_s;
            plant.advance(20_000.0).expect("it runs");
            let to_s = plant.time_s;
            let samples: Vec<f64> = (1..=2000_u32)
                .map(|k| from_s + 10.0 * f64::from(k))
                .take_while(|t| *t < to_s)
                .collect();
            let before_mol = [0.0; 2];
            let mut led = Led { plant: &mut plant, walk: &mut walk, before_mol, watch: true };
            let curve = led.head_curve(&samples).expect("it is looked at");
            assert_eq!(curve.is_some(), samples.len() > HEAD_POINTS, "spirit runs all through");
            let Some(curve) = curve else { continue };
            stretches += 1;
            for time_s in samples {
                plant.look(time_s).expect("inside the stretch");
                let head_k = plant.head_k().expect("there is one").expect("it runs");
                worst_k = worst_k.max((curve.at(time_s) - head_k).abs());
            }
        }
        assert!(stretches > 10 && worst_k < NEAR_K, "{stretches} stretches: {worst_k:e} K");
    }
}
