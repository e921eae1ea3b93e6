//! A habit of the trade, run through the model. Common practice, no source: bands as practitioners
//! report them, not measurements.

use still::forecast::{Options, forecast};
use still::outcome::Forecast;
use still::plan::{Charge, ChargeKind, RunPlan, Site, Step, StepKind, Still, StillKind};

/// A 25 L boiler with 500 and 1700 W, 22 L of a dextrose wash, twelve stages.
fn still() -> Still {
    Still {
        name: "Shed still".into(),
        kind: StillKind::Column,
        boiler_litres: 25.0,
        heat_source: still::plan::HeatSource::Electric,
        elements_watts: vec![500.0, 1700.0],
        element_cover_litres: 4.0,
        stages: 12.0,
        efficiency: None,
        reflux_c: None,
        vapour_lost: None,
        column_probe_fraction: None,
        head_place: still::plan::HeadPlace::Above,
        holdup_litres: 0.3,
        drum_fraction: 0.15,
        boiler_loss_w_per_k: 2.0,
        column_loss_w_per_k: 0.5,
        metal_kj_per_k: 4.0,
        column_metal_kj_per_k: 1.5,
        pressure_drop_pa_per_stage: 20.0,
        max_takeoff_ml_per_min: 60.0,
    }
}

/// About 100 mL of heads, then 1.7 kW and fast until the head has risen 2 K, then slow until it
/// has again.
fn habit(strength_vol: f64, coolant_l_per_min: f64) -> RunPlan {
    let step = |kind| Step::new(kind);
    RunPlan {
        format: 1,
        title: "The habit".into(),
        start: "2026-03-14T09:00:00+00:00".into(),
        still: still(),
        charge: Charge {
            kind: None,
            litres: 22.0,
            strength_vol,
            temperature_c: 20.0,
            litres_sd: None,
            strength_sd: None,
            congeners_mg_per_l: None,
            feints: None,
        },
        site: Site {
            pressure_hpa: 1013.25,
            ambient_c: 18.0,
            coolant_in_c: 14.0,
            coolant_l_per_min,
        },
        steps: vec![
            Step { watts: Some(2200.0), ..step(StepKind::Heat) },
            Step { watts: Some(1700.0), minutes: Some(20.0), ..step(StepKind::Equalise) },
            Step { reflux_ratio: Some(10.0), until_ml: Some(100.0), ..step(StepKind::Heads) },
            Step { reflux_ratio: Some(2.0), until_rise_k: Some(2.0), ..step(StepKind::Hearts) },
            Step { reflux_ratio: Some(8.0), until_rise_k: Some(2.0), ..step(StepKind::Hearts) },
            step(StepKind::Stop),
        ],
    }
}

fn hearts(forecast: &Forecast) -> (f64, f64) {
    let hearts = forecast.steps.iter().filter(|step| step.kind == StepKind::Hearts);
    let (litres, alcohol) = hearts.fold((0.0, 0.0), |(litres, alcohol), step| {
        (litres + step.litres_20c, alcohol + step.pure_alcohol_l)
    });
    (litres, 100.0 * alcohol / litres)
}

#[test]
fn common_practice_the_habit_of_a_dextrose_wash() {
    for strength_vol in [20.0, 21.0, 22.0] {
        for coolant in [1.0, 2.0] {
            let run = forecast(&habit(strength_vol, coolant), &Options::default())
                .expect("a bundled plan runs");
            let heat_up_min = run.ready_s / 60.0;
            assert!((40.0..60.0).contains(&heat_up_min), "{heat_up_min} min");
            assert!(run.boil_s < run.ready_s, "coolant is due before the boil");
            let (litres, strength) = hearts(&run);
            assert!((4.2..=5.2).contains(&litres), "{litres} L from {strength_vol} % vol");
            assert!(strength >= 93.0, "{strength} % vol");
            let plateau_c = run.plateau_c.expect("a bundled plan runs");
            assert!((77.9..=78.5).contains(&plateau_c), "{plateau_c} °C");
            let codes: Vec<&str> = run.warnings.iter().map(|warning| warning.code).collect();
            assert!(codes.contains(&"charge_over_fill"), "{codes:?}");
            assert!(!codes.contains(&"coolant_too_small"), "{codes:?} at {coolant} L/min");
        }
    }
}

/// One change to a plan.
type Change = fn(&mut RunPlan);

/// Each warning on a plan that deserves it, and on none that does not.
#[test]
fn regress_every_warning_has_a_plan_that_earns_it() {
    let codes = |change: &dyn Fn(&mut RunPlan)| -> Vec<&'static str> {
        let mut plan = habit(9.0, 2.0);
        plan.charge.litres = 18.0;
        change(&mut plan);
        let run = forecast(&plan, &Options::default()).expect("a bundled plan runs");
        run.warnings.iter().map(|warning| warning.code).collect()
    };
    assert!(codes(&|_| ()).is_empty(), "{:?}", codes(&|_| ()));
    let cases: [(&str, Change); 9] = [
        ("charge_over_fill", |plan| plan.charge.litres = 20.5),
        ("charge_over_fill", |plan| plan.charge.kind = Some(ChargeKind::GrainWash)),
        ("charge_too_strong", |plan| plan.charge.strength_vol = 41.0),
        ("coolant_too_small", |plan| plan.site.coolant_l_per_min = 0.4),
        ("takeoff_over_max", |plan| plan.still.max_takeoff_ml_per_min = 20.0),
        ("element_uncovered", |plan| plan.still.element_cover_litres = 17.2),
        ("trigger_never_reached", |plan| plan.steps[3].minutes = Some(5.0)),
        ("step_over_at_once", |plan| plan.steps[3].until_pot_c = Some(60.0)),
        ("takeoff_above_boilup", |plan| {
            plan.steps[3].reflux_ratio = None;
            plan.steps[3].takeoff_ml_per_min = Some(400.0);
        }),
    ];
    for (code, change) in cases {
        assert!(codes(&change).contains(&code), "{code}: {:?}", codes(&change));
    }
}
