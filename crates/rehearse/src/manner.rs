//! What kind of person stands in: a careful one, or one who makes a mistake that people make.

/// How the stand-in attends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Manner {
    /// Does what is asked for, ten to forty seconds later.
    #[default]
    Careful,
    /// Takes five to fifteen minutes to answer.
    Late,
    /// Begins the next step before it is asked for, now and then.
    Early,
    /// Does everything twice within a second.
    Twice,
    /// Forgets one thing in three.
    Forgetful,
    /// Loses the mains once, for some minutes, at a time nobody chose.
    PowerCut,
    /// Loses the head thermometer once: it hangs in the air and reads ambient.
    ProbeOff,
    /// Loses all readings once, for twenty-five minutes.
    NoReadings,
    /// Leaves the still alone for twenty minutes.
    Away,
}

impl Manner {
    /// All but the careful one.
    pub const CARELESS: [Self; 8] = [
        Self::Late,
        Self::Early,
        Self::Twice,
        Self::Forgetful,
        Self::PowerCut,
        Self::ProbeOff,
        Self::NoReadings,
        Self::Away,
    ];
}

/// How long a careless moment lasts, s.
const POWER_CUT_S: u64 = 420;
const NO_READINGS_S: u64 = 1500;
const AWAY_S: u64 = 1200;
/// When it comes, s from heater on.
const COMES_S: (u64, u64) = (2400, 9000);

/// The careless moment of a run, if there is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lapse {
    manner: Manner,
    from: u64,
}

impl Lapse {
    /// None at all.
    pub(super) const fn none() -> Self {
        Self { manner: Manner::Careful, from: 0 }
    }

    pub(super) fn drawn(manner: Manner, chance: &mut super::chance::Chance) -> Self {
        Self { manner, from: chance.seconds(COMES_S.0, COMES_S.1) }
    }

    fn within(self, manner: Manner, second: u64, length: u64) -> bool {
        self.manner == manner && (self.from..self.from + length).contains(&second)
    }

    /// Whether the mains are gone.
    pub(super) fn no_power(self, second: u64) -> bool {
        self.within(Manner::PowerCut, second, POWER_CUT_S)
    }

    /// Whether no reading comes in: also while the mains are gone.
    pub(super) fn no_readings(self, second: u64) -> bool {
        self.no_power(second) || self.within(Manner::NoReadings, second, NO_READINGS_S)
    }

    /// Whether the head thermometer hangs in the air.
    pub(super) fn head_off(self, second: u64) -> bool {
        self.manner == Manner::ProbeOff && second >= self.from
    }

    /// Whether nobody is there.
    pub(super) fn away(self, second: u64) -> bool {
        self.within(Manner::Away, second, AWAY_S)
    }
}
