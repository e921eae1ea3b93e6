//! Checks still, charge and site: bounds of every number, and what must agree between them.

use thermo::Component;

use super::super::{Charge, HeatSource, RunPlan, Site, Still, StillKind};
use super::refuse::{PlanError, range, refuse, shown, text, within, within_if_given};

/// Station pressures that a plan may have and a barometer may be put right at, hPa: from a village at
/// 5500 m to under any weather at the sea (judgement).
pub const STATION_HPA: (f64, f64) = (500.0, 1100.0);
/// Most elements of one boiler.
const ELEMENTS_MAX: usize = 16;
/// Most power of one element, and of steam, gas or fire, W.
const ELEMENT_WATTS_MAX: f64 = 50_000.0;
const FIRE_WATTS_MAX: f64 = 500_000.0;
/// Share of the charge that column and drum may hold.
const HOLDUP_OF_CHARGE_MAX: f64 = 0.5;

/// The boiler and its heater.
pub(super) fn boiler(
    litres: f64,
    elements_watts: &[f64],
    heat_source: HeatSource,
) -> Result<(), PlanError> {
    within(
        "still.boiler_litres",
        litres,
        range(1.0, 2000.0, "L"),
        "the whole inside of the boiler",
    )?;
    if elements_watts.is_empty() && !heat_source.is_electric() {
        return Ok(());
    }
    if elements_watts.is_empty() || elements_watts.len() > ELEMENTS_MAX {
        return Err(refuse(
            "still.elements_watts",
            format!("{} elements", elements_watts.len()),
            format!("must name 1 to {ELEMENTS_MAX} heating elements"),
            "list the power of each element, as elements_watts = [1700, 500]; only steam, gas or fire may leave it unknown, as elements_watts = []",
        ));
    }
    let most = if heat_source.is_electric() { ELEMENT_WATTS_MAX } else { FIRE_WATTS_MAX };
    for (index, &watts) in elements_watts.iter().enumerate() {
        let field = format!("still.elements_watts[{}]", index + 1);
        within(
            &field,
            watts,
            range(10.0, most, "W"),
            "the power on the element's label; of steam, gas or fire what reaches the pot",
        )?;
    }
    Ok(())
}

/// The apparatus.
pub(super) fn still(still: &Still) -> Result<(), PlanError> {
    text("still.name", &still.name, "give the still a name you know it by")?;
    boiler(still.boiler_litres, &still.elements_watts, still.heat_source)?;
    within(
        "still.element_cover_litres",
        still.element_cover_litres,
        range(0.0, still.boiler_litres, "L"),
        "litres in the boiler when the liquid just covers the elements; 0 where the heat comes from outside",
    )?;
    stages(still)?;
    column_probe(still)?;
    let reflux_hint =
        "temperature at which the reflux runs back; leave the key out for boiling hot";
    within_if_given("still.reflux_c", still.reflux_c, range(0.0, 100.0, "°C"), reflux_hint)?;
    within_if_given(
        "still.vapour_lost",
        still.vapour_lost,
        range(0.0, 0.5, ""),
        "share of the spirit that leaves as vapour, as 0.05; leave the key out when unknown",
    )?;
    within(
        "still.holdup_litres",
        still.holdup_litres,
        range(0.001, 200.0, "L"),
        "liquid held in column and condenser while it runs, as 0.3 for a 25 L still",
    )?;
    drum_fraction(still)?;
    heat_and_flow(still)
}

fn stages(still: &Still) -> Result<(), PlanError> {
    let (bound, hint) = match still.kind {
        StillKind::Pot => (
            range(0.0, 1.0, "stages"),
            "a pot head counts as 0 or 1 stages; a packed column is kind = \"column\"",
        ),
        StillKind::Column => (
            range(1.0, 30.0, "stages"),
            "believed contact stages, the boiler not counted, from one under a partial condenser on; a bare head is kind = \"pot\"",
        ),
    };
    within("still.stages", still.stages, bound, hint)?;
    let Some(efficiency) = still.efficiency else { return Ok(()) };
    within(
        "still.efficiency",
        efficiency,
        range(0.05, 1.0, ""),
        "a share of one, as 0.8; leave the key out when the stages are already effective ones",
    )?;
    if still.stages.fract() == 0.0 {
        return Ok(());
    }
    Err(refuse(
        "still.efficiency",
        efficiency,
        format!("goes only with whole stages, there are {}", still.stages),
        "fractional stages carry their own efficiency: leave this key out, or round the stages",
    ))
}

fn column_probe(still: &Still) -> Result<(), PlanError> {
    let field = "still.column_probe_fraction";
    match (still.kind, still.column_probe_fraction) {
        (StillKind::Pot, Some(given)) => Err(refuse(
            field,
            given,
            "must not be stated for a pot: it has no column".to_owned(),
            "leave the key out; a still with packing or plates is kind = \"column\"",
        )),
        (_, given) => within_if_given(
            field,
            given,
            range(0.05, 0.95, ""),
            "height of the thermometer over the foot of the packing, divided by the packing's height, as 0.5 for half-way up; nearer to an end it shows the boiler's vapour or the head's: leave the key out",
        ),
    }
}

fn drum_fraction(still: &Still) -> Result<(), PlanError> {
    // With no stage all the liquid is in the drum anyway, so 1 is as good as any share.
    let high = if still.stages == 0.0 { 1.0 } else { 0.95 };
    within(
        "still.drum_fraction",
        still.drum_fraction,
        range(0.01, high, ""),
        "share of the held-up liquid that is in the condenser, as 0.15",
    )
}

fn heat_and_flow(still: &Still) -> Result<(), PlanError> {
    let loss = "heat lost through the wall per kelvin over ambient; 0 for a perfect jacket";
    let metal = "mass of the metal times its specific heat, as 12 kg of steel x 0.5 = 6";
    let checks = [
        ("still.boiler_loss_w_per_k", still.boiler_loss_w_per_k, range(0.0, 200.0, "W/K"), loss),
        ("still.column_loss_w_per_k", still.column_loss_w_per_k, range(0.0, 200.0, "W/K"), loss),
        ("still.metal_kj_per_k", still.metal_kj_per_k, range(0.0, 2000.0, "kJ/K"), metal),
        (
            "still.column_metal_kj_per_k",
            still.column_metal_kj_per_k,
            range(0.0, 1000.0, "kJ/K"),
            metal,
        ),
        (
            "still.pressure_drop_pa_per_stage",
            still.pressure_drop_pa_per_stage,
            range(0.0, 1000.0, "Pa"),
            "10 to 50 Pa is usual for packing",
        ),
        (
            "still.max_takeoff_ml_per_min",
            still.max_takeoff_ml_per_min,
            range(0.1, 20_000.0, "mL/min"),
            "the fastest you would ever draw",
        ),
    ];
    checks.into_iter().try_for_each(|(field, value, bound, hint)| within(field, value, bound, hint))
}

/// The charge, alone and against the still.
pub(super) fn charge(plan: &RunPlan) -> Result<(), PlanError> {
    let (charge, still) = (&plan.charge, &plan.still);
    within(
        "charge.litres",
        charge.litres,
        range(0.1, 2000.0, "L"),
        "litres in the boiler at 20 °C",
    )?;
    if charge.litres > still.boiler_litres {
        return Err(refuse(
            "charge.litres",
            charge.litres,
            format!("must not be over the boiler's {} L", still.boiler_litres),
            "charge less, or correct still.boiler_litres; four fifths full is enough",
        ));
    }
    if still.element_cover_litres >= charge.litres {
        return Err(refuse(
            "still.element_cover_litres",
            still.element_cover_litres,
            format!("must be under the charge of {} L", charge.litres),
            "an element that is not covered burns: charge more, or correct the cover",
        ));
    }
    if still.holdup_litres >= HOLDUP_OF_CHARGE_MAX * charge.litres {
        return Err(refuse(
            "still.holdup_litres",
            still.holdup_litres,
            format!("must be under half of the charge of {} L", charge.litres),
            "a column never holds that much of the charge; 1 to 3 % of it is usual",
        ));
    }
    charge_strength(charge)?;
    feints(charge)?;
    congeners(charge)
}

/// Share by which rounding may make feints more than the charge they are in (judgement: a plan has
/// hundredths of a per cent).
const ROUNDED: f64 = 0.005;

fn feints(charge: &Charge) -> Result<(), PlanError> {
    let Some(feints) = charge.feints else { return Ok(()) };
    let hint = "the part of the charge that is feints, at 20 °C; leave the table out where none is";
    within("charge.feints.litres", feints.litres, range(0.001, charge.litres, "L"), hint)?;
    within("charge.feints.strength_vol", feints.strength_vol, range(0.1, 96.0, "% vol"), hint)?;
    let charged_l = charge.litres * charge.strength_vol / 100.0;
    if feints.pure_alcohol_l() <= charged_l * (1.0 + ROUNDED) {
        return Ok(());
    }
    Err(refuse(
        "charge.feints.strength_vol",
        feints.strength_vol,
        format!("must not bring more pure alcohol than the charge has, {charged_l:.2} L"),
        "litres and strength of the charge are those of the whole, feints with it",
    ))
}

fn charge_strength(charge: &Charge) -> Result<(), PlanError> {
    within(
        "charge.strength_vol",
        charge.strength_vol,
        range(0.1, 96.0, "% vol"),
        "strength of the charge at 20 °C, in per cent (11.5, not 0.115)",
    )?;
    within(
        "charge.temperature_c",
        charge.temperature_c,
        range(-20.0, 95.0, "°C"),
        "temperature of the charge when the heater goes on, in °C",
    )?;
    let hint = "one standard deviation of what you measured; leave the key out when unknown";
    within_if_given("charge.litres_sd", charge.litres_sd, range(0.0, charge.litres, "L"), hint)?;
    within_if_given("charge.strength_sd", charge.strength_sd, range(0.0, 30.0, "% vol"), hint)
}

fn congeners(charge: &Charge) -> Result<(), PlanError> {
    let Some(named) = &charge.congeners_mg_per_l else { return Ok(()) };
    for (name, &amount) in named {
        let field = format!("charge.congeners_mg_per_l.{}", shown(name));
        if !Component::from_name(name).is_some_and(Component::is_congener) {
            let known: Vec<&str> = Component::ALL
                .into_iter()
                .filter(|component| component.is_congener())
                .map(Component::name)
                .collect();
            let hint = "correct the name or leave the line out; water and ethanol follow from the strength";
            let bound = format!("is not a known congener; known are {}", known.join(", "));
            return Err(refuse(field, amount, bound, hint));
        }
        within(&field, amount, range(0.0, 50_000.0, "mg/L"), "mg per litre of charge")?;
    }
    Ok(())
}

/// The place.
pub(super) fn site(site: &Site) -> Result<(), PlanError> {
    within(
        "site.pressure_hpa",
        site.pressure_hpa,
        range(STATION_HPA.0, STATION_HPA.1, "hPa"),
        "station pressure as a barometer beside the still shows it, not reduced to sea level",
    )?;
    within(
        "site.ambient_c",
        site.ambient_c,
        range(-30.0, 50.0, "°C"),
        "air temperature around the still, in °C",
    )?;
    within(
        "site.coolant_in_c",
        site.coolant_in_c,
        range(-20.0, 60.0, "°C"),
        "temperature of the coolant as it comes in, in °C",
    )?;
    within(
        "site.coolant_l_per_min",
        site.coolant_l_per_min,
        range(0.0, 500.0, "L/min"),
        "coolant flow in litres a minute, timed into a bucket",
    )
}
