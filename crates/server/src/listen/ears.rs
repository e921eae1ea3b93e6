//! The sockets a server listens on: one of each family of addresses, on one port.

use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

use tokio::net::{TcpListener, TcpSocket, TcpStream};

/// Most connections that wait in the system to be taken; judgement.
const WAITING_MAX: u32 = 1024;

/// Where a server listens.
#[derive(Debug)]
pub(crate) struct Ears {
    four: TcpListener,
    /// None where only this computer is listened to, and where the system has no IPv6.
    six: Option<TcpListener>,
}

impl Ears {
    /// Listens on that port, any free one where it is 0: to this computer, or to the local network.
    ///
    /// # Errors
    /// The address and what the system says, where IPv4 cannot be had.
    pub(crate) fn on(port: u16, lan: bool) -> Result<Self, (SocketAddr, io::Error)> {
        let asked = if lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
        let address = SocketAddr::from((asked, port));
        let refused = |source| (address, source);
        let four = listener_at(address).map_err(refused)?;
        let port = four.local_addr().map_err(refused)?.port();
        let six = lan.then(|| listener_at(SocketAddr::from((Ipv6Addr::UNSPECIFIED, port))));
        let six = six.and_then(|had| {
            had.inspect_err(|why| tracing::warn!("no IPv6 on port {port}: {why}")).ok()
        });
        Ok(Self { four, six })
    }

    /// The port.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn port(&self) -> io::Result<u16> {
        Ok(self.four.local_addr()?.port())
    }

    /// Whether an address of this computer is listened to.
    pub(crate) const fn hear(&self, address: &IpAddr) -> bool {
        address.is_ipv4() || self.six.is_some()
    }

    /// The next connection.
    pub(crate) async fn accept(&self) -> io::Result<(TcpStream, SocketAddr)> {
        let Some(six) = &self.six else { return self.four.accept().await };
        tokio::select! {
            taken = self.four.accept() => taken,
            taken = six.accept() => taken,
        }
    }
}

/// Listens there. A crowd that comes at once waits in the system and is not turned away.
fn listener_at(address: SocketAddr) -> io::Result<TcpListener> {
    let socket = if address.is_ipv4() { TcpSocket::new_v4()? } else { TcpSocket::new_v6()? };
    // A server that is started again has its port at once. Elsewhere the word means that two may have it.
    #[cfg(unix)]
    socket.set_reuseaddr(true)?;
    // The other family has a socket of its own; elsewhere that is the rule.
    #[cfg(unix)]
    if address.is_ipv6() {
        rustix::net::sockopt::set_ipv6_v6only(&socket, true)?;
    }
    socket.bind(address)?;
    socket.listen(WAITING_MAX)
}

#[cfg(test)]
mod tests {
    use super::Ears;

    #[tokio::test]
    async fn both_families_are_heard_on_one_port_in_the_network_and_one_at_home() {
        let ears = Ears::on(0, true).unwrap();
        let port = ears.port().unwrap();
        let mut asked = vec!["127.0.0.1"];
        asked.extend(ears.hear(&"::1".parse().unwrap()).then_some("::1"));
        for host in asked {
            let (taken, knocked) =
                tokio::join!(ears.accept(), tokio::net::TcpStream::connect((host, port)));
            let remote = taken.unwrap().1.ip().to_string();
            assert_eq!((knocked.is_ok(), remote.as_str()), (true, host));
        }
        let here = Ears::on(0, false).unwrap();
        assert!(!here.hear(&"::1".parse().unwrap()));
    }
}
