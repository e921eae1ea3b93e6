//! Bottling: labels, fills and counts.

use finishing::bottling::{CountInput, Gauges, Tank, count, gauged, labelled};
use finishing::fill::{FillInput, Way, fill};
use finishing::profile;

fn gauges(step_vol: f64) -> Gauges {
    Gauges { step_vol, thermometer_k: 0.5, glasses: 1, readings: 1 }
}

#[test]
fn a_coarse_glass_cannot_tell_a_label_and_two_fine_ones_can() {
    let rule = profile::of("us", 750.0, false).unwrap().strength;
    let coarse = gauged(40.0, 20.0, gauges(1.0)).unwrap();
    assert!(coarse.strength_sd > 0.6, "{coarse:?}");
    let told = labelled(coarse, 40.0, rule).unwrap();
    assert!(told.chance < 0.5 && told.room_vol.is_none(), "{told:?}");
    let two = Gauges { glasses: 2, readings: 3, thermometer_k: 0.1, ..gauges(0.1) };
    let fine = gauged(40.1, 20.0, two).unwrap();
    let told = labelled(fine, 40.0, rule).unwrap();
    assert!(told.chance > 0.99 && told.room_vol.unwrap() > 0.15, "{fine:?} {told:?}");
    assert!((told.best_label_vol - 40.1).abs() < 1e-9 && (told.label_proof - 80.0).abs() < 1e-12);
}

#[test]
fn val_the_chance_of_a_label_by_the_normal_table() {
    // A gauge at the label with 0.15 % vol of doubt: 0.3 is two deviations, 95.45 %.
    let tank = Tank { strength_vol: 40.0, strength_sd: 0.15 };
    let rule = profile::of("eu", 500.0, false).unwrap().strength;
    let told = labelled(tank, 40.0, rule).unwrap();
    assert!((told.chance - 0.954_499_736).abs() < 1e-8, "{told:?}");
    let (under, over) = told.chance_under_over;
    assert!((told.chance + under + over - 1.0).abs() < 1e-12);
    // A second reading of the same glass does not mend its scale.
    let once = gauged(40.0, 20.0, gauges(0.2)).unwrap().strength_sd;
    let often = gauged(40.0, 20.0, Gauges { readings: 10, ..gauges(0.2) }).unwrap().strength_sd;
    let other = gauged(40.0, 20.0, Gauges { glasses: 4, ..gauges(0.2) }).unwrap().strength_sd;
    assert!(often < once && often > 0.85 * once && (other / once - 0.5).abs() < 1e-9);
}

fn input(country: &str, way: Way, over_ml: f64) -> FillInput {
    FillInput {
        nominal_ml: 500.0,
        over_ml,
        strength_vol: 40.0,
        celsius: 20.0,
        celsius_sd: 0.3,
        way,
        each_sd_ml: 1.5,
        bottles: 40,
        rule: profile::of(country, 500.0, false).expect("a country").fill,
    }
}

#[test]
fn val_the_weight_of_half_a_litre() {
    // 40 % vol at 20 °C: 948.05 kg/m³ (OIML R 22), 946.99 in air.
    let is = fill(&input("us", Way::Weight { balance_sd_g: 1.0 }, 0.0)).unwrap();
    assert!((is.shown_g - 473.49).abs() < 0.01, "{is:?}");
    // US: 2 % of 500 is 10 mL either way; 40 bottles with 1.5 mL each and 1.06 shared.
    assert!(is.chance_lot > 0.99 && is.mean_wanted_ml == Some(500.0), "{is:?}");
    assert!(is.grows_to_30c_ml > 3.5 && is.grows_to_30c_ml < 5.5, "{is:?}");
}

#[test]
fn an_average_fill_wants_a_little_over() {
    let bare = fill(&input("eu", Way::Weight { balance_sd_g: 1.0 }, 0.0)).unwrap();
    assert!((bare.chance_lot - 0.5).abs() < 0.02, "{bare:?}");
    let wanted = bare.mean_wanted_ml.unwrap();
    assert!(wanted > 501.5 && wanted < 503.5, "{wanted}");
    let over = fill(&input("eu", Way::Weight { balance_sd_g: 1.0 }, wanted - 500.0)).unwrap();
    assert!(over.chance_lot >= 0.975, "{over:?}");
}

#[test]
fn warm_spirit_fills_more_and_a_doubtful_thermometer_shows() {
    let way = Way::Volume { measure_sd_ml: 0.5 };
    let warm = FillInput { celsius: 28.0, celsius_sd: 2.0, ..input("us", way, 0.0) };
    let is = fill(&warm).unwrap();
    // 40 % vol is 948.05 kg/m³ at 20 °C and 942.6 at 28 (OIML R 22): 0.37 mL more for each kelvin.
    assert!((is.ml_at_celsius - 502.89).abs() < 0.05, "{is:?}");
    assert!((is.shared_sd_ml - f64::hypot(0.5, 0.74)).abs() < 0.01, "{is:?}");
}

#[test]
fn bottles_are_counted_against_the_tank() {
    let asked = CountInput {
        tank_litres: 21.0,
        tank_litres_sd: 0.1,
        strength_vol: 40.0,
        mean_ml: 500.0,
        mean_sd_ml: 1.0,
        heel_litres: 0.4,
        counted: None,
    };
    let before = count(&asked).unwrap();
    assert_eq!(before.bottles, 41);
    assert!((before.left_over_l - 0.1).abs() < 1e-9 && before.unexplained_l.is_none());
    let after = count(&CountInput { counted: Some(40), ..asked }).unwrap();
    assert!((after.unexplained_l.unwrap() - 0.6).abs() < 1e-9 && after.is_seen);
    assert!((after.pure_alcohol_l - 8.0).abs() < 1e-9);
    assert!(count(&CountInput { counted: Some(200), ..asked }).is_err());
    assert!(count(&CountInput { heel_litres: 30.0, ..asked }).is_err());
}
