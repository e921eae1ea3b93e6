//! An estimate as a person reads it: a table of likely values and bands, then what to think of it.

use estimate::Outlook;
use quantities::Band;
use still::plan::StillKind;

use super::estimated::Estimated;
use crate::print::{clock, columns, number};

/// Shares of a band below this are not listed.
const SHARE_LEAST: f64 = 0.05;

/// The whole of it.
pub(super) fn write(estimated: &Estimated<'_>, kind: StillKind) -> String {
    let outlook = estimated.outlook;
    let parts = [
        heading(estimated),
        columns(&Table::of(outlook, kind).rows),
        list(
            "not to be trusted",
            outlook
                .untrusted
                .iter()
                .map(|untrusted| format!("{}: {}", untrusted.answer, untrusted.why)),
        ),
        list(
            "what may be wrong",
            outlook.faults.iter().map(|fault| {
                let kind = fault.kind.name().replace('_', " ");
                let (odds, since) = (percent(fault.probability), clock(fault.since_s));
                format!("{kind}, {odds}, since {since}: {}", fault.why)
            }),
        ),
        list(
            "what would make it surer",
            outlook.would_help.iter().map(|help| {
                let (end, litres) = (percent(help.end_gain), percent(help.litres_gain));
                let text = help.text.trim_end_matches('.');
                format!("{text}: band of the end {end} narrower, of the litres {litres}")
            }),
        ),
        list("what it rests on", evidence(outlook).into_iter()),
    ];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("\n")
}

fn heading(estimated: &Estimated<'_>) -> String {
    let Estimated { title, moment, recorded_s, learned_runs, .. } = *estimated;
    let share = moment
        .at_fraction
        .map(|share| format!(" ({} % of the hearts)", number(100.0 * share, 0)))
        .unwrap_or_default();
    let learned = match learned_runs {
        0 => String::new(),
        1 => "\nwith what one earlier run taught about the still".to_owned(),
        runs => format!("\nwith what {runs} earlier runs taught about the still"),
    };
    format!(
        "{title}\nas known at {}{share}, from everything recorded until {}{learned}\n",
        clock(moment.made_at_s),
        clock(recorded_s),
    )
}

/// Rows of likely value, 80 % and 95 % band.
struct Table<'a> {
    outlook: &'a Outlook,
    rows: Vec<Vec<String>>,
}

impl<'a> Table<'a> {
    fn of(outlook: &'a Outlook, kind: StillKind) -> Self {
        let header = ["", "likely", "4 in 5", "19 in 20"].map(ToOwned::to_owned).to_vec();
        let mut table = Self { outlook, rows: vec![header] };
        let plain = |decimals: usize| move |value: f64| number(value, decimals);
        let (plan, end) = (outlook.plan_end, outlook.end);
        let definition = match kind {
            StillKind::Column => "head 1.0 K over its plateau, h:mm",
            StillKind::Pot => "distillate down to the hearts' strength, h:mm",
        };
        table.row("hearts should end, by the plan, h:mm", "end", plan.map(|end| end.time_s), clock);
        table.row(definition, "end", end.map(|end| end.time_s), clock);
        table.row("this step should end, h:mm", "end", outlook.step_end_s, clock);
        table.row("stop, h:mm", "end", outlook.stop_s, clock);
        table.row("hearts still to come, L", "litres", outlook.litres_to_come, plain(2));
        table.row("hearts in all, L", "litres", plan.map(|end| end.litres), plain(2));
        let all = plan.map(|end| end.strength_vol);
        table.row("strength of all hearts, % vol", "strength", all, plain(1));
        table.row("strength so far, % vol", "strength", outlook.strength_so_far, plain(1));
        table.row("strength now, % vol", "strength", Some(outlook.strength_now), plain(1));
        table.row("jars still needed", "litres", outlook.jars_needed, plain(0));
        table.row("pure alcohol in the pot, L", "pot", Some(outlook.pot_alcohol_l), plain(2));
        table.row("charge, L", "charge", Some(outlook.charge_litres), plain(1));
        table.row("charge, % vol", "charge", Some(outlook.charge_strength_vol), plain(1));
        table
    }

    /// A row; in place of a value that is not to be trusted, that it cannot be known.
    fn row(
        &mut self,
        label: &str,
        answer: &str,
        quantiles: Option<Band>,
        shown: impl Fn(f64) -> String,
    ) {
        let Some(found) = quantiles else { return };
        if self.outlook.untrusted.iter().any(|untrusted| untrusted.answer == answer) {
            self.rows.push(vec![label.to_owned(), "not known".to_owned()]);
            return;
        }
        let band = |low: f64, high: f64| format!("{} to {}", shown(low), shown(high));
        self.rows.push(vec![
            label.to_owned(),
            shown(found.p50),
            band(found.p10, found.p90),
            band(found.p025, found.p975),
        ]);
    }
}

/// A title with indented lines under it; nothing without lines.
fn list(title: &str, lines: impl Iterator<Item = String>) -> String {
    let mut text = String::new();
    for line in lines {
        if text.is_empty() {
            text.push_str(title);
            text.push('\n');
        }
        text.push_str("  ");
        text.push_str(&line);
        text.push('\n');
    }
    text
}

fn evidence(outlook: &Outlook) -> Vec<String> {
    let evidence = &outlook.evidence;
    let mut shares: Vec<_> =
        evidence.shares.iter().filter(|share| share.litres >= SHARE_LEAST).collect();
    shares.sort_by(|a, b| b.litres.total_cmp(&a.litres));
    let of_band: Vec<String> = shares
        .iter()
        .map(|share| format!("{} {}", share.of.replace('_', " "), percent(share.litres)))
        .collect();
    let mut lines = vec![format!(
        "{} measurements that count, misfit (chi-square) {}; {} standard deviations from what was believed before",
        number(evidence.effective_measurements, 0),
        number(evidence.chi_square, 0),
        number(evidence.prior_distance, 1),
    )];
    if let Some(column) = evidence.column {
        lines.push(format!(
            "the thermometer in the column makes the band of the end narrower by {}, that of the litres by {}",
            percent(column.end_gain),
            percent(column.litres_gain),
        ));
    }
    if !of_band.is_empty() {
        lines.push(format!("the band of the litres comes from: {}", of_band.join(", ")));
    }
    lines
}

fn percent(share: f64) -> String {
    format!("{} %", number(100.0 * share, 0))
}

#[cfg(test)]
mod tests {
    use estimate::Outlook;
    use quantities::Band;
    use serde_json::{Value, json};
    use still::plan::StillKind;

    use super::super::moment::Moment;
    use super::{Estimated, write};

    fn around(value: f64) -> Value {
        let five = [-2.0, -1.0, 0.0, 1.0, 2.0].map(|at| value * (1.0 + 0.1 * at));
        serde_json::to_value(Band::from_array(five)).unwrap()
    }

    /// Made up: a column in hearts with a head thermometer that stands still.
    fn outlook() -> Outlook {
        let end = json!({ "time_s": around(9000.0), "litres": around(2.0), "strength_vol": around(80.0) });
        serde_json::from_value(json!({
            "made_at_s": 7260.0, "plan_end": end, "step_end_s": null, "end": end,
            "litres_to_come": around(1.0), "strength_now": around(85.0), "strength_so_far": null,
            "pot_alcohol_l": around(1.5), "jars_needed": around(4.0), "stop_s": null,
            "charge_litres": around(20.0), "charge_strength_vol": around(10.0),
            "faults": [{ "kind": "stuck_head", "channel": "head_c", "probability": 0.93,
                "since_s": 6000.0, "why": "it has not moved" }],
            "untrusted": [{ "answer": "end", "why": "the head stands still" }],
            "evidence": { "chi_square": 12.4, "effective_measurements": 30.2, "prior_distance": 1.26,
                "effective_draws": 200.0, "simulations": 40, "shares": [
                    { "of": "charge_strength", "litres": 0.02, "end": 0.9 },
                    { "of": "take_off_to_come", "litres": 0.3, "end": 0.1 },
                    { "of": "model", "litres": 0.6, "end": 0.0 }] },
            "would_help": [{ "action": "weigh", "text": "Weigh the charge.", "end_gain": 0.18,
                "litres_gain": 0.304 }],
        }))
        .unwrap()
    }

    fn written(kind: StillKind) -> String {
        let moment = Moment { at_fraction: Some(0.5), made_at_s: 7260.0 };
        let outlook = outlook();
        let (run, title) = ("001", "A wash");
        let estimated = Estimated {
            run,
            title,
            moment,
            recorded_s: 7200.0,
            learned_runs: 2,
            outlook: &outlook,
        };
        write(&estimated, kind)
    }

    #[test]
    fn what_is_not_to_be_trusted_shows_no_number() {
        let text = written(StillKind::Column);
        let row = |label: &str| text.lines().find(|line| line.starts_with(label)).unwrap();
        let words = |label: &str| row(label)[label.len()..].split_whitespace().collect::<String>();
        assert_eq!(words("hearts should end, by the plan, h:mm"), "notknown");
        assert_eq!(words("head 1.0 K over its plateau, h:mm"), "notknown");
        assert_eq!(words("hearts in all, L"), "2.001.80to2.201.60to2.40");
        assert_eq!(words("strength now, % vol"), "85.076.5to93.568.0to102.0");
        assert!(text.contains("not to be trusted\n  end: the head stands still\n"), "{text}");
        assert!(!text.contains("2:30") && !text.contains("stop"), "{text}");
    }

    #[test]
    fn evidence_faults_and_help_are_told_in_words() {
        let text = written(StillKind::Pot);
        for line in [
            "A wash",
            "as known at 2:01 (50 % of the hearts), from everything recorded until 2:00",
            "with what 2 earlier runs taught about the still",
            "  stuck head, 93 %, since 1:40: it has not moved",
            "  Weigh the charge: band of the end 18 % narrower, of the litres 30 %",
            "  the band of the litres comes from: model 60 %, take off to come 30 %",
        ] {
            assert!(text.lines().any(|found| found == line), "no \"{line}\" in:\n{text}");
        }
        assert!(text.contains("distillate down to the hearts' strength, h:mm"), "{text}");
    }
}
