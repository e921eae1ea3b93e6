//! Both ends of a connection, as every request on it has them.

use std::net::SocketAddr;

/// Who is at the other end, and which of this computer's addresses was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Peer {
    /// The other end.
    pub(crate) remote: SocketAddr,
    /// This end.
    pub(crate) local: SocketAddr,
    /// Whether what goes between is enciphered.
    pub(crate) tls: bool,
}

impl Peer {
    /// Whether both ends are this computer's own, which nobody else can claim. A proxy on this
    /// computer is such an end too: what it sends says so in its headers.
    pub(crate) fn is_loopback(&self) -> bool {
        self.remote.ip().to_canonical().is_loopback()
            && self.local.ip().to_canonical().is_loopback()
    }
}
