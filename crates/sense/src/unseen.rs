//! Times in which nothing showed the still, though its probes are read often: what ran then is not
//! known, and whether it boiled is told by the first readings after.

use crate::cadence::Cadence;
use crate::lateness::Lateness;
use crate::probe::Probe;
use crate::reading::Reading;

/// Without a reading for this long a still may have stopped unseen, s (judgement: a power cut takes
/// the readings with it).
pub(crate) const UNSEEN_S: f64 = 120.0;
/// What a reading must be of to show the still: a room or a barometer goes on without it.
const SHOWN_BY: [Probe; 7] = [
    Probe::Head,
    Probe::Pot,
    Probe::Heater,
    Probe::CoolantFlow,
    Probe::CoolantOut,
    Probe::Product,
    Probe::Column,
];
/// Boiling point of the azeotrope of ethanol and water at 1013.25 hPa, °C (CRC Handbook; from
/// memory), and how far under it light heads may press a head, K (judgement, as in the plateau).
const AZEOTROPE_C: f64 = 78.17;
const UNDER_K: f64 = 1.0;
/// A pot this much colder than before did not go on boiling, K: one that boils grows hotter
/// (judgement, over the noise of what is sold).
const POT_FELL_K: f64 = 1.0;
/// A head that is not back so long after the others leaves it to the pot; after twice that nothing
/// is told, s: judgement.
const WAIT_S: f64 = 60.0;

/// Whether a head that stood in vapour, both at standard pressure, is now lower than any vapour, as
/// after a power cut. No vapour of ethanol and water is colder than that of their azeotrope.
#[must_use]
pub fn under_vapour(stood_c: f64, head_c: f64) -> bool {
    head_c < stood_c.min(AZEOTROPE_C) - UNDER_K
}

/// A time in which nothing showed the still, and after which it was found not to boil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Idle {
    /// The last reading before, s.
    pub from_s: f64,
    /// The first after, s.
    pub to_s: f64,
}

/// A time without readings that is not judged yet.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Pending {
    time: Idle,
    /// Head and pot before, where they were read.
    head_c: Option<f64>,
    pot_c: Option<f64>,
}

/// Follows when anything was read of the still.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Unseen {
    cadence: Cadence,
    /// Last good head and pot with their times.
    head: Option<(f64, f64)>,
    pot: Option<(f64, f64)>,
    pending: Option<Pending>,
    back_s: Option<f64>,
}

impl Unseen {
    /// Takes a row as sent, with what can be believed of it: the head at standard pressure, and the
    /// pot. Gives the time without readings where the row shows that the still did not boil.
    pub fn take(
        &mut self,
        time_s: f64,
        sent: &Reading,
        head_c: Option<f64>,
        pot_c: Option<f64>,
    ) -> Option<Idle> {
        SHOWN_BY.iter().find(|probe| sent.get(**probe).is_some())?;
        if let Some(from_s) = self.since_s(time_s) {
            let fresh = |last: Option<(f64, f64)>| {
                last.filter(|(at_s, _)| from_s - at_s <= UNSEEN_S).map(|last| last.1)
            };
            let time = Idle { from_s, to_s: time_s };
            let (head_c, pot_c) = (fresh(self.head), fresh(self.pot));
            self.pending = Some(Pending { time, head_c, pot_c });
            self.back_s = Some(time_s);
        }
        self.cadence.take(time_s)?;
        let idle = self.judge(time_s, head_c, pot_c);
        self.head = head_c.map(|head_c| (time_s, head_c)).or(self.head);
        self.pot = pot_c.map(|pot_c| (time_s, pot_c)).or(self.pot);
        idle
    }

    /// How late the readings of each channel are sent again and again: what is not sent yet is not
    /// unseen.
    pub fn expect_late(&mut self, lateness: &Lateness) {
        let late_s = SHOWN_BY.into_iter().map(|probe| lateness.expected_s(probe));
        self.cadence.expect_late(late_s.fold(0.0, f64::max));
    }

    fn judge(&mut self, time_s: f64, head_c: Option<f64>, pot_c: Option<f64>) -> Option<Idle> {
        let before = self.pending?;
        let waited_s = time_s - before.time.to_s;
        let by_head = before.head_c.zip(head_c).map(|(stood_c, c)| under_vapour(stood_c, c));
        let pot_tells = before.head_c.is_none() || waited_s >= WAIT_S;
        let by_pot = before.pot_c.zip(pot_c).filter(|_| pot_tells);
        let fell = by_head.or(by_pot.map(|(stood_c, c)| stood_c - c > POT_FELL_K));
        if fell.is_some() || waited_s >= 2.0 * WAIT_S {
            self.pending = None;
        }
        (fell == Some(true)).then_some(before.time)
    }

    /// Since when nothing shows the still, s; none while something does, and where readings are
    /// typed: then there is somebody.
    #[must_use]
    pub fn since_s(&self, now_s: f64) -> Option<f64> {
        let last_s = self.cadence.last_s()?;
        let longest_s = self.cadence.stale_after_s().max(UNSEEN_S);
        (!self.cadence.typed() && now_s - last_s > longest_s).then_some(last_s)
    }

    /// When readings came back last, s.
    #[must_use]
    pub const fn back_s(&self) -> Option<f64> {
        self.back_s
    }
}

#[cfg(test)]
mod tests {
    use super::{Idle, Unseen};
    use crate::probe::Probe;
    use crate::reading::Reading;

    /// A row each ten seconds, none from `gap`'s start to its end, told what came of it.
    fn after(gap: (u32, u32), row: impl Fn(f64) -> Reading) -> Option<Idle> {
        let mut unseen = Unseen::default();
        let rows = (0..200).map(|at| 10 * at).filter(|at| !(gap.0..gap.1).contains(at));
        let told = rows.filter_map(|at| {
            let sent = row(f64::from(at));
            unseen.take(f64::from(at), &sent, sent.get(Probe::Head), sent.get(Probe::Pot))
        });
        told.last()
    }

    const CUT: Option<Idle> = Some(Idle { from_s: 590.0, to_s: 1320.0 });

    #[test]
    fn a_head_or_else_a_pot_that_fell_meanwhile_shows_that_nothing_boiled() {
        let head = |c: f64| {
            move |at: f64| Reading::default().with(Probe::Head, if at < 1320.0 { 78.1 } else { c })
        };
        assert_eq!(after((600, 1320), head(48.0)), CUT);
        assert_eq!(after((600, 1320), head(78.0)), None, "it went on");
        assert_eq!(after((600, 700), head(48.0)), None, "too short to be unseen");
        let pot = |c: f64| {
            move |at: f64| Reading::default().with(Probe::Pot, if at < 1320.0 { 94.0 } else { c })
        };
        assert_eq!(after((600, 1320), pot(92.5)), CUT);
        assert_eq!(after((600, 1320), pot(94.2)), None);
        let both = |at: f64| pot(92.5)(at).with(Probe::Head, 78.1);
        assert_eq!(after((600, 1320), both), None, "the head stands in vapour");
    }

    #[test]
    fn a_room_thermometer_does_not_show_the_still_and_typed_readings_make_no_gap() {
        let mut unseen = Unseen::default();
        for at in 0..100 {
            let row = Reading::default().with(Probe::Ambient, 20.0);
            let row = if at < 50 { row.with(Probe::Head, 78.1) } else { row };
            unseen.take(10.0 * f64::from(at), &row, row.get(Probe::Head), None);
        }
        assert_eq!(unseen.since_s(990.0), Some(490.0));
        let mut typed = Unseen::default();
        for at in 0..5 {
            let row = Reading::default().with(Probe::Head, 78.1);
            typed.take(300.0 * f64::from(at), &row, Some(78.1), None);
        }
        assert_eq!(typed.since_s(9000.0), None);
    }
}
