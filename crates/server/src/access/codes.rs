//! What lets somebody in: codes for people, tokens for devices, both told once.

use store::StoreError;
use store::access::{AccessBook, Device, DeviceOf, Role, SecretDigest};

use super::secret::{Secret, as_shown, random};

/// Random bytes of a code: 50 bits or more are beyond guessing where guesses are few; 80 are taken.
const CODE_BYTES: usize = 10;
/// Characters between two strokes.
const GROUP: usize = 4;
/// How long a code waits to be used, ms: ten minutes (judgement: a phone that lies in another room).
pub(super) const CODE_MS: i64 = 600_000;
/// Most characters of what a person calls a browser or a device.
const NAME_CHARACTERS_MAX: usize = 60;

/// A code that lets one browser in, once.
#[derive(Clone)]
pub struct DoorCode {
    /// As it is shown and typed.
    pub code: String,
    /// As what it lets in.
    pub role: Role,
    /// Until when, ms UTC.
    pub expires_ms: i64,
}

/// Nobody prints it by accident.
impl std::fmt::Debug for DoorCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "DoorCode for {}", self.role.word())
    }
}

impl DoorCode {
    /// The address that a phone opens, below where the server is reached. What stands after `#` is
    /// sent to nobody: no log of a proxy holds it, and no preview uses it up.
    #[must_use]
    pub fn link(&self, place: &str) -> String {
        format!("{place}/pair#{}", self.code)
    }
}

/// Makes a code and keeps its digest until it is used or expires.
///
/// # Errors
/// Where the book cannot be written, or the system gives no random bytes.
pub fn door_code(book: &AccessBook, role: Role, now_ms: i64) -> Result<DoorCode, StoreError> {
    let text = random(CODE_BYTES)?;
    let expires_ms = now_ms.saturating_add(CODE_MS);
    book.put_code(blake3::hash(text.as_bytes()).as_bytes(), role, expires_ms, now_ms)?;
    let groups: Vec<&str> =
        (0..text.len()).step_by(GROUP).map(|at| &text[at..at + GROUP]).collect();
    Ok(DoorCode { code: groups.join("-"), role, expires_ms })
}

/// The digest of a code that somebody tells; none of what cannot be one.
pub(super) fn digest_of(told: &str) -> Option<SecretDigest> {
    let text = as_shown(told);
    let plausible = text.len() == CODE_BYTES / 5 * 8;
    plausible.then(|| *blake3::hash(text.as_bytes()).as_bytes())
}

/// Makes a device and its token, which is told here and never again.
///
/// # Errors
/// As [`door_code`]; [`StoreError::Entry`] for a name that is none.
pub fn device_token(
    book: &AccessBook,
    of: DeviceOf,
    name: &str,
    now_ms: i64,
) -> Result<(Device, String), StoreError> {
    let of = match of {
        DeviceOf::Still(still) => DeviceOf::Still(checked("still", &still)?),
        DeviceOf::Wash(wash) => DeviceOf::Wash(checked("wash", &wash)?),
    };
    let name = checked("name", name)?;
    let secret = Secret::new()?;
    let id = secret.id().to_owned();
    let device = Device { id, of, name, made_ms: now_ms, seen_ms: None };
    book.put_device(&device, &secret.digest())?;
    Ok((device, secret.told_as()))
}

fn checked(field: &'static str, text: &str) -> Result<String, StoreError> {
    let text = text.trim();
    if is_name(text) {
        return Ok(text.to_owned());
    }
    let value = text.chars().take(NAME_CHARACTERS_MAX).collect();
    Err(StoreError::Entry { field, value, bound: NAME_BOUND })
}

/// What a name must be.
pub(crate) const NAME_BOUND: &str = "must be a text of 1 to 60 characters";

/// Whether it is a name of a still, a wash, a browser or a device.
pub(crate) fn is_name(text: &str) -> bool {
    (1..=NAME_CHARACTERS_MAX).contains(&text.chars().count()) && !text.chars().any(char::is_control)
}
