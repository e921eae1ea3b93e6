//! Where the server can be reached, and the names it goes by.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

/// Most addresses that are told (judgement: with IPv6 a computer has several for a day each).
const ADDRESSES_MAX: usize = 8;

/// From where the server can be reached.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Reach {
    /// From the local network, not from this computer alone.
    pub lan: bool,
    /// Enciphered, by the house's own authority.
    pub tls: bool,
    /// Through a proxy, which is reached at this origin, as `https://still.example`. Then nobody is
    /// taken for somebody at this computer.
    pub proxy: Option<String>,
}

/// The origin of a proxy: scheme, name and perhaps a port.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ProxyOrigin(String);

impl ProxyOrigin {
    /// Reads it; none of what is no origin.
    pub(crate) fn read(text: &str) -> Option<Self> {
        let origin = text.trim_end_matches('/').to_ascii_lowercase();
        let host = origin.strip_prefix("https://").or_else(|| origin.strip_prefix("http://"));
        let plain = |letter: char| letter.is_ascii_alphanumeric() || ".-:[]".contains(letter);
        let is = host.is_some_and(|host| !host.is_empty() && host.chars().all(plain));
        is.then_some(Self(origin))
    }

    /// As a browser names it.
    pub(crate) fn origin(&self) -> &str {
        &self.0
    }

    /// Whether the proxy has the cipher.
    pub(crate) fn enciphers(&self) -> bool {
        self.0.starts_with("https://")
    }

    /// Its name, and its port where it has one.
    pub(crate) fn authority(&self) -> &str {
        self.0.split_once("://").map_or("", |(_, authority)| authority)
    }
}

/// The names this computer goes by in its network, besides those the operator allows.
pub(crate) fn own_names() -> Vec<String> {
    let Some(name) = host_name() else { return Vec::new() };
    let name = name.trim_end_matches('.').to_ascii_lowercase();
    let first = name.split('.').next().unwrap_or_default().to_owned();
    let plain = |letter: char| letter.is_ascii_alphanumeric() || letter == '-';
    if first.is_empty() || first == "localhost" || !first.chars().all(plain) {
        return Vec::new();
    }
    // The name by which neighbours find it without a server of names (RFC 6762).
    vec![format!("{first}.local"), first]
}

#[cfg(target_os = "linux")]
fn host_name() -> Option<String> {
    let about = rustix::system::uname();
    about.nodename().to_str().ok().map(str::to_owned)
}

#[cfg(not(target_os = "linux"))]
const fn host_name() -> Option<String> {
    None
}

/// The addresses of this computer that others can reach, the likeliest first.
pub(crate) fn reached_at() -> Vec<IpAddr> {
    let all = if_addrs::get_if_addrs().unwrap_or_default();
    let mut addresses: Vec<IpAddr> =
        all.iter().map(if_addrs::Interface::ip).filter(is_told).collect();
    let likeliest = outward();
    // Addresses of IPv4 come first: they are shorter to type.
    addresses.sort_by_key(|ip| (Some(*ip) != likeliest, ip.is_ipv6(), *ip));
    addresses.dedup();
    addresses.truncate(ADDRESSES_MAX);
    addresses
}

/// Whether others can be told to come there. No browser takes an address that holds on one link only.
fn is_told(ip: &IpAddr) -> bool {
    let on_a_link = matches!(ip, IpAddr::V6(six) if six.is_unicast_link_local());
    !ip.is_loopback() && !ip.is_unspecified() && !on_a_link
}

/// The address from which this computer would talk to the world: nothing is sent.
fn outward() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address of no machine (RFC 5737); connecting only asks the system for a way.
    socket.connect(SocketAddr::from(([198, 51, 100, 1], 9))).ok()?;
    socket.local_addr().ok().map(|local| local.ip())
}

#[cfg(test)]
mod tests {
    use super::ProxyOrigin;

    #[test]
    fn an_origin_is_a_scheme_and_a_name() {
        let read = ProxyOrigin::read;
        let proxy = read("https://Still.example:8443/").unwrap();
        assert_eq!(proxy.origin(), "https://still.example:8443");
        assert_eq!(proxy.authority(), "still.example:8443");
        assert!(proxy.enciphers() && !read("http://a.lan").unwrap().enciphers());
        for none in
            ["still.example", "https://", "ftp://a", "https://a/b", "https://a b", "https://a@b"]
        {
            assert!(read(none).is_none(), "{none}");
        }
    }
}
