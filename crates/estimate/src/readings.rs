//! The readings of a record through the one reader: pressure, power, coolant; head and pot as read.

use sense::coolant::{CoolantSeen, coolant_w};
use sense::{
    Action, Barometer, Context, HOT_C, Idle, Probe, Raw, Reader, Reading, Reason, RecordedRun,
    Unseen, expected_kg_per_s,
};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};

use super::weighed::Weighed;

/// What an act tells of heat, step and take-off.
fn told(context: &mut Context, take_off: &mut TakeOff, act: &Action) {
    match act {
        Action::Heater { watts } => (context.heat_w, context.said_w) = (*watts, *watts),
        Action::Step { kind } => context.boils = kind.draws() || *kind == StepKind::Equalise,
        Action::TakeOff { take_off: set, .. } => *take_off = *set,
        _ => {}
    }
}

/// What the probes said, row by row.
#[derive(Debug, Clone, Default)]
pub(super) struct Readings {
    /// Head and pot as read, with the pressure and the heat of that moment.
    pub(super) raw: Vec<Raw>,
    /// Heat taken up by the coolant, W.
    pub(super) duty: Vec<(f64, f64)>,
    /// Heater power as read by a meter, W.
    pub(super) meter: Vec<(f64, f64)>,
    /// What was known of the coolant where its flow was read.
    pub(super) coolant: Vec<(f64, CoolantSeen)>,
    /// Times without readings in which the still did not boil.
    pub(super) idle: Vec<Idle>,
    /// What ran into the jar as its scale shows, span by span.
    pub(super) weighed: Weighed,
    /// How often the pressure was read.
    pub(super) pressures: u32,
    /// Temperature of the coolant where it is not read, °C.
    coolant_in_c: f64,
}

impl Readings {
    /// Those up to `now_s`; `actions` in the order of their time tell the heat where no meter does.
    pub(super) fn of(
        plan: &RunPlan,
        rows: &RecordedRun,
        actions: &[&(f64, Action)],
        now_s: f64,
    ) -> Self {
        let mut readings: Vec<_> = rows.readings.iter().filter(|row| row.0 <= now_s).collect();
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut barometer = Barometer::new(plan.site.pressure_hpa).ok();
        let mut acts = actions.iter().peekable();
        let planned_w = plan.step_power(0).watts();
        let pot = plan.still.kind == StillKind::Pot;
        let mut context =
            Context { heat_w: planned_w, said_w: planned_w, pot, ..Context::default() };
        context.heat_most_w = Context::most_heat_w(&plan.still);
        let mut take_off = if pot { TakeOff::RefluxRatio(0.0) } else { TakeOff::Closed };
        let (mut reader, mut unseen) = (Reader::default(), Unseen::default());
        let mut read = Self { coolant_in_c: plan.site.coolant_in_c, ..Self::default() };
        for &&(time_s, row) in &readings {
            while let Some(act) = acts.next_if(|act| act.0 <= time_s) {
                told(&mut context, &mut take_off, &act.1);
            }
            context.runs_kg_per_s = match context.vapour_s {
                Some(_) => expected_kg_per_s(take_off, context.heat_w),
                None => 0.0,
            };
            let good = reader.take(time_s, &row, &context);
            if let Some((barometer, hpa)) = barometer.as_mut().zip(good.get(Probe::Pressure)) {
                barometer.read(time_s, hpa);
            }
            let to_standard_k = barometer.as_ref().map_or(0.0, Barometer::shift_k);
            let head_c = good.get(Probe::Head).map(|head_c| head_c - to_standard_k);
            read.idle.extend(unseen.take(time_s, &row, head_c, good.get(Probe::Pot)));
            let metered = good.get(Probe::Heater);
            let refused = row.get(Probe::Heater).is_some() && metered.is_none();
            context.heat_w = match metered {
                Some(watts) => watts,
                // It shows none and is not believed.
                None if refused && !context.heat_on() => context.said_w,
                None => context.heat_w,
            };
            let shift_k = barometer.as_ref().map_or(0.0, Barometer::over_site_k);
            if good.get(Probe::Head).is_some_and(|head_c| head_c >= HOT_C) {
                context.vapour_s.get_or_insert(time_s);
            }
            if context.vapour_s.is_some() {
                read.weighed.take(time_s, reader.scale(), head_c);
            }
            let mut row = row;
            for probe in [Probe::Head, Probe::Pot, Probe::Column] {
                let quality = reader.channel(probe, time_s, &context).quality;
                let off = reader.of(probe).left_its_level();
                if off || quality.reason() == Some(Reason::Flickers) {
                    row.set(probe, None);
                }
            }
            read.row(time_s, &row, &good, shift_k, context.heat_w);
        }
        read.pressures = barometer.map_or(0, |barometer| barometer.readings());
        read
    }

    /// Head, pot and the thermometer in the column are taken as they were read: they are cleaned later, by the readings on both
    /// sides.
    fn row(&mut self, time_s: f64, row: &Reading, good: &Reading, shift_k: f64, heat_w: f64) {
        let (head_c, pot_c) = (row.get(Probe::Head), row.get(Probe::Pot));
        let column_c = row.get(Probe::Column);
        self.raw.push(Raw { time_s, head_c, pot_c, column_c, shift_k, heat_w });
        self.meter.extend(good.get(Probe::Heater).map(|watts| (time_s, watts.max(0.0))));
        let Some(flow) = good.get(Probe::CoolantFlow) else { return };
        let (inlet, outlet) = (good.get(Probe::CoolantIn), good.get(Probe::CoolantOut));
        if let (Some(inlet), Some(outlet)) = (inlet, outlet) {
            self.duty.push((time_s, coolant_w(flow, inlet, outlet)));
        }
        let seen = CoolantSeen {
            flow_l_per_min: Some(flow),
            in_c: inlet.unwrap_or(self.coolant_in_c),
            out_c: outlet,
            to_carry_w: None,
        };
        self.coolant.push((time_s, seen));
    }
}
