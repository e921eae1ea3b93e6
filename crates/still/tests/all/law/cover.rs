//! The element cover bites: no way through the plan may promise what lies beyond it.

use still::forecast::{Options, forecast};
use still::outcome::EndedBy;
use still::plan::{RunPlan, StepKind};

use super::four::gone_on;

/// The named example: the plan of a recording with 20.76 L charged and 19.9 L of element cover. The
/// forecast stopped with 0.29 L of hearts, the track went on to the 1.21 L of the plan without.
#[test]
fn regress_a_cover_that_bites_ends_the_track_where_it_ends_the_forecast() {
    let plan: RunPlan = toml::from_str(include_str!("cover.toml")).expect("a bundled plan parses");
    let planned = forecast(&plan, &Options::default()).expect("it boils");
    assert_eq!(planned.ended_by, EndedBy::ElementCover);
    let hearts = planned.steps.iter().find(|step| step.kind == StepKind::Hearts);
    let hearts = hearts.expect("it comes to the hearts");
    assert!((hearts.litres_20c - 0.286).abs() < 0.005, "{} L", hearts.litres_20c);
    for whole in [false, true] {
        let (track, ends) = gone_on(&plan, whole);
        let ends = ends.expect("it boils");
        let start = ends.hearts_s.and_then(|hearts_s| track.at(hearts_s));
        let start = start.expect("it comes to the hearts");
        for end in [ends.plan, ends.hearts] {
            let end = end.expect("it is known where they stop");
            let litres = end.at.drawn_since(&start).litres_20c;
            assert!((litres - hearts.litres_20c).abs() < 0.002, "whole {whole}: {litres} L");
            assert!((end.time_s - planned.end_s).abs() < 5.0, "{} s", end.time_s);
            assert!(!end.reached, "the plan's own end was not reached");
        }
        assert_eq!(track.steps.last().map(|step| step.by), Some(EndedBy::ElementCover));
    }
}
