//! The run: a person who follows the plan by what the instruments show, and is late.

use sense::{Action, RecordedRun};
use still::plan::{Step, StepKind, TakeOff};

use super::boiling::{Boiling, Mixture, over_normal_k};
use super::chance::Chance;
use super::house::{Fault, House};
use super::jars::Jar;
use super::liquid::{between, litres, vol_of_x};
use super::plant::{Around, Draw, Plant};
use super::plateau::Plateau;
use super::seen::Seen;
use super::weather::Weather;

/// How often the person looks, s.
const LOOK_S: u32 = 5;
/// Longest run, s.
const RUN_MAX_S: f64 = 30.0 * 3600.0;
/// How late the person is at a trigger, and at the mark of a jar, s.
const LATE_S: (f64, f64) = (20.0, 200.0);
const LATE_AT_JAR_S: (f64, f64) = (5.0, 40.0);
/// A rise counts once hearts have run so long, s.
const WATCHED_AFTER_S: f64 = 1200.0;
/// From one timing of the take-off to the next, s.
const TIMED_EVERY_S: (f64, f64) = (1200.0, 2700.0);
/// A take-off that is off by more is set anew.
const RESET_OFF: f64 = 0.07;

/// What was true at one look.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    pub(super) time_s: f64,
    /// Head, corrected to 1013.25 hPa, °C.
    pub(super) head_c: f64,
    /// What leaves the drum, % vol.
    pub(super) vol: f64,
    pub(super) drawn_mol: [f64; 2],
    pub(super) kind: StepKind,
    pub(super) is_boiling: bool,
    pub(super) is_starved: bool,
}

/// A run as it came out.
#[derive(Debug, Clone)]
pub(super) struct Attended {
    pub(super) rows: RecordedRun,
    pub(super) looks: Vec<Look>,
    pub(super) is_complete: bool,
    /// What is left in still and column, mol.
    pub(super) held_mol: [f64; 2],
}

struct Run<'a> {
    house: &'a House,
    chance: &'a mut Chance,
    plant: Plant,
    weather: Weather,
    seen: Seen,
    plateau: Plateau,
    rise_k: Option<f64>,
    time_s: f64,
    step: usize,
    step_since_s: f64,
    step_from_mol: [f64; 2],
    due_s: Option<f64>,
    hearts_since_s: Option<f64>,
    heater_w: f64,
    trim: f64,
    timed_s: f64,
    jar: Jar,
    jar_l: f64,
    made: Attended,
}

/// Makes the run.
pub(super) fn attend(house: &House, chance: &mut Chance) -> Attended {
    let weather = house.weather.clone();
    let low_pa = 100.0 * (weather.pressure_hpa - 18.0);
    let stages_pa = (house.build.stages as f64 + 1.0) * house.build.drop_pa;
    let boiling = Boiling::new(Mixture::at(house.mixture), low_pa, low_pa + 3600.0 + stages_pa);
    let charge = &house.plan.charge;
    let plant = Plant::new(house.build.clone(), boiling, house.charge_mol(), charge.temperature_c);
    let pure_l = house.litres * house.vol / 100.0;
    let jar = Jar { number: 1, since_s: 0.0, from_mol: [0.0; 2], cut: StepKind::Foreshots };
    let mut run = Run {
        plant,
        seen: Seen::new(house),
        plateau: Plateau::new(f64::from(house.instruments.every_s)),
        rise_k: None,
        time_s: 0.0,
        step: 0,
        step_since_s: 0.0,
        step_from_mol: [0.0; 2],
        due_s: None,
        hearts_since_s: None,
        heater_w: 0.0,
        trim: chance.factor(0.03),
        timed_s: 0.0,
        jar,
        jar_l: pure_l * chance.between((0.06, 0.12)),
        made: Attended {
            rows: RecordedRun::default(),
            looks: Vec::new(),
            is_complete: false,
            held_mol: [0.0; 2],
        },
        house,
        chance,
        weather,
    };
    let l_per_min = house.plan.site.coolant_l_per_min;
    run.act(Action::Coolant { l_per_min });
    run.begin(0);
    while run.time_s < RUN_MAX_S && !run.made.is_complete {
        run.look();
    }
    run.made.held_mol = run.plant.held_mol();
    run.made
}

impl Run<'_> {
    fn act(&mut self, action: Action) {
        self.made.rows.actions.push((self.time_s, action));
    }

    fn plan(&self) -> &Step {
        &self.house.plan.steps[self.step]
    }

    fn is_pot(&self) -> bool {
        self.house.build.is_pot
    }

    fn around(&self) -> Around {
        let left = match self.house.fault {
            Fault::ElementFailing { since_s, left } if self.time_s >= since_s => left,
            _ => 1.0,
        };
        let valve = (self.weather.valve() * self.trim).max(0.0);
        let x = self.plant.drum_x();
        let draw = match self.plan().take_off() {
            // What a pot boils runs, whatever the plan calls it.
            _ if self.is_pot() => Draw::Share(1.0),
            TakeOff::MlPerMin(rate) => {
                Draw::MolS(rate * valve / 60_000.0 / litres([x, 1.0 - x]).max(1e-6))
            }
            TakeOff::RefluxRatio(ratio) => Draw::Share((valve / (ratio + 1.0)).min(1.0)),
            TakeOff::Closed | TakeOff::RefluxWatts(_) => Draw::MolS(0.0),
        };
        Around {
            heater_w: self.heater_w * self.weather.heater() * left,
            ambient_c: self.weather.ambient_c(&self.house.plan.site),
            top_pa: 100.0 * self.weather.hpa(),
            draught: self.weather.draught(),
            draw,
        }
    }

    fn look(&mut self) {
        let seconds = f64::from(LOOK_S);
        let around = self.around();
        if self.time_s.rem_euclid(f64::from(self.house.instruments.every_s)) < 0.5 {
            self.read(&around);
        }
        self.plant.go_on(&around, LOOK_S);
        self.weather.go_on(self.chance, seconds);
        self.time_s += seconds;
        let head_c = self.plant.head_c(&around);
        self.seen.follow(&self.plant, &around, seconds);
        self.made.looks.push(Look {
            time_s: self.time_s,
            head_c: head_c - over_normal_k(around.top_pa),
            vol: vol_of_x(self.plant.drum_x()),
            drawn_mol: self.plant.drawn_mol(),
            kind: self.plan().kind,
            is_boiling: self.plant.is_boiling(),
            is_starved: self.plant.is_starved(),
        });
        self.time_take_off();
        self.change_jar();
        self.follow_plan();
    }

    fn read(&mut self, around: &Around) {
        let of = (self.house, &self.weather);
        let row = self.seen.row(self.chance, self.time_s, &self.plant, around, of);
        self.made.rows.readings.push((self.time_s, row));
        if self.plan().kind == StepKind::Hearts {
            self.rise_k = self.plateau.rise_k(self.seen.corrected_c);
        }
    }

    fn step_l(&self) -> f64 {
        litres(between(self.step_from_mol, self.plant.drawn_mol()))
    }

    /// Whether the running step is over by what is seen, and how late the person will be.
    fn is_over(&self) -> Option<(f64, f64)> {
        let step = self.plan();
        let of = &self.house.instruments;
        let since_s = self.time_s - self.step_since_s;
        let vol = vol_of_x(self.plant.drum_x()) + of.glass_vol;
        let hearts_s = self.hearts_since_s.map_or(0.0, |since_s| self.time_s - since_s);
        let met = |limit: Option<f64>, is: &dyn Fn(f64) -> bool| limit.is_some_and(is);
        if step.kind == StepKind::Heat {
            return self.plant.is_boiling().then_some(LATE_S);
        }
        if met(step.until_ml, &|ml| 1000.0 * self.step_l() * of.jug >= ml) {
            return Some(LATE_AT_JAR_S);
        }
        let rise = |limit| {
            hearts_s >= WATCHED_AFTER_S && self.rise_k.is_some_and(|rise_k| rise_k >= limit)
        };
        let over = met(step.minutes, &|minutes| since_s >= 60.0 * minutes)
            || met(step.until_rise_k, &rise)
            || met(step.until_strength_vol, &|limit| vol <= limit);
        over.then_some(LATE_S)
    }

    fn follow_plan(&mut self) {
        let uncovered = litres(self.plant.pot_mol()) <= self.house.plan.still.element_cover_litres;
        if uncovered {
            return self.begin(self.house.plan.steps.len() - 1);
        }
        match self.due_s {
            Some(due_s) if self.time_s >= due_s => self.begin(self.step + 1),
            Some(_) => {}
            None => {
                if let Some(late) = self.is_over() {
                    self.due_s = Some(self.time_s + self.chance.between(late));
                }
            }
        }
    }

    /// Begins a step of the plan, with all that belongs to it.
    fn begin(&mut self, step: usize) {
        let before = self.plan().kind;
        (self.step, self.due_s) = (step, None);
        let plan = self.plan().clone();
        if before.draws() {
            self.close_jar();
            self.step_from_mol = self.plant.drawn_mol();
        }
        self.step_since_s = self.time_s;
        self.jar.cut = plan.kind;
        // A pot's first jar stands there since the first drop.
        if before.draws() && plan.kind.draws() || !self.is_pot() && plan.kind == StepKind::Foreshots
        {
            self.open_jar();
        }
        self.act(Action::Step { kind: plan.kind });
        if plan.kind == StepKind::Stop {
            self.act(Action::Heater { watts: 0.0 });
            self.made.is_complete = true;
            return;
        }
        if let Some(watts) = plan.watts {
            self.heater_w = watts;
            self.act(Action::Heater { watts });
        }
        if plan.kind.draws() && !self.is_pot() {
            self.trim = self.chance.factor(0.03) / self.weather.valve();
            self.act(Action::TakeOff { take_off: plan.take_off(), measured: false });
        }
        if plan.kind == StepKind::Hearts && before != StepKind::Hearts {
            self.hearts_since_s = Some(self.time_s);
            self.timed_s = self.time_s + self.chance.between((300.0, 900.0));
        }
    }

    fn close_jar(&mut self) {
        let until = (self.time_s, self.plant.drawn_mol());
        let ambient_c = self.weather.ambient_c(&self.house.plan.site);
        let jar = self.jar.close(self.chance, &self.house.instruments, until, ambient_c);
        if let Some(record) = jar {
            self.made.rows.jars.push(record);
            self.jar.number += 1;
        }
    }

    fn open_jar(&mut self) {
        (self.jar.since_s, self.jar.from_mol) = (self.time_s, self.plant.drawn_mol());
        self.act(Action::Jar { number: self.jar.number });
    }

    fn change_jar(&mut self) {
        if self.is_pot() && self.plant.is_boiling() && self.jar.since_s == 0.0 {
            return self.open_jar();
        }
        let in_jar_l = litres(between(self.jar.from_mol, self.plant.drawn_mol()));
        if !self.plan().kind.draws() || in_jar_l < self.jar_l {
            return;
        }
        self.close_jar();
        self.open_jar();
    }

    /// Times the take-off into a jug now and then, and sets it anew where it is off.
    fn time_take_off(&mut self) {
        let kind = self.plan().kind;
        if !matches!(kind, StepKind::Hearts | StepKind::Tails) || self.time_s < self.timed_s {
            return;
        }
        self.timed_s = self.time_s + self.chance.between(TIMED_EVERY_S);
        let [.., before, now] = self.made.looks.as_slice() else { return };
        let drawn_l = litres(between(before.drawn_mol, now.drawn_mol));
        let of = self.house.instruments;
        let rate = 60_000.0 * drawn_l / f64::from(LOOK_S) * of.jug * self.chance.factor(of.jug_sd);
        let rate = (10.0 * rate).round() / 10.0;
        if rate <= 0.0 {
            return;
        }
        self.act(Action::TakeOff { take_off: TakeOff::MlPerMin(rate), measured: true });
        let planned = self.plan().take_off();
        if let TakeOff::MlPerMin(set) = planned
            && (rate / set - 1.0).abs() > RESET_OFF
        {
            self.trim *= set / rate;
            self.act(Action::TakeOff { take_off: planned, measured: false });
        }
    }
}
