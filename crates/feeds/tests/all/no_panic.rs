//! No bytes of a source and no text of a file make the program panic or hold more than a line.

use std::path::Path;

use feeds::{
    At, Growing, LINE_BYTES_MAX, LineShape, Lines, Look, Told, Unit, Wanted, parse, read_line,
    read_one_wire,
};
use proptest::prelude::*;
use proptest::test_runner::FileFailurePersistence;
use sense::Probe;

fn wanted(at: At) -> Wanted {
    let probe = Probe::Pot;
    Wanted { probe, at, unit: Unit::own(probe), scale: 1.0, offset: 0.0 }
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
            match file.look(identity, length) {
                Look::Head => file.take_head(identity, length, &bytes, bytes.last().copied()),
                Look::From(from) => prop_assert!(from <= length),
                Look::Nothing => {}
            }
            prop_assert!(file.take(&bytes, &all_ways()).iter().all(finite));
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
