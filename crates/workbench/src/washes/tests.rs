//! Scores against values worked out by hand from the definitions.

use ferment::State;
use quantities::Band;

use super::{Moment, Said, page, scores, states};

fn said(moment: &str, state: Option<State>, told: State, chance: [f64; 4]) -> Said {
    Said {
        run: "001".to_owned(),
        kind: "sugar".to_owned(),
        moment: Moment {
            moment: moment.to_owned(),
            at_h: 100.0,
            forecast: moment.starts_with('0'),
            end_h: 200.0,
            final_strength_vol: 9.0,
            kind_of_end: "finished".to_owned(),
            state,
        },
        end_h: Band::point(210.0),
        strength_vol: Band::from_array([8.0, 8.5, 9.5, 10.0, 10.5]),
        state: told,
        chance,
        took_ms: 120.0,
    }
}

#[test]
fn prop_a_point_scores_its_distance_as_a_share_of_the_time_to_the_end() {
    let one = said("0.5", None, State::Working, [1.0, 0.0, 0.0, 0.0]);
    let found = scores(&[&one]).unwrap();
    assert!((found.end_percent - 5.0).abs() < 1e-9, "{found:?}");
    assert!((found.end_off_percent - 5.0).abs() < 1e-9);
    assert_eq!((found.end_inside, found.strength_inside), ([0.0, 0.0], [1.0, 1.0]));
    assert_eq!(scores(&[]), None);
}

#[test]
fn a_state_is_asked_late_only_and_every_wrong_answer_is_counted() {
    let early = said("0.5", Some(State::Working), State::Finished, [0.0, 0.0, 0.0, 1.0]);
    let wrong = said("still", Some(State::Stuck), State::Finished, [0.0, 0.0, 0.05, 0.95]);
    let right = said("still+48", Some(State::Finished), State::Finished, [0.0, 0.0, 0.05, 0.95]);
    let found = states(&[&early, &wrong, &right]);
    assert_eq!(found.table[2], [0, 0, 0, 1]);
    assert_eq!(found.table[3], [0, 0, 0, 1]);
    assert_eq!((found.sure, found.apart), ([2, 1], [2, 1]));
    assert!((found.cost - 2.5).abs() < 1e-12);
    let text = page(&[early, wrong, right]);
    assert!(text.contains("Said finished and was not: 1 of 1."), "{text}");
    assert!(text.contains("bound 0.5 s: kept"), "{text}");
}
