//! What the bench reckons, in the book: whatever is done in a row, the pure alcohol that came is still
//! there or gone to a place with a name, to the nanolitre.

use account::{Entry, EntryKind, Ledger, Numbered, Place, PureAlcohol, Span, TypedLeg};
use finishing::bottling::{CountInput, count};
use finishing::cask::Contents;
use finishing::entering::{
    Act, Bottled, Regauged, Stand, bottled, carbon, cask_filled, macerated, reduced,
};
use finishing::maceration::{MacerationInput, macerate};
use finishing::steps::{StepsInput, plan};
use finishing::treatment::stirred_in;
use proptest::prelude::*;

const DAY_MS: i64 = 86_400_000;

fn stand(text: &str) -> Stand {
    Stand::of_text(text).expect("what the tests state is sound")
}

fn entry(day: i64) -> Entry {
    let mut entry = Entry::new(EntryKind::Transfer, day * DAY_MS, "Ada");
    entry.entered_ms = day * DAY_MS;
    entry
}

fn enter(ledger: &mut Ledger, act: &Act, day: i64) -> Vec<Entry> {
    let made = act.entries(ledger, &entry(day)).expect("what the tests state is sound");
    for entry in made.clone() {
        ledger
            .take(&Numbered { number: ledger.length() + 1, entry })
            .expect("what the tests state is sound");
    }
    made
}

/// A book with a tank of so many litres of that strength.
fn book(litres: f64, vol: f64) -> Ledger {
    let mut ledger = Ledger::default();
    let leg = |text: &str| TypedLeg::of_text(text).expect("what the tests state is sound");
    let draft = account::Draft {
        entry: Entry { kind: EntryKind::Receive, ..entry(1) },
        from: vec![leg(&format!("received={litres}@{vol}"))],
        to: vec![leg("tank:T1/H1=rest")],
        read: None,
    };
    let entry = draft.resolve(&ledger).expect("what the tests state is sound");
    ledger.take(&Numbered { number: 1, entry }).expect("what the tests state is sound");
    ledger
}

fn held(ledger: &Ledger, at: &str) -> PureAlcohol {
    let Stand { place, lot } = stand(at);
    ledger.held(&place, Some(&lot), (i64::MAX, 0))
}

fn in_steps(litres: f64, from: f64, to: f64, gauged: Vec<f64>) -> finishing::steps::Steps {
    let input = StepsInput {
        litres,
        from,
        from_sd: 0.1,
        to,
        celsius: 20.0,
        steps: 3,
        rest_hours: 24.0,
        gauged,
    };
    plan(&input).expect("what the tests state is sound")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Reduced, treated, steeped, matured and bottled in a row.
    #[test]
    fn prop_from_tank_to_bottle_nothing_is_lost_without_a_name(
        litres in 5.0..60.0_f64,
        from in 55.0..80.0_f64,
        to in 38.0..50.0_f64,
        years in 0.5..4.0_f64,
        lost in 0.001..0.1_f64,
    ) {
        let mut ledger = book(litres, from);
        let came = held(&ledger, "tank:T1/H1");
        let steps = in_steps(litres, from, to, vec![]);
        let (t1, t2) = (stand("tank:T1/H1"), stand("tank:T2/C1"));
        let act = Act::Moved(reduced((t1.clone(), t1.clone()), &steps, None).unwrap());
        prop_assert_eq!(held(&ledger, "tank:T1/H1"), came);
        enter(&mut ledger, &act, 2);
        let litres = 100.0 * came.litres() / to;
        let is = stirred_in(litres, to).unwrap();
        let spirit = (litres, to);
        let act = carbon((t1, t2.clone()), spirit, is.out_strength_vol, is.lost_l, None).unwrap();
        enter(&mut ledger, &Act::Moved(act), 3);
        let half = 0.5 * (litres - is.held_litres);
        let input = MacerationInput {
            litres: half,
            strength_vol: to,
            solids_kg: 0.1 * half,
            water_percent: 10.0,
            held_l_per_kg: 0.5,
            extract_g_per_l: 0.0,
        };
        let soaked = macerate(input).unwrap();
        let stands = (t2.clone(), stand("tank:T3/M1"));
        let act = macerated(stands, (half, to), soaked.strength_vol, soaked.lost_l).unwrap();
        enter(&mut ledger, &Act::Moved(act), 4);
        let rest = held(&ledger, "tank:T2/C1").litres();
        let filled = Contents { litres_20c: 50.0 * rest / to, strength_vol: to };
        let cask = stand("cask:K1/K1");
        enter(&mut ledger, &Act::Moved(cask_filled((t2.clone(), cask.clone()), filled)), 5);
        let litres_20c = filled.litres_20c * (1.0 - lost);
        let regauged = Regauged { cask, litres_20c, strength_vol: to, years };
        enter(&mut ledger, &Act::Regauged(regauged), 6);
        let tank_litres = 100.0 * held(&ledger, "tank:T2/C1").litres() / to;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole count of bottles")]
        let bottles = (tank_litres / 0.5 - 0.3).floor().max(0.0) as u32;
        let counting = CountInput {
            tank_litres,
            tank_litres_sd: 0.01,
            strength_vol: to,
            mean_ml: 500.0,
            mean_sd_ml: 0.5,
            heel_litres: 0.0,
            counted: Some(bottles),
        };
        let of = Bottled {
            count: count(&counting).unwrap(),
            counted: Some(bottles),
            size_ml: 500.0,
            strength_vol: to,
        };
        if bottles > 0 {
            let act = bottled((t2, stand("bottles:shelf/B1")), of, None).unwrap();
            enter(&mut ledger, &Act::Moved(act), 7);
            prop_assert_eq!(held(&ledger, "tank:T2/C1"), PureAlcohol::ZERO);
        }
        let balance = ledger.balance(Span { from_ms: i64::MIN, upto_ms: i64::MAX });
        prop_assert_eq!(balance.off, PureAlcohol::ZERO);
        let gone: PureAlcohol = balance.gone.iter().map(|one| one.1).sum();
        let sum = balance.closing.plus(gone).plus(balance.not_explained);
        prop_assert_eq!(sum, came);
        let named = |loss: &str| balance.gone.iter().any(|one| one.0.to_string() == loss);
        for loss in ["loss:carbon", "loss:maceration", "loss:cask"] {
            prop_assert!(named(loss), "{}", loss);
        }
    }
}

#[test]
fn a_gauge_that_finds_less_loses_it_by_name_and_one_that_finds_more_is_refused() {
    let ledger = book(12.0, 64.0);
    let here = (stand("tank:T1/H1"), stand("tank:T1/H1"));
    let fine = reduced(here.clone(), &in_steps(12.0, 64.0, 43.0, vec![57.0, 50.0, 43.0]), None);
    assert!(fine.unwrap().apart.is_empty());
    let weak = in_steps(12.0, 64.0, 43.0, vec![57.0, 50.0, 40.0]);
    let spilt = Place::of_text("loss:spill").unwrap();
    let act = Act::Moved(reduced(here.clone(), &weak, Some(spilt.clone())).unwrap());
    let made = act.entries(&ledger, &entry(2)).unwrap();
    assert_eq!(made[0].to[1].place, spilt);
    assert!(made[0].to[1].alcohol.litres() > 0.3, "{made:?}");
    let unsaid = reduced(here.clone(), &weak, None).unwrap();
    assert_eq!(unsaid.apart[0].0, Place::of_text("not_explained").unwrap());
    let strong = in_steps(12.0, 64.0, 43.0, vec![57.0, 50.0, 46.0]);
    assert_eq!(reduced(here, &strong, None).unwrap_err().field(), "gauged");
}

#[test]
fn an_act_has_the_same_key_whenever_it_is_told_and_another_moment_is_another_act() {
    let filled = Contents { litres_20c: 4.0, strength_vol: 60.0 };
    let act = || Act::Moved(cask_filled((stand("tank:T1/H1"), stand("cask:K1/K1")), filled));
    assert_eq!(act().key(None), act().key(None));
    assert_ne!(act().key(None), act().key(Some("2026-10-03T14:20:00+02:00")));
    let again =
        Regauged { cask: stand("cask:K1/K1"), litres_20c: 9.0, strength_vol: 60.0, years: 1.0 };
    let mut ledger = book(12.0, 64.0);
    enter(&mut ledger, &act(), 2);
    let refused = Act::Regauged(again).entries(&ledger, &entry(3)).unwrap_err();
    assert_eq!(refused.field(), "regauged");
    assert!(act().entries(&Ledger::default(), &entry(2)).is_err(), "nothing is there");
}
