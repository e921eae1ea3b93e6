//! The jars on the bench: of a run folder, of the record, or typed.

use finishing::congeners::{Curve, Milligrams};
use finishing::jar::{self, Jar, JarReading};
use sense::GaugedWith;
use server::Clock;
use still::forecast::{Options, forecast};
use store::folder::RunFolder;
use store::{Store, StoreError};

use crate::args::{Amount, JarsArgs};
use crate::command::data;
use crate::error::CliError;

/// The jars with what their run's model says of them.
pub(super) struct Bench {
    /// The id of the run, where it is one of the record.
    pub(super) id: Option<String>,
    /// The run's title, where there is a run.
    pub(super) run: Option<String>,
    /// The jars that were gauged, by number.
    pub(super) jars: Vec<Jar>,
    /// Predicted milligrams of each.
    pub(super) congeners: Option<Vec<Milligrams>>,
    /// Factor by which a prediction may be off either way, 4 in 5.
    pub(super) factor: f64,
    /// Numbers of those left out: never gauged, or without a temperature.
    pub(super) left_out: Vec<u32>,
    /// Pure alcohol that was charged, L.
    pub(super) charged_l: Option<f64>,
}

impl Bench {
    /// Reads and gauges them.
    pub(super) fn read(args: &JarsArgs) -> Result<Self, CliError> {
        let mut id = None;
        let folder = match &args.run {
            Some(dir) => Some(store::folder::read_record(dir)?),
            None if args.last || args.of.is_some() => {
                let dir = data::folder(args.data.as_deref())?;
                let (run, folder) = match &args.of {
                    Some(run) => data::run(&dir, run)?,
                    None => data::last_run_of(&dir)?,
                };
                id = Some(run);
                Some(folder)
            }
            None => None,
        };
        let mut readings: Vec<JarReading> = Vec::new();
        let mut not_gauged: Vec<(u32, f64)> = Vec::new();
        for record in folder.iter().flat_map(|folder| sense::jar::standing(&folder.rows.jars)) {
            if args.jar.iter().any(|typed| typed.number == record.number) {
                continue;
            }
            match JarReading::of(record) {
                Some(reading) => readings.push(reading),
                None => not_gauged.push((record.number, record.volume_ml / 1000.0)),
            }
        }
        let records = || folder.iter().flat_map(|folder| &folder.rows.jars);
        let gauged_with = args.with.as_deref().map(|name| with(args, name)).transpose()?;
        for typed in &args.jar {
            let record = records().rev().find(|record| record.number == typed.number);
            readings.retain(|reading| reading.number != typed.number);
            readings.push(JarReading {
                number: typed.number,
                amount: match typed.amount {
                    Amount::Litres(litres) => jar::Amount::Litres(litres),
                    Amount::Kilograms(kg) => jar::Amount::Kilograms(kg),
                },
                celsius: typed.celsius,
                apparent_vol: typed.reading,
                cut: record.and_then(|record| record.cut),
                note: record.map(|record| record.note.clone()).unwrap_or_default(),
                gauged_with: gauged_with.clone(),
            });
        }
        readings.sort_by_key(|reading| reading.number);
        let jars = readings.iter().map(Jar::gauged).collect::<Result<Vec<_>, _>>()?;
        if jars.is_empty() {
            let run = folder.map_or_else(|| "the bench".to_owned(), |folder| folder.plan.title);
            return Err(CliError::NoJars { run, what: "was gauged with a temperature".to_owned() });
        }
        let curve = folder.as_ref().map(curve).transpose()?.flatten();
        let congeners = curve.as_ref().map(|curve| curve.of_jars(&jars, &not_gauged));
        let charged = |folder: &RunFolder| {
            folder.plan.charge.litres * folder.plan.charge.strength_vol / 100.0
        };
        Ok(Self {
            factor: curve.map_or(1.0, |curve| curve.factor),
            charged_l: folder.as_ref().map(charged),
            run: folder.map(|folder| folder.plan.title),
            id,
            jars,
            congeners,
            left_out: not_gauged.iter().map(|one| one.0).collect(),
        })
    }
}

/// What the typed jars were gauged with, as the house knows it now; a house without a record knows
/// of no calibration.
fn with(args: &JarsArgs, name: &str) -> Result<GaugedWith, CliError> {
    let folder = data::folder(args.data.as_deref())?;
    let overdue = match Store::open_read_only(&folder) {
        Ok(store) => store.dated_instrument(name)?.is_overdue(Clock::default().now_ms()),
        Err(StoreError::Absent { .. }) => false,
        Err(error) => return Err(error.into()),
    };
    Ok(GaugedWith { instrument: name.to_owned(), overdue })
}

/// The run's model.
fn curve(folder: &RunFolder) -> Result<Option<Curve>, CliError> {
    let outcome = forecast(&folder.plan, &Options::default())?;
    Ok(Curve::of(&outcome, folder.plan.charge.congeners_mg_per_l.is_some()))
}
