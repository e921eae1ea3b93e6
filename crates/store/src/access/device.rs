//! Tokens of devices: each may send readings of one still or one wash, and nothing else.

use rusqlite::{OptionalExtension, Row, params};

use super::book::{AccessBook, SecretDigest, must_have_room};
use crate::error::StoreError;

/// Most devices (judgement: more boards than a shed has plugs).
pub const DEVICES_MAX: usize = 64;

/// What a device may send readings of, and nothing else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DeviceOf {
    /// A still, by its name in plans.
    Still(String),
    /// A wash, by its title or its name in the record.
    Wash(String),
}

impl DeviceOf {
    /// In words, as "still Copper".
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Still(name) => format!("still {name}"),
            Self::Wash(name) => format!("wash {name}"),
        }
    }

    /// Name of the still, where it is one, and of the wash.
    #[must_use]
    pub fn split(self) -> (Option<String>, Option<String>) {
        match self {
            Self::Still(name) => (Some(name), None),
            Self::Wash(name) => (None, Some(name)),
        }
    }
}

/// A device that may send readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Names the device; no secret.
    pub id: String,
    /// What it may send readings of.
    pub of: DeviceOf,
    /// What a person calls it.
    pub name: String,
    /// When its token was made, ms UTC.
    pub made_ms: i64,
    /// When it last sent something, ms UTC, to the minute.
    pub seen_ms: Option<i64>,
}

const COLUMNS: &str = "id, still, name, made_ms, seen_ms, digest, wash";

fn read(row: &Row<'_>) -> Result<(Device, SecretDigest), rusqlite::Error> {
    let of = match row.get(6)? {
        Some(wash) => DeviceOf::Wash(wash),
        None => DeviceOf::Still(row.get(1)?),
    };
    let device = Device {
        id: row.get(0)?,
        of,
        name: row.get(2)?,
        made_ms: row.get(3)?,
        seen_ms: row.get(4)?,
    };
    Ok((device, row.get(5)?))
}

impl AccessBook {
    /// Keeps a device and the digest of its token.
    ///
    /// # Errors
    /// [`StoreError::Entry`] where there are too many.
    pub fn put_device(&self, device: &Device, digest: &SecretDigest) -> Result<(), StoreError> {
        let connection = self.connection();
        must_have_room(&connection, "device", DEVICES_MAX)?;
        let Device { id, of, name, made_ms, seen_ms } = device;
        let (still, wash) = of.clone().split();
        let still = still.unwrap_or_default();
        connection.execute(
            &format!("INSERT INTO device ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)"),
            params![id, still, name, made_ms, seen_ms, digest.as_slice(), wash],
        )?;
        Ok(())
    }

    /// The device of that id, and the digest of its token.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn device(&self, id: &str) -> Result<Option<(Device, SecretDigest)>, StoreError> {
        let connection = self.connection();
        let mut one =
            connection.prepare_cached(&format!("SELECT {COLUMNS} FROM device WHERE id = ?1"))?;
        Ok(one.query_row([id], read).optional()?)
    }

    /// All devices, the oldest first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn devices(&self) -> Result<Vec<Device>, StoreError> {
        let connection = self.connection();
        let mut all =
            connection.prepare_cached(&format!("SELECT {COLUMNS} FROM device ORDER BY made_ms"))?;
        let found = all.query_map([], read)?.collect::<Result<Vec<_>, _>>()?;
        Ok(found.into_iter().map(|(device, _)| device).collect())
    }
}
