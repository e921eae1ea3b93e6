//! The desk of one still, where all its sources are heard: who speaks for each channel, and what
//! of it is new.

use std::collections::BTreeMap;

use sense::{Probe, Reading};

use crate::file::StillFeeds;
use crate::heard::{Heard, Standing};
use crate::unread::Told;

/// Oldest reading that goes into a run as one of now, s (judgement: short against the lag of a
/// thermometer, long against a row each second).
const NOW_MAX_S: f64 = 5.0;

/// All sources of a still as they were heard.
#[derive(Debug, Clone)]
pub struct Desk {
    still: StillFeeds,
    heard: Vec<Vec<Heard>>,
    /// When what was last handed on of a channel had been read, s.
    handed_on: BTreeMap<Probe, f64>,
}

/// What is new, as a row; handed on by [`Desk::hand_on`].
#[derive(Debug, Clone, PartialEq)]
pub struct Fresh {
    /// The row.
    pub row: Reading,
    read_s: Vec<(Probe, f64)>,
}

/// One value of one source, as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Say {
    /// The channel.
    pub probe: Probe,
    /// Place of the source in the file, from 0.
    pub source: usize,
    /// What the source sent last, in its own unit.
    pub raw: Option<f64>,
    /// Its own unit.
    pub raw_unit: &'static str,
    /// The same in the unit of the channel.
    pub value: Option<f64>,
    /// How old that is, s.
    pub age_s: Option<f64>,
    /// How often it is read, s.
    pub every_s: Option<f64>,
    /// How far it can be trusted.
    pub standing: Standing,
    /// Whether it speaks for the channel.
    pub speaks: bool,
    /// What is wrong with it, or why it does not speak.
    pub why: Option<String>,
}

impl Desk {
    /// A desk that has heard nothing.
    #[must_use]
    pub fn new(still: StillFeeds) -> Self {
        let heard = still.sources.iter().map(|source| vec![Heard::default(); source.values.len()]);
        let heard = heard.collect();
        Self { still, heard, handed_on: BTreeMap::new() }
    }

    /// Whose it is.
    #[must_use]
    pub const fn still(&self) -> &StillFeeds {
        &self.still
    }

    /// Hears a source. Times come from a clock that nobody sets, as run time does.
    pub fn hear(&mut self, source: usize, at_s: f64, told: &Told) {
        let (Some(of), Some(heard)) = (self.still.sources.get(source), self.heard.get_mut(source))
        else {
            return;
        };
        match told {
            Ok(values) => {
                for ((heard, wanted), told) in heard.iter_mut().zip(&of.values).zip(values) {
                    heard.take(at_s, told, wanted);
                }
            }
            Err(unread) => heard.iter_mut().for_each(|heard| heard.trouble(&unread.to_string())),
        }
    }

    /// Says that a source cannot be read, and why.
    pub fn trouble(&mut self, source: usize, what: &str) {
        let of_it = self.heard.get_mut(source).into_iter().flatten();
        of_it.for_each(|heard| heard.trouble(what));
    }

    /// What can speak for a channel: source and value, first first.
    fn of(&self, probe: Probe) -> impl Iterator<Item = (usize, &Heard)> {
        let order = self.still.order.get(&probe).into_iter().flatten();
        order.filter_map(move |&source| {
            let values = &self.still.sources.get(source)?.values;
            let value = values.iter().position(|wanted| wanted.probe == probe)?;
            Some((source, self.heard.get(source)?.get(value)?))
        })
    }

    /// Who speaks for a channel: the first that is fresh. Where none is, the first from which
    /// anything comes: it goes into the run as it is, so that the run says what is wrong with it.
    fn speaker(&self, probe: Probe, now_s: f64) -> Option<(usize, &Heard)> {
        let fresh = self.of(probe).find(|(_, heard)| heard.fresh(now_s));
        fresh.or_else(|| self.of(probe).find(|(_, heard)| heard.comes(now_s)))
    }

    /// The source that speaks for a channel.
    #[must_use]
    pub fn speaks(&self, probe: Probe, now_s: f64) -> Option<usize> {
        self.speaker(probe, now_s).map(|(source, _)| source)
    }

    /// What the speakers have read and was not handed on; none where nothing is new.
    #[must_use]
    pub fn fresh(&self, now_s: f64) -> Option<Fresh> {
        let mut fresh = Fresh { row: Reading::default(), read_s: Vec::new() };
        for &probe in self.still.order.keys() {
            let read = self.speaker(probe, now_s).and_then(|(_, heard)| heard.last());
            let Some(read) = read else { continue };
            let before_s = self.handed_on.get(&probe).copied().unwrap_or(f64::NEG_INFINITY);
            if read.at_s > before_s && now_s - read.at_s <= NOW_MAX_S {
                fresh.row.set(probe, Some(read.value));
                fresh.read_s.push((probe, read.at_s));
            }
        }
        (!fresh.row.is_empty()).then_some(fresh)
    }

    /// Marks what was handed on: it is no news any more.
    pub fn hand_on(&mut self, fresh: &Fresh) {
        self.handed_on.extend(fresh.read_s.iter().copied());
    }

    /// Everything as it stands, channel by channel, first first.
    #[must_use]
    pub fn says(&self, now_s: f64) -> Vec<Say> {
        let channels = self.still.order.keys();
        channels.flat_map(|&probe| self.of_channel(probe, now_s)).collect()
    }

    fn of_channel(&self, probe: Probe, now_s: f64) -> Vec<Say> {
        let speaker = self.speaks(probe, now_s);
        let name = |source: usize| self.still.sources[source].name.as_str();
        let say = |(source, heard): (usize, &Heard)| {
            let wanted =
                self.still.sources[source].values.iter().find(|wanted| wanted.probe == probe);
            let unit = wanted.map_or("", |wanted| wanted.unit.name());
            let behind = || speaker.filter(|&other| other != source).map(name);
            let why = heard.why(now_s);
            let why = why.or_else(|| behind().map(|name| format!("\"{name}\" stands before it")));
            Say {
                probe,
                source,
                raw: heard.last().map(|read| read.raw),
                raw_unit: unit,
                value: heard.last().map(|read| read.value),
                age_s: heard.last().map(|read| (now_s - read.at_s).max(0.0)),
                every_s: heard.every_s(),
                standing: heard.standing(now_s),
                speaks: speaker == Some(source),
                why,
            }
        };
        self.of(probe).map(say).collect()
    }
}
