//! What a finished run measured, and how far a simulated one is from it.
//!
//! The jars tell by volume: the spirit that fills a jar is that which runs between two volumes of
//! the simulated still, however long it takes there; the time it takes is a measurement of its
//! own. Readings of one run share the model's error: however many there are, of each kind only a
//! few count.

use super::drawn::Drawn;
use super::model::Simulated;
use super::outcome::Residue;
use still::track::Track;

/// How many independent readings the jars of one run are worth, of strength and of time each, and
/// the thermometers, and the coolant (judgement).
const JARS_WORTH: f64 = 6.0;
const PROBE_WORTH: f64 = 4.0;
const COOLANT_WORTH: f64 = 2.0;
/// Spread of a jar's strength about the model's, % vol: three runs at one power read 60.3 to 63.3 at
/// the same minute (the logged runs behind doi 10.1109/ACCESS.2022.3197604).
const STRENGTH_SD: f64 = 1.5;
/// Ln spread of the time a jar takes: volume by eye, power and reflux to a few percent (judgement).
const TIME_SD: f64 = 0.05;
/// Spread of head and pot about the model's once their mean is taken out, K (judgement).
const HEAD_SD: f64 = 0.4;
const POT_SD: f64 = 0.5;
/// Ln spread of a coolant meter's heat about its factor, and of that factor: flow by a bucket or a
/// cheap meter, a few kelvin between two thermometers (judgement).
const COOLANT_SD: f64 = 0.08;
const COOLANT_FACTOR_SD: f64 = 0.2;
/// Spread of a residue's litres, relative, and of its strength, % vol (judgement: a pail on scales,
/// a glass in weak spirit).
const RESIDUE_LITRES_SD: f64 = 0.02;
const RESIDUE_VOL_SD: f64 = 0.3;
/// Jars with a gap of more than this between them did not catch all that ran, s.
const GAP_S: f64 = 30.0;

/// A jar that counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Jar {
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    pub(super) litres: f64,
    pub(super) vol: Option<f64>,
}

/// What was measured in a run.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Evidence {
    pub(super) jars: Vec<Jar>,
    /// Time in s, °C at the site's pressure.
    pub(super) head: Vec<(f64, f64)>,
    pub(super) pot: Vec<(f64, f64)>,
    /// Time in s, W; whether of the reflux alone.
    pub(super) coolant: Vec<(f64, f64)>,
    pub(super) reflux_alone: bool,
    pub(super) residue: Option<Residue>,
}

/// A jar as the simulated still fills it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Filled {
    /// How long it takes, s.
    pub(super) takes_s: f64,
    /// Strength, % vol.
    pub(super) vol: f64,
    /// Pure alcohol up to its end, L, from the first jar's start.
    pub(super) alcohol_l: f64,
    /// When it is full, s after the first jar's start.
    pub(super) end_s: f64,
}

/// How much each of `count` readings counts that are worth `worth` in all.
fn each(count: usize, worth: f64) -> f64 {
    (worth / count.max(1) as f64).min(1.0).sqrt()
}

impl Evidence {
    /// How many readings count in all.
    pub(super) fn worth(&self) -> f64 {
        let of = |count: usize, worth: f64| worth.min(count as f64);
        let gauged = self.jars.iter().filter(|jar| jar.vol.is_some()).count();
        let residue = self
            .residue
            .map_or(0.0, |residue| if residue.strength_vol.is_some() { 2.0 } else { 1.0 });
        of(self.jars.len(), JARS_WORTH)
            + of(gauged, JARS_WORTH)
            + of(self.head.len(), PROBE_WORTH)
            + of(self.pot.len(), PROBE_WORTH)
            + of(self.coolant.len(), COOLANT_WORTH)
            + residue
    }

    /// How the simulated still fills the jars.
    pub(super) fn filled(&self, drawn: &Drawn) -> Vec<Filled> {
        let Some(first) = self.jars.first() else { return Vec::new() };
        let mut litres = drawn.litres_at(first.start_s);
        let (start_s, start_l) = drawn.at_litres(litres);
        let (mut at_s, mut alcohol_l) = (start_s, start_l);
        let mut before_s = first.start_s;
        let mut filled = Vec::with_capacity(self.jars.len());
        for jar in &self.jars {
            let gap_s = jar.start_s - before_s;
            if gap_s > GAP_S {
                litres = drawn.litres_at(at_s + gap_s).max(litres);
                (at_s, alcohol_l) = (at_s + gap_s, drawn.at_litres(litres).1);
            }
            litres += jar.litres;
            let (end_s, end_l) = drawn.at_litres(litres);
            filled.push(Filled {
                takes_s: (end_s - at_s).max(1.0),
                vol: 100.0 * (end_l - alcohol_l) / jar.litres,
                alcohol_l: end_l - start_l,
                end_s: end_s - start_s,
            });
            (at_s, alcohol_l, before_s) = (end_s, end_l, jar.end_s);
        }
        filled
    }

    /// When the last jar is full, s.
    pub(super) fn full_s(&self, drawn: &Drawn, filled: &[Filled]) -> f64 {
        let start_s = self.jars.first().map_or(0.0, |jar| jar.start_s);
        drawn.at_litres(drawn.litres_at(start_s)).0 + filled.last().map_or(0.0, |last| last.end_s)
    }

    /// Differences of a simulated run in standard deviations; always as many.
    pub(super) fn residuals(&self, simulated: &Simulated) -> Option<Vec<f64>> {
        let track = &simulated.track;
        let drawn = Drawn::of(track)?;
        let filled = self.filled(&drawn);
        let gauged = self.jars.iter().filter(|jar| jar.vol.is_some()).count();
        let (of_vol, of_time) = (each(gauged, JARS_WORTH), each(self.jars.len(), JARS_WORTH));
        let mut list = Vec::new();
        for (jar, sim) in self.jars.iter().zip(&filled) {
            list.push(of_time * (sim.takes_s / (jar.end_s - jar.start_s)).ln() / TIME_SD);
            list.extend(jar.vol.map(|vol| of_vol * (sim.vol - vol) / STRENGTH_SD));
        }
        list.extend(centred(&self.head, track, |point| point.head_k - 273.15, HEAD_SD));
        list.extend(centred(&self.pot, track, |point| point.pot_k - 273.15, POT_SD));
        list.extend(self.coolant_off(simulated));
        if let Some(residue) = self.residue {
            let (litres, vol) = simulated.left(self.full_s(&drawn, &filled));
            list.push((litres / residue.litres).max(1e-3).ln() / RESIDUE_LITRES_SD);
            list.extend(residue.strength_vol.map(|gauged| (vol - gauged) / RESIDUE_VOL_SD));
        }
        Some(list)
    }

    /// The coolant's heat against the simulated one: one for the meter's factor, which is little
    /// evidence, and the rest about it.
    fn coolant_off(&self, simulated: &Simulated) -> Vec<f64> {
        let off = self.coolant.iter().map(|&(time_s, watts)| {
            let heat_w = heat_w(simulated, time_s, self.reflux_alone);
            heat_w.map_or(0.0, |heat_w| (heat_w / watts).clamp(0.1, 10.0).ln())
        });
        let off: Vec<f64> = off.collect();
        if off.is_empty() {
            return off;
        }
        let mean = off.iter().sum::<f64>() / off.len() as f64;
        let share = each(off.len(), COOLANT_WORTH);
        let about = off.iter().map(|one| share * (one - mean) / COOLANT_SD);
        std::iter::once(mean / COOLANT_FACTOR_SD).chain(about).collect()
    }

    /// How far a probe stands from the simulated one, K: median of the differences.
    pub(super) fn probe_off_k(
        rows: &[(f64, f64)],
        track: &Track,
        of: fn(&still::track::Point) -> f64,
    ) -> Option<f64> {
        let off = |&(time_s, value): &(f64, f64)| Some(value - of(&track.at(time_s)?));
        sense::numbers::median(&mut rows.iter().filter_map(off).collect::<Vec<f64>>())
    }
}

/// Heat given off in the condenser, or by its partial part alone, W.
pub(super) fn heat_w(simulated: &Simulated, time_s: f64, reflux_alone: bool) -> Option<f64> {
    let at = simulated.track.at(time_s).filter(|at| at.vapour_mol_s > 0.0)?;
    if reflux_alone { at.reflux_duty_w(simulated.vapour_lost) } else { Some(at.duty_w) }
}

/// A thermometer against the simulated one, both about their means: an offset is no evidence.
fn centred(
    rows: &[(f64, f64)],
    track: &Track,
    of: fn(&still::track::Point) -> f64,
    sd: f64,
) -> Vec<f64> {
    let off = rows.iter().map(|&(time_s, value)| {
        track.at(time_s).or(track.points.first().copied()).map_or(0.0, |at| of(&at) - value)
    });
    let off: Vec<f64> = off.collect();
    let mean = off.iter().sum::<f64>() / off.len().max(1) as f64;
    let share = each(off.len(), PROBE_WORTH);
    off.into_iter().map(|one| share * (one - mean) / sd).collect()
}
