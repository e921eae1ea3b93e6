//! The jars under the spout: how they are filled, and what a jug and a glass say of each.

use alcoholometry::gauge::{Scale, would_read};
use alcoholometry::{kernel, volume};
use sense::JarRecord;
use still::plan::StepKind;

use super::chance::Chance;
use super::house::Instruments;
use super::liquid::{between, litres, vol};

/// Share of the jars that nobody read a glass in (judgement).
const UNREAD: f64 = 0.25;
/// Divisions of the glass, % vol.
const DIVISION_VOL: f64 = 0.2;

/// The jar that is filled now.
#[derive(Debug, Clone, Copy)]
pub(super) struct Jar {
    pub(super) number: u32,
    pub(super) since_s: f64,
    pub(super) from_mol: [f64; 2],
    pub(super) cut: StepKind,
}

impl Jar {
    /// What its owner records of it; none where nothing is in it.
    pub(super) fn close(
        &self,
        chance: &mut Chance,
        of: &Instruments,
        (end_s, drawn_mol): (f64, [f64; 2]),
        ambient_c: f64,
    ) -> Option<JarRecord> {
        let mol = between(self.from_mol, drawn_mol);
        let (litres_20c, strength) = (litres(mol), vol(mol));
        let celsius = (ambient_c + chance.between((0.0, 12.0))).clamp(10.0, 38.0);
        let p = kernel::mass_fraction_from_vol20(strength / 100.0);
        let shown = volume::litres_at(litres_20c, celsius, p) * of.jug * chance.factor(of.jug_sd);
        let volume_ml = (200.0 * shown).round() * 5.0;
        let glass = would_read(strength, celsius, Scale::Vol20).ok();
        let read = glass
            .map(|vol| vol + of.glass_vol + chance.normal(of.glass_sd_vol))
            .map(|vol| ((vol / DIVISION_VOL).round() * DIVISION_VOL * 10.0).round() / 10.0)
            .filter(|vol| (1.0..=100.0).contains(vol) && volume_ml >= 50.0);
        let read = read.filter(|_| !chance.happens(UNREAD));
        (volume_ml > 0.0).then(|| JarRecord {
            number: self.number,
            start_s: self.since_s,
            end_s,
            volume_ml,
            temperature_c: read.map(|_| (10.0 * celsius).round() / 10.0),
            apparent_vol: read,
            cut: Some(self.cut),
            note: String::new(),
            gauged_with: None,
        })
    }
}
