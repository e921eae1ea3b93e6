//! One step of a fermenting wash: growth on nitrogen, uptake of one sugar after another, loss of
//! transport, death, acid and heat.
//!
//! Form after Cramer, Vlassides and Block (2002: growth limited by nitrogen), Coleman, Fish and
//! Block (2007: temperature) and Gee and Ramirez (1994: sugars of wort). Acid is a balance of charge:
//! what is made is taken up by the buffer (Van Slyke 1922), as free protons, or by chalk, which
//! dissolves the faster the more protons there are (Plummer, Wigley and Parkhurst 1978). Loss of
//! transport, lag and death by acid are our own. All from memory: no table of parameters was at hand.

use std::f64::consts::LN_10;

use crate::events::Event;
use crate::liquid::{Liquid, protons};
use crate::problem::Problem;
use crate::wash::Wash;

/// A wash on its way.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Now {
    pub(crate) time_h: f64,
    viable: f64,
    nitrogen: f64,
    pub(crate) sugars: [f64; 4],
    pub(crate) dextrin: f64,
    pub(crate) ethanol: f64,
    byproduct: f64,
    transport: f64,
    awake: f64,
    pub(crate) ph: f64,
    /// Free protons, mmol/L.
    protons: f64,
    /// Rate against that at 25 C.
    warm: f64,
    chalk: bool,
    pub(crate) celsius: f64,
    /// What the air around was found to differ from the belief, K.
    pub(crate) ambient_off: f64,
    heater_c: Option<f64>,
    heater_kw: f64,
}

/// Nitrogen of half the rate of growth, mg/L (judgement).
const NITROGEN_HALF: f64 = 12.0;
/// Growth at 25 C, 1/h (from memory: 0.15 to 0.3 for baker's and wine yeast).
const GROWTH: f64 = 0.20;
/// Heat of fermentation, kJ per g of hexose (from memory: about 100 kJ per mol).
const HEAT_KJ_PER_G: f64 = 0.56;
/// Heat capacity of a wash, kJ/(L K) (from memory, water 4.2).
const HEAT_CAPACITY: f64 = 4.0;
/// Ethanol from a gram of hexose.
const ETHANOL: f64 = 0.5114;
/// Of what does not become ethanol, share that stays dissolved; the rest settles as yeast.
const STAYS: f64 = 0.25;

/// The exponential of a small number, within 0.2 % up to 1 (Padé).
fn exp_near(x: f64) -> f64 {
    let even = 1.0 + x * x / 12.0;
    (even + 0.5 * x) / (even - 0.5 * x)
}

/// Acid from a gram of hexose, and from a milligram of nitrogen taken up, mmol (judgement, from
/// simulated washes).
const ACID_OF_SUGAR: f64 = 0.07;
const ACID_OF_NITROGEN: f64 = 0.026;

impl Now {
    pub(crate) fn begin(problem: &Problem<'_>, wash: &Wash) -> Self {
        let room = &problem.recipe.room;
        let usual = room.heater_c.unwrap_or(wash.ambient);
        let celsius = problem.temperatures.first().unwrap_or(usual);
        Self {
            time_h: 0.0,
            viable: wash.viable * problem.recipe.yeast.grams / problem.recipe.litres,
            nitrogen: wash.nitrogen,
            sugars: wash.sugars,
            dextrin: wash.dextrin,
            ethanol: 0.0,
            byproduct: 0.0,
            transport: 1.0,
            awake: 0.0,
            ph: wash.ph_start,
            protons: protons(wash.ph_start),
            warm: (wash.warmth * (celsius - 25.0)).exp(),
            chalk: problem.recipe.buffer.is_some(),
            celsius,
            ambient_off: 0.0,
            heater_c: room.heater_c,
            heater_kw: room.heater_w.unwrap_or(0.0) / 1000.0,
        }
    }

    pub(crate) fn liquid(&self, wash: &Wash) -> Liquid {
        let sugar: f64 = self.sugars.iter().sum::<f64>() + self.dextrin;
        Liquid {
            begun_g: wash.begun_g,
            extract_g: wash.inert_g + wash.weight * sugar + self.byproduct,
            ethanol_g: self.ethanol,
        }
    }

    /// The liquid once everything this yeast could ferment is gone.
    pub(crate) fn fermented_out(&self, wash: &Wash) -> Liquid {
        let sugar: f64 = self.sugars.iter().sum::<f64>() + self.dextrin;
        Liquid {
            begun_g: wash.begun_g,
            extract_g: wash.inert_g + self.byproduct + (1.0 - wash.yield_share) * STAYS * sugar,
            ethanol_g: self.ethanol + ETHANOL * wash.yield_share * sugar,
        }
    }

    pub(crate) fn happen(&mut self, wash: &Wash, event: Event) {
        match event {
            Event::Nitrogen(mg_l) => self.nitrogen += mg_l,
            Event::Yeast(g_l) => {
                let fresh = wash.fresh * wash.viable * g_l;
                let whole = (self.viable + fresh).max(1e-9);
                self.transport = (self.transport * self.viable + fresh) / whole;
                self.viable = whole;
            }
            Event::Chalk => self.chalk = true,
            Event::Heater(celsius) => {
                self.heater_c = Some(celsius);
                self.heater_kw = self.heater_kw.max(0.05);
            }
            Event::Moved => {
                self.ambient_off -= 8.0;
                self.heater_kw = 0.0;
            }
        }
    }

    /// The heater gives out.
    pub(crate) fn heater_fails(&mut self) {
        self.heater_kw = 0.0;
    }

    /// One step of so many hours; `read_c` is the temperature that was read then.
    pub(crate) fn step(
        &mut self,
        problem: &Problem<'_>,
        wash: &Wash,
        hours: f64,
        read_c: Option<f64>,
    ) {
        let mut warm = self.warm;
        let mut heat = 1.0;
        if self.celsius > 30.0 {
            warm /= 1.0 + ((self.celsius - wash.hot) * 0.9).exp();
            heat += ((self.celsius - 36.0) * 0.7).exp();
        }
        let limit = wash.limit * (1.0 - 0.012 * (self.celsius - 28.0).max(0.0));
        let near = self.ethanol / limit;
        let stands = (1.0 - near * near).max(0.0);
        let sour = (self.protons / wash.protons_half).powi(4);
        let acid = 1.0 / (1.0 + sour);
        self.awake += hours * warm / wash.lag;
        let awake = (self.awake * self.awake).min(1.0);
        let fed = self.nitrogen / (self.nitrogen + NITROGEN_HALF);
        let left: f64 = self.sugars.iter().sum();

        let growth = GROWTH * warm * fed * stands * stands * acid * awake * left / (left + 2.0);
        let grown = (growth * hours).min(1.0) * self.viable;
        let grown = grown.min(self.nitrogen * wash.biomass);
        self.nitrogen -= grown / wash.biomass;
        let hard = ((near + 0.7) / 1.4).powi(4) * heat;
        let death = wash.death * warm.max(0.3) * hard + wash.kill * warm * (1.0 - acid);

        let able = wash.keeps + (1.0 - wash.keeps) * self.transport;
        let pull = wash.uptake * warm * able * self.viable * awake * stands * acid;
        let eaten = self.eat(wash, pull, hours);
        let made = ETHANOL * wash.yield_share * eaten;
        self.ethanol += made;
        self.byproduct += (1.0 - wash.yield_share) * STAYS * eaten;
        if self.dextrin > 0.0 {
            let split = self.dextrin * (1.0 - 1.0 / (1.0 + wash.splitting * warm * hours));
            self.dextrin -= split;
            self.sugars[2] += split;
        }

        self.viable = (self.viable + grown) / (1.0 + death * hours);
        let starving = wash.loss * warm.max(0.3) * (1.0 - fed);
        self.transport =
            (self.transport + 0.03 * fed * hours) / (1.0 + (starving + 0.03 * fed) * hours);
        self.sour(
            wash,
            wash.acid * (ACID_OF_SUGAR * eaten + ACID_OF_NITROGEN * grown / wash.biomass),
            hours,
        );
        self.warm(problem, wash, hours, HEAT_KJ_PER_G * eaten / HEAT_CAPACITY, read_c);
        self.time_h += hours;
    }

    /// Eats for so many hours, g/L: glucose first, then the others; never more than there is.
    fn eat(&mut self, wash: &Wash, pull: f64, hours: f64) -> f64 {
        let [glucose, fructose, maltose, _] = self.sugars;
        let after = 1.0 / (1.0 + glucose / 8.0);
        let last = after / (1.0 + (fructose + maltose) / 12.0);
        let rates = [1.0, wash.second.max(0.2), wash.second, wash.third * wash.second];
        let turns = [1.0, after, after, last];
        let mut eaten = 0.0;
        for i in 0..4 {
            let sugar = self.sugars[i];
            if sugar > 0.0 {
                // Implicit in the sugar itself: it never falls below nothing.
                let part = pull * rates[i] * turns[i] / (sugar + wash.half);
                let rest = sugar / (1.0 + part * hours);
                eaten += sugar - rest;
                self.sugars[i] = rest;
            }
        }
        eaten
    }

    /// Takes up so much acid, mmol/L, and what chalk takes away.
    fn sour(&mut self, wash: &Wash, made: f64, hours: f64) {
        let chalk = if self.chalk { wash.chalk } else { 0.0 };
        let parts = if made > 0.2 * wash.buffer { 4 } else { 1 };
        let (made, hours) = (made / f64::from(parts), hours / f64::from(parts));
        for _ in 0..parts {
            let held = wash.buffer + LN_10 * self.protons * (1.0 + chalk * hours);
            let fall = (made - chalk * self.protons * hours) / held;
            self.ph -= fall;
            self.protons *= exp_near(LN_10 * fall);
        }
    }

    fn warm(
        &mut self,
        problem: &Problem<'_>,
        wash: &Wash,
        hours: f64,
        own_k: f64,
        read_c: Option<f64>,
    ) {
        let litres = problem.recipe.litres;
        let loss = problem.cools;
        let before_c = self.celsius;
        let around = wash.ambient + self.ambient_off;
        let free = (self.celsius + own_k + loss * hours * around) / (1.0 + loss * hours);
        let power_k = self.heater_kw * 3600.0 * hours / (HEAT_CAPACITY * litres);
        let heated = self.heater_c.map_or(0.0, |set| (set - free).clamp(0.0, power_k));
        let foreseen = free + heated;
        self.celsius = foreseen.clamp(-2.0, 48.0);
        if let Some(read) = read_c {
            let miss = read - foreseen;
            self.celsius = read - miss * 3.0 / (3.0 + hours + hours * hours / 6.0);
            let learned = 0.04 * hours * miss;
            self.ambient_off = (self.ambient_off + learned).clamp(-10.0, 10.0);
        }
        self.warm *= exp_near(wash.warmth * (self.celsius - before_c));
    }
}

#[cfg(test)]
mod tests {
    use super::{Now, exp_near, protons};
    use crate::belief::UNKNOWNS;
    use crate::log::Log;
    use crate::problem::Problem;
    use crate::recipe::Recipe;
    use crate::wash::Wash;

    fn recipe() -> Recipe {
        let text = include_str!("../tests/wash.toml");
        toml::from_str(text).unwrap()
    }

    #[test]
    fn prop_the_short_exponential_is_the_exponential() {
        for i in -100_i32..=100 {
            let x = f64::from(i) / 100.0;
            assert!((exp_near(x) / x.exp() - 1.0).abs() < 0.002, "{x}");
        }
    }

    #[test]
    fn prop_acid_is_taken_up_by_the_buffer_or_free() {
        let recipe = recipe();
        let problem = Problem::new(&recipe, &Log::default(), 0.0);
        let wash = Wash::of(&problem, &[0.0; UNKNOWNS]);
        let mut now = Now::begin(&problem, &wash);
        let (before, mut made) = (now.ph, 0.0);
        for _ in 0..200 {
            now.sour(&wash, 0.08, 1.0);
            made += 0.08;
        }
        let taken = wash.buffer * (before - now.ph) + protons(now.ph) - protons(before);
        assert!((taken / made - 1.0).abs() < 0.01, "{taken} of {made}");
        assert!((now.protons / protons(now.ph) - 1.0).abs() < 0.01);
        now.chalk = true;
        let sour = now.ph;
        now.sour(&wash, 0.0, 1.0);
        assert!(now.ph > sour, "chalk takes acid away");
    }
}
