//! Secrets: from the system's random source, told once, kept as digests, compared in constant time.

use std::path::PathBuf;

use store::StoreError;
use store::access::SecretDigest;

/// Random bytes of the public name of a session or device.
const ID_BYTES: usize = 5;
/// Random bytes of a secret: 160 bits.
const SECRET_BYTES: usize = 20;
/// Digits of numbers to the base 32 without letters that look like digits (Crockford's, from memory).
const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Characters that five bytes give.
const CHARACTERS_OF_FIVE: usize = 8;

/// A secret that was just made, or one that somebody tells.
#[derive(Clone)]
pub(super) struct Secret {
    id: String,
    text: String,
}

/// Nobody prints it by accident.
impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Secret of {}", self.id)
    }
}

impl Secret {
    /// A new one.
    pub(super) fn new() -> Result<Self, StoreError> {
        Ok(Self { id: random(ID_BYTES)?.to_ascii_lowercase(), text: random(SECRET_BYTES)? })
    }

    /// Its public name.
    pub(super) fn id(&self) -> &str {
        &self.id
    }

    /// How it is told, once: name and secret.
    pub(super) fn told_as(&self) -> String {
        format!("{}.{}", self.id, self.text)
    }

    /// What is kept of it.
    pub(super) fn digest(&self) -> SecretDigest {
        *blake3::hash(self.text.as_bytes()).as_bytes()
    }

    /// What somebody tells, taken apart.
    pub(super) fn told(text: &str) -> Option<(&str, Told)> {
        let (id, secret) = text.split_once('.')?;
        let plausible = secret.len() == SECRET_BYTES / ID_BYTES * CHARACTERS_OF_FIVE;
        plausible.then(|| (id, Told(blake3::hash(secret.as_bytes()))))
    }
}

/// The digest of a secret that somebody tells.
pub(super) struct Told(blake3::Hash);

impl Told {
    /// Whether it is the secret whose digest is kept; takes as long whatever it is.
    pub(super) fn is(&self, kept: &SecretDigest) -> bool {
        // `blake3::Hash` compares in constant time.
        self.0 == blake3::Hash::from_bytes(*kept)
    }
}

/// That many random bytes, a multiple of five, to the base 32.
pub(super) fn random(bytes: usize) -> Result<String, StoreError> {
    let mut random = vec![0; bytes];
    getrandom::fill(&mut random).map_err(|error| StoreError::Io {
        path: PathBuf::from("the system's random source"),
        source: error.into(),
    })?;
    let five = |five: &[u8]| five.iter().fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
    let digits = |number: u64| {
        (0..CHARACTERS_OF_FIVE).rev().map(move |place| {
            char::from(DIGITS[usize::try_from(number >> (5 * place) & 31).unwrap_or_default()])
        })
    };
    Ok(random.chunks(5).map(five).flat_map(digits).collect())
}

/// What somebody typed, as it was shown: capital letters, no strokes, letters that look like digits
/// as those.
pub(super) fn as_shown(typed: &str) -> String {
    let one = |letter: char| match letter.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    typed.chars().filter(|letter| !matches!(letter, '-' | ' ')).map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::{DIGITS, Secret, as_shown, random};

    #[test]
    fn a_secret_is_known_again_and_no_other() {
        let (one, other) = (Secret::new().unwrap(), Secret::new().unwrap());
        let told = one.told_as();
        let (id, secret) = Secret::told(&told).unwrap();
        assert_eq!(id, one.id());
        assert!(secret.is(&one.digest()) && !secret.is(&other.digest()));
        for none in ["", "a", ".", "a.", "a.SHORT", &format!("{told}0")] {
            assert!(Secret::told(none).is_none(), "{none}");
        }
        assert!(!format!("{one:?}").contains(&told[9..]), "no secret in a log");
    }

    #[test]
    fn random_text_has_the_length_and_the_digits_it_should() {
        let text = random(10).unwrap();
        assert_eq!(text.len(), 16);
        assert!(text.bytes().all(|digit| DIGITS.contains(&digit)), "{text}");
        assert_ne!(text, random(10).unwrap());
        assert_eq!(as_shown("o0il-7q m"), "00117QM");
    }
}
