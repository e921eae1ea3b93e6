//! Payloads of every version stay readable, and what is none of them is an error.

use super::{Entry, PAYLOAD_VERSION};

/// Payloads as version 1 wrote them, one of each kind: kind, tab, text.
const VERSION_1: &str = include_str!("../../tests/fixtures/payloads_v1.tsv");
/// As [`VERSION_1`], of version 2.
const VERSION_2: &str = include_str!("../../tests/fixtures/payloads_v2.tsv");
/// As [`VERSION_1`], of version 3.
const VERSION_3: &str = include_str!("../../tests/fixtures/payloads_v3.tsv");
/// As [`VERSION_1`], of version 4.
const VERSION_4: &str = include_str!("../../tests/fixtures/payloads_v4.tsv");
/// As [`VERSION_1`], of version 5.
const VERSION_5: &str = include_str!("../../tests/fixtures/payloads_v5.tsv");
/// As [`VERSION_1`], of version 6.
const VERSION_6: &str = include_str!("../../tests/fixtures/payloads_v6.tsv");
/// As [`VERSION_1`], of version 7.
const VERSION_7: &str = include_str!("../../tests/fixtures/payloads_v7.tsv");
/// As [`VERSION_1`], of version 8.
const VERSION_8: &str = include_str!("../../tests/fixtures/payloads_v8.tsv");

fn readable(version: i64, payloads: &str) -> usize {
    let mut kinds = Vec::new();
    for line in payloads.lines() {
        let (kind, text) = line.split_once('\t').unwrap();
        let entry = Entry::from_payload(kind, version, text).unwrap_or_else(|what| {
            panic!("{kind} cannot be read any more: {what}: {text}");
        });
        assert_eq!(entry.kind(), kind);
        assert_eq!(entry.payload().unwrap(), text, "what was read is not what stands there");
        kinds.push(kind);
    }
    kinds.dedup();
    kinds.len()
}

#[test]
fn regress_payloads_of_version_1_stay_readable() {
    assert_eq!(readable(1, VERSION_1), 15, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_2_stay_readable() {
    assert_eq!(readable(2, VERSION_2), 27, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_3_stay_readable() {
    assert_eq!(readable(3, VERSION_3), 28, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_4_stay_readable() {
    assert_eq!(readable(4, VERSION_4), 28, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_5_stay_readable() {
    assert_eq!(readable(5, VERSION_5), 30, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_6_stay_readable() {
    assert_eq!(readable(6, VERSION_6), 35, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_7_stay_readable() {
    assert_eq!(readable(7, VERSION_7), 47, "a kind is missing");
}

#[test]
fn regress_payloads_of_version_8_stay_readable() {
    assert_eq!(readable(8, VERSION_8), 48, "a kind is missing");
}

#[test]
fn payloads_of_a_newer_program_are_refused() {
    let said =
        Entry::from_payload("started", PAYLOAD_VERSION + 1, "{\"started_ms\":1}").unwrap_err();
    assert!(said.contains("version 9"), "{said}");
    assert!(Entry::from_payload("dance", 1, "{}").is_err());
    assert!(Entry::from_payload("named", 1, "{\"name\":\"x\"}").is_err(), "not in version 1");
}

#[test]
fn an_unknown_priority_or_kind_of_event_is_an_error_and_not_low() {
    let event = |kind: &str, priority: &str| {
        let text = format!(
            "{{\"time_s\":1.0,\"kind\":\"{kind}\",\"code\":\"x\",\"priority\":\"{priority}\",\
             \"text\":\"\",\"how_sure\":\"\",\"do\":\"\",\"within_s\":null}}"
        );
        Entry::from_payload("event", 1, &text)
    };
    assert!(event("alarm", "critical").is_ok());
    assert!(event("alarm", "catastrophic").unwrap_err().contains("catastrophic"));
    assert!(event("song", "high").unwrap_err().contains("song"));
}
