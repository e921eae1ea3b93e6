//! What of a run was really gauged, with the doubt of jug, scale and alcoholometer.

use sense::jar::{GLASS_SD_VOL, JUG_SD};
use sense::{Action, Amount, RecordedRun, Vessel, VesselRecord, jar};
use still::Fraction;
use still::track::Track;

use crate::balance::Part;

/// A value and its standard deviation.
pub(super) type Doubtful = (f64, f64);

/// A dipstick or bucket in which a residue is measured, relative, and a scale (judgement).
const BUCKET: f64 = 0.02;
const SCALE: f64 = 0.005;
/// In weak residue, where scales are coarse and traces of sugar and acid hold it up, % vol
/// (judgement).
const WEAK_VOL: f64 = 0.4;
/// One jar's strength as reckoned where its glass was not read, % vol.
const RECKONED_VOL: f64 = 2.0;
/// Doubt of what was drawn and caught in no jar that was measured, share of it.
const NOT_MEASURED: f64 = 0.5;
/// Strength of feints and samples of which only the amount is known, % vol, with its doubt.
const SOME_VOL: Doubtful = (40.0, 20.0);

/// The sums of what was gauged, litres of pure alcohol.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Gauged {
    jars: Doubtful,
    feints: Doubtful,
    samples: Doubtful,
    /// Jars, feints and samples whose volume was measured and whose glass was not read.
    pub(super) not_read: Doubtful,
    /// Drawn, as the fit has it, and in nothing that was measured.
    pub(super) not_measured: Doubtful,
    /// Jars that were measured: from, to, litres at 20 °C.
    pub(super) measured: Vec<(f64, f64, f64)>,
    /// All that was gauged, and all that was not.
    pub(super) collected: Doubtful,
    pub(super) open: Doubtful,
    /// Residue: litres at 20 °C; strength, % vol; pure alcohol, L.
    pub(super) residue_litres: Option<Doubtful>,
    pub(super) residue_vol: Option<Doubtful>,
    pub(super) residue_l: Option<Doubtful>,
}

fn alcohol(litres: f64, vol: Doubtful, volume_sd: f64) -> Doubtful {
    let held_l = litres * vol.0 / 100.0;
    (held_l, (held_l * volume_sd).hypot(litres * vol.1 / 100.0))
}

/// Adds what errs alike.
fn add_alike(sum: &mut Doubtful, more: Doubtful) {
    *sum = (sum.0 + more.0, sum.1 + more.1);
}

fn add(sum: &mut Doubtful, more: Doubtful) {
    *sum = (sum.0 + more.0, sum.1.hypot(more.1));
}

fn vessels(rows: &RecordedRun) -> impl Iterator<Item = &VesselRecord> {
    rows.actions.iter().filter_map(|(_, action)| match action {
        Action::Vessel(record) => Some(record),
        _ => None,
    })
}

impl Gauged {
    /// From the rows; `track` gives the strength of a jar that was not read.
    pub(super) fn of(rows: &RecordedRun, track: &Track, now_s: f64) -> Self {
        let mut gauged = Self::default();
        let simulated = |from_s: f64, to_s: f64| {
            let first = track.points.first()?;
            let low = track.at(from_s).unwrap_or(*first);
            Some(track.at(to_s)?.drawn_since(&low))
        };
        let mut caught_l = 0.0;
        for record in jar::standing(&rows.jars) {
            if !(record.volume_ml > 0.0 && record.volume_ml.is_finite()) {
                continue;
            }
            let caught = simulated(record.start_s, record.end_s);
            caught_l += caught.map_or(0.0, |caught| caught.pure_alcohol_l);
            let reckoned = caught.filter(|caught| caught.litres_20c > 1e-4).map(Fraction::strength);
            let read = jar::gauged(record, reckoned);
            gauged.measured.push((record.start_s, record.end_s, read.litres_20c));
            if let Some(vol) = read.strength_vol {
                add_alike(&mut gauged.jars, alcohol(read.litres_20c, (vol, GLASS_SD_VOL), JUG_SD));
            } else {
                let vol = reckoned.map_or(SOME_VOL, |vol| (vol, RECKONED_VOL));
                add(&mut gauged.not_read, alcohol(read.litres_20c, vol, JUG_SD));
            }
        }
        gauged.vessels(rows);
        let last = track.points.iter().rev().find(|point| point.time_s <= now_s);
        if let (Some(first), Some(last)) = (track.points.first(), last) {
            let drawn_l = last.drawn_since(first).pure_alcohol_l;
            let outside = gauged.feints.0 + gauged.samples.0;
            let missed_l = (drawn_l - caught_l - outside).max(0.0);
            gauged.not_measured = (missed_l, NOT_MEASURED * missed_l);
        }
        for part in [gauged.jars, gauged.feints, gauged.samples] {
            add_alike(&mut gauged.collected, part);
        }
        for part in [gauged.not_read, gauged.not_measured] {
            add(&mut gauged.open, part);
        }
        gauged
    }

    fn vessels(&mut self, rows: &RecordedRun) {
        let (mut litres, mut held, mut all_read) = ((0.0, 0.0), (0.0, 0.0), true);
        for record in vessels(rows) {
            let found = record.gauged(None);
            let amount = match record.amount {
                Amount::Litres(_) if record.vessel == Vessel::Residue => BUCKET,
                Amount::Litres(_) => JUG_SD,
                Amount::Kilograms(_) => SCALE,
            };
            if record.vessel == Vessel::Residue {
                add_alike(&mut litres, (found.litres_20c, amount * found.litres_20c));
                all_read &= found.strength_vol.is_some();
                let vol = (found.strength_vol.unwrap_or(0.0), WEAK_VOL);
                add_alike(&mut held, alcohol(found.litres_20c, vol, amount));
                continue;
            }
            let of =
                if record.vessel == Vessel::Feints { &mut self.feints } else { &mut self.samples };
            match found.strength_vol {
                Some(vol) => add_alike(of, alcohol(found.litres_20c, (vol, GLASS_SD_VOL), amount)),
                None => add(&mut self.not_read, alcohol(found.litres_20c, SOME_VOL, amount)),
            }
        }
        if litres.0 > 0.0 {
            self.residue_litres = Some(litres);
            self.residue_vol = all_read.then(|| (100.0 * held.0 / litres.0, WEAK_VOL));
            self.residue_l = all_read.then_some(held);
        }
    }

    /// The parts as they are told; `left` is what the boiler and column hold, `stays` what is in no
    /// residue.
    pub(super) fn parts(&self, left: Doubtful, stays: Doubtful) -> Vec<Part> {
        let part = |code: &str, text: &str, (alcohol_l, sd_l): Doubtful| Part {
            code: code.to_owned(),
            text: text.to_owned(),
            alcohol_l,
            sd_l,
        };
        let mut parts = vec![
            part("jars", "jars, measured and read", self.jars),
            part("feints", "feints outside the jars", self.feints),
            part("samples", "samples", self.samples),
            part("not_read", "measured and not read, as reckoned", self.not_read),
            part("not_measured", "drawn and not measured, as reckoned", self.not_measured),
        ];
        parts.retain(|part| part.alcohol_l > 0.0);
        match self.residue_l {
            Some(residue) => {
                parts.push(part("residue", "residue, gauged", residue));
                parts.push(part("stays", "in column and condenser, as reckoned", stays));
            }
            None => parts.push(part("left", "left in the still, as reckoned", left)),
        }
        parts
    }
}
