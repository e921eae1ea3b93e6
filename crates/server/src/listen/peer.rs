//! Both ends of a connection, as every request on it has them.

use std::net::{IpAddr, Ipv6Addr, SocketAddr};

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

    /// Whether the other end is in this computer's network. An address of IPv6 may be reached from all
    /// the world where no router keeps it: those of other networks are not answered. An address of
    /// IPv4 in a house is not one of the world's.
    pub(crate) fn is_near(&self) -> bool {
        match (self.remote.ip().to_canonical(), self.local.ip().to_canonical()) {
            (IpAddr::V6(remote), IpAddr::V6(local)) => {
                remote.is_loopback()
                    || remote.is_unicast_link_local()
                    || remote.is_unique_local()
                    || net_of(remote) == net_of(local)
            }
            _ => true,
        }
    }
}

/// The first half of an address, which is that of its network (RFC 4291, 2.5.4).
const fn net_of(ip: Ipv6Addr) -> u128 {
    ip.to_bits() >> 64
}

#[cfg(test)]
mod tests {
    use super::Peer;

    #[test]
    fn those_of_other_networks_are_not_near() {
        let near = |remote: &str, local: &str| {
            let at = |ip: &str| std::net::SocketAddr::new(ip.parse().unwrap(), 4280);
            Peer { remote: at(remote), local: at(local), tls: false }.is_near()
        };
        // Addresses for examples (RFC 3849, RFC 5737), of a house (RFC 4193) and of a link.
        let here = "2001:db8:1:2::20";
        for remote in ["2001:db8:1:2::77", "fd00::5", "fe80::5", "::1"] {
            assert!(near(remote, here), "{remote}");
        }
        assert!(!near("2001:db8:1:3::77", here) && !near("2001:db8::1", "fd00::20"));
        assert!(near("192.0.2.7", "192.0.2.20") && near("::ffff:192.0.2.7", "::ffff:192.0.2.20"));
    }
}
