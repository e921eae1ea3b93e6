//! What the authority of the house may speak for, what a browser is asked to trust, and why there is
//! no certificate.

/// Names that the authority may speak for: those that no house shares with the world (RFC 6762,
/// RFC 8375, RFC 6761; `lan` and `internal` by common use). A key that is stolen cannot speak for
/// others.
pub(super) const DOMAINS: [&str; 5] = ["local", "localhost", "home.arpa", "lan", "internal"];

/// Why there is no certificate.
#[derive(Debug, thiserror::Error)]
pub enum TlsError {
    /// A file of the authority cannot be read or written.
    #[error("{file}: {source}")]
    File {
        /// The file.
        file: String,
        /// What the system says.
        source: std::io::Error,
    },
    /// A file of the authority is none, or the certificate cannot be made.
    #[error("the authority of this house: {0}")]
    Certificate(String),
    /// A name that the authority may not speak for.
    #[error("--host {name}: the authority of this house speaks for local names only")]
    Name {
        /// The name.
        name: String,
    },
}

impl TlsError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::File { .. } => "see that the data folder can be written to".to_owned(),
            Self::Certificate(_) => {
                "move the folder `tls` out of the data folder: a new authority is made, and every \
                 phone must trust it anew"
                    .to_owned()
            }
            Self::Name { .. } => format!(
                "take a name that ends in {}, or a proxy with a certificate of its own (--proxy)",
                DOMAINS.map(|domain| format!(".{domain}")).join(", ")
            ),
        }
    }
}

/// What a browser is asked to trust.
#[derive(Debug)]
pub(crate) struct Trust {
    /// The authority's certificate, DER.
    pub(crate) der: Vec<u8>,
    /// Its SHA-256 fingerprint, as devices show it.
    pub(crate) fingerprint: String,
    /// What devices call it.
    pub(crate) name: String,
}
