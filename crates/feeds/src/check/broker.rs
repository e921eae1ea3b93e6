//! The broker of the file: where it is, who one is there, what it is told.

use serde::Deserialize;

use super::rules::{NAME_CHARACTERS_MAX, Refused, refused};
use crate::broker::{Broker, Password, Publish, Tls};
use crate::topic::name_fault;

/// Ports of brokers, without and with TLS (IANA: `mqtt`, `secure-mqtt`; from memory).
const PORTS: (u16, u16) = (1883, 8883);
/// Most bytes of a host's name (RFC 1035, from memory).
const HOST_BYTES_MAX: usize = 253;
/// What topics begin with where nothing is said.
const TOPIC: &str = "middlecut";

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BrokerTable {
    host: String,
    port: Option<u16>,
    user: Option<String>,
    password_file: Option<String>,
    password_variable: Option<String>,
    tls: Option<bool>,
    ca_file: Option<String>,
    publish: Option<PublishTable>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishTable {
    topic: Option<String>,
    discovery: Option<String>,
}

impl BrokerTable {
    pub(super) fn checked(self) -> Result<Broker, Refused> {
        let plain = |text: &str| !text.chars().any(|c| c.is_control() || c.is_whitespace());
        if !(1..=HOST_BYTES_MAX).contains(&self.host.len())
            || !plain(&self.host)
            || self.host.contains('/')
        {
            let hint = "its name or address alone, as 192.168.1.20; the port has a key of its own";
            let value = format!("\"{}\"", self.host.escape_debug());
            return Err(refused("broker.host", &value, "must be a host", hint));
        }
        let guarded = self.tls.unwrap_or(false);
        if self.ca_file.is_some() && !guarded {
            let bound = "must not be there without tls = true";
            return Err(refused("broker.ca_file", "", bound, "add tls = true"));
        }
        let tls = guarded.then_some(Tls { ca_file: self.ca_file });
        let port = self.port.unwrap_or(if guarded { PORTS.1 } else { PORTS.0 });
        if port == 0 {
            return Err(refused("broker.port", &port, "must lie from 1 to 65535", "mostly 1883"));
        }
        let password = password(self.user.as_deref(), self.password_file, self.password_variable)?;
        let publish = self.publish.map(PublishTable::checked).transpose()?;
        Ok(Broker { host: self.host, port, user: self.user, password, tls, publish })
    }
}

fn password(
    user: Option<&str>,
    file: Option<String>,
    variable: Option<String>,
) -> Result<Option<Password>, Refused> {
    if let Some(user) = user
        && (user.is_empty() || user.chars().count() > NAME_CHARACTERS_MAX)
    {
        let bound = format!("must have 1 to {NAME_CHARACTERS_MAX} characters");
        return Err(refused("broker.user", user, bound, "the name that the broker knows"));
    }
    let (key, password) = match (file, variable) {
        (None, None) => return Ok(None),
        (Some(_), Some(_)) => {
            let bound = "must not be there beside password_file";
            return Err(refused("broker.password_variable", "", bound, "leave one of them out"));
        }
        (Some(path), None) => ("broker.password_file", Password::File(path)),
        (None, Some(name)) => ("broker.password_variable", Password::Variable(name)),
    };
    let (Password::File(text) | Password::Variable(text)) = &password;
    if text.is_empty() || text.contains('\0') || (key.ends_with("variable") && text.contains('=')) {
        let hint = "the path of a file, or the name of a variable, that holds the password";
        return Err(refused(key, "", "must name where the password stands", hint));
    }
    if user.is_none() {
        return Err(refused(key, "", "must not be there without user", "add user"));
    }
    Ok(Some(password))
}

impl PublishTable {
    fn checked(self) -> Result<Publish, Refused> {
        let topic = self.topic.unwrap_or_else(|| TOPIC.to_owned());
        let given = [("topic", Some(&topic)), ("discovery", self.discovery.as_ref())];
        for (key, topic) in given {
            let fault = topic.and_then(|topic| Some((topic, name_fault(topic)?)));
            if let Some((topic, fault)) = fault {
                let value = format!("\"{}\"", topic.escape_debug());
                let hint = "what all topics begin with, as middlecut or shed/still";
                return Err(refused(format!("broker.publish.{key}"), &value, fault, hint));
            }
        }
        Ok(Publish { topic, discovery: self.discovery })
    }
}
