//! The measured past as points for the drawings, kept to a bounded number.

use advise::{ChannelState, Knowledge};

use crate::wire::run::{ColumnsWire, PointWire};

/// Most points kept; when they are passed, every second one of the older half goes.
const POINTS_MAX: usize = 2400;

/// Seconds of run time from one point to the next.
pub(crate) const POINT_EVERY_S: u64 = 10;

/// Points in the order of run time.
#[derive(Debug, Clone, Default)]
pub(crate) struct Points(Vec<PointWire>);

/// What the drawings show of a moment.
pub(crate) fn point(knowledge: &Knowledge) -> PointWire {
    let channel = |name: &str| {
        let found = knowledge.channels.iter().find(|channel| channel.name == name);
        found.filter(|channel| channel.quality == ChannelState::Good).and_then(|found| found.value)
    };
    PointWire {
        time_s: knowledge.time_s,
        head_c: channel("head_c"),
        pot_c: channel("pot_c"),
        rise_k: knowledge.rise.map(|rise| rise.kelvin),
        litres: knowledge.drawn.as_ref().map(|drawn| drawn.litres.at.p50),
        strength_vol: knowledge.strength_now.as_ref().map(|strength| strength.at.p50),
    }
}

impl Points {
    /// Adds a point; one that is not newer is left out.
    pub(crate) fn push(&mut self, point: PointWire) {
        if self.0.last().is_some_and(|last| point.time_s <= last.time_s) {
            return;
        }
        if self.0.len() >= POINTS_MAX {
            let half = self.0.len() / 2;
            let mut place = 0;
            self.0.retain(|_| {
                place += 1;
                place > half || place % 2 == 1
            });
        }
        self.0.push(point);
    }

    /// Leaves out the points after that second; all of them without one.
    pub(crate) fn forget_after(&mut self, second: Option<u64>) {
        let until_s = second.map_or(-1.0, |second| second as f64);
        self.0.truncate(self.0.partition_point(|point| point.time_s <= until_s));
    }

    /// The points as columns.
    pub(crate) fn columns(&self) -> ColumnsWire {
        ColumnsWire {
            time_s: self.0.iter().map(|point| point.time_s).collect(),
            head_c: self.0.iter().map(|point| point.head_c).collect(),
            pot_c: self.0.iter().map(|point| point.pot_c).collect(),
            rise_k: self.0.iter().map(|point| point.rise_k).collect(),
            litres: self.0.iter().map(|point| point.litres).collect(),
            strength_vol: self.0.iter().map(|point| point.strength_vol).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{POINTS_MAX, Points};
    use crate::wire::run::PointWire;

    #[test]
    fn points_stay_bounded_in_order_and_keep_the_newest() {
        let mut points = Points::default();
        for i in 0..20_000_u32 {
            let time_s = f64::from(i);
            let (head_c, pot_c, rise_k, litres, strength_vol) = (Some(1.0), None, None, None, None);
            points.push(PointWire { time_s, head_c, pot_c, rise_k, litres, strength_vol });
            points.push(PointWire { time_s, head_c, pot_c, rise_k, litres, strength_vol });
        }
        let columns = points.columns();
        assert!(columns.time_s.len() <= POINTS_MAX && columns.time_s.len() > POINTS_MAX / 2);
        assert!(columns.time_s.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!(columns.time_s.first(), Some(&0.0));
        assert_eq!(columns.time_s.last(), Some(&19_999.0));
    }
}
