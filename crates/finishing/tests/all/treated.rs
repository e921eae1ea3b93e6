//! Carbon and maceration.

use finishing::carbon::{BedInput, bed, stirred};
use finishing::maceration::{MacerationInput, macerate, obscured};
use proptest::prelude::{ProptestConfig, proptest};

fn input(rinse_litres: f64) -> BedInput {
    BedInput {
        litres: 10.0,
        strength_vol: 40.0,
        diameter_mm: 40.0,
        height_m: 1.5,
        litres_per_hour: 2.0,
        rinse_litres,
    }
}

#[test]
fn a_bed_by_hand() {
    let is = bed(input(0.0)).unwrap();
    // 1.885 L of bed: 905 g of carbon, 1.470 L held, 44 min of contact, 0.588 L of pure alcohol.
    assert!((is.carbon_g - 904.8).abs() < 0.5, "{is:?}");
    assert!((is.held_litres - 1.4703).abs() < 0.001 && (is.contact_min - 44.1).abs() < 0.1);
    assert!((is.lost_l - 0.5881).abs() < 0.001 && (is.out_litres_20c - 8.530).abs() < 0.002);
    assert!((is.out_strength_vol - 40.0).abs() < 1e-9 && is.doubts.is_empty(), "{is:?}");
    assert!((is.hours - 5.0).abs() < 1e-9);
    let vessel = stirred(10.0, 40.0).unwrap();
    assert_eq!((vessel.carbon_g, vessel.hours), (100.0, 1.0));
    assert!((vessel.held_litres - 0.1625).abs() < 1e-9 && (vessel.lost_l - 0.065).abs() < 1e-9);
    let small = bed(BedInput { litres: 1.0, ..input(0.0) }).unwrap_err();
    assert!(small.to_string().contains("this bed holds"));
    let bad = BedInput { strength_vol: 70.0, height_m: 0.3, litres_per_hour: 20.0, ..input(0.0) };
    assert_eq!(bed(bad).unwrap().doubts.len(), 3);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn prop_a_bed_keeps_what_does_not_come_out_and_a_rinse_saves_it(
        litres in 4.0f64..100.0, strength_vol in 30.0f64..60.0, rinse in 0.01f64..6.0,
    ) {
        let asked = |rinse_litres| BedInput { litres, strength_vol, ..input(rinse_litres) };
        let (dry, rinsed) = (bed(asked(0.0)).unwrap(), bed(asked(rinse)).unwrap());
        for is in [&dry, &rinsed] {
            let out_l = is.out_litres_20c * is.out_strength_vol / 100.0;
            let brought_l = litres * strength_vol / 100.0;
            assert!((out_l + is.lost_l - brought_l).abs() < 1e-9 * brought_l, "{is:?}");
        }
        assert!(rinsed.lost_l < dry.lost_l && rinsed.out_strength_vol <= strength_vol + 1e-9);
        assert!(rinsed.out_litres_20c > dry.out_litres_20c);
    }

    #[test]
    fn prop_maceration_keeps_the_alcohol(
        litres in 1.0f64..50.0, vol in 30.0f64..70.0, share in 0.0f64..0.5, water in 5.0f64..90.0,
    ) {
        let is = macerate(MacerationInput {
            litres,
            strength_vol: vol,
            solids_kg: share * litres,
            water_percent: water,
            held_l_per_kg: 0.5,
            extract_g_per_l: 20.0,
        }).unwrap();
        let sum = is.pure_alcohol_l + is.lost_l;
        assert!((sum / (litres * vol / 100.0) - 1.0).abs() < 1e-9, "{is:?}");
        assert!(is.strength_vol <= vol + 1e-9 && is.obscuration_vol.unwrap() > 0.0);
        assert!(is.distil_to_gauge);
    }
}

#[test]
fn sugar_hides_alcohol() {
    // 10 g/L weigh 3.8 kg/m³ more; between 37 and 40 % vol the table falls 1.4 kg/m³ for each.
    let reads = obscured(40.0, 10.0).unwrap();
    assert!((reads - 37.4).abs() < 0.4, "{reads}");
    assert!((obscured(40.0, 0.0).unwrap() - 40.0).abs() < 1e-6);
    assert_eq!(obscured(5.0, 400.0), None);
}
