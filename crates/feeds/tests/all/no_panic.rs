//! No bytes of a source and no text of a file make the program panic or hold more than a line.

use std::path::Path;

use feeds::{
    At, Growing, LINE_BYTES_MAX, LineShape, Lines, Look, Message, Messages, Told, Wanted,
    filter_fault, is_meant, own_unit, parse, read_line, read_one_wire, read_payload,
};
use proptest::prelude::*;
use proptest::test_runner::FileFailurePersistence;
use sense::Probe;

fn wanted(at: At) -> Wanted {
    let probe = Probe::Pot;
    Wanted { probe: probe.into(), topic: None, at, unit: own_unit(probe), scale: 1.0, offset: 0.0 }
}

fn all_ways() -> Vec<Wanted> {
    let pointer = At::Pointer("/a/0".into());
    [At::Only, At::Field("a".into()), pointer, At::Place(0), At::Place(2)].map(wanted).into()
}

/// Bytes of any kind, and bytes near what a source sends.
fn bytes() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        proptest::collection::vec(any::<u8>(), 0..600),
        "[-0-9a-fA-FyesnoYESNOt=:., {}\\[\\]\"\r\n]{0,200}".prop_map(String::into_bytes),
        proptest::collection::vec(Just(b'['), 0..6000),
    ]
}

fn finite(told: &Told) -> bool {
    told.iter().flatten().flatten().all(|value| value.is_finite())
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: Some(Box::new(FileFailurePersistence::WithSource("regressions"))),
        ..ProptestConfig::with_cases(400)
    })]

    #[test]
    fn prop_no_bytes_panic(bytes in bytes()) {
        let wanted = all_ways();
        prop_assert!(finite(&read_one_wire(&bytes)));
        prop_assert!(finite(&read_line(&bytes, LineShape::Json, &wanted)));
        prop_assert!(finite(&read_line(&bytes, LineShape::Commas, &wanted)));
    }

    #[test]
    fn prop_no_payload_panics(
        payloads in proptest::collection::vec((bytes(), any::<bool>(), "[ab/+#$]{0,6}"), 1..6),
        filter in "[ab/+#$]{0,6}",
    ) {
        let topic = Some(filter);
        let wanted: Vec<Wanted> =
            all_ways().into_iter().map(|wanted| Wanted { topic: topic.clone(), ..wanted }).collect();
        let mut messages = Messages::default();
        for (second, (payload, retained, topic)) in (0_u32..).zip(&payloads) {
            let message = Message { topic, payload, retained: *retained };
            let told = messages.take(f64::from(second), &message, &wanted);
            for (place, told) in told {
                prop_assert!(place < wanted.len());
                prop_assert!(!*retained || told.is_err(), "nothing that was kept is of now");
                prop_assert!(told.is_err() || told == read_payload(payload, &wanted[place].at));
                prop_assert!(told.is_err() || told.is_ok_and(f64::is_finite));
            }
        }
    }

    #[test]
    fn prop_a_number_comes_as_it_was_sent(value in proptest::num::f64::NORMAL, spaces in " {0,2}") {
        let plain = format!("{spaces}{value}{spaces}
");
        prop_assert_eq!(read_payload(plain.as_bytes(), &At::Only), Ok(value));
        let json = format!(r#"{{"a": [{value}, null]}}"#);
        prop_assert_eq!(read_payload(json.as_bytes(), &At::Pointer("/a/0".into())), Ok(value));
    }

    #[test]
    fn prop_a_filter_means_what_a_pattern_does(
        filter in "([ab+]/){0,3}[ab+#]", topic in "([ab]/){0,4}[ab]",
    ) {
        prop_assert_eq!(filter_fault(&filter), None);
        // The same rule by taking the levels from the end of the filter's wildcard on.
        let (filters, topics): (Vec<_>, Vec<_>) =
            (filter.split('/').collect(), topic.split('/').collect());
        let open = filters.last() == Some(&"#");
        let fixed = if open { &filters[..filters.len() - 1] } else { &filters[..] };
        let long = if open { topics.len() >= fixed.len() } else { topics.len() == fixed.len() };
        let same = fixed.iter().zip(&topics).all(|(want, have)| *want == "+" || want == have);
        prop_assert_eq!(is_meant(&filter, &topic), long && same);
    }

    #[test]
    fn prop_lines_come_the_same_however_they_are_cut(bytes in bytes(), at in 0_usize..600) {
        let (mut whole, mut cut) = (Lines::default(), Lines::default());
        let at = at.min(bytes.len());
        let mut in_two = cut.take(&bytes[..at]);
        in_two.extend(cut.take(&bytes[at..]));
        let lines = whole.take(&bytes);
        prop_assert!(lines.iter().flatten().all(|line| line.len() <= LINE_BYTES_MAX));
        prop_assert_eq!(lines, in_two);
    }

    #[test]
    fn prop_no_growing_file_panics(
        pieces in proptest::collection::vec((bytes(), 0_u64..3, 0_u64..9000), 1..8),
    ) {
        let mut file = Growing::default();
        for (bytes, identity, length) in pieces {
            match file.look(identity, length, length % 3) {
                Look::Head => file.take_head((identity, length, 0), &bytes, &bytes, &all_ways()),
                Look::From(from) => prop_assert!(from <= length),
                Look::Nothing => {}
            }
            let rows = file.take(&bytes, &all_ways(), Some("a"));
            prop_assert!(rows.iter().all(|row| finite(&row.told)));
        }
    }

    #[test]
    fn prop_no_file_panics(cut in 0_usize..2000, put in "[ -~\n]{0,12}", at in 0_usize..2000) {
        let text = crate::file::example();
        let at = at.min(text.len());
        let end = (at + cut % 40).min(text.len());
        if text.is_char_boundary(at) && text.is_char_boundary(end) {
            let broken = format!("{}{put}{}", &text[..at], &text[end..]);
            if let Err(error) = parse(&broken, Path::new("feeds.toml")) {
                prop_assert!(!error.bound.is_empty() && !error.hint.is_empty(), "{error:?}");
            }
        }
    }
}
