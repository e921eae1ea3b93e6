//! Entries that can be but are unlikely: asked about in words, and taken when they are said again
//! with `sure`.
//!
//! All bounds here are judgement: a slip of the finger is a digit too many or too few, so what is
//! about ten times or a tenth of what is planned is asked about; what is merely unusual is not.

use advise::Knowledge;
use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use sense::{Action, Amount, JarRecord, Probe, Reading, VesselRecord};
use still::plan::{RunPlan, TakeOff};

use crate::problem::ApiError;

/// A value so many times the plan, or so small a part of it, is taken for a slip.
const SLIP: f64 = 5.0;
/// From so many times to so many times the plan it is said to be ten times.
const ABOUT_TEN: (f64, f64) = (8.0, 12.5);
/// Most power over the sum of the elements: meters and mains differ by some per cent.
const OVER_ELEMENTS: f64 = 1.1;
/// Strongest spirit that distilling gives at one atmosphere, % vol at 20 °C (the azeotrope).
const STRONGEST_VOL: f64 = 97.2;
/// How far a glass may be from what is reckoned to run, % vol.
const OFF_VOL: f64 = 20.0;
/// Temperatures of spirit in a glass or a jar that nobody asks about, °C.
const GAUGED_C: (f64, f64) = (0.0, 45.0);
/// A reading with a digit too many or too few comes so near what was read before, as a share of it.
const NEAR: f64 = 0.25;
/// How many numbers a next jar may leave out before it is asked about.
const JARS_AHEAD: u32 = 9;
/// How many times its size a jar may be said to hold.
const JAR_SIZES: f64 = 3.0;
/// An amount over the charge by more than this share is asked about.
const OVER_CHARGE: f64 = 1.1;

/// What is known that an entry can be held against.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Against<'a> {
    pub(crate) plan: &'a RunPlan,
    pub(crate) known: &'a Knowledge,
    /// What one jar holds, mL.
    pub(crate) jar_ml: f64,
}

/// Whether more was measured than was charged, by more than measuring leaves open.
#[must_use]
pub fn is_over_charge(record: &VesselRecord, charge_l: f64) -> bool {
    let (Amount::Litres(amount) | Amount::Kilograms(amount)) = record.amount;
    amount > OVER_CHARGE * charge_l
}

/// The question to ask.
type Asked = Option<(String, Option<f64>)>;

/// The question, and the name of the number that is doubted.
type Doubted = Option<(&'static str, (String, Option<f64>))>;

fn ask(doubted: Doubted) -> Result<(), ApiError> {
    doubted
        .map_or(Ok(()), |(field, (what, suggest))| Err(ApiError::Unlikely { what, suggest, field }))
}

/// That number, where it is asked about.
fn about(field: &'static str, asked: Asked) -> Doubted {
    asked.map(|asked| (field, asked))
}

/// A number without a tail of zeros.
fn plain(value: f64) -> String {
    format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A value held against a planned or reckoned one: "110 is ten times the plan; 11?".
fn slip(value: f64, planned: f64, what: &str) -> Asked {
    let times = value / planned;
    if !times.is_finite() || value <= 0.0 || (SLIP.recip()..=SLIP).contains(&times) {
        return None;
    }
    let about = |times: f64| (ABOUT_TEN.0..=ABOUT_TEN.1).contains(&times);
    let said = plain(value);
    Some(if about(times) {
        let suggest = value / 10.0;
        (format!("{said} is ten times {what}; {}?", plain(suggest)), Some(suggest))
    } else if about(times.recip()) {
        let suggest = value * 10.0;
        (format!("{said} is a tenth of {what}; {}?", plain(suggest)), Some(suggest))
    } else {
        (format!("{said} is far from {what}, {}; is it so?", plain(planned)), Some(planned))
    })
}

impl Against<'_> {
    /// Refuses an unlikely action.
    pub(crate) fn action(&self, action: &Action) -> Result<(), ApiError> {
        ask(match action {
            Action::Heater { watts } => about("value", self.heater(*watts)),
            Action::TakeOff { take_off, .. } => about("value", self.take_off(*take_off)),
            Action::Coolant { l_per_min } => {
                about("value", slip(*l_per_min, self.plan.site.coolant_l_per_min, "the plan"))
            }
            Action::Gauge { apparent_vol, celsius } => {
                let now = self.runs_vol();
                about("celsius", warm(*celsius))
                    .or_else(|| about("value", glass(*apparent_vol, *celsius, now)))
            }
            Action::Vessel(record) => self.vessel(record),
            Action::Jar { number } => about("value", self.jar_number(*number)),
            _ => None,
        })
    }

    /// More than the charge is in no boiler, and an amount ten times over is a slip.
    fn vessel(&self, record: &VesselRecord) -> Doubted {
        let (Amount::Litres(amount) | Amount::Kilograms(amount)) = record.amount;
        let most = self.plan.charge.litres;
        if !is_over_charge(record, most) {
            return None;
        }
        let (said, of, suggest) = (plain(amount), plain(most), amount / 10.0);
        let what = format!("{said} is more than the charge, {of} L; {}?", plain(suggest));
        about("value", Some((what, Some(suggest))))
    }

    fn heater(&self, watts: f64) -> Asked {
        let planned = self.plan.step_power(self.known.step.index).watts();
        let times = planned / watts;
        if (ABOUT_TEN.0..=ABOUT_TEN.1).contains(&times) {
            return slip(watts, planned, "the plan");
        }
        let sum: f64 = self.plan.still.elements_watts.iter().sum();
        if sum <= 0.0 || watts <= sum * OVER_ELEMENTS {
            return None;
        }
        let suggest = if watts / 10.0 <= sum * OVER_ELEMENTS { watts / 10.0 } else { sum };
        let (said, sum) = (plain(watts), plain(sum));
        let what = format!("{said} W is more than the elements have, {sum} W; {}?", plain(suggest));
        Some((what, Some(suggest)))
    }

    /// What should run now, % vol: as it is reckoned, or as the last jar holds it.
    fn runs_vol(&self) -> Option<f64> {
        let now = self.known.strength_now.as_ref().map(|strength| strength.at.p50);
        let jars = || self.known.jars.iter().filter(|jar| jar.status != "expected");
        now.or_else(|| jars().filter_map(|jar| jar.strength_vol).next_back())
    }

    /// A jar far beyond the next one, or one that was filled before.
    fn jar_number(&self, number: u32) -> Asked {
        let before = || self.known.jars.iter().filter(|jar| jar.status != "expected");
        let last = before().map(|jar| jar.number).max()?;
        let (next, suggest) = (last + 1, Some(f64::from(last + 1)));
        if number > next + JARS_AHEAD {
            return Some((format!("jar {number}, and the last was {last}; {next}?"), suggest));
        }
        let filled = before().any(|jar| jar.number == number && jar.status == "filled");
        filled.then(|| (format!("jar {number} was filled before; {next}?"), suggest))
    }

    /// The take-off of the running step, or of the next that draws.
    fn take_off(&self, take_off: TakeOff) -> Asked {
        let later = self.plan.steps.iter().skip(self.known.step.index);
        let planned = later.filter(|step| step.kind.draws()).map(still::plan::Step::take_off);
        let rate = |take_off: TakeOff| match take_off {
            TakeOff::MlPerMin(rate) => Some(rate),
            _ => None,
        };
        let ratio = |take_off: TakeOff| match take_off {
            TakeOff::RefluxRatio(ratio) => Some(ratio),
            _ => None,
        };
        let watts = |take_off: TakeOff| match take_off {
            TakeOff::RefluxWatts(watts) => Some(watts),
            _ => None,
        };
        match take_off {
            TakeOff::Closed => None,
            TakeOff::RefluxWatts(said) => {
                slip(said, planned.into_iter().find_map(watts)?, "the plan")
            }
            TakeOff::MlPerMin(said) => match planned.into_iter().find_map(rate) {
                Some(planned) => slip(said, planned, "the plan"),
                None => slip(said, self.known.takeoff_ml_per_min.as_ref()?.at.p50, "what runs"),
            },
            TakeOff::RefluxRatio(said) => {
                slip(said, planned.into_iter().find_map(ratio)?, "the plan")
            }
        }
    }

    /// Refuses what a person can hardly have read: what no such still shows, and a digit too many or
    /// too few against what was read there last.
    pub(crate) fn reading(&self, reading: &Reading) -> Result<(), ApiError> {
        let last = |probe: Probe| {
            let channel = self.known.channels.iter().find(|one| one.name == probe.column());
            channel.and_then(|one| one.value)
        };
        let doubted = |(probe, value): (Probe, f64)| {
            about(probe.column(), misread(probe, value, last(probe)))
        };
        ask(reading.iter().find_map(doubted))
    }

    /// Refuses an unlikely record of a jar.
    pub(crate) fn jar(&self, jar: &JarRecord) -> Result<(), ApiError> {
        let reckoned = self.known.jars.iter().find(|other| other.number == jar.number);
        let reckoned = reckoned.filter(|known| known.status != "expected");
        let reckoned_ml = reckoned.map(|known| known.volume_ml).filter(|ml| *ml > 0.0);
        let strength = || glass(jar.apparent_vol?, jar.temperature_c.unwrap_or(20.0), None);
        let volume = || {
            reckoned_ml.and_then(|ml| ten_times(jar.volume_ml, ml)).or_else(|| self.too_much(jar))
        };
        ask(about("temperature_c", jar.temperature_c.and_then(warm))
            .or_else(|| about("apparent_vol", strength()))
            .or_else(|| about("volume_ml", volume())))
    }

    fn too_much(&self, jar: &JarRecord) -> Asked {
        let said = plain(jar.volume_ml);
        let tenth = jar.volume_ml / 10.0;
        if jar.volume_ml > JAR_SIZES * self.jar_ml {
            let size = plain(self.jar_ml);
            let what =
                format!("{said} mL is far over what a jar holds, {size} mL; {}?", plain(tenth));
            return Some((what, Some(tenth)));
        }
        let others = self.known.jars.iter().filter(|other| other.number != jar.number);
        let drawn = others.filter(|known| known.status == "filled").map(|known| known.volume_ml);
        let left = (self.plan.charge.litres * 1000.0 - drawn.sum::<f64>()).max(0.0);
        (jar.volume_ml > left).then(|| {
            let what = format!("{said} mL is more than the pot can have left, {} mL", plain(left));
            (what, Some(tenth))
        })
    }
}

/// As [`slip`], but only for ten times as much or a tenth: jars are often measured small.
fn ten_times(value: f64, reckoned: f64) -> Asked {
    if (ABOUT_TEN.0..=ABOUT_TEN.1).contains(&(reckoned / value)) {
        let (said, suggest) = (plain(value), value * 10.0);
        let (reckoned, meant) = (plain(reckoned), plain(suggest));
        let what = format!("{said} is a tenth of what ran into it, {reckoned} mL; {meant}?");
        return Some((what, Some(suggest)));
    }
    (value / reckoned >= ABOUT_TEN.0).then(|| {
        let (said, suggest) = (plain(value), value / 10.0);
        let what = format!(
            "{said} is ten times what ran into it, {} mL; {}?",
            plain(reckoned),
            plain(suggest)
        );
        (what, Some(suggest))
    })
}

fn misread(probe: Probe, value: f64, last: Option<f64>) -> Asked {
    let (what, unit, said) = (probe.words(), probe.unit(), plain(value));
    let meant = [value / 10.0, value * 10.0].into_iter().find(|meant| match last {
        Some(last) => (meant - last).abs() <= NEAR * last.abs(),
        None => probe.is_possible(*meant),
    });
    let far = last.is_some_and(|last| (value - last).abs() > 2.0 * NEAR * last.abs());
    match meant {
        Some(meant) if far || !probe.is_possible(value) => {
            Some((format!("{said} {unit}, {what}: {}?", plain(meant)), Some(meant)))
        }
        None if !probe.is_possible(value) => {
            Some((format!("{said} {unit}, {what}: is it so?"), None))
        }
        _ => None,
    }
}

fn warm(celsius: f64) -> Asked {
    if (GAUGED_C.0..=GAUGED_C.1).contains(&celsius) {
        return None;
    }
    let tenth = celsius / 10.0;
    let suggest = (GAUGED_C.0..=GAUGED_C.1).contains(&tenth).then_some(tenth);
    let what = match suggest {
        Some(suggest) => format!("{} °C in a glass? {}?", plain(celsius), plain(suggest)),
        None => format!("{} °C in a glass: is it so?", plain(celsius)),
    };
    Some((what, suggest))
}

fn glass(apparent_vol: f64, celsius: f64, now_vol: Option<f64>) -> Asked {
    let read = gauge(GaugeInput::new(apparent_vol, celsius, Scale::Vol20));
    let strength = read.ok().map(|gauged| gauged.strength_vol_20c);
    let said = plain(apparent_vol);
    let Some(strength) = strength.filter(|strength| *strength <= STRONGEST_VOL) else {
        let what = format!("no still gives more than {STRONGEST_VOL} % vol; {said} is it so?");
        return Some((what, now_vol));
    };
    let now_vol = now_vol.filter(|now| (strength - now).abs() > OFF_VOL)?;
    let what = format!(
        "{said} is {strength:.0} % vol at 20 °C; about {now_vol:.0} % vol should run now: is it so?"
    );
    Some((what, Some(now_vol)))
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{glass, misread, plain, slip, ten_times, warm};

    #[test]
    fn ten_times_the_plan_is_asked_about_in_words() {
        let (what, suggest) = slip(110.0, 11.0, "the plan").unwrap();
        assert_eq!(what, "110 is ten times the plan; 11?");
        assert_eq!(suggest, Some(11.0));
        let (what, suggest) = slip(1.1, 11.0, "the plan").unwrap();
        assert_eq!(what, "1.1 is a tenth of the plan; 11?");
        assert!((suggest.unwrap() - 11.0).abs() < 1e-9);
        assert!(slip(25.0, 11.0, "the plan").is_none() && slip(0.0, 11.0, "the plan").is_none());
        assert!(slip(11.0, 0.0, "the plan").is_none(), "nothing is planned");
    }

    #[test]
    fn a_reading_with_a_digit_too_many_or_too_few_is_asked_about() {
        assert_eq!(misread(Probe::Head, 978.0, Some(97.6)).unwrap().1, Some(97.8));
        assert_eq!(misread(Probe::Head, 7.84, Some(78.3)).unwrap().1, Some(78.4));
        assert_eq!(misread(Probe::Pressure, 102.1, None).unwrap().1, Some(1021.0));
        assert!(misread(Probe::Head, 98.0, Some(78.3)).is_none(), "it may well have risen");
        assert!(misread(Probe::Ambient, 8.0, Some(21.0)).is_none(), "a door stands open");
        assert!(
            misread(Probe::Head, 85.0, None).is_none() && misread(Probe::Head, 0.4, None).is_none()
        );
    }

    #[test]
    fn glasses_and_jars_that_cannot_be_are_asked_about() {
        assert!(glass(99.0, 20.0, None).is_some());
        assert!(glass(92.0, 20.0, Some(93.0)).is_none());
        assert!(glass(52.0, 20.0, Some(93.0)).is_some());
        assert_eq!(warm(215.0).unwrap().1, Some(21.5));
        assert!(warm(21.5).is_none());
        assert_eq!(ten_times(2500.0, 250.0).unwrap().1, Some(250.0));
        assert_eq!(ten_times(25.0, 250.0).unwrap().1, Some(250.0));
        assert!(ten_times(300.0, 250.0).is_none() && ten_times(60.0, 250.0).is_none());
        assert_eq!(plain(0.5), "0.5");
    }
}
