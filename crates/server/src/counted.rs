//! What a device counts of its own posts: the key by which one that comes again changes nothing.

use crate::problem::ApiError;

/// Most characters of what a device calls its start.
const BOOT_CHARACTERS_MAX: usize = 16;
/// Characters of the rows' digest in a key: 40 bits tell the posts of one device and number apart.
const DIGEST_CHARACTERS: usize = 10;

/// A device's own count of a post.
#[derive(Debug, Clone, Default)]
pub(crate) struct Counted {
    /// What it calls its present start.
    pub(crate) boot: Option<String>,
    /// Number of the post.
    pub(crate) sequence: Option<u64>,
}

impl Counted {
    /// The key of a post of a device: its own count of it, or the key it gave. The rows are part of
    /// the key, so that a device that began to count anew loses none.
    ///
    /// # Errors
    /// [`ApiError::Field`] for a start that is none, and for what does not go together.
    pub(crate) fn key(
        self,
        device: &str,
        key: Option<String>,
        rows: &str,
    ) -> Result<Option<String>, ApiError> {
        let boot = self.boot.unwrap_or_default();
        let plain =
            boot.len() <= BOOT_CHARACTERS_MAX && boot.bytes().all(|b| b.is_ascii_alphanumeric());
        if !plain {
            let bound = format!("must be 1 to {BOOT_CHARACTERS_MAX} letters and digits");
            return Err(ApiError::field("boot", boot, bound, "a random number will do"));
        }
        let Some(sequence) = self.sequence else {
            if boot.is_empty() {
                return Ok(key);
            }
            return Err(ApiError::field(
                "boot",
                boot,
                "goes with sequence",
                "count the posts, too",
            ));
        };
        if let Some(key) = key {
            let bound = "must not be given together with sequence";
            return Err(ApiError::field("key", key, bound, "give one of them"));
        }
        let digest = blake3::hash(rows.as_bytes()).to_hex();
        Ok(Some(format!("{device}.{boot}.{sequence}.{}", &digest[..DIGEST_CHARACTERS])))
    }
}
