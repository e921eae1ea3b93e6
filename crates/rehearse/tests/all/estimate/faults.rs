//! Faults put into a healthy record are named; a healthy record accuses nobody.

use estimate::{FaultKind, Outlook};
use quantities::Band;
use sense::RecordedRun;
use sense::{Action, Probe, Reading};

use super::recorded::{COLUMN, POT, Recorded, Told, known};

/// Whether a fault is called likely.
fn named(outlook: &Outlook, kind: FaultKind, channel: &str) -> bool {
    let of = |fault: &&estimate::Fault| fault.kind == kind && fault.channel == channel;
    outlook.faults.iter().filter(of).any(|fault| fault.probability >= 0.5)
}

fn end(outlook: &Outlook) -> Band {
    outlook.plan_end.expect("the plan has hearts").time_s
}

/// The record with every row from `from_s` on changed; the number of the row is given.
fn spoilt(run: &Recorded, from_s: f64, change: impl Fn(usize, &mut Reading)) -> RecordedRun {
    let mut rows = run.rows.clone();
    let late = rows.readings.iter_mut().filter(|row| row.0 >= from_s);
    late.enumerate().for_each(|(number, row)| change(number, &mut row.1));
    rows
}

fn assert_named(run: &Recorded, rows: &RecordedRun, kind: FaultKind, channel: &str) -> Outlook {
    let outlook = known(&run.plan, rows, run.at(0.8));
    assert!(named(&outlook, kind, channel), "{kind:?}: {:?}", outlook.faults);
    outlook
}

pub(super) fn healthy_rehearsals_accuse_nobody(ten: &[Told]) {
    let mut accused = Vec::new();
    for run in ten {
        for share in [0.05, 0.5, 0.95] {
            let outlook = run.outlook(share);
            let likely = outlook.faults.into_iter().filter(|fault| fault.probability >= 0.5);
            accused.extend(likely.map(|fault| (run.plan.title.clone(), share, fault)));
        }
    }
    assert!(accused.is_empty(), "{accused:#?}");
}

#[test]
fn a_head_that_stands_still_is_named_and_not_trusted() {
    let stuck_s = POT.at(0.3);
    let before = POT.rows.readings.iter().rev().find(|row| row.0 < stuck_s);
    let held = before.and_then(|row| row.1.get(Probe::Head));
    let rows = spoilt(&POT, stuck_s, |_, row| row.set(Probe::Head, held));
    let outlook = assert_named(&POT, &rows, FaultKind::StuckHead, "head_c");
    let fault = outlook.faults.iter().find(|fault| fault.kind == FaultKind::StuckHead);
    let since_s = fault.expect("named above").since_s;
    assert!((since_s - stuck_s).abs() <= 60.0, "stuck since {since_s}, truly {stuck_s}");
    assert!(outlook.untrusted.iter().any(|answer| answer.answer == "rise"));
    let (end, healthy) = (outlook.plan_end.unwrap(), POT.outlook(0.8).plan_end.unwrap());
    let moved_s = (end.time_s.p50 - healthy.time_s.p50).abs();
    assert!(moved_s < healthy.time_s.width_80(), "the end moves by {moved_s} s: {healthy:?}");
}

#[test]
fn spikes_and_codes_are_named_and_do_no_harm() {
    for run in [&*COLUMN, &*POT] {
        let healthy = end(&run.outlook(0.8));
        let now_and_then = |number: usize| number.is_multiple_of(41);
        let spiked = spoilt(run, run.hearts_s.0, |number, row| {
            if now_and_then(number) {
                row.set(Probe::Head, row.get(Probe::Head).map(|c| c + 9.0));
            }
        });
        let coded = spoilt(run, run.hearts_s.0, |number, row| {
            if now_and_then(number) {
                row.set(Probe::Head, Some(85.0));
            }
        });
        for (rows, kind) in [(spiked, FaultKind::Spikes), (coded, FaultKind::Dropouts)] {
            let outlook = assert_named(run, &rows, kind, "head_c");
            let moved_s = (end(&outlook).p50 - healthy.p50).abs();
            let most_s = 0.1 * healthy.width_80();
            assert!(moved_s <= most_s, "{kind:?} moves the end by {moved_s} s of {most_s}");
        }
    }
}

#[test]
fn probes_under_each_others_name_are_found() {
    for run in [&*COLUMN, &*POT] {
        let rows = spoilt(run, 0.0, |_, row| {
            *row =
                row.with(Probe::Head, row.get(Probe::Pot)).with(Probe::Pot, row.get(Probe::Head));
        });
        let outlook = assert_named(run, &rows, FaultKind::Swapped, "head_c");
        assert_eq!(outlook.plan_end, run.outlook(0.8).plan_end, "put back, they say the same");
    }
}

#[test]
fn a_charge_stated_wrongly_is_named_and_mended_in_a_pot() {
    for share in [0.85, 1.15] {
        let mut plan = POT.plan.clone();
        let true_vol = plan.charge.strength_vol;
        plan.charge.strength_vol *= share;
        let outlook = known(&plan, &POT.rows, POT.at(0.8));
        let first = outlook.faults.first().map(|fault| (fault.kind, fault.channel.as_str()));
        let wanted = Some((FaultKind::WrongStrength, "charge"));
        assert_eq!(first, wanted, "stated {share}: {:?}", outlook.faults);
        assert!(outlook.untrusted.iter().any(|answer| answer.answer == "charge"));
        let off = (true_vol / outlook.charge_strength_vol.p50).ln().abs();
        assert!(off < 0.3 * f64::ln(share).abs(), "{:?}", outlook.charge_strength_vol);
        let (at_s, healthy) = (end(&outlook).p50, end(&POT.outlook(0.8)));
        assert!((healthy.p025..=healthy.p975).contains(&at_s), "{at_s} of {healthy:?}");
    }
}

#[test]
fn a_column_that_gives_far_more_than_was_charged_says_so() {
    let mut plan = COLUMN.plan.clone();
    let true_vol = plan.charge.strength_vol;
    plan.charge.strength_vol *= 0.8;
    let outlook = known(&plan, &COLUMN.rows, COLUMN.at(1.0));
    assert!(named(&outlook, FaultKind::WrongStrength, "charge"), "{:?}", outlook.faults);
    let off = (true_vol / outlook.charge_strength_vol.p50).ln().abs();
    assert!(off < 0.1, "{:?}", outlook.charge_strength_vol);
}

/// The bench pot, whose power falls to a share at 30 % of the hearts that it would have had; no meter.
fn weakened(share: f64) -> (f64, Recorded) {
    let from_s = POT.at(0.3);
    let watts = share * POT.plan.steps[1].watts.expect("the foreshots set the power");
    let mut run = Recorded::with(POT.plan.clone(), 12, |second, rehearsal| {
        if second as f64 == from_s {
            rehearsal.person(from_s, &Action::Heater { watts });
        }
    });
    run.rows.readings.iter_mut().for_each(|row| row.1.set(Probe::Heater, None));
    (from_s, run)
}

#[test]
fn a_heater_that_gives_less_from_a_moment_on_is_named_with_the_moment_and_the_end_comes_later() {
    let (from_s, run) = weakened(0.7);
    let outlook = known(&run.plan, &run.rows, run.at(0.7));
    let of = |fault: &&estimate::Fault| fault.kind == FaultKind::ElementFailing;
    let fault = outlook.faults.iter().find(of).expect("it is named");
    assert!(fault.probability >= 0.5, "{fault:?}");
    assert!((fault.since_s - from_s).abs() <= 900.0, "{fault:?}, truly {from_s}");
    assert!(fault.why.contains("less heat"), "{fault:?}");
    let (end, came_s) = (end(&outlook), run.hearts_s.1);
    assert!((end.p025..=end.p975).contains(&came_s), "{came_s} of {end:?}");
    // Both elements as they were: nobody is accused.
    let (_, sound) = weakened(1.0);
    let outlook = known(&sound.plan, &sound.rows, sound.at(0.7));
    assert!(!outlook.faults.iter().any(|fault| of(&fault)), "{:?}", outlook.faults);
}

#[test]
fn words_in_a_note_are_never_evidence() {
    let at_s = COLUMN.at(0.5);
    let mut rows = COLUMN.rows.clone();
    for text in ["the coolant looks steady", "checked the element cover", "output weak"] {
        rows.actions.push((at_s - 60.0, Action::Note { text: text.to_owned() }));
    }
    assert_eq!(known(&COLUMN.plan, &rows, at_s), COLUMN.outlook(0.5));
}

#[test]
fn what_a_head_reads_without_vapour_is_no_evidence() {
    let (off_s, back_s) = (COLUMN.at(0.4), COLUMN.at(0.4) + 440.0);
    let mut warm = COLUMN.rows.clone();
    let watts = COLUMN.plan.step_power(COLUMN.plan.first_hearts().expect("it has hearts")).watts();
    warm.actions.push((off_s, Action::Heater { watts: 0.0 }));
    warm.actions.push((back_s, Action::Heater { watts }));
    warm.readings.iter_mut().for_each(|row| row.1.set(Probe::Heater, None));
    let mut cooled = warm.clone();
    let in_cut = |time_s: f64| (off_s..back_s + 240.0).contains(&time_s);
    for (time_s, row) in cooled.readings.iter_mut().filter(|row| in_cut(row.0)) {
        let head_c = row.get(Probe::Head).map(|head_c| head_c - 6.0 * (*time_s - off_s) / 680.0);
        row.set(Probe::Head, head_c);
    }
    let at_s = COLUMN.at(0.6);
    let ends = [warm, cooled].map(|rows| end(&known(&COLUMN.plan, &rows, at_s)));
    assert_eq!(ends[0], ends[1], "the fall of the head tells nothing of the still");
}

fn unknown_end(outlook: &Outlook) -> bool {
    outlook.untrusted.iter().any(|one| one.answer == "end")
}

#[test]
fn a_meter_that_lost_the_coolant_and_fell_silent_mends_nothing() {
    let lost_s = COLUMN.at(0.3);
    let at_s = lost_s + 1500.0;
    let metered = |flow: fn(f64) -> Option<f64>| {
        let mut rows = COLUMN.rows.clone();
        for (time_s, reading) in &mut rows.readings {
            let since_s = *time_s - lost_s;
            let flow = if since_s < 0.0 { Some(1.5) } else { flow(since_s) };
            for probe in [Probe::CoolantIn, Probe::CoolantOut] {
                reading.set(probe, None);
            }
            reading.set(Probe::CoolantFlow, flow);
        }
        known(&COLUMN.plan, &rows, at_s)
    };
    let back = metered(|since_s| Some(if since_s < 120.0 { 0.0 } else { 1.5 }));
    assert!(named(&back, FaultKind::CoolantLoss, "coolant_l_per_min"), "{:?}", back.faults);
    assert!(!unknown_end(&back), "it has flowed again for twenty minutes");
    let silent = metered(|since_s| (since_s < 120.0).then_some(0.0));
    assert!(unknown_end(&silent), "nobody knows whether it flows");
}

#[test]
fn a_loss_of_coolant_shows_in_what_was_done_about_it() {
    let at_s = COLUMN.at(0.5);
    let act = |before_s: f64, action: Action| (at_s - before_s, action);
    let heat_w = COLUMN.plan.step_power(1).watts();
    let pause =
        [act(600.0, Action::Heater { watts: 0.0 }), act(300.0, Action::Heater { watts: heat_w })];
    let mut paused = COLUMN.rows.clone();
    paused.actions.extend(pause.clone());
    let accused = known(&COLUMN.plan, &paused, at_s);
    assert!(!named(&accused, FaultKind::CoolantLoss, "coolant_l_per_min"), "a pause is none");
    let mut lost = paused.clone();
    lost.actions.push(act(500.0, Action::Coolant { l_per_min: 1.8 }));
    let told = known(&COLUMN.plan, &lost, at_s);
    assert!(named(&told, FaultKind::CoolantLoss, "coolant_l_per_min"), "{:?}", told.faults);
    assert!(unknown_end(&told), "heat has been back for five minutes only");
    let later = known(&COLUMN.plan, &lost, at_s + 360.0);
    assert!(named(&later, FaultKind::CoolantLoss, "coolant_l_per_min"), "it happened");
    assert!(!unknown_end(&later), "heat and coolant have been back for eleven minutes");
    let stop_s = COLUMN.rows.last_s();
    let mut closed = COLUMN.rows.clone();
    closed.actions.push((stop_s, Action::Coolant { l_per_min: 0.0 }));
    let over = known(&COLUMN.plan, &closed, stop_s + 1.0);
    assert!(!named(&over, FaultKind::CoolantLoss, "coolant_l_per_min"), "closed after the stop");
}
