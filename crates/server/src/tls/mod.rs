//! Enciphered connections by a certificate of the house's own authority, whose key never leaves the
//! data folder.

mod authority;
mod trust;

use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;

use rustls::ServerConfig;
use rustls::crypto::ring::default_provider;
use tokio::net::TcpStream;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;

use authority::Authority;
pub use trust::TlsError;
pub(crate) use trust::Trust;

/// Agrees on a cipher with those who connect.
#[derive(Clone)]
pub(crate) struct Tls {
    acceptor: TlsAcceptor,
    authority: Arc<Trust>,
}

impl std::fmt::Debug for Tls {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Tls of {}", self.authority.name)
    }
}

impl Tls {
    /// The house's authority, made where it is missing, and a certificate by it for these addresses
    /// and names.
    ///
    /// # Errors
    /// [`TlsError`].
    pub(crate) fn of_house(
        data_dir: &Path,
        addresses: &[IpAddr],
        names: &[String],
        now_ms: i64,
    ) -> Result<Self, TlsError> {
        let authority = Authority::of(&data_dir.join("tls"), now_ms)?;
        let (chain, key) = authority.certify(addresses, names, now_ms)?;
        let failed = |error: rustls::Error| TlsError::Certificate(error.to_string());
        let mut config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()
            .map_err(failed)?
            .with_no_client_auth()
            .with_single_cert(chain, key)
            .map_err(failed)?;
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        let acceptor = TlsAcceptor::from(Arc::new(config));
        Ok(Self { acceptor, authority: Arc::new(authority.trust()) })
    }

    /// Agrees on a cipher.
    pub(crate) async fn accept(&self, stream: TcpStream) -> std::io::Result<TlsStream<TcpStream>> {
        self.acceptor.accept(stream).await
    }

    /// What a browser is asked to trust.
    pub(crate) fn trust(&self) -> &Arc<Trust> {
        &self.authority
    }
}
