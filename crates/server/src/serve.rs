//! The server from its first breath to its last: opens the records, resumes what was going on,
//! listens on loopback, and stops when it is told to.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use store::{Store, StoreError, Trouble};
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::alerts::Alerts;
use crate::app::App;
use crate::broker;
use crate::clock::Clock;
use crate::feeding::{Feeding, put};
use crate::guard::OwnNames;
use crate::keeper::Keeper;
use crate::router::router;

/// Folder of the example house's rehearsals inside the data folder.
pub const EXAMPLE_FOLDER: &str = "example";

/// How to serve.
#[derive(Debug, Clone)]
pub struct Options {
    /// Where the records are; made where it is missing.
    pub data_dir: PathBuf,
    /// Port on loopback; 0 takes a free one.
    pub port: u16,
    /// Further names this server answers to, as `still.local`.
    pub allow_hosts: Vec<String>,
    /// The clock; [`Clock::default`] is the computer's.
    pub clock: Clock,
    /// Whether estimates are worked out beside the reckoning; who looks at none leaves them out.
    pub estimates: bool,
}

impl Options {
    /// Serves that folder on a free port.
    #[must_use]
    pub fn new(data_dir: PathBuf) -> Self {
        let (allow_hosts, clock) = (Vec::new(), Clock::default());
        Self { data_dir, port: 0, allow_hosts, clock, estimates: true }
    }
}

/// Why the server cannot be started.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The record cannot be opened.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The port cannot be had.
    #[error("127.0.0.1:{port} cannot be listened on: {source}")]
    Port {
        /// The port.
        port: u16,
        /// What the system says.
        source: std::io::Error,
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
            Self::System(_) => "close other programs and try again".to_owned(),
            Self::Resume(_) => "run `middlecut verify`; restore a backup if it fails".to_owned(),
        }
    }
}

/// A server that listens and does not answer yet.
#[derive(Debug)]
pub struct Server {
    app: Arc<App>,
    names: OwnNames,
    listener: TcpListener,
    address: SocketAddr,
    stop: watch::Sender<bool>,
}

impl Server {
    /// Opens the records and the port, and resumes what was going on.
    ///
    /// # Errors
    /// [`ServeError`].
    pub async fn bind(options: Options) -> Result<Self, ServeError> {
        let Options { data_dir, port, allow_hosts, clock, estimates } = options;
        let (stop, stopping) = watch::channel(false);
        let alerts = Alerts::start(&data_dir)?;
        let own = Keeper::start(Store::open_to_serve(&data_dir)?)?;
        let example = Keeper::start(open_example(&data_dir.join(EXAMPLE_FOLDER))?)?;
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))
            .await
            .map_err(|source| ServeError::Port { port, source })?;
        let address = listener.local_addr()?;
        let feeding = Feeding::start(&data_dir, &clock)?;
        let app = Arc::new(App::new(own, example, clock, feeding, alerts, estimates, stopping)?);
        app.resume().map_err(|error| ServeError::Resume(error.to_string()))?;
        Ok(Self { app, names: OwnNames::with(&allow_hosts), listener, address, stop })
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Answers until `until` is over, then lets requests in hand finish and stops the sessions.
    ///
    /// # Errors
    /// [`ServeError::System`].
    pub async fn run(
        self,
        until: impl Future<Output = ()> + Send + 'static,
    ) -> Result<(), ServeError> {
        let Self { app, names, listener, stop, .. } = self;
        let router = router(Arc::clone(&app), names);
        let putting = tokio::spawn(put::put(Arc::clone(&app)));
        let telling = tokio::spawn(broker::tell(Arc::clone(&app)));
        let until = async move {
            until.await;
            // Followers would hold the server open for ever.
            let _ = stop.send(true);
        };
        axum::serve(listener, router).with_graceful_shutdown(until).await?;
        // They were told to stop with the others, and hold the records until they have.
        let _ = tokio::join!(putting, telling);
        let stopped = tokio::task::spawn_blocking(move || close(app)).await;
        stopped.map_err(|error| ServeError::System(std::io::Error::other(error)))
    }
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

/// Serves until SIGINT or SIGTERM; `listening` is told the address once requests are taken.
///
/// # Errors
/// [`ServeError`].
pub async fn serve(options: Options, listening: impl FnOnce(SocketAddr)) -> Result<(), ServeError> {
    let server = Server::bind(options).await?;
    let until = told_to_stop()?;
    listening(server.address());
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
