//! `workbench calibrate`: learns from recordings with outcome what the estimate takes from its
//! learned file.

use estimate::{Factors, Settings, tails};
use quantities::Band;
use workbench::held::{Far, Miss, file};

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
        let choices = work::Choices { settings: Settings::default(), learning: true, jobs };
        let results = work::forecasts(&units, &moments, choices)?;
        super::finish(&results)?;
        let before = misses.len();
        for (place, unit) in units.iter().enumerate() {
            let still = format!("{} {place}", folder.display());
            for run in &unit.runs {
                let result = results.iter().find(|result| result.name == run.name);
                let made = result.map_or(&[][..], |result| &result.forecasts);
                misses.extend(
                    made.iter().filter_map(|made| miss(&still, run, &made.end, &made.litres)),
                );
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

/// How far off a forecast was in distances of its quantiles, as the draws have them.
fn miss(still: &str, run: &Recording, end: &Band, litres: &Band) -> Option<Miss> {
    let truth = run.truth.as_ref()?;
    let kind = run.folder.plan.still.kind;
    let now = tails(kind);
    let (time, litres) =
        (far(end, truth.end_of_hearts_s, now.time)?, far(litres, truth.hearts_l_20c, now.litres)?);
    Some(Miss { still: still.to_owned(), kind, time, litres })
}

fn far(band: &Band, came: f64, by: Factors) -> Option<Far> {
    let (inner, outer) =
        if came > band.p50 { (band.p90, band.p975) } else { (band.p10, band.p025) };
    let far = |quantile: f64, by: f64| by * (came - band.p50) / (quantile - band.p50);
    let both = [far(inner, by.inner), far(outer, by.outer)];
    both.iter().all(|far| far.is_finite()).then_some(both)
}
