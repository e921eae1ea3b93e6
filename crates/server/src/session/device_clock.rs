//! The clocks of the devices that stamp their rows: how far each is off this computer's, and whether
//! its rows can be taken with that removed. Pure.

use advise::{Event, state_event};

use super::clock_words::long;
use super::run_time::AHEAD_MAX_S;

/// A clock that is off by no more than this is right, ms.
#[expect(clippy::cast_possible_truncation, reason = "five seconds")]
const RIGHT_MS: i64 = (AHEAD_MAX_S * 1000.0) as i64;
/// Requests in a row whose newest rows are off alike, to so many ms: so far off is the clock
/// (judgement: what a network holds back is less).
const ALIKE: usize = 3;
const ALIKE_MS: i64 = 2000;
/// Devices remembered, and events of their clocks in one run.
const DEVICES_MAX: usize = 20;
const SAID_MAX: usize = 60;

/// What a request says of its device's clock, ms UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamps {
    /// What the device's clock showed when it sent.
    pub(super) sent_ms: Option<i64>,
    /// The newest moment among its rows.
    pub(super) newest_ms: i64,
    /// Whether that is no moment of this run: it is ahead of now.
    pub(super) ahead: bool,
}

/// One device's clock.
#[derive(Debug, Clone, PartialEq, Eq)]
struct DeviceClock {
    name: String,
    /// The latest that were off, ms.
    off_ms: Vec<i64>,
    /// What is taken off its stamps, ms.
    removed_ms: i64,
    /// What was said of it last, ms.
    said_ms: i64,
    /// Whether its rows were not taken the last time.
    waits: bool,
}

/// What comes of a request's stamps.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Judged {
    /// What is to be taken off its stamps, ms; none where they cannot be taken yet: how far they are
    /// off.
    pub(super) removed_ms: Result<i64, i64>,
    /// What is to be said.
    pub(super) event: Option<Event>,
}

/// The clocks of a run's devices.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct DeviceClocks {
    list: Vec<DeviceClock>,
    said: usize,
}

impl DeviceClocks {
    /// Judges the stamps of a request. Of a device that says what its own clock shows its rows are
    /// taken at once; of one that only stamps rows ahead of now once it has done so alike.
    pub(super) fn judge(
        &mut self,
        device: &str,
        stamps: Stamps,
        now_ms: i64,
        time_s: f64,
    ) -> Judged {
        let newest_off_ms = stamps.newest_ms.saturating_sub(now_ms);
        let sent_off_ms = stamps.sent_ms.map(|at_ms| at_ms.saturating_sub(now_ms));
        let off_ms = sent_off_ms.or(stamps.ahead.then_some(newest_off_ms));
        let may_say = self.said < SAID_MAX;
        let Some(clock) = self.of(device) else {
            let off_ms = off_ms.filter(|off_ms| stamps.sent_ms.is_some() && wrong(*off_ms));
            return Judged { removed_ms: Ok(off_ms.unwrap_or(0)), event: None };
        };
        let removed_ms = match off_ms {
            // A row of just now shows that the clock was set right; late rows show nothing.
            None if wrong(newest_off_ms) => Ok(clock.removed_ms),
            None => Ok(0),
            Some(off_ms) if !wrong(off_ms) => Ok(0),
            Some(off_ms) if stamps.sent_ms.is_some() => Ok(off_ms),
            Some(off_ms) => clock.alike(off_ms),
        };
        if removed_ms == Ok(0) {
            clock.off_ms.clear();
        }
        clock.removed_ms = removed_ms.unwrap_or(0);
        let told_ms = removed_ms.unwrap_or_else(|off_ms| off_ms);
        let news = (told_ms - clock.said_ms).abs() > RIGHT_MS
            || (told_ms == 0 && clock.said_ms != 0)
            || (removed_ms.is_ok() && clock.waits);
        clock.waits = removed_ms.is_err();
        if !news || !may_say {
            return Judged { removed_ms, event: None };
        }
        clock.said_ms = told_ms;
        self.said += 1;
        Judged { removed_ms, event: Some(words(device, told_ms, removed_ms.is_ok(), time_s)) }
    }

    fn of(&mut self, device: &str) -> Option<&mut DeviceClock> {
        if let Some(place) = self.list.iter().position(|clock| clock.name == device) {
            return self.list.get_mut(place);
        }
        if self.list.len() >= DEVICES_MAX {
            return None;
        }
        let name = device.to_owned();
        let (off_ms, removed_ms, said_ms) = (Vec::new(), 0, 0);
        self.list.push(DeviceClock { name, off_ms, removed_ms, said_ms, waits: false });
        self.list.last_mut()
    }
}

const fn wrong(off_ms: i64) -> bool {
    off_ms.saturating_abs() > RIGHT_MS
}

impl DeviceClock {
    /// What can be taken off once so many requests were off alike; else how far this one is.
    fn alike(&mut self, off_ms: i64) -> Result<i64, i64> {
        if self.off_ms.iter().any(|before| before.saturating_sub(off_ms).abs() > ALIKE_MS) {
            self.off_ms.clear();
        }
        self.off_ms.push(off_ms);
        if self.off_ms.len() > ALIKE {
            self.off_ms.remove(0);
        }
        if self.off_ms.len() < ALIKE { Err(off_ms) } else { Ok(off_ms) }
    }
}

/// How far a clock is off, as "3 min 20 s ahead of".
pub(super) fn off_words(off_ms: i64) -> String {
    let way = if off_ms > 0 { "ahead of" } else { "behind" };
    format!("{} {way}", long((off_ms.saturating_abs() + 500) / 1000))
}

fn words(device: &str, off_ms: i64, taken: bool, time_s: f64) -> Event {
    let whose =
        if device.is_empty() { "a device".to_owned() } else { format!("the device {device}") };
    let text = if off_ms == 0 {
        format!("The clock of {whose} is right again.")
    } else {
        let far = off_words(off_ms);
        let then = if taken {
            "its rows are taken with that removed"
        } else {
            "its rows are not taken until it is so for three requests alike"
        };
        format!("The clock of {whose} is {far} this computer's: {then}.")
    };
    state_event(time_s, "device_clock", text, "its stamps beside this computer's clock")
}

#[cfg(test)]
mod tests {
    use super::{DeviceClocks, Stamps};

    const NOW_MS: i64 = 1_790_000_000_000;

    /// Judges stamps that are so far off, each ten seconds; what is removed, and whether it is said.
    fn judged(rows: &[(Option<i64>, i64)]) -> Vec<(Result<i64, i64>, bool)> {
        let mut clocks = DeviceClocks::default();
        let judge = |(at, &(sent_ms, newest_ms)): (i64, &(Option<i64>, i64))| {
            let now_ms = NOW_MS + 10_000 * at;
            let sent_ms = sent_ms.map(|off_ms| now_ms + off_ms);
            let ahead = newest_ms > 5000;
            let stamps = Stamps { sent_ms, newest_ms: now_ms + newest_ms, ahead };
            let judged = clocks.judge("box", stamps, now_ms, 10.0);
            (judged.removed_ms, judged.event.is_some())
        };
        (0..).zip(rows).map(judge).collect()
    }

    #[test]
    fn a_device_that_says_what_its_clock_shows_is_put_right_at_once_and_told_once() {
        let hour = Some(-3_600_000);
        let rows = [(Some(900), 0), (hour, -3_600_000), (hour, -3_900_000), (Some(400), 0)];
        let said = [(Ok(0), false), (Ok(-3_600_000), true), (Ok(-3_600_000), false), (Ok(0), true)];
        assert_eq!(judged(&rows), said);
    }

    #[test]
    fn rows_ahead_of_now_are_taken_once_three_requests_are_so_alike() {
        let ahead = |ms| (None, ms);
        let rows = [200_000, 200_300, 199_800, 200_100, -100_000, 200_000, 300, -60_000].map(ahead);
        let said = [
            (Err(200_000), true),
            (Err(200_300), false),
            (Ok(199_800), true),
            (Ok(200_100), false),
            (Ok(200_100), false),
            (Ok(200_000), false),
            (Ok(0), true),
            (Ok(0), false),
        ];
        assert_eq!(judged(&rows), said, "late rows too, until a row of just now shows it right");
        let wanders = [200_000, 260_000, 320_000, 380_000].map(ahead);
        assert!(judged(&wanders).iter().all(|(removed, said)| removed.is_err() && *said));
    }

    #[test]
    fn devices_and_what_is_said_of_them_are_bounded() {
        let mut clocks = DeviceClocks::default();
        let mut said = 0;
        for at in 0..500_i64 {
            let sent_ms = Some(NOW_MS + 20_000 * (at + 1));
            let stamps = Stamps { sent_ms, newest_ms: NOW_MS, ahead: false };
            let device = format!("box {}", at % 40);
            let judged = clocks.judge(&device, stamps, NOW_MS, 1.0);
            assert_eq!(judged.removed_ms, Ok(20_000 * (at + 1)), "its rows are taken all the same");
            said += usize::from(judged.event.is_some());
        }
        assert!(clocks.list.len() == 20 && said == 60, "{said}");
    }
}
