//! Looks at this machine: every look is short, changes nothing and cannot hang for long.

use std::fs::{self, File};
use std::io::ErrorKind;
use std::net::{TcpStream, ToSocketAddrs};
use std::path::Path;
use std::time::Duration;

use store::{Store, StoreError};

use super::seen::{BrokerSeen, Reached, RecordSeen, Seen, SourceSeen};

/// Where Linux shows its 1-wire bus.
const ONE_WIRE_BUS: &str = "/sys/bus/w1/devices";
/// What systemd's clock leaves once it was set by another one, and where systemd is at all.
const CLOCK_SET: &str = "/run/systemd/timesync/synchronized";
const CLOCK_KEPT: &str = "/run/systemd/timesync";
/// Longest wait for a broker.
const PATIENCE: Duration = Duration::from_secs(3);
/// Ports of a broker, plain and guarded (IANA: mqtt, secure-mqtt).
const PORTS: (u16, u16) = (1883, 8883);

/// Everything there is to see.
pub(super) fn look(folder: &Path) -> Seen {
    let feeds = fs::read_to_string(folder.join(feeds::FILE)).unwrap_or_default();
    let table: toml::Table = feeds.parse().unwrap_or_default();
    Seen {
        user: std::env::var("USER").unwrap_or_else(|_| "this user".to_owned()),
        folder: folder.display().to_string(),
        folder_refused: written(folder).err().map(|error| error.to_string()),
        free_bytes: free_bytes(folder),
        record: record(folder),
        clock_set: clock_set(),
        one_wire_bus: Path::new(ONE_WIRE_BUS).is_dir(),
        feeds_refused: feeds_refused(folder, &feeds),
        sources: sources(&table),
        broker: broker(&table),
    }
}

/// Writes a file that nothing else has the name of, and takes it away again.
fn written(folder: &Path) -> std::io::Result<()> {
    let there = folder.ancestors().find(|ancestor| ancestor.is_dir()).unwrap_or(folder);
    let tried = there.join(format!(".middlecut-doctor-{}", std::process::id()));
    File::create_new(&tried)?;
    fs::remove_file(&tried)
}

#[cfg(target_os = "linux")]
fn free_bytes(folder: &Path) -> Option<u64> {
    let there = folder.ancestors().find(|ancestor| ancestor.is_dir())?;
    let said = rustix::fs::statvfs(there).ok()?;
    Some(said.f_bavail.saturating_mul(said.f_frsize))
}

#[cfg(not(target_os = "linux"))]
fn free_bytes(_folder: &Path) -> Option<u64> {
    None
}

fn record(folder: &Path) -> RecordSeen {
    let faulty =
        |error: StoreError| RecordSeen::Faulty { what: error.to_string(), hint: error.hint() };
    match Store::open_read_only(folder) {
        Err(StoreError::Absent { .. }) => RecordSeen::Absent,
        Err(error) => faulty(error),
        Ok(store) => match store.verify() {
            Ok(report) => RecordSeen::Whole { entries: report.entries },
            Err(failure) => faulty(StoreError::Damaged { what: failure.to_string() }),
        },
    }
}

fn clock_set() -> Option<bool> {
    if Path::new(CLOCK_SET).exists() {
        return Some(true);
    }
    Path::new(CLOCK_KEPT).is_dir().then_some(false)
}

fn feeds_refused(folder: &Path, text: &str) -> Option<String> {
    let path = folder.join(feeds::FILE);
    if !path.exists() {
        return None;
    }
    feeds::parse(text, &path).err().map(|error| error.to_string())
}

/// The sources of every still, whether or not the file is right in all else.
fn sources(table: &toml::Table) -> Vec<SourceSeen> {
    let list = |of: &toml::Table, key: &str| {
        of.get(key).and_then(toml::Value::as_array).cloned().unwrap_or_default()
    };
    let stills = list(table, "still").into_iter().filter_map(|still| still.as_table().cloned());
    let sources = stills.flat_map(|still| list(&still, "source"));
    let seen = sources.filter_map(|source| {
        let text = |key: &str| Some(source.get(key)?.as_str()?.to_owned());
        let (kind, path) = (text("kind")?, text("path")?);
        let reached = reached(Path::new(&path), kind == "serial");
        Some(SourceSeen { name: text("name").unwrap_or_default(), kind, path, reached })
    });
    seen.collect()
}

/// Whether a file can be read. A serial device is not opened, which may reset a board behind it: its
/// rights are asked for.
fn reached(path: &Path, serial: bool) -> Reached {
    if !path.exists() {
        return Reached::Absent;
    }
    let refused = if serial {
        !may_use(path)
    } else {
        File::open(path).is_err_and(|error| error.kind() == ErrorKind::PermissionDenied)
    };
    if refused { Reached::Refused { group: group_of(path) } } else { Reached::Yes }
}

#[cfg(target_os = "linux")]
fn may_use(path: &Path) -> bool {
    use rustix::fs::{Access, access};
    access(path, Access::READ_OK | Access::WRITE_OK).is_ok()
}

#[cfg(not(target_os = "linux"))]
fn may_use(_path: &Path) -> bool {
    true
}

/// The group that has a right to a file, by its name.
#[cfg(unix)]
fn group_of(path: &Path) -> Option<String> {
    use std::os::unix::fs::MetadataExt;
    let id = fs::metadata(path).ok()?.gid().to_string();
    let groups = fs::read_to_string("/etc/group").ok()?;
    let named = groups.lines().find(|line| line.split(':').nth(2) == Some(id.as_str()))?;
    Some(named.split(':').next()?.to_owned())
}

#[cfg(not(unix))]
fn group_of(_path: &Path) -> Option<String> {
    None
}

/// The broker, where one is named: whether anybody listens there.
fn broker(table: &toml::Table) -> Option<BrokerSeen> {
    let broker = table.get("broker")?.as_table()?;
    let host = broker.get("host")?.as_str()?;
    let guarded = broker.get("tls").and_then(toml::Value::as_bool).unwrap_or(false);
    let port = broker.get("port").and_then(toml::Value::as_integer);
    let port = port.and_then(|port| u16::try_from(port).ok());
    let port = port.unwrap_or(if guarded { PORTS.1 } else { PORTS.0 });
    let tried = || -> std::io::Result<()> {
        let mut last = std::io::Error::from(ErrorKind::NotFound);
        for address in (host, port).to_socket_addrs()? {
            match TcpStream::connect_timeout(&address, PATIENCE) {
                Ok(_) => return Ok(()),
                Err(error) => last = error,
            }
        }
        Err(last)
    };
    let refused = tried().err().map(|error| error.to_string());
    Some(BrokerSeen { address: format!("{host}:{port}"), refused })
}

#[cfg(test)]
mod tests {
    use super::super::seen::{Reached, RecordSeen};
    use super::look;

    #[test]
    fn what_is_there_and_what_is_not_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let listener = std::net::TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let there = folder.path().join("air.csv");
        std::fs::write(&there, "time,air\n").unwrap();
        let feeds = format!(
            "format = 1\n[broker]\nhost = \"127.0.0.1\"\nport = {port}\n[[still]]\nname = \"Shed\"\n\
             [[still.source]]\nname = \"air\"\nkind = \"file\"\npath = \"{}\"\n\
             [[still.source]]\nname = \"head\"\nkind = \"one_wire\"\npath = \"/nowhere/w1_slave\"\n",
            there.display()
        );
        std::fs::write(folder.path().join("feeds.toml"), feeds).unwrap();
        let seen = look(folder.path());
        assert_eq!(seen.folder_refused, None);
        assert!(seen.free_bytes.is_none_or(|free| free > 0));
        assert_eq!(seen.record, RecordSeen::Absent);
        let reached: Vec<_> = seen.sources.iter().map(|source| source.reached.clone()).collect();
        assert_eq!(reached, [Reached::Yes, Reached::Absent]);
        assert_eq!(seen.broker.unwrap().refused, None);
        drop(listener);
        assert!(look(folder.path()).broker.unwrap().refused.is_some());
        let inside = std::fs::read_dir(folder.path()).unwrap().count();
        assert_eq!(inside, 2, "nothing is left behind");
    }
}
