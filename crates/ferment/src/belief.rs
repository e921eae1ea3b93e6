//! Beliefs before the first reading: what is not known of a wash, and how wide.
//!
//! Every unknown is normal after a change of scale. Forms are those of the kinetics; the values are
//! judgement, widened by what simulated washes showed.

use crate::liquid::{Extract, solution_g_l};
use crate::problem::Problem;
use crate::recipe::{Kind, YeastKind};

/// How many unknowns.
pub(crate) const UNKNOWNS: usize = 26;
/// One draw of the unknowns, in standard deviations.
pub(crate) type Unknowns = [f64; UNKNOWNS];

/// Centre and width of each unknown on its own scale.
pub(crate) const BELIEFS: [(f64, f64); UNKNOWNS] = [
    (0.012, 0.03),    // 0 ln extract over the recipe
    (0.0, 1.0),       // 1 unfermentable share, by kind
    (0.0, 0.36),      // 2 ln uptake, g/(g h) at 25 C
    (-0.8, 0.45),     // 3 ln viable share
    (0.0, 0.5),       // 4 ln own nitrogen, by kind
    (-0.07, 0.30),    // 5 ln biomass of nitrogen
    (-5.5, 0.8),      // 6 ln loss of transport, 1/h
    (0.02, 0.10),     // 7 ln limit of alcohol, by yeast
    (-6.0, 1.0),      // 8 ln death at the limit, 1/h
    (0.9, 0.8),       // 9 ln half saturation, g/L
    (2.15, 0.5),      // 10 ln lag, h
    (0.0, 1.0),       // 11 lowest pH, by kind
    (-0.2, 0.5),      // 12 ln second sugar's rate
    (-4.5, 0.8),      // 13 ln splitting of dextrin, 1/h
    (0.07, 0.015),    // 14 rate with temperature, 1/K
    (0.0, 2.5),       // 15 ambient, K
    (0.925, 0.02),    // 16 share of stoichiometry
    (0.0, 0.0008),    // 17 offset of the glass
    (0.0, 0.04),      // 18 scale of the float
    (0.0, 0.003),     // 19 offset of the float
    (0.0, 0.002),     // 20 drift of the float in 100 h
    (0.0006, 0.0006), // 21 gas on the stem
    (2.85, 0.10),     // 22 pH of half rate
    (0.0, 0.5),       // 23 ln of what fresh yeast can
    (38.5, 1.2),      // 24 temperature that stops it
    (-1.2, 0.7),      // 25 ln third sugar's rate
];

/// The physical wash behind one draw.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wash {
    pub(crate) begun_g: f64,
    pub(crate) inert_g: f64,
    /// Glucose, fructose, maltose, maltotriose, as hexose, g/L.
    pub(crate) sugars: [f64; 4],
    pub(crate) dextrin: f64,
    /// Extract in a gram of hexose of each sugar.
    pub(crate) weight: f64,
    pub(crate) uptake: f64,
    pub(crate) viable: f64,
    pub(crate) nitrogen: f64,
    pub(crate) biomass: f64,
    pub(crate) loss: f64,
    pub(crate) limit: f64,
    pub(crate) death: f64,
    pub(crate) half: f64,
    pub(crate) lag: f64,
    pub(crate) ph_start: f64,
    pub(crate) ph_low: f64,
    pub(crate) ph_half: f64,
    pub(crate) second: f64,
    pub(crate) third: f64,
    pub(crate) splitting: f64,
    pub(crate) warmth: f64,
    pub(crate) hot: f64,
    pub(crate) ambient: f64,
    pub(crate) yield_share: f64,
    pub(crate) glass: f64,
    pub(crate) float: [f64; 3],
    pub(crate) gas: f64,
    pub(crate) fresh: f64,
}

/// Unfermentable share of the extract: centre and width.
fn inert_share(problem: &Problem, z: f64) -> f64 {
    let (centre, width) = match problem.recipe.kind {
        Kind::Sugar => (0.002, 0.002),
        Kind::Molasses => (0.03, 0.02),
        Kind::Fruit => (0.068, 0.014),
        Kind::Grain if problem.enzyme => (0.14, 0.04),
        Kind::Grain => (0.255, 0.045),
    };
    (centre + width * z).max(0.0)
}

/// Alcohol a yeast stands at 25 C, g/L.
const fn limit(kind: YeastKind) -> f64 {
    match kind {
        YeastKind::Baker => 98.0,
        YeastKind::Ale => 95.0,
        YeastKind::Wine => 118.0,
        YeastKind::Distiller => 130.0,
    }
}

/// How fast the same yeast eats in each kind of wash, against a plain sugar wash.
const fn faster(kind: Kind) -> f64 {
    match kind {
        Kind::Sugar => 0.90,
        Kind::Molasses => 0.78,
        Kind::Fruit => 0.66,
        Kind::Grain => 1.25,
    }
}

fn ph(problem: &Problem, z: f64) -> (f64, f64) {
    let (start, low, width) = match (problem.recipe.kind, problem.recipe.buffer.is_some()) {
        (Kind::Sugar, false) => (5.5, 3.10, 0.28),
        (Kind::Sugar, true) => (6.2, 4.2, 0.4),
        (Kind::Molasses, _) => (5.3, 4.65, 0.3),
        (Kind::Fruit, _) => (3.6, 3.4, 0.15),
        (Kind::Grain, _) => (5.4, 4.7, 0.3),
    };
    (problem.first_ph.unwrap_or(start), low + width * z)
}

impl Wash {
    pub(crate) fn of(problem: &Problem, z: &Unknowns) -> Self {
        let on = |i: usize| {
            let (centre, width) = BELIEFS[i];
            centre + width * z[i]
        };
        let exp = |i: usize| on(i).exp();
        let recipe = &problem.recipe;
        let wider = if recipe.kind == Kind::Grain { 1.3 } else { 1.0 };
        let scale = 1000.0 * (wider * on(0)).exp() / recipe.litres;
        let Extract { kg, other_kg, hexose_kg, dextrose_kg } = problem.extract;
        let inert_of_sugar = inert_share(problem, z[1]);
        let sugar_g = (kg - other_kg) * scale;
        let inert_g = other_kg * scale + inert_of_sugar * sugar_g;
        let hexose = hexose_kg * scale * (1.0 - inert_of_sugar);
        let weight = (kg - other_kg) / hexose_kg;
        let (mut sugars, mut dextrin) = ([0.0; 4], 0.0);
        if recipe.kind == Kind::Grain {
            let split = if problem.enzyme { 0.12 } else { 0.0 };
            dextrin = split * hexose;
            let rest = hexose - dextrin;
            sugars = [0.15 * rest, 0.04 * rest, 0.66 * rest, 0.15 * rest];
        } else {
            let dextrose = dextrose_kg / hexose_kg;
            sugars[0] = hexose * (dextrose + 0.5 * (1.0 - dextrose));
            sugars[1] = hexose - sugars[0];
        }
        let own = match recipe.kind {
            Kind::Sugar => 8.0,
            Kind::Molasses => 85.0,
            Kind::Fruit => 80.0,
            Kind::Grain => 200.0,
        };
        let (ph_start, ph_low) = ph(problem, z[11]);
        Self {
            begun_g: solution_g_l(sugar_g + other_kg * scale),
            inert_g,
            sugars,
            dextrin,
            weight,
            uptake: exp(2) * faster(recipe.kind),
            viable: exp(3).min(1.0),
            nitrogen: own * exp(4),
            biomass: 0.011 * exp(5),
            loss: exp(6),
            limit: limit(recipe.yeast.kind) * exp(7),
            death: exp(8),
            half: exp(9),
            lag: exp(10),
            ph_start,
            ph_low,
            ph_half: on(22),
            second: exp(12),
            third: exp(25),
            splitting: exp(13),
            warmth: on(14).max(0.02),
            hot: on(24),
            ambient: recipe.room.ambient_c + on(15),
            yield_share: on(16).min(0.99),
            glass: on(17),
            float: [on(18), on(19), on(20)],
            gas: on(21).max(0.0),
            fresh: exp(23),
        }
    }
}
