//! Sessions of people: one for each browser that was paired.

use rusqlite::{OptionalExtension, Row, params};

use super::book::{AccessBook, SecretDigest, must_have_room};
use crate::error::StoreError;

/// Most sessions (judgement: a house with all its guests).
pub const PEOPLE_MAX: usize = 64;

/// What a person may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Attends: sees and records.
    Attendant,
    /// Sees, and records nothing.
    LookerOn,
}

impl Role {
    /// The word of it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Attendant => "attendant",
            Self::LookerOn => "looker_on",
        }
    }

    /// The role of that word.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        [Self::Attendant, Self::LookerOn].into_iter().find(|role| role.word() == word)
    }
}

/// A session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// Names the session; no secret.
    pub id: String,
    /// What it may do.
    pub role: Role,
    /// What the person calls the browser.
    pub name: String,
    /// When it was paired, ms UTC.
    pub made_ms: i64,
    /// When it ends, ms UTC.
    pub expires_ms: i64,
    /// When it was last here, ms UTC, to the minute.
    pub seen_ms: i64,
}

const COLUMNS: &str = "id, role, name, made_ms, expires_ms, seen_ms, digest";

fn read(row: &Row<'_>) -> Result<Option<(Person, SecretDigest)>, rusqlite::Error> {
    let role: String = row.get(1)?;
    // A word of a newer program lets nobody in.
    let Some(role) = Role::of(&role) else { return Ok(None) };
    let person = Person {
        id: row.get(0)?,
        role,
        name: row.get(2)?,
        made_ms: row.get(3)?,
        expires_ms: row.get(4)?,
        seen_ms: row.get(5)?,
    };
    Ok(Some((person, row.get(6)?)))
}

impl AccessBook {
    /// Keeps a session and the digest of its secret; sessions that have ended go.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where there are too many.
    pub fn put_person(
        &self,
        person: &Person,
        digest: &SecretDigest,
        now_ms: i64,
    ) -> Result<(), StoreError> {
        let connection = self.connection();
        connection.execute("DELETE FROM person WHERE expires_ms <= ?1", [now_ms])?;
        must_have_room(&connection, "person", PEOPLE_MAX)?;
        connection.execute(
            &format!("INSERT INTO person ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)"),
            params![
                person.id,
                person.role.word(),
                person.name,
                person.made_ms,
                person.expires_ms,
                person.seen_ms,
                digest.as_slice()
            ],
        )?;
        Ok(())
    }

    /// The session of that id, while it lasts, and the digest of its secret.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn person(
        &self,
        id: &str,
        now_ms: i64,
    ) -> Result<Option<(Person, SecretDigest)>, StoreError> {
        let connection = self.connection();
        let mut one =
            connection.prepare_cached(&format!("SELECT {COLUMNS} FROM person WHERE id = ?1"))?;
        let found = one.query_row([id], read).optional()?.flatten();
        Ok(found.filter(|(person, _)| now_ms < person.expires_ms))
    }

    /// All sessions that last, the oldest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn people(&self, now_ms: i64) -> Result<Vec<Person>, StoreError> {
        let connection = self.connection();
        let mut all =
            connection.prepare_cached(&format!("SELECT {COLUMNS} FROM person ORDER BY made_ms"))?;
        let found = all.query_map([], read)?.collect::<Result<Vec<_>, _>>()?;
        let people = found.into_iter().flatten().map(|(person, _)| person);
        Ok(people.filter(|person| now_ms < person.expires_ms).collect())
    }
}
