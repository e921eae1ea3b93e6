//! What was seen of a run up to a moment: probes cleaned and thinned, jars gauged, steps, settings.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use alcoholometry::{kernel, volume};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};
use thermo::ethanol_water::boiling_point;

use super::clean::{Series, StuckAfter, clean};
use sense::RecordedRun;
use sense::{Action, Reading};

/// Ethanol in the liquid whose boiling point follows the pressure for head and pot alike.
const CORRECTION_X: f64 = 0.85;
/// Pressures that can be a station's, hPa.
const POSSIBLE_HPA: std::ops::RangeInclusive<f64> = 600.0..=1100.0;
/// The head counts as reached by vapour at this much over where it began, K.
const VAPOUR_K: f64 = 25.0;

/// A jar that was closed in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SeenJar {
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    /// Litres at 20 °C.
    pub(super) litres: f64,
    pub(super) strength_vol: Option<f64>,
    pub(super) cut: StepKind,
}

/// A row about the take-off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SeenTakeOff {
    pub(super) time_s: f64,
    pub(super) take_off: TakeOff,
    pub(super) measured: bool,
}

/// Everything an estimate may use.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seen {
    pub(super) now_s: f64,
    /// Head and pot at the site's pressure, °C, cleaned.
    pub(super) head: Series,
    pub(super) pot: Series,
    /// Heat taken up by the coolant, W.
    pub(super) duty: Vec<(f64, f64)>,
    /// Heater power as read by a meter, W.
    pub(super) meter: Vec<(f64, f64)>,
    pub(super) heaters: Vec<(f64, f64)>,
    pub(super) take_offs: Vec<SeenTakeOff>,
    pub(super) jars: Vec<SeenJar>,
    /// Steps as they began: time, position in the plan.
    pub(super) steps: Vec<(f64, usize)>,
    /// When vapour reached the head.
    pub(super) vapour_s: Option<f64>,
    /// Whether the pressure was read.
    pub(super) barometer: bool,
    /// When the coolant was closed, found lost or read as gone.
    pub(super) coolant_lost_s: Option<f64>,
    /// When a person noted that the heater is weak.
    pub(super) weak_s: Option<f64>,
}

/// How much higher than at the site's pressure things boil, K.
fn shift_k(hpa: f64, site_hpa: f64) -> f64 {
    let at = |hpa: f64| boiling_point(CORRECTION_X, 100.0 * hpa).map(|(k, _)| k);
    match (at(hpa), at(site_hpa)) {
        (Ok(here), Ok(site)) => here - site,
        _ => 0.0,
    }
}

/// A jar as gauged: litres at 20 °C and strength.
fn gauged(volume_ml: f64, celsius: Option<f64>, apparent: Option<f64>) -> (f64, Option<f64>) {
    let t = celsius.unwrap_or(25.0);
    let strength = apparent.zip(celsius).and_then(|(apparent, t)| {
        gauge(GaugeInput::new(apparent, t, Scale::Vol20)).ok().map(|g| g.strength_vol_20c)
    });
    let p = kernel::mass_fraction_from_vol20(strength.unwrap_or(85.0).clamp(0.0, 99.0) / 100.0);
    (volume::litres_20c(volume_ml / 1000.0, t.clamp(-20.0, 40.0), p), strength)
}

impl Seen {
    /// What the rows up to `now_s` show.
    pub(super) fn of(plan: &RunPlan, rows: &RecordedRun, now_s: f64) -> Self {
        let mut readings: Vec<_> = rows.readings.iter().filter(|row| row.0 <= now_s).collect();
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut actions: Vec<_> = rows.actions.iter().filter(|row| row.0 <= now_s).collect();
        actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut hpa = plan.site.pressure_hpa;
        let mut shift = 0.0;
        let (mut head, mut pot, mut duty, mut meter) = (vec![], vec![], vec![], vec![]);
        let mut barometer = 0;
        for (time_s, row) in &readings {
            if let Some(read) = row.pressure_hpa.filter(|hpa| POSSIBLE_HPA.contains(hpa)) {
                barometer += 1;
                if (read - hpa).abs() > 0.05 {
                    hpa += 0.3 * (read - hpa);
                    shift = shift_k(hpa, plan.site.pressure_hpa);
                }
            }
            head.push((*time_s, row.head_c, shift));
            pot.push((*time_s, row.pot_c, shift));
            if let Some(watts) = row.heater_w.filter(|w| (0.0..1e5).contains(w)) {
                meter.push((*time_s, watts));
            }
            if let (Some(inlet), Some(outlet), Some(flow)) =
                (row.coolant_in_c, row.coolant_out_c, row.coolant_l_per_min)
            {
                // A litre of water near 40 °C: 0.992 kg of 4179 J/(kg K).
                duty.push((*time_s, flow / 60.0 * 4146.0 * (outlet - inlet)));
            }
        }
        let stuck = match plan.still.kind {
            StillKind::Pot => StuckAfter::POT_STILL,
            StillKind::Column => StuckAfter::COLUMN,
        };
        let (head, pot) = clean(&head, &pot, stuck);
        let mut seen = Self {
            now_s,
            vapour_s: vapour(&head),
            head,
            pot,
            duty,
            meter,
            heaters: Vec::new(),
            take_offs: Vec::new(),
            jars: Vec::new(),
            steps: vec![(0.0, 0)],
            barometer: barometer > 10,
            coolant_lost_s: None,
            weak_s: None,
        };
        seen.look_for_flow(&readings);
        for (time_s, action) in actions {
            seen.act(plan, *time_s, action);
        }
        seen.gauge_jars(rows, now_s);
        seen
    }

    fn act(&mut self, plan: &RunPlan, time_s: f64, action: &Action) {
        match action {
            Action::Heater { watts } => self.heaters.push((time_s, *watts)),
            Action::TakeOff { take_off, measured } => {
                let row = SeenTakeOff { time_s, take_off: *take_off, measured: *measured };
                self.take_offs.push(row);
            }
            Action::Step { kind } => {
                let from = self.steps.last().map_or(0, |step| step.1);
                let place = |step: &still::plan::Step| step.kind == *kind;
                let ahead = plan.steps.iter().skip(from + 1).position(place);
                if let Some(next) = ahead.map(|ahead| from + 1 + ahead) {
                    self.steps.push((time_s, next));
                }
            }
            Action::Coolant { l_per_min } if *l_per_min <= 0.05 && time_s > 0.0 => {
                self.coolant_lost_s.get_or_insert(time_s);
            }
            Action::Note { text } => {
                let text = text.to_lowercase();
                if text.contains("coolant") || text.contains("cooling water") {
                    self.coolant_lost_s.get_or_insert(time_s);
                }
                if text.contains("weak") || text.contains("element") {
                    self.weak_s.get_or_insert(time_s);
                }
            }
            _ => {}
        }
    }

    /// Flow that was there and is gone for three readings in a row.
    fn look_for_flow(&mut self, readings: &[&(f64, Reading)]) {
        let flows = readings.iter().filter_map(|row| Some((row.0, row.1.coolant_l_per_min?)));
        let (mut most, mut low) = (0.0_f64, 0);
        for (time_s, flow) in flows {
            most = most.max(flow);
            low = if flow < 0.3 * most && most > 0.2 { low + 1 } else { 0 };
            if low == 3 {
                self.coolant_lost_s.get_or_insert(time_s);
            }
        }
    }

    fn gauge_jars(&mut self, rows: &RecordedRun, now_s: f64) {
        for jar in rows.jars.iter().filter(|jar| jar.end_s <= now_s && jar.end_s > jar.start_s) {
            if !(jar.volume_ml > 0.0 && jar.volume_ml.is_finite()) {
                continue;
            }
            let (litres, strength_vol) = gauged(jar.volume_ml, jar.temperature_c, jar.apparent_vol);
            let cut = jar.cut.unwrap_or(StepKind::Hearts);
            let (start_s, end_s) = (jar.start_s, jar.end_s);
            self.jars.push(SeenJar { start_s, end_s, litres, strength_vol, cut });
        }
        self.jars.sort_by(|a, b| a.end_s.total_cmp(&b.end_s));
    }

    /// When the first hearts began.
    pub(super) fn hearts_s(&self, plan: &RunPlan) -> Option<f64> {
        let first = plan.first_hearts()?;
        let begun = self.steps.iter().find(|step| step.1 >= first).map(|step| step.0)?;
        // The valve may have been turned some seconds after the step was noted, or before it.
        let turned = self.take_offs.iter().find(|row| {
            !row.measured && (row.time_s - begun).abs() <= 90.0 && row.take_off != TakeOff::Closed
        });
        Some(turned.map_or(begun, |row| row.time_s.max(begun)))
    }

    /// The running step: when it began, its position.
    pub(super) fn step(&self) -> (f64, usize) {
        self.steps.last().copied().unwrap_or((0.0, 0))
    }
}

/// When the head left where it was for good.
fn vapour(head: &Series) -> Option<f64> {
    let cold = head.rows.iter().take(20).map(|row| row.1).fold(f64::INFINITY, f64::min);
    let hot = |row: &&(f64, f64)| row.1 >= (cold + VAPOUR_K).max(55.0);
    head.rows.iter().find(hot).map(|row| row.0)
}
