//! The jars of a run as parts of a blend: volume as measured, strength as the glass read it.

use alcoholometry::blend::Part;
use finishing::jar::JarReading;
use sense::JarRecord;
use serde::Serialize;
use still::plan::StepKind;

use crate::args::BlendArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print::Warning;

/// The jars of one run.
#[derive(Debug, Serialize)]
pub(super) struct Jars {
    /// The run's title.
    pub(super) run: String,
    /// Those that are parts.
    pub(super) taken: Vec<Jar>,
    /// Numbers of those that were never gauged.
    left_out: Vec<u32>,
}

/// A gauged jar.
#[derive(Debug, Serialize)]
pub(super) struct Jar {
    /// Its number.
    pub(super) number: u32,
    /// Its volume.
    pub(super) litres_20c: f64,
    /// Its strength.
    pub(super) strength_vol_20c: f64,
}

/// The jars that were asked for; nothing where only typed parts were.
pub(super) fn of(args: &BlendArgs) -> Result<Option<Jars>, CliError> {
    let folder = match &args.run {
        Some(dir) => store::folder::read_record(dir)?,
        None if args.last => data::last_run(&data::folder(args.data.as_deref())?)?,
        None => return Ok(None),
    };
    let mut jars = Jars { run: folder.plan.title.clone(), taken: Vec::new(), left_out: Vec::new() };
    for record in sense::jar::standing(&folder.rows.jars).filter(|record| is_wanted(args, record)) {
        match measured(record)? {
            Some(jar) => jars.taken.push(jar),
            None => jars.left_out.push(record.number),
        }
    }
    if jars.taken.is_empty() && args.parts.is_empty() {
        let what = if args.jars.is_empty() {
            "holds hearts was gauged".to_owned()
        } else {
            "was asked for was gauged".to_owned()
        };
        return Err(CliError::NoJars { run: folder.plan.title, what });
    }
    Ok(Some(jars))
}

fn is_wanted(args: &BlendArgs, record: &JarRecord) -> bool {
    if args.jars.is_empty() {
        record.cut == Some(StepKind::Hearts)
    } else {
        args.jars.contains(&record.number)
    }
}

/// Volume and strength at 20 °C; nothing for a jar that no glass stood in, or without a temperature.
fn measured(record: &JarRecord) -> Result<Option<Jar>, CliError> {
    let Some(reading) = JarReading::of(record) else { return Ok(None) };
    let finishing::jar::Jar { number, litres_20c, strength_vol_20c, .. } =
        finishing::jar::Jar::gauged(&reading)?;
    Ok(Some(Jar { number, litres_20c, strength_vol_20c }))
}

impl Jars {
    /// As parts at 20 °C.
    pub(super) fn parts(&self) -> Vec<Part> {
        self.taken.iter().map(|jar| Part::at_20c(jar.litres_20c, jar.strength_vol_20c)).collect()
    }

    /// What was left out.
    pub(super) fn warnings(&self) -> Vec<Warning> {
        let warn = |number: &u32| Warning {
            code: "jar_not_gauged",
            text: format!("jar {number} was not gauged and is left out"),
        };
        self.left_out.iter().map(warn).collect()
    }
}
