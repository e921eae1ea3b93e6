//! The bench beside the simulated still: every jar is measured when it is changed, some are gauged.

use alcoholometry::gauge::{Scale, would_read};
use alcoholometry::{kernel, volume};
use still::plan::StepKind;
use still::running::RunningState;

use super::chance::Chance;
use sense::JarRecord;

/// Error of a measured volume, relative (standard deviation).
const VOLUME_SD: f64 = 0.006;
/// Error of a glass reading (standard deviation), % vol.
const READING_SD: f64 = 0.1;
/// Temperature of the jars, °C.
const JAR_C: (f64, f64) = (18.0, 25.0);
/// Smallest jar that a glass floats in, mL.
const GAUGE_ML: f64 = 80.0;

#[derive(Debug, Clone)]
struct Open {
    number: u32,
    cut: StepKind,
    start_s: f64,
    start_l: f64,
    start_alcohol_l: f64,
}

/// The jar under the spout and the records that are due.
#[derive(Debug, Clone, Default)]
pub(super) struct Bench {
    open: Option<Open>,
    due: Vec<JarRecord>,
    last_number: u32,
    pub(super) open_cut: Option<StepKind>,
}

impl Bench {
    /// The jar is changed for `next`, or taken away.
    pub(super) fn change(
        &mut self,
        time_s: f64,
        state: &RunningState,
        next: Option<(u32, StepKind)>,
        chance: &mut Chance,
    ) {
        if let Some(open) = self.open.take() {
            let record = measure(&open, time_s, state, chance);
            self.due.extend(record);
        }
        self.open_cut = next.map(|(_, cut)| cut);
        self.open = next.map(|(number, cut)| {
            self.last_number = self.last_number.max(number);
            Open {
                number,
                cut,
                start_s: time_s,
                start_l: state.drawn.litres_20c,
                start_alcohol_l: state.drawn.pure_alcohol_l,
            }
        });
    }

    /// The number after the last.
    pub(super) const fn next_number(&self) -> u32 {
        self.last_number.saturating_add(1)
    }

    /// Records made since the last call.
    pub(super) fn take_due(&mut self) -> Vec<JarRecord> {
        std::mem::take(&mut self.due)
    }
}

fn measure(
    open: &Open,
    time_s: f64,
    state: &RunningState,
    chance: &mut Chance,
) -> Option<JarRecord> {
    let litres = state.drawn.litres_20c - open.start_l;
    let alcohol_l = state.drawn.pure_alcohol_l - open.start_alcohol_l;
    if litres < 0.001 {
        return None;
    }
    let strength = (100.0 * alcohol_l / litres).clamp(0.0, 99.0);
    let celsius = (10.0 * (JAR_C.0 + (JAR_C.1 - JAR_C.0) * chance.unit())).round() / 10.0;
    let p = kernel::mass_fraction_from_vol20(strength / 100.0);
    let ml = 1000.0 * volume::litres_at(litres, celsius, p) * (1.0 + VOLUME_SD * chance.normal());
    let step_ml = if ml >= 100.0 { 5.0 } else { 1.0 };
    let often = if open.cut == StepKind::Hearts { 0.8 } else { 0.5 };
    let gauged = chance.unit() < often && ml >= GAUGE_ML && open.cut != StepKind::Foreshots;
    let error = READING_SD * chance.normal();
    let reading = would_read(strength, celsius, Scale::Vol20).ok().filter(|_| gauged);
    Some(JarRecord {
        number: open.number,
        start_s: open.start_s,
        end_s: time_s,
        volume_ml: (ml / step_ml).round() * step_ml,
        temperature_c: reading.map(|_| celsius),
        apparent_vol: reading.map(|reading| (10.0 * (reading + error)).round() / 10.0),
        cut: Some(open.cut),
        note: String::new(),
        gauged_with: None,
    })
}
