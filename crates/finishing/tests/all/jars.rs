//! Jars, their congeners and the cuts.

use finishing::congeners::{Curve, Substance};
use finishing::cuts::{Table, charge_with};
use finishing::jar::{Amount, Jar, JarReading};
use finishing::limits;
use proptest::prelude::{ProptestConfig, proptest};
use still::forecast::{Options, forecast};
use still::plan::{Charge, ChargeKind, OwnStill, RunPlan, Site, Step, StepKind, StillKind};

fn reading(number: u32, litres: f64, apparent_vol: f64, cut: StepKind) -> JarReading {
    let (celsius, note) = (20.0, String::new());
    JarReading {
        number,
        amount: Amount::Litres(litres),
        celsius,
        apparent_vol,
        cut: Some(cut),
        note,
        gauged_with: None,
    }
}

fn jars() -> Vec<Jar> {
    let cuts = [
        (StepKind::Foreshots, 0.06, 95.0),
        (StepKind::Heads, 0.2, 94.8),
        (StepKind::Hearts, 0.5, 94.5),
        (StepKind::Hearts, 0.5, 94.2),
        (StepKind::Hearts, 0.5, 93.0),
        (StepKind::Tails, 0.4, 80.0),
    ];
    let gauged = |(number, (cut, litres, vol))| {
        Jar::gauged(&reading(number, litres, vol, cut)).expect("a jar that can be")
    };
    (1..).zip(cuts).map(gauged).collect()
}

fn plan(kind: ChargeKind) -> RunPlan {
    let own =
        OwnStill { kind: StillKind::Column, boiler_litres: 25.0, elements_watts: vec![2000.0] };
    let drawn =
        |kind, ratio, ml| Step { reflux_ratio: Some(ratio), until_ml: Some(ml), ..Step::new(kind) };
    RunPlan {
        format: 1,
        title: "Cut in jars".into(),
        start: "2026-10-03T08:12:00+02:00".into(),
        still: own.complete("Test still").0,
        charge: Charge {
            kind: Some(kind),
            litres: 20.0,
            strength_vol: 11.0,
            temperature_c: 18.0,
            litres_sd: None,
            strength_sd: None,
            congeners_mg_per_l: None,
            feints: None,
        },
        site: Site {
            pressure_hpa: 1010.0,
            ambient_c: 18.0,
            coolant_in_c: 14.0,
            coolant_l_per_min: 1.5,
        },
        steps: vec![
            Step::new(StepKind::Heat),
            Step { minutes: Some(20.0), ..Step::new(StepKind::Equalise) },
            drawn(StepKind::Foreshots, 15.0, 60.0),
            drawn(StepKind::Heads, 8.0, 200.0),
            drawn(StepKind::Hearts, 3.0, 1500.0),
            drawn(StepKind::Tails, 2.0, 400.0),
            Step::new(StepKind::Stop),
        ],
    }
}

#[test]
fn a_jar_by_weight_and_the_same_by_volume_hold_the_same() {
    let by_volume = Jar::gauged(&reading(3, 0.5, 62.0, StepKind::Hearts)).unwrap();
    // 62 % vol at 20 °C by the table of densities is 904.7 kg/m³; a balance in air shows 1.06 g/kg less.
    let weighed = JarReading {
        amount: Amount::Kilograms(0.5 * 0.9033),
        ..reading(3, 0.5, 62.0, StepKind::Hearts)
    };
    let by_weight = Jar::gauged(&weighed).unwrap();
    assert!((by_weight.litres_20c / by_volume.litres_20c - 1.0).abs() < 0.003);
    assert!(by_weight.litres_20c_sd < 0.4 * by_volume.litres_20c_sd);
}

#[test]
fn what_errs_in_every_jar_alike_does_not_shrink_by_mixing() {
    let many: Vec<Jar> =
        (1..=16).map(|n| Jar::gauged(&reading(n, 0.25, 70.0, StepKind::Hearts)).unwrap()).collect();
    let table = Table { jars: &many, congeners: None, factor: 1.0 };
    let all: Vec<u32> = (1..=16).collect();
    let lot = table.cut(&all, &[]).unwrap().hearts;
    assert!((lot.litres_20c - 4.0).abs() < 1e-9 && (lot.strength_vol_20c - 70.0).abs() < 1e-6);
    // Jug 1 % and glass 0.25 % vol stay; what each reading has of its own is a quarter.
    assert!(lot.sd[0] / 4.0 > 0.0099 && lot.sd[0] / 4.0 < 0.0115, "{:?}", lot.sd);
    assert!(lot.sd[1] > 0.25 && lot.sd[1] < many[0].strength_sd, "{:?}", lot.sd);
}

#[test]
fn cuts_leave_nothing_out_of_the_account_and_name_the_worst_change() {
    let plan = plan(ChargeKind::FruitWash);
    let is = forecast(&plan, &Options::default()).unwrap();
    let curve = Curve::of(&is, false).unwrap();
    let jars = jars();
    let mg = curve.of_jars(&jars, &[]);
    let table = Table { jars: &jars, congeners: Some(&mg), factor: curve.factor };
    let limits = limits::of("fruit").unwrap();
    let cuts = table.cut(&[3, 4, 5], &limits).unwrap();
    let parts = [Some(&cuts.hearts), cuts.feints.as_ref(), cuts.discarded.as_ref()];
    let sum: f64 = parts.into_iter().flatten().map(|lot| lot.pure_alcohol_l).sum();
    let all: f64 = jars.iter().map(|jar| jar.pure_alcohol_l).sum();
    assert!((sum - all).abs() < 1e-9, "{sum} {all}");
    assert_eq!(cuts.feints.as_ref().unwrap().jars, [2, 6]);
    assert_eq!(cuts.discarded.as_ref().unwrap().jars, [1]);
    assert_eq!(cuts.against.len(), 1);
    assert!(cuts.against[0].predicted > 10.0, "{:?}", cuts.against);
    let beside: Vec<(u32, bool)> = cuts.moves.iter().map(|one| (one.jar, one.takes_in)).collect();
    assert_eq!(beside, [(2, true), (3, false), (5, false), (6, true)]);
    let worst = &cuts.moves[cuts.worst.unwrap()];
    assert!(worst.takes_in && worst.most.unwrap().2 > worst.most.unwrap().1);
    assert!(table.cut(&[], &limits).is_err());
    assert!(table.cut(&[3, 99], &limits).unwrap_err().to_string().contains("99"));
}

#[test]
fn congeners_of_all_jars_are_those_of_the_forecast() {
    let plan = plan(ChargeKind::SugarWash);
    let is = forecast(&plan, &Options::default()).unwrap();
    let curve = Curve::of(&is, true).unwrap();
    // One jar as large as the whole run holds all that was drawn.
    let whole = Jar::gauged(&reading(1, 40.0, 95.0, StepKind::Hearts)).unwrap();
    let mg = curve.of_jars(std::slice::from_ref(&whole), &[])[0];
    for substance in Substance::ALL {
        let counted = is.totals.congeners_mg.iter().filter(|(one, _)| substance.counts(*one));
        let drawn: f64 = counted.map(|(_, mg)| mg).sum();
        assert!((mg[substance as usize] - drawn).abs() <= 0.01 * drawn + 1e-9, "{substance:?}");
    }
    // Ethyl acetate comes early, higher alcohols late, and methanol is in every jar.
    let each = curve.of_jars(&jars(), &[]);
    let first = Substance::EthylAcetate as usize;
    assert!(
        each[0][first] > 0.0 && each.iter().all(|jar| jar[Substance::Methanol as usize] >= 0.0)
    );
}

#[test]
fn a_jar_that_was_not_gauged_keeps_its_place() {
    let plan = plan(ChargeKind::SugarWash);
    let curve = Curve::of(&forecast(&plan, &Options::default()).unwrap(), true).unwrap();
    let all = jars();
    let gauged: Vec<Jar> = all.iter().filter(|jar| jar.number != 3).cloned().collect();
    let (whole, gap) = (curve.of_jars(&all, &[]), curve.of_jars(&gauged, &[(3, 0.5)]));
    let late = Substance::HigherAlcohols as usize;
    assert!((gap[4][late] / whole[5][late] - 1.0).abs() < 0.05, "{gap:?} {whole:?}");
}

#[test]
fn feints_carry_their_alcohol_into_the_next_charge() {
    let jars = jars();
    let table = Table { jars: &jars, congeners: None, factor: 1.0 };
    let feints = table.cut(&[3, 4, 5], &[]).unwrap().feints.unwrap();
    let charged = charge_with(20.0, 10.0, &feints).unwrap();
    assert!((charged.pure_alcohol_l - 2.0 - feints.pure_alcohol_l).abs() < 1e-9);
    assert!(charged.strength_vol_20c > 10.0 && charged.litres_20c < 20.0 + feints.litres_20c);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn prop_any_choice_keeps_the_account(mask in 1u32..63, vol in 20.0f64..95.0) {
        let mut jars = jars();
        jars[5] = Jar::gauged(&reading(6, 0.4, vol, StepKind::Tails)).unwrap();
        let chosen: Vec<u32> = (1..=6).filter(|n| mask & (1 << (n - 1)) != 0).collect();
        let table = Table { jars: &jars, congeners: None, factor: 1.0 };
        let cuts = table.cut(&chosen, &[]).unwrap();
        let lots = [Some(cuts.hearts), cuts.feints, cuts.discarded];
        let sum: f64 = lots.iter().flatten().map(|lot| lot.pure_alcohol_l).sum();
        let all: f64 = jars.iter().map(|jar| jar.pure_alcohol_l).sum();
        assert!((sum - all).abs() < 1e-9);
        for one in &cuts.moves {
            assert_eq!(one.takes_in, !chosen.contains(&one.jar));
            assert_eq!(one.pure_alcohol_l > 0.0, one.takes_in);
        }
    }
}
