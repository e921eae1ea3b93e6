//! Codes that pair: each is taken once, and only in time.

use rusqlite::{OptionalExtension, params};

use super::book::{AccessBook, SecretDigest};
use super::person::Role;
use crate::error::StoreError;

/// Most codes that are open at once, the newest (judgement: nobody lets in more at a time).
pub const CODES_MAX: usize = 16;

impl AccessBook {
    /// Keeps the digest of a code until it expires.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_code(
        &self,
        digest: &SecretDigest,
        role: Role,
        expires_ms: i64,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        let connection = self.connection();
        connection.execute("DELETE FROM code WHERE expires_ms <= ?1", [now_ms])?;
        let row = params![digest.as_slice(), role.word(), expires_ms];
        connection.execute("INSERT OR REPLACE INTO code VALUES (?1, ?2, ?3)", row)?;
        connection.execute(
            "DELETE FROM code WHERE digest NOT IN
             (SELECT digest FROM code ORDER BY expires_ms DESC LIMIT ?1)",
            [i64::try_from(CODES_MAX).unwrap_or(i64::MAX)],
        )?;
        Ok(())
    }

    /// Takes a code: it is gone, whether it came in time or not. What it lets in as, if anything.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn take_code(
        &self,
        digest: &SecretDigest,
        now_ms: i64,
    ) -> Result<Option<Role>, StoreError> {
        let connection = self.connection();
        // The digest is that of a guess: how far it agrees with one that is kept tells nothing of
        // the code.
        let taken: Option<(String, i64)> = connection
            .query_row(
                "DELETE FROM code WHERE digest = ?1 RETURNING role, expires_ms",
                [digest.as_slice()],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()?;
        Ok(taken.filter(|(_, expires)| now_ms < *expires).and_then(|(role, _)| Role::of(&role)))
    }
}
