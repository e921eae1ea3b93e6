//! Our own recording for tests: the example's low wines, rehearsed, with an outcome made by the test.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use still::plan::StepKind;
use store::folder::RunFolder;

use crate::example;

/// A pot run as a rehearsal through the engine left it, probes read every half minute.
pub(crate) static POT_RUN: LazyLock<RunFolder> = LazyLock::new(|| {
    let plan = store::folder::read_plan(&example("low-wines/run.toml")).expect("the plan is whole");
    let mut rows = sense::RecordedRun::default();
    let options = advise::LiveOptions { estimate: false, ..advise::LiveOptions::default() };
    rehearse::rehearse_as(&plan, 11, options, &mut |_, _| {}, &mut |more| {
        rows.append(more.clone());
    })
    .expect("the example can be rehearsed");
    rows.readings.retain(|row| row.0 % 30.0 == 0.0);
    RunFolder::new(plan, rows)
});

/// Where its hearts began and ended, run time in s.
pub(crate) fn hearts_s() -> (f64, f64) {
    let jars = POT_RUN.rows.jars.iter().filter(|jar| jar.cut == Some(StepKind::Hearts));
    let ends = jars.fold((f64::INFINITY, 0.0), |(start, end): (f64, f64), jar| {
        (start.min(jar.start_s), end.max(jar.end_s))
    });
    assert!(ends.0 < ends.1, "the rehearsal draws hearts");
    ends
}

/// The run with when its hearts began and ended.
pub(crate) fn with_outcome() -> RunFolder {
    let (start, end) = hearts_s();
    let outcome =
        serde_json::json!({ "hearts_start_s": start, "end_of_hearts_s": end, "hearts_l_20c": 3.0 });
    RunFolder { outcome: Some(outcome), ..POT_RUN.clone() }
}

/// Writes a run folder into `dir`, with a file of the test's own in place of one of it.
pub(crate) fn write(dir: &Path, run: &RunFolder, file: Option<(&str, &str)>) {
    store::folder::write(dir, run).expect("a run folder can be written");
    if let Some((name, text)) = file {
        fs::write(dir.join(name), text).expect("a test file can be written");
    }
}
