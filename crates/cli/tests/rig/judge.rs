//! What became of every value that was sent.

use std::time::Instant;

use sense::RecordedRun;

use super::follower::Seen;
use super::writers::{By, Channel, place_of};

/// A value that was sent so short a time before its way was cut may have been lost on it, s.
const ON_ITS_WAY_S: f64 = 0.5;

/// When a way was cut, and when it was mended.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cut {
    pub(crate) by: By,
    /// One still only, or all.
    pub(crate) still: Option<usize>,
    pub(crate) from: Instant,
    pub(crate) to: Instant,
}

/// Counts and times of everything together.
#[derive(Debug, Default)]
pub(crate) struct Outcome {
    /// What the broker was.
    pub(crate) broker: &'static str,
    /// Values that were sent while their way was open.
    pub(crate) sent: usize,
    /// Of these, stored once.
    pub(crate) stored: usize,
    /// Stored more often than sent.
    pub(crate) doubled: usize,
    /// Stored before one that was sent before.
    pub(crate) out_of_order: usize,
    /// From sending to the page, ms, of each kind of source in the order of [`By::ALL`].
    pub(crate) to_page_ms: [Vec<f64>; By::ALL.len()],
    /// From the mending of a way to the first value that came, s.
    pub(crate) back_s: Vec<f64>,
    /// Processor time of the server, s.
    pub(crate) processor_s: f64,
    /// Memory of the server, MB: now and at most.
    pub(crate) resident_mb: f64,
    pub(crate) most_resident_mb: f64,
}

impl Outcome {
    /// Judges one channel of a run.
    pub(crate) fn judge(
        &mut self,
        channel: &Channel,
        stored: &RecordedRun,
        seen: &Seen,
        cuts: &[Cut],
    ) {
        let Channel { still, probe, by, sent } = channel;
        let rows = stored.readings.iter().filter_map(|row| row.1.get(*probe));
        let mut places: Vec<usize> = rows.map(|value| place_of(*probe, value)).collect();
        if *by == By::OneWire {
            // Who looks oftener than values come reads one several times.
            places.dedup();
        }
        self.out_of_order += places.windows(2).filter(|two| two[0] > two[1]).count();
        self.doubled += places.windows(2).filter(|two| two[0] == two[1]).count();
        let Some(first) = places.first().copied() else {
            self.sent += sent.len();
            return;
        };
        let mut is_stored = vec![false; sent.len()];
        for place in places {
            if let Some(stored) = is_stored.get_mut(place) {
                *stored = true;
            }
        }
        let mine = |cut: &&Cut| cut.by == *by && cut.still.is_none_or(|one| one == *still);
        let mut away: Vec<(Instant, Instant)> = Vec::new();
        for cut in cuts.iter().filter(mine) {
            let back = (0..sent.len()).find(|place| is_stored[*place] && sent[*place].at > cut.to);
            // What never came back was away to the end.
            let took_s = back.map(|place| sent[place].at.duration_since(cut.to).as_secs_f64());
            self.back_s.push(took_s.unwrap_or(f64::INFINITY));
            let end = sent.last().map_or(cut.to, |last| last.at);
            let back = back.map_or(end, |place| sent[place].at);
            away.push((cut.from, back));
        }
        let open = |at: Instant| {
            away.iter().all(|(from, to)| {
                at >= *to || from.saturating_duration_since(at).as_secs_f64() > ON_ITS_WAY_S
            })
        };
        // What was sent in the last moments may come when nobody counts any more.
        let end = sent.last().map(|last| last.at);
        let counts = |place: usize| {
            let at = sent[place].at;
            let late = end.is_some_and(|end| end.duration_since(at).as_secs_f64() < ON_ITS_WAY_S);
            sent[place].sure && open(at) && !late
        };
        let counted: Vec<usize> = (first..sent.len()).filter(|place| counts(*place)).collect();
        self.sent += counted.len();
        self.stored += counted.iter().filter(|place| is_stored[**place]).count();
        self.times(channel, &counted, seen.get(probe).map_or(&[], Vec::as_slice));
    }

    /// How long each value took to the page.
    fn times(&mut self, channel: &Channel, counted: &[usize], seen: &[(usize, Instant)]) {
        let ms = &mut self.to_page_ms[channel.by as usize];
        for place in counted {
            let at = seen.partition_point(|(other, _)| other < place);
            let sent = channel.sent[*place].at;
            let took = seen.get(at).map(|(_, at)| at.saturating_duration_since(sent));
            ms.push(took.map_or(f64::INFINITY, |took| took.as_secs_f64() * 1000.0));
        }
    }
}
