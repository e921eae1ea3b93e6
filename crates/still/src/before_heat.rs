//! What is to be looked at before heat, made from this still, this charge and this plan: each item
//! with its figure where one can be reckoned, and its reason. What only hands and eyes can tell is
//! asked, never taken as done.

use crate::forecast::{CHARGE_STRENGTH_MAX_VOL, COOLANT_OUT_MAX_C, WATER_J_PER_L_K, fill_max};
use crate::outcome::{EndedBy, Forecast};
use crate::plan::{ChargeKind, RunPlan, StillKind};

/// What can be said of an item without a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finding {
    /// Reckoned, and it holds by the plan.
    Holds,
    /// Reckoned, and it does not hold.
    Fails,
    /// Nothing here can tell.
    Asked,
}

impl Finding {
    /// The name used in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Fails => "fails",
            Self::Asked => "asked",
        }
    }
}

/// Most characters of what is overdue: a signed line is a line.
const OVERDUE_NAME_CHARACTERS_MAX: usize = 120;

/// One item of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Stable name, as `fill`.
    pub code: &'static str,
    /// What is signed.
    pub words: String,
    /// What was reckoned, in words; none where nothing can be.
    pub figure: Option<String>,
    /// Why it is asked.
    pub reason: &'static str,
    /// What can be said of it without a person.
    pub finding: Finding,
}

impl Item {
    /// Something at the still that is past its date: it does not hold until it is done. `kind` is as
    /// `cleaning`, `figure` says since when.
    #[must_use]
    pub fn overdue(kind: &'static str, name: &str, figure: String) -> Self {
        let name: String = name.chars().take(OVERDUE_NAME_CHARACTERS_MAX).collect();
        let reason = match kind {
            "calibration" => {
                "What is read with it is marked, and no gauge of the book rests on it."
            }
            "cleaning" => "What stays from run to run is in the next spirit.",
            _ => "What wears out fails while it is hot.",
        };
        let words = format!("Overdue {kind}: {name}. Done now, or known and left.");
        Self { code: kind, words, figure: Some(figure), reason, finding: Finding::Fails }
    }
}

/// An item that only a person can answer.
fn asked(code: &'static str, words: &str, reason: &'static str) -> Item {
    Item { code, words: words.to_owned(), figure: None, reason, finding: Finding::Asked }
}

const fn held(holds: bool) -> Finding {
    if holds { Finding::Holds } else { Finding::Fails }
}

/// The list for a plan, with what its forecast knows where there is one.
#[must_use]
pub fn list(plan: &RunPlan, forecast: Option<&Forecast>) -> Vec<Item> {
    let mut items = vec![
        asked(
            "law",
            "The law here allows this run, and I have what it asks for.",
            "In most countries spirit without leave is an offence.",
        ),
        fill(plan),
        strength(plan),
    ];
    items.extend(cover(plan, forecast));
    items.extend(foam(plan));
    items.extend(path(plan));
    items.push(coolant(plan, forecast));
    items.push(coolant_seen(forecast));
    items.extend(electric(plan));
    items.extend(house());
    items.push(receivers(plan, forecast));
    items.extend(probes(plan));
    items.push(attended(forecast));
    items
}

fn fill(plan: &RunPlan) -> Item {
    let (litres, holds) = (plan.charge.litres, plan.still.boiler_litres);
    let most = fill_max(plan);
    Item {
        code: "fill",
        words: format!("{litres:.1} L charged, measured; the rest of the boiler is empty."),
        figure: Some(format!(
            "{:.0} % of {holds:.0} L; at most {:.0} %",
            100.0 * litres / holds,
            100.0 * most
        )),
        reason: "Foam climbs into the column and shuts the way out.",
        finding: held(litres / holds <= most),
    }
}

fn strength(plan: &RunPlan) -> Item {
    let vol = plan.charge.strength_vol;
    Item {
        code: "strength",
        words: format!("The charge has {vol:.1} % vol, gauged."),
        figure: Some(format!("at most {CHARGE_STRENGTH_MAX_VOL:.0} % vol")),
        reason: "A strong charge burns where it spills, and leaves the elements bare sooner.",
        finding: held(vol <= CHARGE_STRENGTH_MAX_VOL),
    }
}

/// Liquid over the elements at the end of the run; none where nothing is immersed.
fn cover(plan: &RunPlan, forecast: Option<&Forecast>) -> Option<Item> {
    if !plan.still.heat_source.is_electric() {
        return None;
    }
    let least = plan.still.element_cover_litres;
    let left = forecast.map(|forecast| forecast.totals.left_in_pot_l);
    let at_end =
        left.map(|left| format!("{left:.1} L should be left at the end; {least:.1} L cover them"));
    let now = format!("{least:.1} L cover them");
    let holds = forecast.map(|forecast| {
        forecast.ended_by != EndedBy::ElementCover && forecast.totals.left_in_pot_l > least
    });
    Some(Item {
        code: "cover",
        words: "The elements are under liquid now, and by the plan to the end.".to_owned(),
        figure: Some(at_end.unwrap_or(now)),
        reason: "A bare element burns what is on it, and itself.",
        finding: holds.map_or(Finding::Asked, held),
    })
}

fn foam(plan: &RunPlan) -> Option<Item> {
    let kind = plan.charge.kind?;
    let words = match kind {
        ChargeKind::GrainWash => {
            "The wash is clear of grain, degassed, and something against foam is in it."
        }
        ChargeKind::FruitWash => "The wash is clear of fruit and yeast, and degassed.",
        ChargeKind::SugarWash => "The wash has cleared, and is degassed.",
        ChargeKind::LowWines => return None,
    };
    Some(asked("foam", words, "Solids scorch and clog; gas and protein foam."))
}

fn path(plan: &RunPlan) -> [Item; 3] {
    let words = match plan.still.kind {
        StillKind::Column => {
            "From boiler to open air looked through: packing seated and loose enough, nothing shut or kinked, the vent open."
        }
        StillKind::Pot => {
            "From boiler to open air looked through: arm, condenser and outlet free, nothing shut or kinked."
        }
    };
    [
        asked("path", words, "Heat and a closed path burst: a still is no pressure vessel."),
        asked(
            "relief",
            "The relief is fitted, lifts freely, and opens at a few kPa; air can get back in when it cools.",
            "It is the last way out if the first is blocked, and cooling vapour sucks a tight boiler flat.",
        ),
        asked(
            "joints",
            "Joints are closed and tight; no lead, no unknown plastic or rubber near hot spirit.",
            "Vapour that leaks burns; lead and softeners go into the spirit.",
        ),
    ]
}

/// The most power the plan asks for, W.
fn most_watts(plan: &RunPlan) -> f64 {
    (0..plan.steps.len()).map(|step| plan.step_power(step).watts()).fold(0.0, f64::max)
}

fn coolant(plan: &RunPlan, forecast: Option<&Forecast>) -> Item {
    let flow = plan.site.coolant_l_per_min;
    let rise_k = (COOLANT_OUT_MAX_C - plan.site.coolant_in_c).max(1.0);
    // All of the heater's heat, no loss counted: more than the vapour can bring.
    let need = 60.0 * most_watts(plan) / (WATER_J_PER_L_K * rise_k);
    let is_warned = forecast.is_some_and(|forecast| {
        forecast.warnings.iter().any(|one| one.code == "coolant_too_small")
    });
    let finding = match (is_warned, flow >= need, forecast) {
        (true, _, _) => Finding::Fails,
        (_, true, _) | (_, _, Some(_)) => Finding::Holds,
        _ => Finding::Asked,
    };
    Item {
        code: "coolant",
        words: format!(
            "Coolant of {:.0} °C can run at {flow:.2} L/min for the whole run.",
            plan.site.coolant_in_c
        ),
        figure: Some(format!(
            "{need:.2} L/min take up all {:.0} W and leave at {COOLANT_OUT_MAX_C:.0} °C",
            most_watts(plan)
        )),
        reason: "What it does not condense comes into the room as vapour.",
        finding,
    }
}

fn coolant_seen(forecast: Option<&Forecast>) -> Item {
    let by = |forecast: &Forecast| {
        format!("the boil is due {:.0} min after heat", forecast.boil_s / 60.0)
    };
    Item {
        figure: forecast.map(by),
        ..asked(
            "coolant_seen",
            "The coolant was opened and seen to flow out; hoses are clipped; it goes on before the boil.",
            "A valve that stands open proves no flow.",
        )
    }
}

fn electric(plan: &RunPlan) -> Vec<Item> {
    let reach = asked(
        "switch",
        "The heat can be cut off from where no vapour comes.",
        "Nobody should reach through vapour to stop it.",
    );
    if !plan.still.heat_source.is_electric() {
        let flame = asked(
            "source",
            "The fire or steam can be cut off at once, and no flame stands where vapour goes.",
            "Vapour is heavier than air and finds the flame.",
        );
        return vec![flame, reach];
    }
    let watts = plan.still.heater_power().watts();
    let amperes = |volts: f64| watts / volts;
    let rcd = asked(
        "rcd",
        "The residual-current device was tried by its button; the metal of the still is bonded.",
        "Water, spirit and mains stand together here.",
    );
    let cable = Item {
        figure: Some(format!(
            "{watts:.0} W are {:.0} A at 230 V, {:.0} A at 120 V",
            amperes(230.0),
            amperes(120.0)
        )),
        ..asked(
            "cable",
            "Cable, plug and fuse are made for the heater for hours; no reel, no strip.",
            "They run warm for the whole run.",
        )
    };
    vec![rcd, cable, reach]
}

fn house() -> [Item; 3] {
    [
        asked(
            "air",
            "Window or fan open; no flame, spark or charger in the room; no gas left from a ferment.",
            "Spirit vapour and carbon dioxide both lie low and gather.",
        ),
        asked(
            "fire",
            "Extinguisher in reach of the way out, and the way out is clear.",
            "A spirit flame is hard to see by day.",
        ),
        asked(
            "second",
            "Somebody else knows that it runs, and where to cut the heat.",
            "You may not be able to.",
        ),
    ]
}

fn receivers(plan: &RunPlan, forecast: Option<&Forecast>) -> Item {
    let run = |forecast: &Forecast| {
        let drawn = forecast.steps.iter().filter(|step| step.litres_20c > 0.0);
        let parts: Vec<String> = drawn
            .map(|step| format!("{} {:.2} L", plan.step_name(step.index), step.litres_20c))
            .collect();
        format!("{:.1} L should run: {}", forecast.totals.litres_20c, parts.join(", "))
    };
    Item {
        figure: forecast.map(run),
        ..asked(
            "receivers",
            "Jars clean, numbered, enough of them, on a tray, below the spout and clear of the heat.",
            "A jar that runs over under a hot still feeds a fire.",
        )
    }
}

fn probes(plan: &RunPlan) -> [Item; 2] {
    let room = Item {
        figure: Some(format!("the plan says {:.0} °C", plan.site.ambient_c)),
        ..asked(
            "probes",
            "The thermometers show the room alike, and their times move on.",
            "One that is off now is off all day.",
        )
    };
    let alarm = asked(
        "alarm",
        "The alarm was heard on this device, or by who should hear it.",
        "Silence says nothing.",
    );
    [room, alarm]
}

fn attended(forecast: Option<&Forecast>) -> Item {
    let long = |forecast: &Forecast| {
        let minutes = (forecast.end_s / 60.0).round();
        format!(
            "about {:.0} h {:02.0} min, then the cooling",
            (minutes / 60.0).floor(),
            minutes % 60.0
        )
    };
    Item {
        figure: forecast.map(long),
        ..asked(
            "attended",
            "Someone stays with it until it is cold: sober, rested, with nothing else to do.",
            "Without coolant the room holds burning vapour within minutes.",
        )
    }
}

#[cfg(test)]
mod tests {
    use super::{Finding, list};
    use crate::forecast::{Options, forecast};
    use crate::plan::{ChargeKind, HeatSource, test_plan};

    fn finding(items: &[super::Item], code: &str) -> Option<Finding> {
        items.iter().find(|item| item.code == code).map(|item| item.finding)
    }

    #[test]
    fn what_can_be_reckoned_is_and_what_cannot_stays_open() {
        let plan = test_plan();
        let is = forecast(&plan, &Options::default()).unwrap();
        let items = list(&plan, Some(&is));
        for code in ["fill", "strength", "cover", "coolant"] {
            assert_eq!(finding(&items, code), Some(Finding::Holds), "{code}: {items:?}");
        }
        let open = items.iter().filter(|item| item.finding == Finding::Asked).count();
        assert!(open >= 14, "{open}");
        assert!(items.iter().all(|item| !item.reason.is_empty() && item.words.len() <= 200));
        let mut codes: Vec<&str> = items.iter().map(|item| item.code).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), items.len());
    }

    #[test]
    fn a_charge_that_should_not_be_heated_fails_by_its_figure() {
        let mut plan = test_plan();
        plan.charge.litres = 24.0;
        plan.charge.strength_vol = 55.0;
        plan.site.coolant_l_per_min = 0.2;
        let is = forecast(&plan, &Options::default()).unwrap();
        let items = list(&plan, Some(&is));
        for code in ["fill", "strength", "coolant"] {
            assert_eq!(finding(&items, code), Some(Finding::Fails), "{code}: {items:?}");
        }
        // Without a forecast nothing of the end is known.
        assert_eq!(finding(&list(&plan, None), "cover"), Some(Finding::Asked));
    }

    #[test]
    fn the_list_follows_still_and_charge() {
        let mut plan = test_plan();
        plan.charge.kind = Some(ChargeKind::GrainWash);
        plan.charge.litres = 18.0;
        assert_eq!(finding(&list(&plan, None), "fill"), Some(Finding::Fails));
        plan.charge.kind = Some(ChargeKind::LowWines);
        assert_eq!(finding(&list(&plan, None), "foam"), None);
        plan.still.heat_source = HeatSource::Gas;
        let items = list(&plan, None);
        assert_eq!((finding(&items, "cover"), finding(&items, "rcd")), (None, None));
        assert_eq!(finding(&items, "source"), Some(Finding::Asked));
    }
}
