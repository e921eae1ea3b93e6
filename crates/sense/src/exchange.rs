//! Two thermometers under each other's name, of which one is never the colder in the boil: the pot and
//! the head, the coolant's outlet and its inlet, the head and the vent.

/// Two this far apart tell which is which, K (judgement: ten times what probes as sold
/// are off).
const TELLING_K: f64 = 4.0;
/// So many telling rows at least, and this share of them must say so (judgement).
const TELLING_LEAST: u32 = 20;
const COLDER_SHARE: f64 = 0.8;
/// Live only the latest rows tell: so many.
const LATEST: u32 = 30;

/// Rows that tell the two apart.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Exchange {
    telling: u32,
    colder: u32,
    latest: u64,
}

impl Exchange {
    /// Takes a row in which both were read: the colder as it should be, and the hotter.
    pub(crate) fn take(&mut self, cold_c: f64, hot_c: f64) {
        if (hot_c - cold_c).abs() > TELLING_K {
            let colder = hot_c < cold_c;
            self.telling = self.telling.saturating_add(1);
            self.colder += u32::from(colder);
            self.latest = (self.latest << 1) | u64::from(colder);
        }
    }

    /// Whether most of all rows say that they are swapped.
    pub(crate) fn ever(&self) -> bool {
        told(self.telling, self.colder)
    }

    /// Whether most of the latest rows say so.
    pub(crate) fn lately(&self) -> bool {
        let latest = self.latest & ((1 << LATEST) - 1);
        told(self.telling.min(LATEST), latest.count_ones())
    }
}

fn told(telling: u32, colder: u32) -> bool {
    telling >= TELLING_LEAST && f64::from(colder) > COLDER_SHARE * f64::from(telling)
}
