//! What runs that are over teach, and where their alcohol went.

use estimate::{AlcoholBalance, Character, Settings, Trait, learn};
use still::plan::RunPlan;

use super::recorded::{COLUMN, POT, Recorded};

fn lesson(plan: &RunPlan, run: &Recorded, before: &Character) -> (Character, AlcoholBalance) {
    let lesson = learn(plan, &run.rows, before, Settings::default()).expect("the plan is sound");
    (lesson.character, lesson.balance)
}

fn closes(balance: &AlcoholBalance) {
    let open_l = balance.account.as_ref().expect("worked out now").not_gauged_l;
    let sum_l = balance.collected_l + open_l + balance.left_l + balance.missing_l;
    assert!((balance.charged_l - sum_l).abs() < 1e-9, "{balance:?}");
    let odds: f64 = balance.causes.iter().map(|cause| cause.odds).sum();
    assert!((odds - 1.0).abs() < 1e-9, "{odds}");
    assert!(balance.causes.is_sorted_by(|a, b| a.odds >= b.odds), "{:?}", balance.causes);
    assert!(balance.missing_sd_l > 0.0 && balance.left_l >= 0.0);
}

/// Litres of pure alcohol in all jars that were read.
fn gauged_l(run: &Recorded) -> f64 {
    let pure = |record| {
        let read = sense::jar::gauged(record, None);
        read.litres_20c * read.strength_vol.unwrap_or(0.0) / 100.0
    };
    run.rows.jars.iter().map(pure).sum()
}

#[test]
fn every_trait_is_believed_and_the_balance_closes() {
    for run in [&*COLUMN, &*POT] {
        let (character, balance) = lesson(&run.plan, run, &Character::default());
        let known: Vec<Trait> = character.beliefs.iter().map(|belief| belief.of).collect();
        assert_eq!(known, Trait::ALL);
        assert!(character.beliefs.iter().all(|b| b.mean.is_finite() && b.sd > 0.0));
        assert_eq!(character.runs(), 1);
        assert_eq!(character.history[0].title, run.plan.title);
        assert_eq!(character.history[0].after, character.beliefs);
        closes(&balance);
        let charge = &run.plan.charge;
        let stated_l = charge.litres * charge.strength_vol / 100.0;
        assert!((balance.charged_l / stated_l - 1.0).abs() < 1e-9);
        let jars = gauged_l(run);
        let off = balance.collected_l / jars - 1.0;
        assert!(off.abs() < 1e-9, "{}: {} L, jars {jars} L", run.plan.title, balance.collected_l);
        assert_eq!(balance.causes[0].code, "nothing_missing", "{balance:?}");
    }
}

#[test]
fn the_same_run_again_and_again_never_makes_it_certain() {
    for run in [&*COLUMN, &*POT] {
        let mut character = Character::default();
        let mut after: Vec<Vec<f64>> = Vec::new();
        for count in 1..=6 {
            character = lesson(&run.plan, run, &character).0;
            assert_eq!(character.runs(), count);
            after.push(character.beliefs.iter().map(|belief| belief.sd).collect());
        }
        for (place, of) in Trait::ALL.into_iter().enumerate() {
            let (first, fifth, last) = (after[0][place], after[4][place], after[5][place]);
            assert!(last > 0.005, "{of:?} is believed to {last}");
            assert!(last > 0.1 * first, "{of:?} went from {first} to {last}");
            assert!((last / fifth - 1.0).abs() < 0.1, "{of:?} still shrinks: {fifth}, {last}");
        }
    }
}

#[test]
fn learning_is_the_same_each_time() {
    let first = lesson(&POT.plan, &POT, &Character::default());
    assert_eq!(first, lesson(&POT.plan, &POT, &Character::default()));
}

#[test]
fn a_charge_stated_too_weak_is_not_taken_for_the_stills_character() {
    for run in [&*COLUMN, &*POT] {
        let mut weak = run.plan.clone();
        weak.charge.strength_vol *= 0.85;
        let (honest, _) = lesson(&run.plan, run, &Character::default());
        let (character, balance) = lesson(&weak, run, &Character::default());
        closes(&balance);
        let of = |character: &Character, of| character.belief(of).expect("learned").mean;
        let moved = of(&character, Trait::Yield) - of(&honest, Trait::Yield);
        // A charge 15 % off moves the yield by less than a quarter of that.
        assert!(moved.abs() <= 0.25 * 0.15, "{}: the yield moves by {moved}", run.plan.title);
        // More came and is left than was stated: the sheet says so, and blames the charge.
        assert!(balance.missing_l < -2.0 * balance.missing_sd_l, "{balance:?}");
        assert_eq!(balance.causes[0].code, "charge_not_as_stated", "{balance:?}");
    }
}
