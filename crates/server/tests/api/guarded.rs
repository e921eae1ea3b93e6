//! A door in cipher before the stand-in: an authority and a certificate made for the test.

use std::net::SocketAddr;
use std::sync::Arc;

use rcgen::{BasicConstraints, CertificateParams, IsCa, Issuer, KeyPair, SanType};
use rustls::ServerConfig;
use rustls::pki_types::{PrivateKeyDer, PrivatePkcs8KeyDer};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;
use tokio_rustls::TlsAcceptor;

/// A door that opens onto a port of this machine, as long as it is kept.
pub(crate) struct Guarded {
    pub(crate) port: u16,
    /// The certificate of the authority that vouches for it, PEM.
    pub(crate) authority: String,
    _runtime: Runtime,
}

/// An authority of nobody else, and a certificate of it for 127.0.0.1.
fn made() -> (String, ServerConfig) {
    let key = KeyPair::generate().expect("a key");
    let mut own = CertificateParams::default();
    own.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let authority = own.self_signed(&key).expect("an authority").pem();
    let issuer = Issuer::new(own, key);
    let key = KeyPair::generate().expect("a key");
    let mut door = CertificateParams::default();
    door.subject_alt_names.push(SanType::IpAddress("127.0.0.1".parse().expect("an address")));
    let chain = vec![door.signed_by(&key, &issuer).expect("a certificate").der().clone()];
    let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key.serialize_der()));
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_no_client_auth()
        .with_single_cert(chain, key)
        .expect("a certificate that fits its key");
    (authority, config)
}

impl Guarded {
    /// Before what listens at that port.
    pub(crate) fn before(port: u16) -> Self {
        let (authority, config) = made();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .expect("a runtime");
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).expect("a port");
        let own = listener.local_addr().expect("an address").port();
        let acceptor = TlsAcceptor::from(Arc::new(config));
        runtime.spawn(async move {
            while let Ok((outside, _)) = listener.accept().await {
                let acceptor = acceptor.clone();
                tokio::spawn(async move {
                    let Ok(mut outside) = acceptor.accept(outside).await else { return };
                    let inside = SocketAddr::from(([127, 0, 0, 1], port));
                    if let Ok(mut inside) = TcpStream::connect(inside).await {
                        drop(tokio::io::copy_bidirectional(&mut outside, &mut inside).await);
                    }
                });
            }
        });
        Self { port: own, authority, _runtime: runtime }
    }
}
