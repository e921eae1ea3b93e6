//! Words and figures of the sheet: times, what ends a step, text that is never code.

use still::plan::{Step, StepKind};

use crate::wire::run::RunWire;

/// Text as it stands between tags and in attributes.
pub(super) fn plain(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// At most so many signs of somebody's words.
pub(super) fn short(text: &str, most: usize) -> String {
    let mut signs = text.chars();
    let kept: String = signs.by_ref().take(most).collect();
    if signs.next().is_some() { plain(&format!("{}…", kept.trim_end())) } else { plain(&kept) }
}

/// A run time: by the clock of the run's zone once it counts, before that from heater on.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
pub(super) fn time(run: &RunWire, time_s: f64) -> String {
    let minutes = if run.started {
        let local_ms = run.started_ms + i64::from(run.zone_offset_minutes) * 60_000;
        (local_ms + (time_s * 1000.0) as i64).div_euclid(60_000).rem_euclid(24 * 60)
    } else {
        (time_s / 60.0).round() as i64
    };
    if run.started {
        format!("{:02}:{:02}", minutes / 60, minutes % 60)
    } else {
        format!("{}:{:02}", minutes / 60, minutes % 60)
    }
}

/// How long a run took, as its page says it.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
pub(super) fn long(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round().max(0.0) as i64;
    if minutes < 100 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02}", minutes / 60, minutes % 60)
    }
}

/// Heat, draw and what ends the step, the first reached.
pub(super) fn step(step: &Step) -> String {
    if step.kind == StepKind::Stop {
        return "heat off, coolant on until cool".to_owned();
    }
    let mut parts: Vec<String> = Vec::new();
    parts.extend(step.watts.map(|watts| format!("{watts:.0} W")));
    parts.extend(step.takeoff_ml_per_min.map(|rate| format!("{rate} mL/min")));
    parts.extend(step.reflux_ratio.map(|ratio| format!("reflux {ratio}")));
    parts.extend(step.reflux_watts.map(|watts| format!("partial condenser {watts:.0} W")));
    let mut ends: Vec<String> = Vec::new();
    if step.kind == StepKind::Heat {
        ends.push("the stages are filled".to_owned());
    }
    ends.extend(step.until_ml.map(|ml| format!("{ml:.0} mL drawn")));
    ends.extend(step.until_rise_k.map(|kelvin| format!("head +{kelvin} K over the plateau")));
    ends.extend(step.until_strength_vol.map(|vol| format!("it runs at {vol} %")));
    ends.extend(step.until_pot_c.map(|celsius| format!("pot at {celsius} °C")));
    ends.extend(step.until_total_ml.map(|ml| format!("{ml:.0} mL in all")));
    match (ends.is_empty(), step.minutes) {
        (true, Some(minutes)) => parts.push(format!("for {minutes:.0} min")),
        (true, None) => {}
        (false, minutes) => {
            let most = minutes.map_or_else(String::new, |most| format!(", at most {most:.0} min"));
            parts.push(format!("until {}{most}", ends.join(" or ")));
        }
    }
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::{plain, short, step};
    use still::plan::{Step, StepKind};

    #[test]
    fn words_of_a_person_are_never_code_and_never_break_the_page() {
        assert_eq!(plain("<b a=\"1\">&"), "&lt;b a=&quot;1&quot;&gt;&amp;");
        assert_eq!(short("perry of the north wall", 5), "perry…");
        assert_eq!(short("<<<", 2), "&lt;&lt;…");
        assert_eq!(short("perry", 5), "perry");
    }

    #[test]
    fn a_step_says_heat_draw_and_what_ends_it() {
        let hearts = Step {
            watts: Some(1700.0),
            reflux_ratio: Some(9.0),
            until_rise_k: Some(0.4),
            minutes: Some(90.0),
            ..Step::new(StepKind::Hearts)
        };
        assert_eq!(
            step(&hearts),
            "1700 W, reflux 9, until head +0.4 K over the plateau, at most 90 min"
        );
        assert_eq!(step(&Step::new(StepKind::Stop)), "heat off, coolant on until cool");
    }
}
