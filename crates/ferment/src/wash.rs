//! One possible wash: what a draw of the unknowns stands for.

use crate::belief::Unknowns;
use crate::liquid::{Extract, protons, solution_g_l};
use crate::problem::Problem;
use crate::recipe::Kind;

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
    /// Acid that takes the pH down by one, mmol/L.
    pub(crate) buffer: f64,
    /// Death where acid stops it, 1/h.
    pub(crate) kill: f64,
    /// Acid that chalk takes away, for each free proton, 1/h.
    pub(crate) chalk: f64,
    /// Acid made, against what is usual.
    pub(crate) acid: f64,
    /// Share of transport that starving yeast keeps.
    pub(crate) keeps: f64,
    /// Free protons that halve the rate, mmol/L.
    pub(crate) protons_half: f64,
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

/// pH at the pitching: read, or what is usual (judgement).
fn ph(problem: &Problem) -> f64 {
    let start = match (problem.recipe.kind, problem.recipe.buffer.is_some()) {
        (Kind::Sugar, true) => 5.8,
        (Kind::Molasses, _) => 5.2,
        (Kind::Fruit, _) => 3.5,
        (Kind::Sugar, false) | (Kind::Grain, _) => 5.3,
    };
    problem.first_ph.unwrap_or(start)
}

impl Wash {
    pub(crate) fn of(problem: &Problem, z: &Unknowns) -> Self {
        let on = |i: usize| {
            let (centre, width) = problem.beliefs[i];
            centre + width * z[i]
        };
        let exp = |i: usize| on(i).exp();
        let recipe = &problem.recipe;
        let scale = 1000.0 * exp(0) / recipe.litres;
        let Extract { kg, other_kg, hexose_kg, dextrose_kg } = problem.extract;
        let inert_of_sugar = on(1).max(0.0);
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
        let ph_start = ph(problem);
        Self {
            begun_g: solution_g_l(sugar_g + other_kg * scale),
            inert_g,
            sugars,
            dextrin,
            weight,
            uptake: exp(2),
            viable: exp(3).min(1.0),
            nitrogen: exp(4),
            biomass: 0.011 * exp(5),
            loss: exp(6),
            limit: exp(7),
            death: exp(8),
            half: exp(9),
            lag: exp(10),
            ph_start,
            buffer: exp(11),
            kill: exp(26),
            chalk: exp(27),
            acid: exp(28),
            keeps: exp(29).min(0.5),
            protons_half: protons(on(22)),
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
