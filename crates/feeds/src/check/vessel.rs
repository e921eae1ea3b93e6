//! One still or one wash of the file: its name, its sources, the order in which they speak.

use std::collections::BTreeMap;

use sense::Sensor;
use serde::Deserialize;

use super::rules::{Refused, SOURCES_MAX, channel, named, refused, within};
use super::source::SourceTable;
use crate::broker::Broker;
use crate::file::{FeedsOf, Source, Whose};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FeedsTable {
    name: String,
    #[serde(default, rename = "source")]
    sources: Vec<SourceTable>,
    #[serde(default)]
    order: BTreeMap<String, Vec<String>>,
}

impl FeedsTable {
    pub(super) fn checked(
        self,
        key: &str,
        whose: Whose,
        broker: Option<&Broker>,
    ) -> Result<FeedsOf, Refused> {
        named(format!("{key}.name"), &self.name)?;
        within(&format!("{key}.source"), self.sources.len(), SOURCES_MAX, "give it a source")?;
        let mut sources: Vec<Source> = Vec::new();
        for (index, source) in self.sources.into_iter().enumerate() {
            let key = format!("{key}.source[{}]", index + 1);
            let source = source.checked(&key, whose, broker)?;
            if let Some(other) = sources.iter().find(|other| other.name == source.name) {
                let bound = "must not be the name of two sources of one still or wash";
                return Err(refused(
                    format!("{key}.name"),
                    &other.name,
                    bound,
                    "name it otherwise",
                ));
            }
            sources.push(source);
        }
        let order = order(&format!("{key}.order"), whose, &self.order, &sources)?;
        Ok(FeedsOf { whose, name: self.name, sources, order })
    }
}

/// Who speaks for each channel: as the file says, or in the order of the sources.
fn order(
    key: &str,
    whose: Whose,
    given: &BTreeMap<String, Vec<String>>,
    sources: &[Source],
) -> Result<BTreeMap<Sensor, Vec<usize>>, Refused> {
    let reads = |source: &Source, probe| source.values.iter().any(|value| value.probe == probe);
    let mut order = BTreeMap::new();
    for (place, source) in sources.iter().enumerate() {
        for value in &source.values {
            order.entry(value.probe).or_insert_with(Vec::new).push(place);
        }
    }
    for (column, names) in given {
        let key = format!("{key}.{column}");
        let probe = channel(&key, whose, column)?;
        let mut speakers = Vec::new();
        for (index, name) in names.iter().enumerate() {
            let of = sources.iter().position(|source| source.name == *name);
            let Some(place) = of.filter(|&place| reads(&sources[place], probe)) else {
                let bound =
                    format!("must be a source of this {} that reads {column}", whose.word());
                let hint = "names of sources, first the one that speaks while it is fresh";
                return Err(refused(format!("{key}[{}]", index + 1), name, bound, hint));
            };
            if speakers.contains(&place) {
                let key = format!("{key}[{}]", index + 1);
                return Err(refused(key, name, "must not be there twice", "leave one out"));
            }
            speakers.push(place);
        }
        let all = order.get(&probe).map_or(0, Vec::len);
        if speakers.len() != all {
            let value = format!("{} of {all} sources", speakers.len());
            let bound = format!("must name every source that reads {column}");
            return Err(refused(key, &value, bound, "add the others, or leave the key out"));
        }
        order.insert(probe, speakers);
    }
    Ok(order)
}
