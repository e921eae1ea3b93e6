//! What is known of runs and feeds in the text format of OpenMetrics 1.0 (specification of the
//! OpenMetrics project, from memory): families with type, unit and help, then `# EOF`.

use std::collections::BTreeMap;
use std::fmt::Write as _;

mod families;

pub(crate) use families::text;

/// Media type of the format.
pub(crate) const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// The families in the order of their names, each with its samples.
#[derive(Debug, Default)]
struct Families(BTreeMap<String, Family>);

#[derive(Debug)]
struct Family {
    kind: &'static str,
    unit: &'static str,
    help: &'static str,
    samples: String,
}

/// Labels of a sample.
type Labels<'of> = &'of [(&'of str, &'of str)];

impl Families {
    /// A family; its name ends with its unit, where it has one.
    fn family(
        &mut self,
        name: &str,
        kind: &'static str,
        unit: &'static str,
        help: &'static str,
    ) -> &mut Family {
        let of = || Family { kind, unit, help, samples: String::new() };
        self.0.entry(name.to_owned()).or_insert_with(of)
    }

    /// A value that goes up and down.
    fn gauge(
        &mut self,
        (name, unit, help): (&str, &'static str, &'static str),
        labels: Labels<'_>,
        value: f64,
    ) {
        let family = self.family(name, "gauge", unit, help);
        family.sample(name, labels, value);
    }

    /// A count that only grows.
    fn counter(&mut self, (name, help): (&str, &'static str), labels: Labels<'_>, value: f64) {
        let family = self.family(name, "counter", "", help);
        family.sample(&format!("{name}_total"), labels, value);
    }

    /// Something that is told in labels.
    fn info(&mut self, (name, help): (&str, &'static str), labels: Labels<'_>) {
        let family = self.family(name, "info", "", help);
        family.sample(&format!("{name}_info"), labels, 1.0);
    }

    /// One state of several: the one that is so is 1, the others are 0.
    fn state(
        &mut self,
        (name, help): (&str, &'static str),
        labels: Labels<'_>,
        states: &[String],
        is: &str,
    ) {
        let family = self.family(name, "stateset", "", help);
        for state in states {
            let all = [labels, &[(name, state.as_str())]].concat();
            family.sample(name, &all, f64::from(u8::from(state == is)));
        }
    }

    /// All of it as text.
    fn into_text(self) -> String {
        let mut text = String::new();
        for (name, family) in self.0 {
            let Family { kind, unit, help, samples } = family;
            let _ = writeln!(text, "# TYPE {name} {kind}");
            if !unit.is_empty() {
                let _ = writeln!(text, "# UNIT {name} {unit}");
            }
            let _ = writeln!(text, "# HELP {name} {help}");
            text.push_str(&samples);
        }
        text.push_str("# EOF\n");
        text
    }
}

impl Family {
    fn sample(&mut self, name: &str, labels: Labels<'_>, value: f64) {
        if !value.is_finite() {
            return;
        }
        let labels: Vec<String> =
            labels.iter().map(|(key, value)| format!("{key}=\"{}\"", escaped(value))).collect();
        let labels = labels.join(",");
        let labels = if labels.is_empty() { labels } else { format!("{{{labels}}}") };
        let _ = writeln!(self.samples, "{name}{labels} {value}");
    }
}

/// The value of a label, which may hold anything that somebody named something.
fn escaped(text: &str) -> String {
    text.replace('\\', r"\\").replace('"', "\\\"").replace('\n', r"\n")
}
