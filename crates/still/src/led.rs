//! A plant led by a walk: it goes on until the running step ends, to the instant.

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
            for time_s in self.instants() {
                let seen = self.observation(time_s)?;
                self.walk.observe(&seen);
            }
            each(self.plant)?;
        }
        Ok(())
    }

    /// Sampling instants of the plateau in the last stretch, and its end.
    fn instants(&self) -> Vec<f64> {
        let to_s = self.plant.time_s;
        let mut all = Vec::new();
        if let Some(first_s) = self.walk.next_sample_s().filter(|_| self.watch) {
            let every_s = crate::walk::PlateauWatch::every_s();
            let mut sample_s = first_s;
            while sample_s < to_s - SAME_S {
                all.push(sample_s);
                sample_s += every_s;
            }
        }
        all.push(to_s);
        all
    }

    /// The end of the step in the last stretch, if there is one; the plant is then back there.
    fn end_since(&mut self, from_s: f64) -> Result<Option<Met>, StillError> {
        let mut low_s = from_s;
        for time_s in self.instants() {
            let seen = self.observation(time_s)?;
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
