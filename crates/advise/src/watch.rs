//! What is wrong: the findings behind the alarms.

use still::plan::StepKind;

use super::alarms::Finding;
use super::due::STEP_DONE;
use super::engine::Live;
use super::event::Priority;
use super::numbers::minutes;
use sense::Probe;

/// Somebody should act or press at least this often, s; two minutes later it is critical.
const ATTENDANT_S: f64 = 600.0;
const ATTENDANT_CRITICAL_S: f64 = 720.0;
/// The head may run on for this long after the prompt that ends the step, s: the prompt says what
/// is to be done, an alarm would say no more. Judgement.
const RUN_ON_S: f64 = 600.0;
/// Head over the trigger (or over 1 K) that is running away, and its slope, K/s.
const AWAY_OVER_K: f64 = 0.5;
const AWAY_SLOPE_K_PER_S: f64 = 0.3 / 600.0;
/// Faults within this time make an alarm, s.
const FAULTS_S: f64 = 900.0;
/// Margin over the element cover that is warned of, s of drawing.
const COVER_LEAD_S: f64 = 600.0;

impl Live {
    /// Everything that is wrong now; one finding a code.
    pub(super) fn findings(&self) -> Vec<Finding> {
        let all = [
            self.coolant_finding(),
            self.runaway_finding(),
            self.stale_finding(),
            self.impossible_finding(),
            self.absent_finding(),
            self.cover_finding(),
        ];
        all.into_iter().flatten().collect()
    }

    /// Seconds until the attendant counts as absent.
    pub(super) fn attendant_left_s(&self) -> f64 {
        self.hand.last_s + ATTENDANT_S - self.now_s
    }

    fn absent_finding(&self) -> Option<Finding> {
        let away_s = self.now_s - self.hand.last_s;
        if !self.heater_on() || away_s < ATTENDANT_S {
            return None;
        }
        let critical = away_s >= ATTENDANT_CRITICAL_S;
        Some(Finding {
            code: "attendant_absent",
            priority: if critical { Priority::Critical } else { Priority::High },
            text: "Nobody seems to be at the heated still.".to_owned(),
            how_sure: format!("no action and no press for {}", minutes(away_s)),
            to_do: "Go to the still and look; press Still here. If you must go, heat off first."
                .to_owned(),
            within_s: Some(if critical { 60.0 } else { 120.0 }),
            about: String::new(),
        })
    }

    fn runaway_finding(&self) -> Option<Finding> {
        if self.course.steps.kind() != StepKind::Hearts
            || self.is_pot()
            || !self.spirit.drawn.open()
        {
            return None;
        }
        let told_s = self.voice.prompts.first_said_on(self.course.steps.index() as u64 + STEP_DONE);
        if told_s.is_some_and(|at| self.now_s - at < RUN_ON_S) {
            return None;
        }
        let rise = self.rise_k()?;
        let trigger = self.plan.steps.get(self.course.steps.index())?.until_rise_k.unwrap_or(1.0);
        let slope = self
            .probes
            .head()
            .slope_per_s(self.now_s, 180.0)
            .or(self.probes.head().slope_per_s(self.now_s, 300.0))?;
        let past = rise >= trigger + AWAY_OVER_K && slope >= AWAY_SLOPE_K_PER_S;
        let early = rise >= 1.0 && slope >= 3.0 * AWAY_SLOPE_K_PER_S && self.long_before_end();
        (past || early).then(|| Finding {
            code: "head_running_away",
            priority: Priority::High,
            text: if early {
                "The head runs away long before the charge should be spent.".to_owned()
            } else {
                "The head runs away from the plateau.".to_owned()
            },
            how_sure: format!("{rise:.2} K above the plateau, rising {:.1} K in 10 min", 600.0 * slope),
            to_do: if early {
                "Halve the take-off and watch for two minutes: a real rise falls back, a bad probe does not.".to_owned()
            } else {
                "Change the jar and slow the take-off or go on to the next step.".to_owned()
            },
            within_s: Some(120.0),
            about: String::new(),
        })
    }

    fn long_before_end(&self) -> bool {
        let forecasts = self.foresight.forecasts.as_ref();
        let end =
            forecasts.and_then(|forecasts| forecasts.alcohol_at_end_of(self.course.steps.index()));
        end.is_some_and(|(low, _, _)| self.spirit.drawn.alcohol_ml() / 1000.0 < 0.75 * low)
    }

    /// How urgent a lost or wrong reading is now.
    fn reading_priority(&self, probe: Probe) -> Option<Priority> {
        if !self.begun() || (self.course.steps.kind() == StepKind::Stop && self.is_cool()) {
            return None;
        }
        let drawing =
            self.course.steps.kind().draws() || self.course.steps.kind() == StepKind::Equalise;
        match probe {
            Probe::Head if drawing => Some(Priority::High),
            Probe::Head => Some(Priority::Medium),
            Probe::Pot if self.course.steps.kind() == StepKind::Heat => Some(Priority::Medium),
            Probe::CoolantFlow | Probe::CoolantOut if self.course.vapour_s().is_some() => {
                Some(Priority::Medium)
            }
            _ => Some(Priority::Low),
        }
    }

    fn stale_finding(&self) -> Option<Finding> {
        let is_lost = |probe: &Probe| {
            let track = self.probes.reader().of(*probe);
            track.stale(self.now_s) && !track.typed()
        };
        let lost: Vec<Probe> = Probe::ALL.into_iter().filter(is_lost).collect();
        let first = *lost.first()?;
        let priority = lost.iter().filter_map(|probe| self.reading_priority(*probe)).max()?;
        let age_s = self.probes.reader().of(first).age_s(self.now_s).unwrap_or(0.0);
        let read =
            Probe::ALL.into_iter().filter(|probe| self.probes.reader().of(*probe).ever()).count();
        let text = if lost.len() == read {
            "No reading comes in any more.".to_owned()
        } else {
            format!("The {} is lost.", words(&lost))
        };
        Some(Finding {
            code: "data_stale",
            priority,
            text,
            how_sure: format!("the last one is {age_s:.0} s old; three readings are missing"),
            to_do: "Look at the still itself and read its thermometers; then at the cable."
                .to_owned(),
            within_s: within(priority),
            about: words(&lost),
        })
    }

    fn impossible_finding(&self) -> Option<Finding> {
        let (about, what, priority) = self.swapped().or_else(|| self.wrong_channel())?;
        Some(Finding {
            code: "data_impossible",
            priority,
            text: format!("The {about} cannot be right."),
            how_sure: what,
            to_do: "Do not steer by it; read the still itself, and look at probe and cable."
                .to_owned(),
            within_s: within(priority),
            about,
        })
    }

    fn swapped(&self) -> Option<(String, String, Priority)> {
        let head_c = self.probes.reader().fresh(Probe::Head, self.now_s)?;
        let pot_c = self.probes.reader().fresh(Probe::Pot, self.now_s)?;
        (self.probes.reader().swapped() && self.heater_on() && pot_c < head_c).then(|| {
            let about = "pot or head thermometer".to_owned();
            let what = format!(
                "pot {pot_c:.1} °C is colder than head {head_c:.1} °C in the boil; swapped?"
            );
            (about, what, self.reading_priority(Probe::Head).unwrap_or(Priority::Medium))
        })
    }

    fn wrong_channel(&self) -> Option<(String, String, Priority)> {
        let wrong = |probe: Probe| {
            let priority = self.reading_priority(probe)?;
            let track = self.probes.reader().of(probe);
            let (count, fault) = track.faults_since(self.now_s - FAULTS_S);
            let what = if self.frozen(probe) {
                let passed = minutes(track.same_for_s());
                format!("it has not moved by one digit for {passed}")
            } else if let Some(fault) = fault {
                let times =
                    if count > 1 { format!(", {count} times in 15 min") } else { String::new() };
                format!("it {}{times}", fault.words())
            } else {
                return None;
            };
            // A single slip is only noted; what lasts or returns counts in full.
            let lasting = self.frozen(probe) || count >= 3 || track.impossible_now(self.now_s);
            let priority = if lasting { priority } else { Priority::Low };
            Some((priority, probe.words().to_owned(), what))
        };
        let all = Probe::ALL.into_iter().filter_map(wrong);
        let worst = all.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        Some((worst.1, worst.2, worst.0))
    }

    fn cover_finding(&self) -> Option<Finding> {
        if !self.heater_on() {
            return None;
        }
        let cover_l = self.plan.still.element_cover_litres;
        let (likely, low) = self.pot_litres();
        let lead_l = self.rate_ml_min() / 1000.0 * COVER_LEAD_S / 60.0;
        let bare = likely <= cover_l;
        if !bare && low > cover_l + lead_l {
            return None;
        }
        Some(Finding {
            code: "element_cover",
            priority: if bare { Priority::Critical } else { Priority::High },
            text: format!(
                "The pot should hold {likely:.1} L; the elements need {cover_l:.1} L over them."
            ),
            how_sure: format!("charge less what was drawn; it may be {low:.1} L"),
            to_do: "Turn the heater off before an element stands bare.".to_owned(),
            within_s: Some(if bare { 60.0 } else { 300.0 }),
            about: String::new(),
        })
    }
}

fn words(probes: &[Probe]) -> String {
    let names: Vec<&str> = probes.iter().map(|probe| probe.words()).collect();
    names.join(", ")
}

const fn within(priority: Priority) -> Option<f64> {
    match priority {
        Priority::Critical => Some(60.0),
        Priority::High => Some(300.0),
        Priority::Medium => Some(1200.0),
        Priority::Low => None,
    }
}
