//! What the reader is told of the run, and its channels as a screen shows them.

use estimate::FaultKind;
use sense::{Context, Probe, Quality, Reason};
use still::plan::StepKind;

use crate::engine::Live;
use crate::knowledge::{Channel, ChannelState};

impl Live {
    /// What the reader must know to judge a reading.
    pub(super) fn context(&self) -> Context {
        let drawing =
            self.course.steps.kind().draws() || self.course.steps.kind() == StepKind::Equalise;
        Context {
            heat_w: self.heater_w(),
            said_w: self.said_heater_w(),
            vapour_s: self.course.vapour_s(),
            boils: drawing,
            head_never_hot: self.course.head_never_hot(),
            pot: self.is_pot(),
            runs_kg_per_s: self.expected_kg_per_s(),
            heat_most_w: Context::most_heat_w(&self.plan.still),
        }
    }

    /// Whether a thermometer has not moved for longer than noise and weather allow.
    pub(super) fn frozen(&self, probe: Probe) -> bool {
        self.probes.reader().of(probe).frozen(self.now_s, &self.context())
    }

    /// Whether nothing but its last digit has moved for longer than noise allows.
    pub(super) fn flickers(&self, probe: Probe) -> bool {
        let seen = self.probes.reader().of(probe).seen(self.now_s, &self.context());
        seen.quality.reason() == Some(Reason::Flickers)
    }

    /// Whether nothing is to be reckoned from a thermometer though it is read: it stands still or has
    /// left its level.
    pub(super) fn doubtful(&self, probe: Probe) -> bool {
        let channel = self.probes.reader().of(probe);
        let seen = channel.seen(self.now_s, &self.context());
        matches!(seen.quality.reason(), Some(Reason::Frozen | Reason::Flickers))
            || channel.left_its_level()
    }

    /// Whether a trigger may go by the head: it has not left its level at once, nor does it carry
    /// another's name. One that stands still cannot set one off.
    pub(super) fn head_steers(&self) -> bool {
        let reader = self.probes.reader();
        !reader.of(Probe::Head).left_its_level() && reader.swapped_with(Probe::Head).is_none()
    }

    /// The instrument that reads a channel, where it should have been calibrated again before.
    pub(super) fn overdue(&self, probe: Probe) -> Option<&str> {
        // What came into force within the second that runs counts.
        let one = self.instruments.of(probe, self.now_s + 1.0)?;
        one.overdue.then_some(one.name.as_str())
    }

    /// All channels as a screen shows them.
    pub(super) fn shown_channels(&self) -> Vec<Channel> {
        let context = self.context();
        let shown = |probe: Probe| {
            let mut seen = self.probes.reader().channel(probe, self.now_s, &context);
            // No row tells a drift from a head that rises: the fit to the whole run does.
            let drifts = probe == Probe::Head && self.foresight.doubted.shows(FaultKind::Drift);
            if seen.quality == Quality::Good && drifts {
                seen.quality = Quality::Doubtful(Reason::Drifts);
            }
            let quality = match seen.quality {
                Quality::Absent => ChannelState::Absent,
                Quality::Bad(Reason::Stale) => ChannelState::Stale,
                Quality::Bad(_) => ChannelState::Bad,
                Quality::Doubtful(_) => ChannelState::Doubtful,
                Quality::Good => ChannelState::Good,
            };

            Channel {
                name: probe.column(),
                words: probe.words(),
                value: seen.value,
                age_s: seen.age_s,
                quality,
                reason: seen.quality.reason().map(Reason::words),
                overdue: self.overdue(probe).map(str::to_owned),
            }
        };
        Probe::ALL.into_iter().map(shown).collect()
    }
}
