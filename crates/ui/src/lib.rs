//! The page as it was built, embedded in the program: bytes, type, digest. It serves nothing.
//!
//! Without the feature `ui`, or with `MIDDLECUT_SKIP_PAGE=1` at compile time, the only file is a
//! page that says it was not built.

use std::borrow::Cow;

use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "$OUT_DIR/dist"]
struct Dist;

/// One file of the page.
#[derive(Debug, Clone)]
pub struct Asset {
    /// Its content.
    pub bytes: Cow<'static, [u8]>,
    /// First half of the SHA-256 of its content, in hexadecimal.
    pub digest: String,
}

/// The file of that path, as `index.html` or `assets/index-4f2a.js` (no leading slash).
#[must_use]
pub fn asset(path: &str) -> Option<Asset> {
    let file = Dist::get(path)?;
    // A strong validator needs no more than the first half of the digest.
    let hash = file.metadata.sha256_hash();
    let first: [u8; 16] = std::array::from_fn(|i| hash[i]);
    let digest = format!("{:032x}", u128::from_be_bytes(first));
    Some(Asset { bytes: file.data, digest })
}

/// Every path there is.
pub fn paths() -> impl Iterator<Item = Cow<'static, str>> {
    Dist::iter()
}

#[cfg(test)]
mod tests {
    use super::{asset, paths};

    #[test]
    fn there_is_a_first_page_and_every_listed_file_is_there() {
        let first = asset("index.html").expect("index.html");
        assert!(String::from_utf8_lossy(&first.bytes).contains("<html"));
        assert_eq!(first.digest.len(), 32);
        for path in paths() {
            assert!(asset(&path).is_some(), "{path}");
        }
        assert!(asset("../Cargo.toml").is_none());
    }
}
