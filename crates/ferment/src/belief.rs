//! Beliefs before the first reading: what is not known of a wash, and how wide.
//!
//! Every unknown is normal after a change of scale. Forms are those of the kinetics. Centres and
//! widths are judgement: round figures that one step of expectation and maximisation over simulated
//! washes led to from wide beliefs; docs/benchmark/ferment.md says how that fares on washes left out.

use crate::recipe::{Kind, Recipe, YeastKind};

/// How many unknowns.
pub(crate) const UNKNOWNS: usize = 30;
/// One draw of the unknowns, in standard deviations.
pub(crate) type Unknowns = [f64; UNKNOWNS];

/// Centre and width of each unknown on its own scale.
pub(crate) type Beliefs = [(f64, f64); UNKNOWNS];

/// What is believed of every wash; [`beliefs`] puts in what its kind and yeast say.
const COMMON: Beliefs = [
    (0.0, 0.03),      // 0 ln extract over the recipe, by kind
    (0.0, 0.0),       // 1 unfermentable share, by kind
    (0.0, 0.40),      // 2 ln uptake, g/(g h) at 25 C, by kind
    (-0.7, 0.47),     // 3 ln viable share
    (0.0, 0.0),       // 4 ln own nitrogen, mg/L, by kind
    (-0.03, 0.30),    // 5 ln biomass of nitrogen
    (-5.7, 0.85),     // 6 ln loss of transport, 1/h
    (0.0, 0.11),      // 7 ln limit of alcohol, g/L, by yeast
    (-6.1, 1.0),      // 8 ln death at the limit, 1/h
    (1.2, 0.9),       // 9 ln half saturation, g/L
    (2.1, 0.55),      // 10 ln lag, h
    (0.0, 0.0),       // 11 ln buffer, mmol/L per unit of pH, by kind
    (-0.13, 0.45),    // 12 ln second sugar's rate
    (-4.6, 0.9),      // 13 ln splitting of dextrin, 1/h
    (0.07, 0.018),    // 14 rate with temperature, 1/K
    (0.0, 2.3),       // 15 ambient, K
    (0.921, 0.022),   // 16 share of stoichiometry
    (0.0, 0.0008),    // 17 offset of the glass
    (0.0, 0.04),      // 18 scale of the float
    (0.0, 0.003),     // 19 offset of the float
    (0.0, 0.002),     // 20 drift of the float in 100 h
    (0.0006, 0.0006), // 21 gas on the stem
    (2.75, 0.16),     // 22 pH of half rate
    (0.0, 0.5),       // 23 ln of what fresh yeast can
    (38.5, 1.2),      // 24 temperature that stops it
    (-1.05, 0.75),    // 25 ln third sugar's rate
    (-4.0, 1.4),      // 26 ln death by acid, 1/h
    (0.0, 1.4),       // 27 ln chalk dissolving, 1/h
    (-0.05, 0.3),     // 28 ln acid made
    (-3.5, 1.2),      // 29 ln transport that is never lost
];

/// ln of the alcohol a yeast stands at 25 C, g/L.
const fn limit(kind: YeastKind) -> f64 {
    match kind {
        YeastKind::Baker => 4.59,
        YeastKind::Ale => 4.57,
        YeastKind::Wine => 4.74,
        YeastKind::Distiller => 4.85,
    }
}

/// What is believed of this wash before its first reading.
pub(crate) fn beliefs(recipe: &Recipe) -> Beliefs {
    let enzyme = recipe.fermentables.iter().any(|item| item.enzyme == Some(true));
    let (extract, inert, uptake, nitrogen, buffer) = match recipe.kind {
        Kind::Sugar => ((0.006, 0.03), (0.002, 0.003), -0.15, (1.65, 0.62), (1.6, 0.55)),
        Kind::Molasses => ((0.025, 0.03), (0.043, 0.03), -0.20, (4.35, 0.55), (3.4, 0.5)),
        Kind::Fruit => ((0.013, 0.03), (0.065, 0.025), -0.23, (4.30, 0.55), (3.7, 0.5)),
        Kind::Grain => {
            let inert = if enzyme { (0.13, 0.05) } else { (0.24, 0.053) };
            ((0.017, 0.042), inert, 0.0, (5.10, 0.45), (3.3, 0.55))
        }
    };
    let mut beliefs = COMMON;
    beliefs[0] = extract;
    beliefs[1] = inert;
    beliefs[2].0 = uptake;
    beliefs[4] = nitrogen;
    beliefs[7].0 = limit(recipe.yeast.kind);
    beliefs[11] = buffer;
    beliefs
}
