//! How one connects to the broker: who one is, by what it is known, and what went wrong.

use std::collections::hash_map::RandomState;
use std::fs::File;
use std::hash::{BuildHasher, Hasher};
use std::io::Read;
use std::path::Path;

use feeds::{Broker, Password};
use rumqttc::{
    ConnectReturnCode, ConnectionError, LastWill, MqttOptions, TlsConfiguration, Transport,
};

/// A connection that is silent is asked for a sign after this, s (judgement: a cable that was pulled
/// is noticed within twice of it).
const KEEP_ALIVE_S: u16 = 10;
/// Largest message either way, bytes (judgement: far above any reading; a topic that sends more is
/// no probe's).
const MESSAGE_BYTES_MAX: usize = 1_000_000;
/// Largest file of a password or of authorities, bytes (judgement: a bundle of every public
/// authority has a quarter of it).
const FILE_BYTES_MAX: u64 = 1_000_000;

/// What a connection is for.
#[derive(Debug, Clone)]
pub(crate) enum Task {
    /// To listen.
    Listen,
    /// To tell; where the broker says what when the connection is lost.
    Tell {
        /// The topic.
        topic: String,
        /// What it then says.
        gone: &'static str,
    },
}

/// How to connect to the broker.
///
/// # Errors
/// In words, never with the password.
pub(crate) fn options(broker: &Broker, folder: &Path, task: Task) -> Result<MqttOptions, String> {
    let mut options = MqttOptions::new(client_id(), (broker.host.clone(), broker.port));
    options.set_keep_alive(KEEP_ALIVE_S).set_clean_session(true);
    options.set_max_packet_size(MESSAGE_BYTES_MAX, MESSAGE_BYTES_MAX);
    match (&broker.user, &broker.password) {
        (Some(user), Some(from)) => {
            options.set_credentials(user.clone(), password(from, folder)?);
        }
        (Some(user), None) => {
            options.set_username(user.clone());
        }
        (None, _) => {}
    }
    if let Some(tls) = &broker.tls {
        options.set_transport(Transport::tls_with_config(match &tls.ca_file {
            None => TlsConfiguration::try_default_rustls()
                .map_err(|error| format!("the system's authorities cannot be read: {error}"))?,
            Some(path) => {
                let (alpn, client_auth) = (None, None);
                TlsConfiguration::Simple { ca: bytes(path, folder)?, alpn, client_auth }
            }
        }));
    }
    if let Task::Tell { topic, gone } = task {
        options.set_last_will(LastWill::new(topic, gone, rumqttc::QoS::AtLeastOnce, true));
    }
    Ok(options)
}

/// A name of its own for each connection: a broker drops the older of two of one name.
fn client_id() -> String {
    // The standard library seeds it from the system's random numbers.
    let random = RandomState::new().build_hasher().finish();
    // 23 letters and digits are what every broker takes (MQTT 3.1.1, section 3.1.3.1, from memory).
    format!("still{random:016x}")
}

fn password(from: &Password, folder: &Path) -> Result<String, String> {
    match from {
        Password::Variable(name) => std::env::var(name).map_err(|_| {
            format!("the variable {name}, which should hold the password, is not there")
        }),
        Password::File(path) => {
            let text = String::from_utf8(bytes(path, folder)?)
                .map_err(|_| format!("{path} holds no text"))?;
            Ok(text.lines().next().unwrap_or_default().to_owned())
        }
    }
}

fn bytes(path: &str, folder: &Path) -> Result<Vec<u8>, String> {
    let unread = |error: std::io::Error| format!("{path} cannot be read: {error}");
    let mut bytes = Vec::new();
    let file = File::open(folder.join(path)).map_err(unread)?;
    file.take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() as u64 > FILE_BYTES_MAX {
        return Err(format!("{path} is longer than {FILE_BYTES_MAX} bytes"));
    }
    Ok(bytes)
}

/// Why a connection cannot be guarded, and what to do where that is known.
fn guard_words(error: &str) -> String {
    let known = [
        ("UnknownIssuer", "; name the authority that vouches for it in ca_file"),
        ("UnsupportedCertVersion", "; its certificate is of an old form (not X.509 version 3)"),
        ("NotValidForName", "; its certificate names another host"),
        ("Expired", "; see the clocks of both"),
        ("NotValidYet", "; see the clocks of both"),
        ("reset by peer", "; the port may be one without TLS"),
        ("InvalidContentType", "; the port may be one without TLS"),
        ("eof", "; the port may be one without TLS"),
    ];
    let hint = known.into_iter().find(|(sign, _)| error.contains(sign)).map_or("", |of| of.1);
    format!("the connection cannot be guarded: {error}{hint}")
}

/// What went wrong, in words.
pub(crate) fn words(error: &ConnectionError) -> String {
    match error {
        ConnectionError::ConnectionRefused(
            ConnectReturnCode::BadUserNamePassword | ConnectReturnCode::NotAuthorized,
        ) => "the broker refuses user or password".to_owned(),
        ConnectionError::ConnectionRefused(code) => {
            format!("the broker refuses the connection: {code:?}")
        }
        ConnectionError::NetworkTimeout | ConnectionError::FlushTimeout => {
            "the broker does not answer".to_owned()
        }
        ConnectionError::MqttState(error) => {
            format!("the broker ended the connection; it may want TLS, or another user: {error}")
        }
        ConnectionError::Io(error) => format!("it cannot be reached: {error}"),
        ConnectionError::Tls(error) => guard_words(&error.to_string()),
        other => other.to_string(),
    }
}
