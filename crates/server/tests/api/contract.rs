//! The committed API document is the server's own, and a sound OpenAPI 3.1 document.

use std::path::Path;

use serde_json::Value;

#[test]
fn the_committed_document_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/openapi.json");
    if std::env::var_os("MIDDLECUT_REFRESH").is_some() {
        std::fs::write(&path, server::openapi_json()).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        committed == server::openapi_json(),
        "web/openapi.json is stale; refresh it with: cargo xtask wire \
         (or the document alone: MIDDLECUT_REFRESH=1 cargo test -p server document)"
    );
}

/// Every `$ref` and its target, every response and its description.
fn walk(document: &Value, at: &Value, refs: &mut usize) {
    match at {
        Value::Object(map) => {
            if let Some(Value::String(target)) = map.get("$ref") {
                let pointer = target.strip_prefix('#').expect("references stay inside");
                assert!(document.pointer(pointer).is_some(), "{target} leads nowhere");
                *refs += 1;
            }
            map.values().for_each(|value| walk(document, value, refs));
        }
        Value::Array(list) => list.iter().for_each(|value| walk(document, value, refs)),
        _ => {}
    }
}

#[test]
fn the_document_is_whole() {
    let document: Value = serde_json::from_str(&server::openapi_json()).unwrap();
    assert_eq!(document["openapi"], "3.1.0");
    let mut refs = 0;
    walk(&document, &document, &mut refs);
    assert!(refs > 50);
    let paths = document["paths"].as_object().unwrap();
    for path in ["/api/runs", "/api/runs/{id}/readings", "/api/runs/{id}/actions", "/api/events"] {
        assert!(paths.contains_key(path), "{path}");
    }
    for (path, methods) in paths {
        for (method, operation) in methods.as_object().unwrap() {
            let responses = operation["responses"].as_object().unwrap();
            assert!(!responses.is_empty(), "{method} {path}");
            for response in responses.values() {
                let description = response["description"].as_str().unwrap_or_default();
                assert!(!description.is_empty(), "{method} {path}");
            }
        }
    }
}
