//! Readings that are lost or cannot be right, as alarms: how urgent that is by what they are for.

use sense::Probe;
use still::plan::StepKind;

use crate::engine::Live;
use crate::finding::Found;
use crate::numbers::minutes;
use crate::rules::{
    Cause, DATA_IMPOSSIBLE_NEEDED, DATA_IMPOSSIBLE_NEEDED_FAULTS, DATA_IMPOSSIBLE_NEEDED_FAULTS_S,
    DATA_IMPOSSIBLE_OTHER, DATA_IMPOSSIBLE_USEFUL, DATA_STALE_BLIND, DATA_STALE_NEEDED,
    DATA_STALE_OTHER, DATA_STALE_USEFUL,
};

/// What a channel is for now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Use {
    Other,
    Useful,
    Needed,
}

impl Live {
    /// What a reading is for now.
    fn use_of(&self, probe: Probe) -> Use {
        let vapour = self.course.vapour_s().is_some();
        match probe {
            Probe::Head if self.drawing_or_equalising() => Use::Needed,
            Probe::Head => Use::Useful,
            Probe::Pot if self.course.steps.kind() == StepKind::Heat => Use::Useful,
            Probe::CoolantFlow | Probe::CoolantOut if vapour => Use::Useful,
            Probe::VapourShare | Probe::RoomCo2 | Probe::PotPressure if self.heater_on() => {
                Use::Useful
            }
            _ => Use::Other,
        }
    }

    /// Whether a probe was read, and is no more; what a person typed is not expected again.
    fn is_lost(&self, probe: Probe) -> bool {
        self.probes.reader().of(probe).cadence().lost(self.now_s)
    }

    /// Whether all that was ever read is lost: nothing tells any more how the run goes.
    pub(crate) fn all_is_lost(&self) -> bool {
        let ever = |probe: &Probe| self.probes.reader().of(*probe).ever();
        let mut read = Probe::ALL.into_iter().filter(ever).peekable();
        read.peek().is_some() && read.all(|probe| self.is_lost(probe))
    }

    /// All of them.
    pub(crate) fn reading_findings(&self) -> Vec<Found> {
        let mut found = self.stale_findings();
        found.extend(self.impossible_finding());
        found
    }

    fn stale_findings(&self) -> Vec<Found> {
        let lost: Vec<Probe> = Probe::ALL.into_iter().filter(|one| self.is_lost(*one)).collect();
        let Some(first) = lost.first() else {
            return self.too_seldom_finding().into_iter().collect();
        };
        let track = self.probes.reader().of(*first);
        let age_s = track.age_s(self.now_s).unwrap_or(0.0);
        let missed = if track.typed() {
            "it comes seldom, and what is so old is not live"
        } else {
            "three readings are missing"
        };
        let all = self.all_is_lost();
        let text = if all {
            "No reading comes in any more.".to_owned()
        } else {
            format!("The {} is lost.", words(&lost))
        };
        let how = format!("the last one is {age_s:.0} s old; {missed}");
        // What showed the coolant, and nothing else does.
        let coolant = [Probe::CoolantFlow, Probe::CoolantOut].iter().any(|p| lost.contains(p));
        let dark = coolant && self.course.vapour_s().is_some() && !self.coolant_is_watched();
        let worst = lost.iter().map(|probe| self.use_of(*probe)).max().unwrap_or(Use::Other);
        let needed = dark || worst == Use::Needed;
        let found = |cause: &'static Cause| {
            let mut found = cause.found(text.clone(), how.clone());
            found.about = words(&lost);
            found
        };
        let causes: &[&'static Cause] = match worst {
            _ if needed => &[&DATA_STALE_BLIND, &DATA_STALE_NEEDED],
            Use::Useful if all && self.heater_on() => &[&DATA_STALE_BLIND, &DATA_STALE_USEFUL],
            Use::Useful => &[&DATA_STALE_USEFUL],
            _ => &[&DATA_STALE_OTHER],
        };
        causes.iter().map(|cause| found(cause)).collect()
    }

    /// What watches the coolant or the vent, and is told too seldom for that.
    fn too_seldom_finding(&self) -> Option<Found> {
        self.course.vapour_s()?;
        let reader = self.probes.reader();
        let seldom = |probe: Probe| Some((probe, reader.of(probe).cadence().too_seldom_s()?));
        let seldom: Vec<(Probe, f64)> = Probe::ALL.into_iter().filter_map(seldom).collect();
        let each_s = seldom.iter().map(|(_, each_s)| *each_s).reduce(f64::max)?;
        let about = words(&seldom.into_iter().map(|(probe, _)| probe).collect::<Vec<_>>());
        let text = format!("The {about} is told too seldom to watch the coolant: look yourself.");
        let how = format!("a reading comes every {}", minutes(each_s));
        let mut found = DATA_STALE_USEFUL.found(text, how);
        found.about = about;
        Some(found)
    }

    fn impossible_finding(&self) -> Option<Found> {
        let swapped = self.swapped().or_else(|| self.swapped_pair());
        let (about, how, use_of) = swapped.or_else(|| self.wrong_channel())?;
        let cause = match use_of {
            Use::Needed => &DATA_IMPOSSIBLE_NEEDED,
            Use::Useful => &DATA_IMPOSSIBLE_USEFUL,
            Use::Other => &DATA_IMPOSSIBLE_OTHER,
        };
        let mut found = cause.found(format!("The {about} cannot be right."), how);
        found.about = about;
        Some(found)
    }

    fn swapped(&self) -> Option<(String, String, Use)> {
        let head_c = self.probes.reader().fresh(Probe::Head, self.now_s)?;
        let pot_c = self.probes.reader().fresh(Probe::Pot, self.now_s)?;
        (self.probes.reader().swapped() && self.heater_on() && pot_c < head_c).then(|| {
            let about = "pot or head thermometer".to_owned();
            let how = format!(
                "pot {pot_c:.1} °C is colder than head {head_c:.1} °C in the boil; swapped?"
            );
            (about, how, self.use_of(Probe::Head))
        })
    }

    /// Coolant ends, or head and vent, under each other's name.
    fn swapped_pair(&self) -> Option<(String, String, Use)> {
        let reader = self.probes.reader();
        let both = |cold: Probe| Some((cold, reader.swapped_with(cold)?));
        let (cold, hot) = [Probe::CoolantIn, Probe::Vent].into_iter().find_map(both)?;
        let read = |probe| !reader.of(probe).stale(self.now_s);
        (self.heater_on() && read(cold) && read(hot)).then(|| {
            let about = format!("{} or {}", cold.words(), hot.words());
            let how = format!("the {} is the hotter in the boil; swapped?", cold.words());
            (about, how, self.use_of(cold).max(self.use_of(hot)))
        })
    }

    fn wrong_channel(&self) -> Option<(String, String, Use)> {
        let wrong = |probe: Probe| {
            let track = self.probes.reader().of(probe);
            let (count, fault) = track.faults_since(self.now_s - DATA_IMPOSSIBLE_NEEDED_FAULTS_S);
            let how = if self.frozen(probe) {
                let passed = minutes(track.same_for_s());
                format!("it has not moved by one digit for {passed}")
            } else if self.flickers(probe) {
                "it moves by its last digit only, as no sound probe does".to_owned()
            } else if let Some(fault) = fault {
                let times =
                    if count > 1 { format!(", {count} times in 15 min") } else { String::new() };
                format!("it {}{times}", fault.words())
            } else {
                return None;
            };
            // A single slip is only noted; what lasts or returns counts in full.
            let often = count as f64 >= DATA_IMPOSSIBLE_NEEDED_FAULTS;
            let lasting = self.frozen(probe)
                || self.flickers(probe)
                || often
                || track.impossible_now(self.now_s);
            let use_of = if lasting { self.use_of(probe) } else { Use::Other };
            Some((use_of, probe.words().to_owned(), how))
        };
        let all = Probe::ALL.into_iter().filter_map(wrong);
        let worst = all.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        Some((worst.1, worst.2, worst.0))
    }
}

fn words(probes: &[Probe]) -> String {
    let names: Vec<&str> = probes.iter().map(|probe| probe.words()).collect();
    names.join(", ")
}
