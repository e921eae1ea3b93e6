//! Published tables for the wash: sucrose solutions, Balling's factors, measured brews, yields.

use crate::support::rows;
use alcoholometry::density::ETHANOL_DENSITY_20C_KG_M3;
use alcoholometry::kernel;
use alcoholometry::wash::sugar::{CO2_MOLAR_MASS_G_MOL, CO2_PER_ETHANOL, HEXOSE_MOLAR_MASS_G_MOL};
use alcoholometry::wash::{
    Sugar, SugarKind, WashInput, balling, forecast, gravity, sugar_for_alcohol, sugar_for_strength,
};
use alcoholometry::weighing::{BRASS_DENSITY_KG_M3, WEIGHTS_DENSITY_KG_M3, density_in_air_kg_m3};

const SUCROSE: &str = include_str!("../../reference/wash/sucrose_density_20c.csv");
const STOICHIOMETRY: &str = include_str!("../../reference/wash/stoichiometry.csv");

#[test]
fn val_sucrose_solutions() {
    // NBS Circular C440, a USDA conversion table and a sugar handbook.
    for row in rows(SUCROSE, 65) {
        let w = row.number("mass_pct_sucrose") / 100.0;
        let density = gravity::density_20c_kg_m3(w);
        let found = match row.text("quantity") {
            "lb_per_us_gal_in_air_20c" => {
                density_in_air_kg_m3(density, BRASS_DENSITY_KG_M3) * 3.785411784e-3 / 0.45359237
            }
            "apparent_sg_20_20" => {
                density_in_air_kg_m3(density, WEIGHTS_DENSITY_KG_M3)
                    / density_in_air_kg_m3(gravity::density_20c_kg_m3(0.0), WEIGHTS_DENSITY_KG_M3)
            }
            "sg_20_20_times_1000" => 1000.0 * gravity::specific_gravity(w),
            other => panic!("unknown quantity {other}"),
        };
        row.holds("value", found, "tolerance");
    }
}

#[test]
fn val_degrees_plato_of_a_gravity_are_those_brewers_print() {
    // The polynomial of the American Society of Brewing Chemists for wort at 20 °C (ASBC Methods of
    // Analysis, Beer/Wort; from memory): it smooths the table of Plato to a few hundredths of a degree.
    let asbc = |sg: f64| -616.868 + sg * (1111.14 + sg * (-630.272 + sg * 135.997));
    for plato in [1.0, 5.0, 10.0, 12.5, 15.0, 20.0, 25.0] {
        let gravity = gravity::of_plato("gravity", plato).unwrap();
        assert!((asbc(gravity) - plato).abs() < 0.05, "{plato} °P: {gravity}, {}", asbc(gravity));
        let back = gravity::plato("gravity", gravity).unwrap();
        assert!((back - plato).abs() < 1e-9);
    }
    assert!(
        gravity::of_plato("gravity", 66.0).is_err()
            && gravity::of_plato("gravity", f64::NAN).is_err()
    );
}

#[test]
fn val_balling_alcohol_factors() {
    // A brewing digest reprint of Balling's factors, 1995.
    for row in rows(include_str!("../../reference/wash/balling_alcohol_factor.csv"), 25) {
        let found = balling::alcohol_factor(row.number("original_extract_plato"));
        row.holds("factor_pct_mass_per_plato", found, "tolerance");
    }
}

#[test]
fn val_means_of_measured_brews() {
    // Cutaia, Reid and Speers, J. Inst. Brew. 115 (2009) 318-327, table III.
    for row in rows(include_str!("../../reference/wash/brew_survey_means.csv"), 2) {
        let (alcohol, real) = (row.number("alcohol_pct_mass"), row.number("re_plato"));
        let original = row.number("oe_plato");
        row.holds("oe_plato", balling::original_extract(alcohol, real), "tol_oe");
        let found = balling::real_extract(original, row.number("ae_plato"));
        row.holds("re_plato", found, "tol_re_from_oe_ae");
        let back = balling::alcohol_mass_percent(balling::original_extract(alcohol, real), real);
        assert!((back - alcohol).abs() < 1e-12);
    }
}

#[test]
fn val_strength_from_two_gravities_meets_the_measured_brews() {
    // The same survey: alcohol from original and apparent extract, within its 0.1-0.2 % mass.
    for row in rows(include_str!("../../reference/wash/brew_survey_means.csv"), 2) {
        let sg = |column| gravity::specific_gravity(row.number(column) / 100.0);
        let found = balling::from_gravities(sg("oe_plato"), sg("ae_plato"), 0.001).unwrap();
        row.holds_within("alcohol_pct_mass", found.alcohol_mass_percent, 0.2);
        row.holds_within("oe_plato", found.original_plato, 1e-9);
        assert!(found.strength_vol > 1.2 * found.alcohol_mass_percent);
        // About 0.13 % vol per point of attenuation (common practice, no source), two readings.
        let by_rule = 0.13 * f64::hypot(1.0, 1.0);
        assert!((found.strength_sd / by_rule - 1.0).abs() < 0.1, "{found:?}");
    }
}

#[test]
fn val_stoichiometry() {
    // Yields from IUPAC atomic weights; 0.511 and 0.489 in Bai et al., Biotechnol. Adv. 26 (2008).
    let (ethanol, water) = (kernel::ETHANOL_MOLAR_MASS_G_MOL, kernel::WATER_MOLAR_MASS_G_MOL);
    let (hexose, co2) = (HEXOSE_MOLAR_MASS_G_MOL, CO2_MOLAR_MASS_G_MOL);
    let (band_low, band_high) = forecast::EFFICIENCY_BAND;
    for row in rows(STOICHIOMETRY, 23) {
        let (found, tolerance) = match row.text("name") {
            "molar_mass_ethanol" => (ethanol, 1e-3),
            "molar_mass_hexose" => (hexose, 1e-3),
            "molar_mass_dextrose_monohydrate" => (hexose + water, 1e-3),
            "molar_mass_sucrose" => (2.0 * hexose - water, 1e-3),
            "molar_mass_starch_unit" => (hexose - water, 1e-3),
            "molar_mass_co2" => (co2, 1e-3),
            "ethanol_yield_hexose" => (SugarKind::Extract.ethanol_yield(), 1e-5),
            "co2_yield_hexose" => (CO2_PER_ETHANOL * SugarKind::Dextrose.ethanol_yield(), 1e-5),
            "ethanol_yield_sucrose" => (SugarKind::Sucrose.ethanol_yield(), 1e-5),
            "ethanol_yield_dextrose_monohydrate" => {
                (SugarKind::DextroseMonohydrate.ethanol_yield(), 1e-5)
            }
            "ethanol_yield_starch" => (2.0 * ethanol / (hexose - water), 1e-5),
            "dextrose_anhydrous_per_monohydrate" => {
                (SugarKind::DextroseMonohydrate.extract_share(), 1e-5)
            }
            "balling_extract_per_ethanol" => (balling::EXTRACT_PER_ETHANOL, 1e-12),
            "balling_co2_per_ethanol" => (balling::CO2_PER_ETHANOL, 1e-12),
            "balling_yeast_per_ethanol" => (balling::YEAST_PER_ETHANOL, 1e-12),
            "balling_ethanol_per_extract" => (1.0 / balling::EXTRACT_PER_ETHANOL, 1e-5),
            "practical_efficiency_low" => (band_low / 100.0, 1e-12),
            "practical_efficiency_high" => (band_high / 100.0, 1e-12),
            "density_ethanol_20c" => (ETHANOL_DENSITY_20C_KG_M3, 5e-4),
            "density_water_20c" => (gravity::density_20c_kg_m3(0.0), 1e-3),
            // The three rules of grams per litre and % vol: their own test below.
            rule => {
                assert!(rule.contains("wine_rule"), "unknown row {rule}");
                continue;
            }
        };
        row.holds_within("value", found, tolerance);
    }
}

#[test]
fn val_the_wine_rule_lies_in_the_usual_band() {
    // 16 to 17 g of sugar per litre of wine and % vol (a wine glossary): the sugar of a must that
    // ferments to 12 % vol, at the ends of the band of efficiency that rule implies.
    let rows = rows(STOICHIOMETRY, 23);
    let grams =
        |name: &str| rows.iter().find(|row| row.text("name") == name).unwrap().number("value");
    for (name, efficiency) in [
        ("wine_rule_sugar_per_pct_vol_low", 96.5),
        ("wine_rule_sugar_per_pct_vol_high", 90.8),
        ("eu_wine_rule_sugar_per_pct_vol", 91.7),
    ] {
        let kg = sugar_for_strength(1.0, SugarKind::Dextrose, 12.0, efficiency).unwrap();
        // The rule counts grams per litre of must; fermented wine is 2-4 % less.
        let per_percent = 1000.0 * kg / 12.0;
        assert!((per_percent / grams(name) - 1.0).abs() < 0.05, "{name}: {per_percent}");
    }
}

#[test]
fn prop_mass_and_carbon_of_a_forecast_are_kept() {
    let sugars = [
        Sugar { kind: SugarKind::Sucrose, kg: 2.0 },
        Sugar { kind: SugarKind::DextroseMonohydrate, kg: 3.0 },
    ];
    let input = WashInput { litres: 25.0, sugars: &sugars, efficiency_percent: 92.0 };
    let found = forecast::forecast(&input).unwrap();
    let before_kg = 25.0 * found.original_gravity * 0.9982012;
    let after_kg = found.fermented_l_20c * found.final_gravity * 0.99820123;
    assert!((before_kg - after_kg - found.co2_kg).abs() < 1e-4, "{found:?}");
    let ethanol_kg = found.pure_alcohol_l * 0.789239;
    assert!((found.co2_kg / ethanol_kg - 44.009 / 46.069).abs() < 1e-4, "{found:?}");
    assert!(
        (found.strength_vol * found.fermented_l_20c / 100.0 - found.pure_alcohol_l).abs() < 1e-9
    );
    assert!(found.pure_alcohol_l_low < found.pure_alcohol_l);
    assert!(found.pure_alcohol_l < found.pure_alcohol_l_high);
}

#[test]
fn prop_sugar_for_pure_alcohol_gives_it() {
    for kind in SugarKind::ALL {
        let kg = sugar_for_alcohol(2.5, kind, 91.0).unwrap();
        let sugars = [Sugar { kind, kg }];
        let input = WashInput { litres: 30.0, sugars: &sugars, efficiency_percent: 91.0 };
        let found = forecast::forecast(&input).unwrap();
        assert!((found.pure_alcohol_l - 2.5).abs() < 1e-12, "{kind:?}: {found:?}");
    }
}

#[test]
fn a_sugar_wash_as_the_trade_knows_it() {
    // Common practice, no source: 5 kg of sucrose in 25 L start near 1.076, end dry near 0.990 and
    // hold about 12-13 % vol.
    let sugars = [Sugar { kind: SugarKind::Sucrose, kg: 5.0 }];
    let input = WashInput { litres: 25.0, sugars: &sugars, efficiency_percent: 92.0 };
    let found = forecast::forecast(&input).unwrap();
    assert!((found.original_gravity - 1.076).abs() < 0.002, "{found:?}");
    assert!((found.final_gravity - 0.990).abs() < 0.004, "{found:?}");
    assert!((12.0..13.0).contains(&found.strength_vol), "{found:?}");
}
