//! `workbench calibrate`: learns from recordings with outcome what the estimate takes from its
//! learned file.

use estimate::{RunKind, Settings};
use workbench::Forecast;
use workbench::held::{Left, Miss, file};

use super::folders::{self, Recording};
use super::{moments, out, work};
use crate::args::CalibrateArgs;
use crate::error::BenchError;

/// Forecasts every folder at the usual moments and writes what follows.
pub(crate) fn run(args: &CalibrateArgs) -> Result<(), BenchError> {
    let mut misses = Vec::new();
    let mut from = Vec::new();
    for folder in &args.folders {
        let units = folders::find(folder)?;
        let moments = moments::choose(&units, folder, None)?;
        let jobs = super::jobs(None)?;
        let settings = Settings { learned: false, ..Settings::default() };
        let choices = work::Choices { settings, learning: true, jobs };
        let results = work::forecasts(&units, &moments, choices)?;
        super::finish(&results)?;
        let before = misses.len();
        for (place, unit) in units.iter().enumerate() {
            let still = format!("{} {place}", folder.display());
            for run in &unit.runs {
                let result = results.iter().find(|result| result.name == run.name);
                let made = result.map_or(&[][..], |result| &result.forecasts);
                misses.extend(made.iter().filter_map(|made| miss(&still, run, made)));
            }
        }
        if misses.len() == before {
            return Err(BenchError::Unfit {
                file: folder.clone(),
                line: None,
                what: "no run below it says how it ended".to_owned(),
                hint: "name a folder of recordings with an outcome.json each".to_owned(),
            });
        }
        let name = folder.file_name().map(|name| name.to_string_lossy().into_owned());
        from.push(format!("{} stills of `{}`", units.len(), name.unwrap_or_default()));
    }
    let text = file(&misses, &from.join(" and "));
    out::print(&text)?;
    out::write_file("--into", &args.into, &text)
}

/// What was left by a forecast and by what came, of the whole hearts.
fn miss(still: &str, run: &Recording, made: &Forecast) -> Option<Miss> {
    let truth = run.truth.as_ref()?;
    let kind = RunKind::of(&run.folder.plan);
    let time = Left {
        drawn: made.end.map(|end_s| end_s - made.made_at_s),
        came: truth.end_of_hearts_s - made.made_at_s,
    };
    let drawn_l = made.drawn_l?;
    let litres = Left {
        drawn: made.litres.map(|litres| litres - drawn_l),
        came: truth.hearts_l_20c - drawn_l,
    };
    // Long hearts and large ones count no more than others.
    let whole_s = time.came / (1.0 - made.at_fraction);
    let [time, litres] = [(time, whole_s), (litres, truth.hearts_l_20c)].map(|(left, whole)| {
        Left { drawn: left.drawn.map(|left| left / whole), came: left.came / whole }
    });
    Some(Miss { still: still.to_owned(), kind, time, litres })
}
