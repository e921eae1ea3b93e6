//! The digest of an entry: BLAKE3 over its bytes and the digest before it.

use rusqlite::{Connection, params};

use crate::error::StoreError;

/// What a digest is taken over.
pub(super) struct Link<'a> {
    pub(super) site_id: &'a str,
    pub(super) still_id: &'a str,
    pub(super) run_id: &'a str,
    pub(super) number: i64,
    pub(super) kind: &'a str,
    pub(super) payload_version: i64,
    pub(super) measured_ms: i64,
    pub(super) stored_ms: i64,
    pub(super) payload: &'a str,
    pub(super) previous_digest: &'a str,
}

/// Names the layout of the bytes, so that a later one can never collide with it.
const DOMAIN: &str = "middlecut entry, layout 1";

impl Link<'_> {
    /// The digest as 64 hexadecimal digits. Every field is preceded by its length, so that no two
    /// entries have the same bytes.
    pub(super) fn digest(&self) -> String {
        let mut hasher = blake3::Hasher::new();
        let mut text = |field: &str| {
            hasher.update(&(field.len() as u64).to_le_bytes());
            hasher.update(field.as_bytes());
        };
        [DOMAIN, self.site_id, self.still_id, self.run_id, self.kind, self.payload]
            .into_iter()
            .for_each(&mut text);
        text(self.previous_digest);
        for number in [self.number, self.payload_version, self.measured_ms, self.stored_ms] {
            hasher.update(&number.to_le_bytes());
        }
        hasher.finalize().to_hex().to_string()
    }

    /// Adds the entry to the table.
    pub(super) fn insert(&self, to: &Connection, digest: &str) -> Result<(), StoreError> {
        to.prepare_cached(
            "INSERT INTO entry (site_id, still_id, run_id, number, kind, payload_version, \
             measured_ms, stored_ms, payload, previous_digest, digest) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
        )?
        .execute(params![
            self.site_id,
            self.still_id,
            self.run_id,
            self.number,
            self.kind,
            self.payload_version,
            self.measured_ms,
            self.stored_ms,
            self.payload,
            self.previous_digest,
            digest
        ])?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Link;

    fn link<'a>(kind: &'a str, payload: &'a str) -> Link<'a> {
        Link {
            site_id: "here",
            still_id: "still",
            run_id: "r",
            number: 1,
            kind,
            payload_version: 1,
            measured_ms: 2,
            stored_ms: 3,
            payload,
            previous_digest: "",
        }
    }

    #[test]
    fn regress_the_layout_of_the_digest_never_changes() {
        assert_eq!(
            link("note", "{}").digest(),
            "d82aa15676f6cbac94356474727eaeef62774b888dba2eaf5504a70306a0b1be"
        );
    }

    #[test]
    fn prop_bytes_do_not_move_between_fields() {
        assert_ne!(link("ab", "c").digest(), link("a", "bc").digest());
    }
}
