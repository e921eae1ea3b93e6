//! What is wrong where nothing may be: warm spirit or vapour at the spout, vapour or carbon dioxide in
//! the room, pressure in the boiler.

use sense::Probe;

use crate::engine::Live;
use crate::finding::Found;
use crate::rules::{
    Cause, POT_PRESSURE_GREW, POT_PRESSURE_GREW_MORE_KPA, POT_PRESSURE_GREW_SETTLED_S,
    POT_PRESSURE_HIGH, ROOM_CO2_AIR, ROOM_CO2_LEAVE, SPIRIT_WARM_WARM, VAPOUR_AT_SPOUT_HOT,
    VAPOUR_IN_ROOM_ALARM, VAPOUR_IN_ROOM_WARNING,
};

impl Live {
    /// All of them.
    pub(crate) fn hazard_findings(&self) -> Vec<Found> {
        let over = |probe: Probe, cause: &'static Cause, text: &str, unit: &str, digits: usize| {
            let value = self.probes.reader().fresh(probe, self.now_s)?;
            let words = probe.words();
            let how = format!("the {words} shows {value:.digits$} {unit}");
            self.voice.alarms.is_over(cause, value).then(|| cause.found(text, how))
        };
        let spout = "Vapour may come with the spirit: the spout is hot.";
        let all = [
            over(Probe::Product, &VAPOUR_AT_SPOUT_HOT, spout, "°C", 0),
            over(Probe::Product, &SPIRIT_WARM_WARM, "The spirit comes warm.", "°C", 0),
            over(
                Probe::VapourShare,
                &VAPOUR_IN_ROOM_ALARM,
                "Vapour that burns is in the room.",
                "% of the lower explosive limit",
                0,
            ),
            over(
                Probe::VapourShare,
                &VAPOUR_IN_ROOM_WARNING,
                "There is vapour in the room.",
                "% of the lower explosive limit",
                0,
            ),
            over(
                Probe::RoomCo2,
                &ROOM_CO2_LEAVE,
                "There is too much carbon dioxide to stay in the room.",
                "ppm",
                0,
            ),
            over(
                Probe::RoomCo2,
                &ROOM_CO2_AIR,
                "There is much carbon dioxide in the room.",
                "ppm",
                0,
            ),
            over(Probe::PotPressure, &POT_PRESSURE_HIGH, "The boiler is under pressure.", "kPa", 1),
            self.pressure_grew(),
        ];
        all.into_iter().flatten().collect()
    }

    fn pressure_grew(&self) -> Option<Found> {
        self.probes.reader().fresh(Probe::PotPressure, self.now_s)?;
        let trace = self.probes.pot_kpa();
        let now_kpa = trace.present()?;
        let before_kpa = trace.median(self.now_s - 1500.0, self.now_s - 600.0)?.max(0.0);
        let settled_s = POT_PRESSURE_GREW_SETTLED_S;
        let settled = self.course.vapour_s().is_some_and(|at| self.now_s - at > settled_s)
            && self.now_s - self.hand.heater_s > settled_s;
        let grown = now_kpa > POT_PRESSURE_GREW.limit * before_kpa
            && now_kpa - before_kpa > POT_PRESSURE_GREW_MORE_KPA;
        (settled && grown).then(|| {
            let how = format!("{now_kpa:.2} kPa, {before_kpa:.2} kPa ten minutes ago");
            POT_PRESSURE_GREW.found("The pressure in the boiler grows: does the column flood?", how)
        })
    }
}
