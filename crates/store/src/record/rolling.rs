//! The digest of the whole record at each of its entries, in the order of writing.

use rusqlite::Connection;

/// Names the layout of the bytes, so that a later one can never collide with it.
const DOMAIN: &str = "middlecut record, layout 1";
/// How much the record holds, and the digest over all of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordHead {
    /// Entries.
    pub entries: i64,
    /// Digest over all entries in the order of writing, 64 hexadecimal digits; all 0 where there is
    /// none.
    pub digest: String,
}

/// The digest as far as it was worked out.
#[derive(Debug, Default)]
pub(super) struct Rolling {
    pub(super) row: i64,
    pub(super) entries: i64,
    digest: [u8; 32],
}

impl Rolling {
    /// Goes on over what came since; stops where `found` says so.
    pub(super) fn go_on(
        &mut self,
        connection: &Connection,
        mut found: impl FnMut(&Self, &str) -> bool,
    ) -> Result<(), rusqlite::Error> {
        let mut statement = connection
            .prepare_cached("SELECT rowid, digest FROM entry WHERE rowid > $1 ORDER BY rowid")?;
        let mut rows = statement.query([self.row])?;
        while let Some(row) = rows.next()? {
            let digest: String = row.get(1)?;
            let mut hasher = blake3::Hasher::new();
            hasher.update(DOMAIN.as_bytes());
            hasher.update(&self.digest);
            hasher.update(digest.as_bytes());
            self.digest = *hasher.finalize().as_bytes();
            self.row = row.get(0)?;
            self.entries += 1;
            if found(self, &digest) {
                break;
            }
        }
        Ok(())
    }

    /// As 64 hexadecimal digits.
    pub(super) fn text(&self) -> String {
        blake3::Hash::from_bytes(self.digest).to_hex().to_string()
    }
}

/// The digest over the whole log as this connection sees it.
pub(super) fn head_of(connection: &Connection) -> Result<RecordHead, rusqlite::Error> {
    let mut rolling = Rolling::default();
    rolling.go_on(connection, |_, _| false)?;
    Ok(RecordHead { entries: rolling.entries, digest: rolling.text() })
}
