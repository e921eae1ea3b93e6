//! A record through the one reader, row by row, and on from where it was read to.

use std::sync::Arc;

use sense::{
    Action, Barometer, Context, HOT_C, Probe, Reader, Reading, Reason, RecordedRun, Unseen,
    expected_kg_per_s,
};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};

use super::readings::Readings;

/// A record as far as it was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ReadSoFar {
    plan: RunPlan,
    /// The rows that were read, and the acts before the last of them.
    rows: Vec<(f64, Reading)>,
    acts: Vec<(f64, Action)>,
    reader: Reader,
    unseen: Unseen,
    barometer: Option<Barometer>,
    context: Context,
    take_off: TakeOff,
    readings: Readings,
}

impl ReadSoFar {
    /// The record up to `now_s`, on from `before` where that is how it begins; `actions` in the order
    /// of their time tell the heat where no meter does.
    pub(super) fn on(
        before: Option<&Arc<Self>>,
        plan: &RunPlan,
        rows: &RecordedRun,
        actions: &[&(f64, Action)],
        now_s: f64,
    ) -> Arc<Self> {
        let mut readings: Vec<_> = rows.readings.iter().filter(|row| row.0 <= now_s).collect();
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let before = before.filter(|before| before.begins(plan, &readings, actions));
        let mut read = before.map_or_else(|| Self::nothing(plan), |before| before.as_ref().clone());
        let (from, mut acts) = (read.rows.len(), actions[read.acts.len()..].iter().peekable());
        read.rows.reserve(readings.len() - from);
        for &&(time_s, row) in &readings[from..] {
            while let Some(act) = acts.next_if(|act| act.0 <= time_s) {
                read.act(act);
            }
            read.row(time_s, row);
        }
        Arc::new(read)
    }

    fn nothing(plan: &RunPlan) -> Self {
        let planned_w = plan.step_power(0).watts();
        let pot = plan.still.kind == StillKind::Pot;
        let context = Context {
            heat_w: planned_w,
            said_w: planned_w,
            pot,
            heat_most_w: Context::most_heat_w(&plan.still),
            ..Context::default()
        };
        Self {
            plan: plan.clone(),
            rows: Vec::new(),
            acts: Vec::new(),
            reader: Reader::default(),
            unseen: Unseen::default(),
            barometer: Barometer::new(plan.site.pressure_hpa).ok(),
            context,
            take_off: if pot { TakeOff::RefluxRatio(0.0) } else { TakeOff::Closed },
            readings: Readings::with_coolant_in(plan.site.coolant_in_c),
        }
    }

    /// Whether a record of that plan begins with just the rows and acts that were read.
    fn begins(&self, plan: &RunPlan, rows: &[&(f64, Reading)], acts: &[&(f64, Action)]) -> bool {
        let Some(last) = self.rows.last() else { return false };
        self.plan == *plan
            && self.rows.len() <= rows.len()
            && self.acts.len() <= acts.len()
            && self.rows.iter().zip(rows).all(|(read, row)| read == *row)
            && self.acts.iter().zip(acts).all(|(told, act)| told == *act)
            && acts.get(self.acts.len()).is_none_or(|next| next.0 > last.0)
    }

    /// What the rows showed.
    pub(super) const fn readings(&self) -> &Readings {
        &self.readings
    }

    /// How often the pressure was read.
    pub(super) fn pressures(&self) -> u32 {
        self.barometer.as_ref().map_or(0, Barometer::readings)
    }

    /// What an act tells of heat, step and take-off.
    fn act(&mut self, act: &(f64, Action)) {
        let context = &mut self.context;
        match &act.1 {
            Action::Heater { watts } => (context.heat_w, context.said_w) = (*watts, *watts),
            Action::Step { kind } => context.boils = kind.draws() || *kind == StepKind::Equalise,
            Action::TakeOff { take_off, .. } => self.take_off = *take_off,
            _ => {}
        }
        self.acts.push(act.clone());
    }

    /// Takes a row.
    fn row(&mut self, time_s: f64, row: Reading) {
        self.rows.push((time_s, row));
        self.context.runs_kg_per_s = match self.context.vapour_s {
            Some(_) => expected_kg_per_s(self.take_off, self.context.heat_w),
            None => 0.0,
        };
        let good = self.reader.take(time_s, &row, &self.context);
        if let Some((barometer, hpa)) = self.barometer.as_mut().zip(good.get(Probe::Pressure)) {
            barometer.read(time_s, hpa);
        }
        let to_standard_k = self.barometer.as_ref().map_or(0.0, Barometer::shift_k);
        let head_c = good.get(Probe::Head).map(|head_c| head_c - to_standard_k);
        let idle = self.unseen.take(time_s, &row, head_c, good.get(Probe::Pot));
        self.readings.idle.extend(idle);
        self.context.heat_w = self.heat_w(&row, good.get(Probe::Heater));
        let shift_k = self.barometer.as_ref().map_or(0.0, Barometer::over_site_k);
        if good.get(Probe::Head).is_some_and(|head_c| head_c >= HOT_C) {
            self.context.vapour_s.get_or_insert(time_s);
        }
        if self.context.vapour_s.is_some() {
            self.readings.weighed.take(time_s, self.reader.scale(), head_c);
        }
        let mut row = row;
        for probe in [Probe::Head, Probe::Pot, Probe::Column] {
            let quality = self.reader.channel(probe, time_s, &self.context).quality;
            let off = self.reader.of(probe).left_its_level();
            if off || quality.reason() == Some(Reason::Flickers) {
                row.set(probe, None);
            }
        }
        self.readings.row(time_s, &row, &good, shift_k, self.context.heat_w);
    }

    /// The heat by a row whose meter is believed to show that much, W.
    fn heat_w(&self, row: &Reading, metered: Option<f64>) -> f64 {
        let refused = row.get(Probe::Heater).is_some() && metered.is_none();
        match metered {
            Some(watts) => watts,
            // It shows none and is not believed.
            None if refused && !self.context.heat_on() => self.context.said_w,
            None => self.context.heat_w,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use sense::{Action, Probe, Reading, RecordedRun};
    use still::plan::{RunPlan, StepKind, TakeOff};

    use super::ReadSoFar;

    const MINUTES: u32 = 90;

    fn plan() -> RunPlan {
        toml::from_str(include_str!("../../../examples/hollowbank/grain/run.toml")).expect("sound")
    }

    /// Three quarters of an hour of heating, then of drawing, a row each ten seconds with a spike, a
    /// head that flickers and weather.
    fn run() -> RecordedRun {
        let mut run = RecordedRun::default();
        for row in 0..6 * MINUTES {
            let (share, boils) = (f64::from(row % 7), row > 3 * MINUTES);
            let mut reading = Reading::default();
            let head_c = if boils { 78.2 + 0.01 * share } else { 20.0 };
            reading.set(Probe::Head, Some(if row == 400 { 85.0 } else { head_c }));
            reading.set(Probe::Pot, Some(if boils { 88.0 } else { 20.0 + 0.2 * f64::from(row) }));
            reading.set(Probe::Pressure, Some(1003.0 + 0.02 * share));
            reading.set(Probe::Heater, Some(2000.0 + share));
            reading.set(Probe::CoolantFlow, Some(1.5));
            run.readings.push((10.0 * f64::from(row), reading));
        }
        let open = Action::TakeOff { take_off: TakeOff::MlPerMin(20.0), measured: false };
        run.actions = vec![
            (1.0, Action::Heater { watts: 2000.0 }),
            (2705.0, Action::Step { kind: StepKind::Hearts }),
            (2710.0, open),
            (4000.0, Action::Heater { watts: 1800.0 }),
        ];
        run
    }

    fn read(before: Option<&Arc<ReadSoFar>>, run: &RecordedRun, now_s: f64) -> Arc<ReadSoFar> {
        let actions: Vec<_> = run.actions.iter().filter(|act| act.0 <= now_s).collect();
        ReadSoFar::on(before, &plan(), run, &actions, now_s)
    }

    #[test]
    fn prop_a_record_read_minute_by_minute_is_as_one_that_is_read_at_once() {
        let run = run();
        let mut by_minutes = None;
        for minute in 1..=MINUTES {
            let now_s = 60.0 * f64::from(minute);
            let read_on = read(by_minutes.as_ref(), &run, now_s);
            assert_eq!(read_on, read(None, &run, now_s), "{now_s}");
            by_minutes = Some(read_on);
        }
        assert!(by_minutes.is_some_and(|read| read.readings().coolant.len() > 200));
    }

    #[test]
    fn what_comes_late_or_is_put_right_is_read_from_the_start() {
        let run = run();
        let before = read(None, &run, 4800.0);
        let mut late_act = run.clone();
        late_act.actions.insert(1, (300.0, Action::Heater { watts: 900.0 }));
        let mut put_right = run.clone();
        put_right.actions[3].1 = Action::Heater { watts: 100.0 };
        let mut late_row = run.clone();
        let mut cold = Reading::default();
        cold.set(Probe::Head, Some(60.0));
        late_row.readings.insert(200, (1995.0, cold));
        let mut fewer = run.clone();
        fewer.readings.truncate(100);
        for (what, other) in [
            ("an act that came late", late_act),
            ("an act put right", put_right),
            ("a row that came late", late_row),
            ("rows taken back", fewer),
        ] {
            let read_on = read(Some(&before), &other, 5000.0);
            assert_eq!(read_on, read(None, &other, 5000.0), "{what}");
            assert_ne!(read_on, read(Some(&before), &run, 5000.0), "{what}");
        }
        let mut higher = plan();
        higher.site.pressure_hpa = 900.0;
        let actions: Vec<_> = run.actions.iter().collect();
        let there = ReadSoFar::on(Some(&before), &higher, &run, &actions, 5000.0);
        assert_eq!(there, ReadSoFar::on(None, &higher, &run, &actions, 5000.0));
    }
}
