//! The rules that look at one second alone.

use advise::{ChannelState, Evidence, Knowledge, State, Value};
use quantities::Band;
use still::plan::{RunPlan, StepKind};

/// How far sums may miss by rounding, L.
const SUM_L: f64 = 1e-6;

/// What a rule says: which one, and what it found.
pub(super) type Found = (&'static str, String);

/// All rules that look at one second alone.
pub(super) fn of_one_second(plan: &RunPlan, known: &Knowledge) -> Vec<Found> {
    let mut found = Vec::new();
    bands(known, &mut found);
    account(known, &mut found);
    instruction(known, &mut found);
    lost_data(plan, known, &mut found);
    same_numbers(known, &mut found);
    found
}

fn in_order(band: &Band) -> bool {
    let points = band.to_array();
    points.iter().all(|point| point.is_finite()) && points.windows(2).all(|pair| pair[0] <= pair[1])
}

/// Every band holds its middle; no amount is negative; no end is past.
fn bands(known: &Knowledge, found: &mut Vec<Found>) {
    let spirits = known.drawn.iter().chain(&known.hearts);
    let spirits = spirits.flat_map(|spirit| {
        [Some(&spirit.litres), Some(&spirit.pure_alcohol_l), spirit.strength.as_ref()]
    });
    let others = [
        &known.strength_now,
        &known.hearts_to_come_l,
        &known.hearts_in_all_l,
        &known.takeoff_ml_per_min,
    ];
    let values = spirits.chain(others.map(Option::as_ref)).flatten();
    let account = &known.account;
    let parts =
        [&account.charged_l, &account.drawn_l, &account.held_l, &account.lost_l, &account.left_l];
    let amounts = values.map(|value: &Value| &value.at).chain(parts).chain(&known.jars_to_come);
    for band in amounts {
        if !in_order(band) || band.p025 < 0.0 {
            found.push(("a band holds its middle and no amount is negative", format!("{band:?}")));
        }
    }
    for end in &known.ends {
        if !in_order(&end.at) {
            found.push(("a band holds its middle", format!("{end:?}")));
        }
        if end.at.p50 < known.time_s - 1e-6 {
            found.push(("no end is past", format!("{end:?}")));
        }
    }
    let ordered = known.ends.windows(2).all(|pair| pair[0].at.p50 <= pair[1].at.p50 + 1e-6);
    if !ordered {
        found.push(("ends come in order", format!("{:?}", known.ends)));
    }
}

/// Litres to come never exceed the alcohol left; drawn, held, lost and left are what was charged.
fn account(known: &Knowledge, found: &mut Vec<Found>) {
    let account = &known.account;
    let parts = account.drawn_l.p50 + account.held_l.p50 + account.lost_l.p50 + account.left_l.p50;
    if (parts - account.charged_l.p50).abs() > SUM_L {
        found.push(("drawn, held, lost and left are what was charged", format!("{account:?}")));
    }
    if let Some(to_come) = &known.hearts_to_come_l {
        let vol = known.strength_now.as_ref().map_or(50.0, |strength| strength.at.p50).min(90.0);
        if to_come.at.p50 * vol / 100.0 > account.left_l.p50 + 0.02 * account.charged_l.p50 {
            let what = format!(
                "{:.3} L at {vol:.1} % vol of {:.3} L left",
                to_come.at.p50, account.left_l.p50
            );
            found.push(("litres to come never exceed the alcohol left", what));
        }
    }
}

/// Nothing is to be begun or stopped now unless it was seen.
fn instruction(known: &Knowledge, found: &mut Vec<Found>) {
    let Some(next) = &known.instruction else { return };
    let moves = matches!(next.act, Some(advise::Act::Begin { .. } | advise::Act::Heater { .. }));
    let prompted = known
        .prompts
        .iter()
        .any(|prompt| prompt.code == next.code && prompt.time_s >= known.step.started_s - 1e-6);
    if next.now && moves && !prompted {
        found.push((
            "nothing is to be begun or stopped now unless it was seen",
            format!("{next:?}"),
        ));
    }
    let due = next.due.filter(|due| due.p90 < known.time_s);
    if !next.now && due.is_some() {
        found.push(("what is due later lies ahead", format!("{next:?}")));
    }
    if known.state == State::Interrupted && !known.ends.is_empty() {
        found.push(("without heat nothing should end", format!("{:?}", known.ends)));
    }
}

/// Old or missing data leave no number that depends on them.
fn lost_data(plan: &RunPlan, known: &Knowledge, found: &mut Vec<Found>) {
    for channel in &known.channels {
        let shown = matches!(channel.quality, ChannelState::Good | ChannelState::Doubtful);
        if channel.value.is_some() && !shown {
            found.push((
                "a channel that is not to be trusted shows no number",
                format!("{channel:?}"),
            ));
        }
    }
    let head = known.channels.iter().find(|channel| channel.name == "head_c");
    let lost =
        head.is_some_and(|head| matches!(head.quality, ChannelState::Stale | ChannelState::Bad));
    if !lost {
        return;
    }
    if known.rise.is_some() {
        found.push(("without the head there is no rise", format!("{:?}", known.rise)));
    }
    let glass = known.strength_now.as_ref().is_some_and(|now| now.basis.contains("glass"));
    if known.strength_now.is_some() && !glass && known.step.kind != StepKind::Heat {
        found.push(("without the head strength is not known", format!("{:?}", known.strength_now)));
    }
    let by_rise = plan.steps.get(known.step.index).is_some_and(|step| step.until_rise_k.is_some());
    let told = known.ends.iter().find(|end| {
        by_rise
            && end.step_index == Some(known.step.index)
            && matches!(end.evidence, Evidence::Measured)
    });
    if let Some(told) = told {
        found.push(("without the head no rise can be foreseen", format!("{told:?}")));
    }
}

/// What two places show is the same number.
fn same_numbers(known: &Knowledge, found: &mut Vec<Found>) {
    if let (Some(end), Some(drawn)) = (&known.end, &known.drawn) {
        let apart = (end.litres_20c - drawn.litres.at.p50).abs()
            + (end.pure_alcohol_l - drawn.pure_alcohol_l.at.p50).abs();
        if apart > SUM_L {
            found.push(("the end tells what was drawn", format!("{end:?} and {drawn:?}")));
        }
    }
    if let Some(drawn) = &known.drawn {
        let apart = (drawn.pure_alcohol_l.at.p50 - known.account.drawn_l.p50).abs();
        if apart > SUM_L {
            found.push((
                "the account tells what was drawn",
                format!("{drawn:?} and {:?}", known.account),
            ));
        }
    }
    if let (Some(hearts), Some(drawn)) = (&known.hearts, &known.drawn)
        && hearts.litres.at.p50 > drawn.litres.at.p50 + SUM_L
    {
        found.push(("hearts are no more than all that was drawn", format!("{hearts:?}")));
    }
}
