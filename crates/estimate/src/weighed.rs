//! What ran into the jar as its scale shows: spans of the run with the kilograms of each.
//!
//! A span in which a jar was measured by hand is left to the jar: the same rule as in the account.

use sense::{Barometer, Scale, VapourStrength, Weighed as Told};

/// A span is complete after this, s; one that was cut off earlier counts from so long on, s
/// (judgement: a rate of 20 mL/min is known to 1 in 100 by a gram's step).
const SPAN_S: f64 = 900.0;
const SPAN_LEAST_S: f64 = 300.0;
/// Most spans kept: more than any run has.
const SPANS_MAX: usize = 2000;
/// Strength where no head is read, % vol: judgement; its density is that of what a column gives.
const PRESUMED_VOL: f64 = 92.0;
const STRENGTHS_VOL: (f64, f64) = (20.0, 96.0);
/// A span is left to the jars where they cover more than this share of it: judgement.
const JAR_SHARE: f64 = 0.1;

/// A span as it was weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Span {
    from_s: f64,
    to_s: f64,
    kg: f64,
    /// Heads read in it at standard pressure, °C: their sum and how many.
    heads_c: (f64, u32),
}

impl Span {
    const fn at(time_s: f64) -> Self {
        Self { from_s: time_s, to_s: time_s, kg: 0.0, heads_c: (0.0, 0) }
    }
}

/// What ran in a time, as weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WeighedSpan {
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// Litres at 20 °C.
    pub(super) litres: f64,
}

/// The spans of a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Weighed {
    over: Vec<Span>,
    open: Option<Span>,
}

impl Weighed {
    /// Takes what the scale told at a row, with the head at standard pressure.
    pub(super) fn take(&mut self, time_s: f64, scale: &Scale, head_c: Option<f64>) {
        let Some(told) = scale.told(time_s) else { return };
        let mut span = self.open.take().unwrap_or(Span::at(time_s));
        match told {
            Told::Ran(kg) => {
                (span.to_s, span.kg) = (time_s, span.kg + kg);
                if let Some(head_c) = head_c {
                    span.heads_c = (span.heads_c.0 + head_c, span.heads_c.1 + 1);
                }
                if span.to_s - span.from_s >= SPAN_S {
                    self.close(span);
                    span = Span::at(time_s);
                }
            }
            Told::Rests | Told::Anew(_) => {
                self.close(span);
                span = Span::at(time_s);
            }
        }
        self.open = Some(span);
    }

    fn close(&mut self, span: Span) {
        if span.to_s - span.from_s >= SPAN_LEAST_S && self.over.len() < SPANS_MAX {
            self.over.push(span);
        }
    }

    /// The spans in litres at a place of that pressure, those left out that jars cover, of which each
    /// has its start and end, s.
    pub(super) fn spans(&self, site_hpa: f64, jars: &[(f64, f64)]) -> Vec<WeighedSpan> {
        let shift_k = Barometer::new(site_hpa).map_or(0.0, |barometer| barometer.shift_k());
        let table = VapourStrength::of_site(site_hpa).ok();
        let open = self.open.filter(|span| span.to_s - span.from_s >= SPAN_LEAST_S);
        let free = |span: &&Span| {
            let both = |jar: &(f64, f64)| (span.to_s.min(jar.1) - span.from_s.max(jar.0)).max(0.0);
            jars.iter().map(both).sum::<f64>() <= JAR_SHARE * (span.to_s - span.from_s)
        };
        let spans = self.over.iter().chain(open.as_ref()).filter(free).filter(|span| span.kg > 0.0);
        let litres = |span: &Span| {
            let head_c = (span.heads_c.1 > 0).then(|| span.heads_c.0 / f64::from(span.heads_c.1));
            let vol = head_c
                .zip(table.as_ref())
                .map(|(head_c, table)| table.strength_at(head_c - shift_k));
            let vol = vol.unwrap_or(PRESUMED_VOL).clamp(STRENGTHS_VOL.0, STRENGTHS_VOL.1);
            let litres = sense::litres_of_kg(span.kg, vol);
            WeighedSpan { from_s: span.from_s, to_s: span.to_s, litres }
        };
        spans.map(litres).collect()
    }
}

#[cfg(test)]
mod tests {
    use sense::{Context, Probe, Reader, Reading};

    use super::Weighed;

    /// An hour of 30 g a minute, weighed each ten seconds, at a head of 78.3 °C.
    fn an_hour() -> Weighed {
        let context = Context { runs_kg_per_s: 0.0005, ..Context::default() };
        let (mut reader, mut weighed) = (Reader::default(), Weighed::default());
        for row in 0..360 {
            let time_s = 10.0 * f64::from(row);
            let kg = 0.4 + (0.5 * time_s).round() / 1000.0;
            reader.take(time_s, &Reading::default().with(Probe::Receiver, kg), &context);
            weighed.take(time_s, reader.scale(), Some(78.3));
        }
        weighed
    }

    #[test]
    fn what_was_weighed_are_litres_at_the_strength_of_the_head() {
        let spans = an_hour().spans(1013.25, &[]);
        let litres: f64 = spans.iter().map(|span| span.litres).sum();
        // 1.795 kg of about 96 % vol, 0.807 kg/L (OIML R 22).
        assert!((litres - 1.795 / 0.807).abs() < 0.03, "{litres}");
        assert_eq!(spans.len(), 4);
        // On a mountain the same head is weaker spirit: 78.3 °C at 850 hPa is some 73 % vol.
        let there: f64 = an_hour().spans(850.0, &[]).iter().map(|span| span.litres).sum();
        assert!(there < 0.97 * litres, "{there} {litres}");
    }

    #[test]
    fn a_jar_that_was_measured_rules_over_what_was_weighed_in_its_time() {
        let spans = an_hour().spans(1013.25, &[(0.0, 1800.0)]);
        let left: Vec<f64> = spans.iter().map(|span| span.from_s).collect();
        assert_eq!(left, [1800.0, 2700.0]);
    }
}
