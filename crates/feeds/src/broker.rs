//! The broker of the file: where it is, who one is there, what it is told.

/// A broker of messages (MQTT 3.1.1).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broker {
    /// Name or address.
    pub host: String,
    /// Port.
    pub port: u16,
    /// Who one is there, where it asks.
    pub user: Option<String>,
    /// Where the password stands: never in the file itself.
    pub password: Option<Password>,
    /// How the connection is guarded, where it is.
    pub tls: Option<Tls>,
    /// What it is told, where it is.
    pub publish: Option<Publish>,
}

/// Where a password stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Password {
    /// In a file, alone on its first line; a path that does not begin with `/` begins in the data
    /// folder.
    File(String),
    /// In a variable of the environment.
    Variable(String),
}

/// TLS.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tls {
    /// The file (PEM) of the authorities that may vouch for the broker; the system's own where none
    /// is named.
    pub ca_file: Option<String>,
}

/// What the broker is told of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Publish {
    /// What all topics begin with.
    pub topic: String,
    /// What the topics of discovery begin with; none where nothing is announced.
    pub discovery: Option<String>,
}

impl Broker {
    /// Where it is, as it is shown.
    #[must_use]
    pub fn address(&self) -> String {
        let scheme = if self.tls.is_some() { "mqtts" } else { "mqtt" };
        let Self { host, port, .. } = self;
        if host.contains(':') {
            format!("{scheme}://[{host}]:{port}")
        } else {
            format!("{scheme}://{host}:{port}")
        }
    }

    /// The same broker as one that only listens knows it.
    #[must_use]
    pub fn to_listen(&self) -> Self {
        Self { publish: None, ..self.clone() }
    }
}
