//! Who writes what the shed reads: each value says by its size the how manieth it is.

use std::fs::{self, File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use sense::Probe;

use super::small::Client;

/// From one value of a channel to the next.
pub(crate) const EVERY: Duration = Duration::from_millis(100);
/// Looks of a 1-wire thermometer for one value of it: who looks twice as often as a value comes sees
/// each.
pub(crate) const LOOKS: u32 = 5;

/// By what a channel of a still is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum By {
    Broker,
    Serial,
    OneWire,
    Table,
}

impl By {
    /// All of them.
    pub(crate) const ALL: [Self; 4] = [Self::Broker, Self::Serial, Self::OneWire, Self::Table];

    /// What it is, in words.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Broker => "message",
            Self::Serial => "line",
            Self::OneWire => "1-wire thermometer",
            Self::Table => "row of a table",
        }
    }
}

/// The ten channels of a still.
pub(crate) const CHANNELS: [(Probe, By); 10] = [
    (Probe::Head, By::Broker),
    (Probe::Pot, By::Broker),
    (Probe::CoolantIn, By::Broker),
    (Probe::CoolantOut, By::Broker),
    (Probe::Vent, By::Broker),
    (Probe::Product, By::Broker),
    (Probe::Heater, By::Broker),
    (Probe::CoolantFlow, By::Serial),
    (Probe::Ambient, By::OneWire),
    (Probe::Pressure, By::Table),
];

/// First value of a channel, and by how much each is more than the one before.
const fn sizes(probe: Probe) -> (f64, f64) {
    match probe {
        Probe::Head => (50.0, 0.001),
        Probe::Pot => (55.0, 0.001),
        Probe::CoolantOut => (25.0, 0.001),
        Probe::Heater => (1500.0, 0.01),
        Probe::CoolantFlow => (1.0, 0.0001),
        Probe::Pressure => (1000.0, 0.001),
        _ => (12.0, 0.001),
    }
}

/// The `place`-th value of a channel, as it is written.
pub(crate) fn written(probe: Probe, place: usize) -> String {
    let (first, step) = sizes(probe);
    format!("{:.4}", first + step * place as f64)
}

/// The how manieth a value is.
pub(crate) fn place_of(probe: Probe, value: f64) -> usize {
    let (first, step) = sizes(probe);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place")]
    let place = ((value - first) / step).round().max(0.0) as usize;
    place
}

/// A value that was sent: when, and whether it surely was.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sent {
    pub(crate) at: Instant,
    pub(crate) sure: bool,
}

/// What was sent of one channel.
#[derive(Debug, Clone)]
pub(crate) struct Channel {
    pub(crate) still: usize,
    pub(crate) probe: Probe,
    pub(crate) by: By,
    pub(crate) sent: Vec<Sent>,
}

/// What tells writers to go on, to pause and to stop.
#[derive(Debug, Default)]
pub(crate) struct Signals {
    pub(crate) stop: AtomicBool,
    /// The adapter of the first still is pulled out.
    pub(crate) unplugged: AtomicBool,
}

/// Calls `each` every tenth of a second with the how manieth time it is.
fn tenths(signals: &Signals, mut each: impl FnMut(usize)) {
    let began = Instant::now();
    for place in 0_u32.. {
        if signals.stop.load(Ordering::SeqCst) {
            return;
        }
        each(place as usize);
        std::thread::sleep((EVERY * (place + 1)).saturating_sub(began.elapsed()));
    }
}

/// The topic of a channel.
pub(crate) fn topic(still: usize, probe: Probe) -> String {
    format!("shed/{still}/{}", probe.column())
}

/// Sends what a broker tells of a still.
pub(crate) fn send(still: usize, port: u16, signals: &Signals) -> Vec<Channel> {
    let mut all = channels(still, By::Broker);
    let name = format!("board{still}");
    let mut client = Client::connect(port, &name, None).ok();
    tenths(signals, |place| {
        if client.is_none() {
            client = Client::connect(port, &name, None).ok();
        }
        for channel in &mut all {
            let (topic, text) = (topic(still, channel.probe), written(channel.probe, place));
            let at = Instant::now();
            let sent = client.as_mut().map(|client| client.publish(&topic, &text, false));
            let sure = matches!(sent, Some(Ok(())));
            if !sure {
                client = None;
            }
            channel.sent.push(Sent { at, sure });
        }
    });
    all
}

fn channels(still: usize, by: By) -> Vec<Channel> {
    let of_it = CHANNELS.into_iter().filter(|(_, other)| *other == by);
    of_it.map(|(probe, by)| Channel { still, probe, by, sent: Vec::new() }).collect()
}

/// Where the sources of a still lie.
#[derive(Debug, Clone)]
pub(crate) struct Places {
    pub(crate) adapter: PathBuf,
    pub(crate) thermometer: PathBuf,
    pub(crate) table: PathBuf,
}

impl Places {
    pub(crate) fn of(folder: &Path, still: usize) -> Self {
        let devices = folder.join(format!("w1/devices/28-00000000000{still}"));
        fs::create_dir_all(&devices).expect("a tree");
        Self {
            adapter: folder.join(format!("adapter{still}")),
            thermometer: devices.join("w1_slave"),
            table: folder.join(format!("air{still}.csv")),
        }
    }
}

/// Writes what devices and files tell of a still.
pub(crate) fn write(still: usize, places: &Places, signals: &Signals) -> Vec<Channel> {
    let mut all = [By::Serial, By::OneWire, By::Table].map(|by| channels(still, by).remove(0));
    let mut adapter = Some(plug_in(&places.adapter));
    fs::write(&places.table, "pressure\n").expect("a table");
    tenths(signals, |place| {
        let [serial, one_wire, table] = &mut all;
        let pulled = still == 0 && signals.unplugged.load(Ordering::SeqCst);
        if pulled && adapter.take().is_some() {
            fs::remove_file(&places.adapter).expect("pulled out");
        } else if !pulled && adapter.is_none() {
            adapter = Some(plug_in(&places.adapter));
        }
        let line = format!("{{\"flow\": {}}}\n", written(serial.probe, place));
        let wrote = adapter.as_mut().map(|adapter| adapter.write_all(line.as_bytes()));
        let sure = matches!(wrote, Some(Ok(())));
        serial.sent.push(Sent { at: Instant::now(), sure });
        if place.is_multiple_of(LOOKS as usize) {
            let place = place / LOOKS as usize;
            thermometer(&places.thermometer, &written(one_wire.probe, place));
            one_wire.sent.push(Sent { at: Instant::now(), sure: true });
        }
        let mut file = OpenOptions::new().append(true).open(&places.table).expect("a table");
        let row = format!("{}\n", written(table.probe, place));
        file.write_all(row.as_bytes()).expect("written");
        table.sent.push(Sent { at: Instant::now(), sure: true });
    });
    all.into()
}

/// The file of a 1-wire thermometer, whole at once as the kernel shows it.
fn thermometer(path: &Path, celsius: &str) {
    let thousandths = (celsius.parse::<f64>().expect("a number") * 1000.0).round();
    let bytes = "4b 01 4b 46 7f ff 05 10 e1";
    let text = format!("{bytes} : crc=e1 YES\n{bytes} t={thousandths}\n");
    let beside = path.with_extension("new");
    fs::write(&beside, text).expect("written");
    fs::rename(&beside, path).expect("put in its place");
}

/// An adapter at that path; what is written here is what its device sends.
fn plug_in(path: &Path) -> File {
    use std::os::unix::ffi::OsStrExt;

    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
    // A broker that is started meanwhile must not keep it open; a device waits for nobody.
    let flags = OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC;
    let end = openpt(flags).expect("a terminal");
    rustix::io::ioctl_fionbio(&end, true).expect("it does not block");
    grantpt(&end).expect("granted");
    unlockpt(&end).expect("unlocked");
    let name = ptsname(&end, Vec::new()).expect("a name");
    let name = Path::new(std::ffi::OsStr::from_bytes(name.as_bytes())).to_owned();
    std::os::unix::fs::symlink(name, path).expect("plugged in");
    end.into()
}
