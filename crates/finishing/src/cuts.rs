//! The cuts: which jars are in, what they come to, against which limits, and what one jar more or
//! less would change.

use alcoholometry::blend::{Blended, Part, blend};
use still::plan::StepKind;

use crate::congeners::{Milligrams, Substance, g_per_hl_pa};
use crate::error::FinishingError;
use crate::jar::{Jar, Masses, deviations};
use crate::limits::Limit;

/// What several jars come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// The jars in it.
    pub jars: Vec<u32>,
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// Volume lost by mixing, per cent of the jars'.
    pub contraction_percent: f64,
    /// Standard deviations of litres, % vol and pure alcohol: what errs in every jar alike does not
    /// shrink by mixing.
    pub sd: [f64; 3],
    /// Predicted grams per hL of pure alcohol, in the order of [`Substance::ALL`].
    pub congeners: Option<[f64; 4]>,
}

/// A congener of a lot against its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The limit.
    pub limit: Limit,
    /// Predicted, g per hL of pure alcohol.
    pub predicted: f64,
    /// The lower and upper end of the range that should hold 4 in 5.
    pub low_high: (f64, f64),
}

impl Against {
    /// What a person may conclude: within, over, or that it cannot be told.
    #[must_use]
    pub fn word(&self) -> &'static str {
        let most = self.limit.most_g_per_hl_pa;
        match self.low_high {
            (low, _) if low > most => "over",
            (_, high) if high <= most => "within",
            _ => "cannot be told",
        }
    }
}

/// One jar more, or less.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// The jar.
    pub jar: u32,
    /// Whether it is taken in; else left out.
    pub takes_in: bool,
    /// Change of the pure alcohol, L.
    pub pure_alcohol_l: f64,
    /// Change of the strength, % vol.
    pub strength_vol: f64,
    /// What changes most, from and to, g per hL of pure alcohol.
    pub most: Option<(Substance, f64, f64)>,
    /// Whether that passes its limit, by the middle of the prediction.
    pub passes_limit: bool,
}

/// Everything a choice of jars comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Cuts {
    /// The jars that are in.
    pub hearts: Lot,
    /// What is kept for the next charge; none where nothing is.
    pub feints: Option<Lot>,
    /// What is thrown away: foreshots that are not in; none where nothing is.
    pub discarded: Option<Lot>,
    /// Predicted congeners against the limits given.
    pub against: Vec<Against>,
    /// What each jar beside a cut would change.
    pub moves: Vec<Move>,
    /// Which of the moves does most harm: the largest rise against its limit, or against itself
    /// where there is none. Its place in [`Cuts::moves`].
    pub worst: Option<usize>,
}

/// The jars with what their run's model says of them.
#[derive(Debug, Clone, Copy)]
pub struct Table<'a> {
    /// The jars in the order in which they were filled.
    pub jars: &'a [Jar],
    /// Predicted milligrams of each; none where nothing is known.
    pub congeners: Option<&'a [Milligrams]>,
    /// Factor by which a prediction may be off either way, 4 in 5.
    pub factor: f64,
}

impl Table<'_> {
    /// What the jars of these places come to; nothing of none.
    fn lot(&self, places: &[usize]) -> Result<Option<Lot>, FinishingError> {
        if places.is_empty() {
            return Ok(None);
        }
        let jars = || places.iter().map(|&place| &self.jars[place]);
        let parts: Vec<Part> =
            jars().map(|jar| Part::at_20c(jar.litres_20c, jar.strength_vol_20c)).collect();
        let Blended { litres_20c, strength_vol_20c, pure_alcohol_l, contraction_percent, .. } =
            blend(&parts)?;
        let add = |sum: Masses, more: Masses| [sum[0] + more[0], sum[1] + more[1]];
        let at = jars().fold([0.0; 2], |sum, jar| add(sum, jar.masses));
        let alike = (0..4).map(|k| jars().fold([0.0; 2], |sum, jar| add(sum, jar.shared[k])));
        let own = jars().flat_map(|jar| jar.own);
        let congeners = self.congeners.and_then(|all| {
            let mg = |i: usize| places.iter().map(|&place| all[place][i]).sum::<f64>();
            g_per_hl_pa(1.0, pure_alcohol_l).map(|each| [0, 1, 2, 3].map(|i| each * mg(i)))
        });
        Ok(Some(Lot {
            jars: jars().map(|jar| jar.number).collect(),
            litres_20c,
            strength_vol_20c,
            pure_alcohol_l,
            contraction_percent,
            sd: deviations(at, alike.chain(own)),
            congeners,
        }))
    }

    /// The jars of a choice by their places, or those that are not there.
    fn places(&self, chosen: &[u32]) -> Result<Vec<usize>, FinishingError> {
        let missing: Vec<String> = chosen
            .iter()
            .filter(|number| !self.jars.iter().any(|jar| jar.number == **number))
            .map(u32::to_string)
            .collect();
        if !missing.is_empty() {
            return Err(FinishingError::Unfit {
                field: "jars",
                what: format!("there is no gauged jar {}", missing.join(", ")),
                hint: "choose among the jars that were gauged with a temperature",
            });
        }
        let places: Vec<usize> =
            (0..self.jars.len()).filter(|&i| chosen.contains(&self.jars[i].number)).collect();
        if places.is_empty() {
            return Err(FinishingError::Unfit {
                field: "jars",
                what: "none is chosen; it must be one at least".to_owned(),
                hint: "choose the jars of the hearts",
            });
        }
        Ok(places)
    }

    /// What a choice of jars comes to.
    ///
    /// # Errors
    /// [`FinishingError`] naming `jars`: none chosen, or one that is not there.
    pub fn cut(&self, chosen: &[u32], limits: &[Limit]) -> Result<Cuts, FinishingError> {
        let places = self.places(chosen)?;
        let rest = |is_thrown: bool| -> Vec<usize> {
            let left = (0..self.jars.len()).filter(|place| !places.contains(place));
            let thrown = |place: usize| self.jars[place].cut == Some(StepKind::Foreshots);
            left.filter(|&place| thrown(place) == is_thrown).collect()
        };
        let hearts = self.lot(&places)?.ok_or_else(|| FinishingError::Unfit {
            field: "jars",
            what: "they hold nothing".to_owned(),
            hint: "choose the jars of the hearts",
        })?;
        let mut moves = Vec::new();
        for place in beside(&places, self.jars.len()) {
            moves.extend(self.moved(place, &places, &hearts, limits)?);
        }
        let rise = |one: &Move| one.most.map_or(0.0, |most| harm(most, limits));
        let worst = (0..moves.len())
            .filter(|&i| rise(&moves[i]) > 0.0)
            .max_by(|&a, &b| rise(&moves[a]).total_cmp(&rise(&moves[b])));
        Ok(Cuts {
            feints: self.lot(&rest(false))?,
            discarded: self.lot(&rest(true))?,
            against: self.against(&hearts, limits),
            moves,
            worst,
            hearts,
        })
    }

    fn against(&self, lot: &Lot, limits: &[Limit]) -> Vec<Against> {
        let Some(found) = lot.congeners else { return Vec::new() };
        let of = |limit: &Limit| {
            let predicted = found[limit.substance as usize];
            let low_high = (predicted / self.factor, predicted * self.factor);
            Against { limit: *limit, predicted, low_high }
        };
        limits.iter().map(of).collect()
    }

    /// What the lot would be with this jar taken in, or left out; nothing where none would be left.
    fn moved(
        &self,
        place: usize,
        places: &[usize],
        now: &Lot,
        limits: &[Limit],
    ) -> Result<Option<Move>, FinishingError> {
        let takes_in = !places.contains(&place);
        let mut then: Vec<usize> = places.iter().copied().filter(|&one| one != place).collect();
        if takes_in {
            then.push(place);
            then.sort_unstable();
        }
        let Some(lot) = self.lot(&then)? else { return Ok(None) };
        let changes = now.congeners.zip(lot.congeners).map(|(from, to)| {
            Substance::ALL.map(|one| (one, from[one as usize], to[one as usize]))
        });
        let most = changes.and_then(|all| {
            all.into_iter().max_by(|a, b| harm(*a, limits).abs().total_cmp(&harm(*b, limits).abs()))
        });
        let passes_limit = most.is_some_and(|(substance, from, to)| {
            let of = limits.iter().filter(|limit| limit.substance == substance);
            of.map(|limit| limit.most_g_per_hl_pa).any(|bound| from <= bound && to > bound)
        });
        Ok(Some(Move {
            jar: self.jars[place].number,
            takes_in,
            pure_alcohol_l: lot.pure_alcohol_l - now.pure_alcohol_l,
            strength_vol: lot.strength_vol_20c - now.strength_vol_20c,
            most,
            passes_limit,
        }))
    }
}

/// How much a change matters: against its limit, or against what was there where it has none.
fn harm((substance, from, to): (Substance, f64, f64), limits: &[Limit]) -> f64 {
    /// Below this nobody smells it, g per hL of pure alcohol (judgement): a share of less is noise.
    const LITTLE: f64 = 1.0;
    let limit = limits.iter().find(|limit| limit.substance == substance);
    let measure = limit.map_or_else(|| from.max(LITTLE), |limit| limit.most_g_per_hl_pa);
    (to - from) / measure
}

/// The places beside a cut: those at the edge inside, and those outside next to one inside.
fn beside(places: &[usize], count: usize) -> Vec<usize> {
    let is_in = |place: usize| places.contains(&place);
    let neighbours = |place: usize| [place.checked_sub(1), Some(place + 1)].into_iter().flatten();
    (0..count)
        .filter(|&place| {
            let others = neighbours(place).filter(|&other| other < count);
            let at_end = is_in(place) && (place == 0 || place + 1 == count);
            at_end || others.into_iter().any(|other| is_in(other) != is_in(place))
        })
        .collect()
}

/// A charge with feints poured into it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charged {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Strength, % vol.
    pub strength_vol_20c: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// How much of it came with the feints, L.
    pub of_feints_l: f64,
}

/// The next charge: wash, and the feints that are carried over with their pure alcohol.
///
/// # Errors
/// [`FinishingError`] naming the part.
pub fn charge_with(
    wash_litres: f64,
    wash_strength_vol: f64,
    feints: &Lot,
) -> Result<Charged, FinishingError> {
    let both = [
        Part::at_20c(wash_litres, wash_strength_vol),
        Part::at_20c(feints.litres_20c, feints.strength_vol_20c),
    ];
    let Blended { litres_20c, strength_vol_20c, pure_alcohol_l, .. } = blend(&both)?;
    let of_feints_l = feints.pure_alcohol_l;
    Ok(Charged { litres_20c, strength_vol_20c, pure_alcohol_l, of_feints_l })
}
