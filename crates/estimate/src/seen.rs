//! What was seen of a run up to a moment: probes cleaned and thinned, jars gauged, steps, settings.

use std::sync::Arc;

use sense::{
    Action, Barometer, HeadLeftOut, Idle, JarHead, RecordedRun, Series, ValveTurn, VapourStrength,
    column_series, head_left_out, jar, series,
};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};

use super::coolant_loss::{Beside, CoolantLoss};
use super::read_so_far::ReadSoFar;
use super::weighed::{Weighed, WeighedSpan};

/// The head counts as reached by vapour at this much over where it began, K.
const VAPOUR_K: f64 = 25.0;
/// A barometer counts as read from so many readings on.
const BAROMETER_LEAST: u32 = 10;

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
    /// The thermometer in the column, likewise; empty for a pot, which has none.
    pub(super) column: Series,
    /// Heat taken up by the coolant, W.
    pub(super) duty: Vec<(f64, f64)>,
    /// Heater power as read by a meter, W.
    pub(super) meter: Vec<(f64, f64)>,
    pub(super) heaters: Vec<(f64, f64)>,
    /// Times without readings in which the still did not boil.
    pub(super) idle: Vec<Idle>,
    pub(super) take_offs: Vec<SeenTakeOff>,
    pub(super) jars: Vec<SeenJar>,
    /// What was weighed under the spout where no jar was measured.
    pub(super) weighed: Vec<SeenJar>,
    /// Steps as they began: time, position in the plan.
    pub(super) steps: Vec<(f64, usize)>,
    /// When vapour reached the head.
    pub(super) vapour_s: Option<f64>,
    /// Whether a pot is read as if it had a column.
    pub(super) of_no_column: bool,
    /// Whether the pressure was read.
    pub(super) barometer: bool,
    /// Whether the gauged jars let go of the head.
    pub(super) head_out: Option<HeadLeftOut>,
    /// The first loss of coolant while the still was hot.
    pub(super) coolant_loss: Option<CoolantLoss>,
}

impl Seen {
    /// What the rows up to `now_s` show.
    pub(super) fn of(plan: &RunPlan, rows: &RecordedRun, now_s: f64) -> Self {
        Self::on(None, plan, rows, now_s).0
    }

    /// The same on from what was read before, and as far as it is read now.
    pub(super) fn on(
        before: Option<&Arc<ReadSoFar>>,
        plan: &RunPlan,
        rows: &RecordedRun,
        now_s: f64,
    ) -> (Self, Arc<ReadSoFar>) {
        let mut actions: Vec<_> = rows.actions.iter().filter(|row| row.0 <= now_s).collect();
        actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        let read_so_far = ReadSoFar::on(before, plan, rows, &actions, now_s);
        let read = read_so_far.readings();
        let pot_still = plan.still.kind == StillKind::Pot;
        let (head, pot) = series(&read.raw, pot_still);
        let column = if pot_still { Series::default() } else { column_series(&read.raw) };
        let mut seen = Self {
            now_s,
            vapour_s: vapour(&head),
            head,
            pot,
            column,
            of_no_column: pot_still && read.raw.iter().any(|row| row.column_c.is_some()),
            duty: read.duty.clone(),
            meter: read.meter.clone(),
            idle: read.idle.clone(),
            heaters: Vec::new(),
            take_offs: Vec::new(),
            jars: Vec::new(),
            weighed: Vec::new(),
            steps: vec![(0.0, 0)],
            barometer: read_so_far.pressures() > BAROMETER_LEAST,
            coolant_loss: None,
            head_out: None,
        };
        for (time_s, action) in &actions {
            seen.act(plan, *time_s, action);
        }
        let still = Beside {
            plan,
            vapour_s: seen.vapour_s,
            steps: &seen.steps,
            heaters: &seen.heaters,
            duty: &seen.duty,
        };
        seen.coolant_loss = CoolantLoss::of(still, &actions, &read.coolant);
        seen.gauge_jars(plan, rows, now_s);
        seen.weigh(plan.site.pressure_hpa, &read.weighed);
        seen.head_out = seen.weigh_head(plan);
        (seen, read_so_far)
    }

    /// The rule of `sense` over the jars so far.
    fn weigh_head(&self, plan: &RunPlan) -> Option<HeadLeftOut> {
        let table = VapourStrength::of_site(plan.site.pressure_hpa).ok()?;
        let shift_k = Barometer::new(plan.site.pressure_hpa).ok()?.shift_k();
        let heads = || self.head.rows.iter().map(|&(time_s, c)| (time_s, c - shift_k));
        let jar = |jar: &SeenJar| {
            JarHead::of((jar.start_s, jar.end_s), jar.strength_vol?, jar.cut, heads())
        };
        let jars: Vec<JarHead> = self.jars.iter().filter_map(jar).collect();
        head_left_out(&table, plan.still.head_place, &jars)
    }

    fn act(&mut self, plan: &RunPlan, time_s: f64, action: &Action) {
        match action {
            Action::Heater { watts } => self.heaters.push((time_s, *watts)),
            Action::TakeOff { take_off, measured } => {
                let row = SeenTakeOff { time_s, take_off: *take_off, measured: *measured };
                self.take_off(row);
            }
            Action::Step { kind } => {
                let from = self.steps.last().map_or(0, |step| step.1);
                let place = |step: &still::plan::Step| step.kind == *kind;
                let ahead = plan.steps.iter().skip(from + 1).position(place);
                if let Some(next) = ahead.map(|ahead| from + 1 + ahead) {
                    self.steps.push((time_s, next));
                }
            }
            // The words of a note are no evidence: "checked the element" says nothing is wrong.
            _ => {}
        }
    }

    /// A rate that was timed before the valve was turned and written down after it stands before it.
    fn take_off(&mut self, row: SeenTakeOff) {
        let at = self.take_offs.len();
        let turned = self.take_offs.last().filter(|last| row.measured && !last.measured);
        let before = at.checked_sub(2).map(|at| self.take_offs[at].take_off);
        let old = turned.zip(before).is_some_and(|(set, before)| {
            let turned = ValveTurn { time_s: set.time_s, before, set: set.take_off };
            turned.is_of_before(row.time_s, row.take_off)
        });
        if old {
            let time_s = self.take_offs[at - 1].time_s - 1.0;
            self.take_offs.insert(at - 1, SeenTakeOff { time_s, ..row });
        } else {
            self.take_offs.push(row);
        }
    }

    fn gauge_jars(&mut self, plan: &RunPlan, rows: &RecordedRun, now_s: f64) {
        let in_time = |jar: &&sense::JarRecord| jar.end_s <= now_s && jar.end_s > jar.start_s;
        for jar in jar::standing(&rows.jars).filter(in_time) {
            if !(jar.volume_ml > 0.0 && jar.volume_ml.is_finite()) {
                continue;
            }
            let gauged = jar::gauged(jar, None);
            let (litres, strength_vol) = (gauged.litres_20c, gauged.strength_vol);
            let (start_s, end_s) = (jar.start_s, jar.end_s);
            let middle_s = 0.5 * (start_s + end_s);
            let cut = jar.cut.unwrap_or_else(|| self.drawn_at(plan, middle_s));
            self.jars.push(SeenJar { start_s, end_s, litres, strength_vol, cut });
        }
        self.jars.sort_by(|a, b| a.end_s.total_cmp(&b.end_s));
    }

    /// What was weighed counts as jars without a glass where no jar was measured.
    fn weigh(&mut self, site_hpa: f64, weighed: &Weighed) {
        let jars: Vec<(f64, f64)> = self.jars.iter().map(|jar| (jar.start_s, jar.end_s)).collect();
        let jar = |span: WeighedSpan| SeenJar {
            start_s: span.from_s,
            end_s: span.to_s,
            litres: span.litres,
            strength_vol: None,
            cut: StepKind::Hearts,
        };
        self.weighed = weighed.spans(site_hpa, &jars).into_iter().map(jar).collect();
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

    /// What is known of volumes: jars, and what was weighed where none was measured.
    pub(super) fn volumes(&self) -> impl Iterator<Item = &SeenJar> + Clone {
        self.jars.iter().chain(&self.weighed)
    }

    /// Litres of hearts in jars that are closed.
    pub(super) fn hearts_jars_l(&self) -> f64 {
        self.jars.iter().filter(|jar| jar.cut == StepKind::Hearts).map(|jar| jar.litres).sum()
    }

    /// What a jar holds whose cut nobody named: what was drawn in the middle of it.
    fn drawn_at(&self, plan: &RunPlan, time_s: f64) -> StepKind {
        let step = self.steps.iter().rev().find(|step| step.0 <= time_s);
        let kind = step.map(|step| plan.steps[step.1].kind);
        kind.filter(|kind| kind.draws()).unwrap_or(StepKind::Hearts)
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
