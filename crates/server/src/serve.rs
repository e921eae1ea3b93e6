//! The server from its first breath to its last: opens the records, resumes what was going on,
//! listens, and stops when it is told to.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use store::access::{AccessBook, Role};
use store::{Store, StoreError, Trouble};
use tokio::sync::watch;

use crate::access::{Access, DoorCode, ProxyOrigin, Reach, own_names, reached_at};
use crate::alerts::Alerts;
use crate::app::{App, AtDoor};
use crate::broker;
use crate::clock::Clock;
use crate::feeding::{Feeding, put};
use crate::guard::{Door, OwnNames};
use crate::keeper::Keeper;
use crate::listen::{Answering, Ears, listen};
use crate::nightly::{self, Nightly};
use crate::router::router;
use crate::tls::{Tls, TlsError};

/// Folder of the example house's rehearsals inside the data folder.
pub const EXAMPLE_FOLDER: &str = "example";

/// How to serve.
#[derive(Debug, Clone)]
pub struct Options {
    /// Where the records are; made where it is missing.
    pub data_dir: PathBuf,
    /// The port; 0 takes a free one.
    pub port: u16,
    /// From where it can be reached.
    pub reach: Reach,
    /// Further names this server answers to, as `still.local`.
    pub allow_hosts: Vec<String>,
    /// The clock; [`Clock::default`] is the computer's.
    pub clock: Clock,
    /// Whether estimates are worked out beside the reckoning; who looks at none leaves them out.
    pub estimates: bool,
    /// A backup every night, where one is wanted.
    pub nightly: Option<Nightly>,
}

impl Options {
    /// Serves that folder on a free port of this computer, to this computer.
    #[must_use]
    pub fn new(data_dir: PathBuf) -> Self {
        let (allow_hosts, clock) = (Vec::new(), Clock::default());
        let (reach, nightly) = (Reach::default(), None);
        Self { data_dir, port: 0, reach, allow_hosts, clock, estimates: true, nightly }
    }
}

/// Why the server cannot be started.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The record cannot be opened.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The port cannot be had.
    #[error("{address} cannot be listened on: {source}")]
    Port {
        /// The address.
        address: SocketAddr,
        /// What the system says.
        source: std::io::Error,
    },
    /// There is no certificate.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The origin of a proxy is none.
    #[error("--proxy {given}: must be a scheme and a name, without a path")]
    Proxy {
        /// What was given.
        given: String,
    },
    /// The system refuses a thread or a signal handler.
    #[error("the system refuses: {0}")]
    System(#[from] std::io::Error),
    /// What was going on cannot be resumed.
    #[error("what was going on cannot be resumed: {0}")]
    Resume(String),
}

impl ServeError {
    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Store(error) => error.hint(),
            Self::Port { .. } => {
                "another program has it; take `--port 0` for a free one".to_owned()
            }
            Self::Tls(error) => error.hint(),
            Self::Proxy { .. } => "as --proxy https://still.example".to_owned(),
            Self::System(_) => "close other programs and try again".to_owned(),
            Self::Resume(_) => "run `middlecut verify`; restore a backup if it fails".to_owned(),
        }
    }
}

/// Where a server listens, and what lets others in.
#[derive(Debug, Clone)]
pub struct Listening {
    /// Where this computer reaches it.
    pub address: SocketAddr,
    /// Where other machines reach it, the likeliest first: origins without a stroke at the end.
    pub places: Vec<String>,
    /// A code for an attendant and one for a looker-on, where others can reach it.
    pub codes: Vec<DoorCode>,
    /// What devices call the authority of this house, and its SHA-256 fingerprint.
    pub authority: Option<(String, String)>,
    /// Whether a browser at this computer must be paired too.
    pub pairs_here: bool,
}

/// A server that listens and does not answer yet.
#[derive(Debug)]
pub struct Server {
    app: Arc<App>,
    door: Door,
    tls: Option<Tls>,
    ears: Ears,
    listening: Listening,
    nightly: Option<Nightly>,
    stop: watch::Sender<bool>,
}

impl Server {
    /// Opens the records and the port, and resumes what was going on.
    ///
    /// # Errors
    /// [`ServeError`].
    #[expect(
        clippy::unused_async,
        reason = "the port is had within a runtime, which this asks for"
    )]
    pub async fn bind(options: Options) -> Result<Self, ServeError> {
        let Options { data_dir, port, reach, mut allow_hosts, clock, estimates, nightly } = options;
        let proxy = reach.proxy.as_deref().map(proxy_of).transpose()?;
        let (stop, stopping) = watch::channel(false);
        let alerts = Alerts::start(&data_dir)?;
        let own = Keeper::start(Store::open_to_serve(&data_dir)?)?;
        let example = Keeper::start(open_example(&data_dir.join(EXAMPLE_FOLDER))?)?;
        let ears = Ears::on(port, reach.lan)
            .map_err(|(address, source)| ServeError::Port { address, source })?;
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, ears.port()?));
        if reach.lan {
            allow_hosts.extend(own_names());
        }
        let mut addresses = if reach.lan { reached_at() } else { Vec::new() };
        addresses.retain(|address| ears.hear(address));
        let tls = reach.tls.then(|| certified(&data_dir, &addresses, &allow_hosts, &clock));
        let tls = tls.transpose()?;
        let access =
            Arc::new(Access::new(book(&data_dir)?, clock.clone(), address.port(), proxy.as_ref()));
        let places = places(&addresses, address.port(), tls.is_some(), proxy.as_ref());
        if let Err(error) = access.book().put_places(&places) {
            tracing::warn!("access: {error}");
        }
        let listening = listening(address, &places, &access, tls.as_ref(), proxy.is_some())?;
        let feeding = Feeding::start(&data_dir, &clock)?;
        let trust = tls.as_ref().map(|tls| Arc::clone(tls.trust()));
        let at_door = AtDoor { access: Arc::clone(&access), places, trust };
        let app = Arc::new(App::new(
            [own, example],
            clock,
            feeding,
            at_door,
            alerts,
            estimates,
            stopping,
        )?);
        app.resume().map_err(|error| ServeError::Resume(error.to_string()))?;
        let names = OwnNames::with(&allow_hosts, proxy);
        let door = Door { names, access, enciphers: tls.is_some() };
        Ok(Self { app, door, tls, ears, listening, nightly, stop })
    }

    /// Where it listens on this computer.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.listening.address
    }

    /// Where it listens, and what lets others in.
    #[must_use]
    pub const fn listening(&self) -> &Listening {
        &self.listening
    }

    /// Answers until `until` is over, then lets requests in hand finish, for a while, and stops the
    /// sessions.
    ///
    /// # Errors
    /// [`ServeError::System`].
    pub async fn run(
        self,
        until: impl Future<Output = ()> + Send + 'static,
    ) -> Result<(), ServeError> {
        let Self { app, door, tls, ears, nightly, stop, .. } = self;
        let router = router(Arc::clone(&app), door);
        let putting = tokio::spawn(put::put(Arc::clone(&app)));
        let telling = tokio::spawn(broker::tell(Arc::clone(&app)));
        let backing = nightly.map(|nightly| tokio::spawn(nightly::keep(Arc::clone(&app), nightly)));
        listen(ears, Answering { router, tls }, until, stop).await;
        // They were told to stop with the others, and hold the records until they have.
        let _ = tokio::join!(putting, telling);
        if let Some(backing) = backing {
            let _ = backing.await;
        }
        let stopped = tokio::task::spawn_blocking(move || close(app)).await;
        stopped.map_err(|error| ServeError::System(std::io::Error::other(error)))
    }
}

/// The origin of a proxy.
fn proxy_of(text: &str) -> Result<ProxyOrigin, ServeError> {
    let given = || ServeError::Proxy { given: text.chars().take(80).collect() };
    ProxyOrigin::read(text).ok_or_else(given)
}

/// The book of those who may come in. Where its file cannot be had the run is attended all the same,
/// from this computer, and who is paired now is forgotten with the program.
fn book(data_dir: &Path) -> Result<AccessBook, StoreError> {
    AccessBook::open(data_dir).or_else(|error| {
        tracing::error!("who is let in is not kept: {error}");
        AccessBook::unkept()
    })
}

/// A certificate for all by which the server is reached.
fn certified(
    data_dir: &Path,
    addresses: &[IpAddr],
    names: &[String],
    clock: &Clock,
) -> Result<Tls, TlsError> {
    let mut all = vec![IpAddr::from(Ipv4Addr::LOCALHOST)];
    all.extend(addresses);
    let mut local = vec!["localhost".to_owned()];
    for name in names {
        match name.parse::<IpAddr>() {
            Ok(address) => all.push(address),
            // The bare name of this computer is nobody's own.
            Err(_) if !name.contains('.') => {}
            Err(_) => local.push(name.to_ascii_lowercase()),
        }
    }
    Tls::of_house(data_dir, &all, &local, clock.now_ms())
}

/// Where other machines reach the server.
fn places(addresses: &[IpAddr], port: u16, tls: bool, proxy: Option<&ProxyOrigin>) -> Vec<String> {
    let scheme = if tls { "https" } else { "http" };
    let own = addresses.iter().map(|ip| format!("{scheme}://{}", SocketAddr::new(*ip, port)));
    proxy.map(|proxy| proxy.origin().to_owned()).into_iter().chain(own).collect()
}

fn listening(
    address: SocketAddr,
    places: &[String],
    access: &Access,
    tls: Option<&Tls>,
    pairs_here: bool,
) -> Result<Listening, StoreError> {
    let roles = [Role::Attendant, Role::LookerOn];
    let reached = !places.is_empty();
    let codes = roles.into_iter().filter(|_| reached).map(|role| access.door_code(role));
    let codes = codes.collect::<Result<_, _>>()?;
    let authority = tls.map(|tls| (tls.trust().name.clone(), tls.trust().fingerprint.clone()));
    Ok(Listening { address, places: places.to_vec(), codes, authority, pairs_here })
}

/// The record of the example house; where it cannot be had, one that holds and takes nothing: the
/// person's own comes first.
fn open_example(folder: &Path) -> Result<Store, StoreError> {
    match Store::open_to_serve(folder) {
        Err(error) if error.is_of_disk() => {
            Store::unrecorded(folder.to_owned(), Trouble::at_the_start(&error))
        }
        other => other,
    }
}

/// Stops the sessions, then closes the records, so that another program can have them. The task
/// of a last answer may let go of them a moment later: that is waited for.
fn close(app: Arc<App>) {
    app.feeding.stop();
    app.alerts.stop();
    app.teacher().stop();
    app.calibrator.stop();
    app.sessions.stop();
    app.standing.stop();
    let (own, example) = (app.own.clone(), app.example.clone());
    drop(app);
    own.close();
    example.close();
}

/// Serves until SIGINT or SIGTERM; `listening` is told where once requests are taken.
///
/// # Errors
/// [`ServeError`].
pub async fn serve(options: Options, listening: impl FnOnce(&Listening)) -> Result<(), ServeError> {
    let server = Server::bind(options).await?;
    let until = told_to_stop()?;
    listening(server.listening());
    server.run(until).await
}

/// Over at the first SIGINT or SIGTERM.
#[cfg(unix)]
fn told_to_stop() -> Result<impl Future<Output = ()> + Send + 'static, ServeError> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    })
}

/// Over at the first Ctrl-C.
#[cfg(not(unix))]
fn told_to_stop() -> Result<impl Future<Output = ()> + Send + 'static, ServeError> {
    Ok(async {
        // Where no handler can be set the program stops with its window.
        let _ = tokio::signal::ctrl_c().await;
    })
}
