//! The alarms and their causes, made by `cargo xtask alarms` from `alarms.toml`: change that, not this.

use super::{Calls, Cause, Load, Phase, Rule};
use crate::event::Priority;

/// All of them.
pub(crate) static RULES: [Rule; 21] = [
    Rule {
        code: "coolant_loss",
        words: "coolant",
        group: "cooling",
        rank: 1,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "there is no vapour to condense",
    },
    Rule {
        code: "coolant_takes_less",
        words: "heat that the coolant does not take up",
        group: "cooling",
        rank: 2,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "there is no vapour to condense",
    },
    Rule {
        code: "vapour_at_spout",
        words: "vapour at the spout",
        group: "cooling",
        rank: 4,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cold],
        because: "the still has no heat",
    },
    Rule {
        code: "spirit_warm",
        words: "warm spirit",
        group: "cooling",
        rank: 3,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "no spirit runs",
    },
    Rule {
        code: "vapour_in_room",
        words: "vapour in the room",
        group: "cooling",
        rank: 5,
        off_delay_s: 120.0,
        hush: false,
        suppressed: &[],
        because: "",
    },
    Rule {
        code: "room_co2",
        words: "carbon dioxide in the room",
        group: "room",
        rank: 1,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[],
        because: "",
    },
    Rule {
        code: "pot_pressure",
        words: "pressure in the boiler",
        group: "boiling",
        rank: 1,
        off_delay_s: 30.0,
        hush: true,
        suppressed: &[],
        because: "there is no boil to compare with",
    },
    Rule {
        code: "boil_over",
        words: "a boil-over",
        group: "boiling",
        rank: 2,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "the still does not boil",
    },
    Rule {
        code: "head_running_away",
        words: "a head that runs away",
        group: "cooling",
        rank: 6,
        off_delay_s: 120.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "no hearts are drawn",
    },
    Rule {
        code: "data_stale",
        words: "lost readings",
        group: "readings",
        rank: 1,
        off_delay_s: 20.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cold],
        because: "nothing is steered by readings",
    },
    Rule {
        code: "data_impossible",
        words: "readings that cannot be right",
        group: "readings",
        rank: 2,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cold],
        because: "nothing is steered by readings",
    },
    Rule {
        code: "heater_power",
        words: "the heater's power",
        group: "heat",
        rank: 1,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat],
        because: "no heat is recorded",
    },
    Rule {
        code: "heater_left_on",
        words: "heat after the plan",
        group: "heat",
        rank: 2,
        off_delay_s: 10.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cold],
        because: "the plan is not through",
    },
    Rule {
        code: "attendant_absent",
        words: "nobody at the still",
        group: "attendance",
        rank: 1,
        off_delay_s: 0.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
        because: "there is no heat",
    },
    Rule {
        code: "element_cover",
        words: "liquid over the elements",
        group: "heat",
        rank: 3,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
        because: "there is no heat",
    },
    Rule {
        code: "receiver_full",
        words: "a full jar",
        group: "spirit",
        rank: 1,
        off_delay_s: 5.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "no spirit runs",
    },
    Rule {
        code: "take_off_fast",
        words: "a take-off over the plan",
        group: "spirit",
        rank: 2,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "no spirit runs",
    },
    Rule {
        code: "plateau_unstable",
        words: "a head that does not settle",
        group: "boiling",
        rank: 3,
        off_delay_s: 120.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "the column does not boil",
    },
    Rule {
        code: "coolant_inlet",
        words: "the coolant's inlet",
        group: "cooling",
        rank: 7,
        off_delay_s: 600.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
        because: "there is no vapour to condense",
    },
    Rule {
        code: "run_long",
        words: "a run that takes longer than it should",
        group: "heat",
        rank: 4,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
        because: "there is no heat",
    },
    Rule {
        code: "instrument_overdue",
        words: "an instrument that is overdue",
        group: "readings",
        rank: 3,
        off_delay_s: 60.0,
        hush: true,
        suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
        because: "nothing is steered by readings",
    },
];

/// coolant: no coolant runs: none is read, or none is recorded (from: judgement; the rule of `sense::coolant`).
pub(crate) static COOLANT_LOSS_NONE: Cause = Cause {
    code: "coolant_loss",
    name: "none",
    priority: Priority::Critical,
    to_do: "Heat off at the switch outside the vapour; air the room; then look at the coolant.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// coolant: what flows can take up less than half of the heat it took up 10 to 25 min ago, or of the vapour's (from: judgement; the rule of `sense::coolant`: the flow alone says nothing, many stills are steered by it).
pub(crate) static COOLANT_LOSS_CARRIES_TOO_LITTLE: Cause = Cause {
    code: "coolant_loss",
    name: "carries_too_little",
    priority: Priority::Critical,
    to_do: "Heat off at the switch outside the vapour; air the room; then look at the coolant.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// coolant: the outlet is over 65 °C (from: common practice, no source; the rule of `sense::coolant`).
pub(crate) static COOLANT_LOSS_TOO_HOT: Cause = Cause {
    code: "coolant_loss",
    name: "too_hot",
    priority: Priority::Critical,
    to_do: "Heat off at the switch outside the vapour; air the room; then look at the coolant.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// coolant: the vent is 20 K over ambient, with heat on (from: judgement).
pub(crate) static COOLANT_LOSS_VENT_WARM: Cause = Cause {
    code: "coolant_loss",
    name: "vent_warm",
    priority: Priority::Critical,
    to_do: "Heat off at the switch outside the vapour; air the room; then look at the coolant.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 20.0,
    dead_band: 2.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// coolant: outlet over inlet is 1.6 times, and 8 K more than, 10 to 25 min ago, half an hour after vapour and the last change of the heater, no pause of 5 min in the readings since, or of three missed ones where it is read less often (from: judgement).
pub(crate) static COOLANT_LOSS_OUTLET_GREW: Cause = Cause {
    code: "coolant_loss",
    name: "outlet_grew",
    priority: Priority::High,
    to_do: "Look at the coolant flow and open it further; be ready to turn the heat off.",
    within_s: Some(300.0),
    on_delay_s: 0.0,
    limit: 1.6,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// coolant, `outlet_grew`: by so much more, K (judgement).
pub(crate) const COOLANT_LOSS_OUTLET_GREW_MORE_K: f64 = 8.0;

/// coolant, `outlet_grew`: an outlet that stood less over the inlet tells nothing, K (judgement).
pub(crate) const COOLANT_LOSS_OUTLET_GREW_LEAST_K: f64 = 2.0;

/// coolant, `outlet_grew`: so long after vapour and the last change of the heater, s (judgement).
pub(crate) const COOLANT_LOSS_OUTLET_GREW_SETTLED_S: f64 = 1800.0;

/// coolant, `outlet_grew`: a pause in the readings longer than this lets a still grow cold, s (judgement); one that is read less often has none.
pub(crate) const COOLANT_LOSS_OUTLET_GREW_PAUSE_S: f64 = 300.0;

/// heat that the coolant does not take up: the coolant takes up less than half of the heat it did in this phase, at under 0.6 of the flow, the outlet not explaining it and the heater as it was: the heat goes elsewhere, or a meter is wrong (from: judgement, by the balance of heat; never by the flow alone).
pub(crate) static COOLANT_TAKES_LESS_HALF: Cause = Cause {
    code: "coolant_takes_less",
    name: "half",
    priority: Priority::High,
    to_do: "See that the coolant runs and that no vapour comes at spout or vent; open it further, or turn the heat off.",
    within_s: Some(300.0),
    on_delay_s: 45.0,
    limit: 0.5,
    dead_band: 0.1,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// heat that the coolant does not take up, `half`: of the flow it had; the share of A1 (judgement).
pub(crate) const COOLANT_TAKES_LESS_HALF_FLOW_SHARE: f64 = 0.6;

/// heat that the coolant does not take up, `half`: so long the coolant must have run as it did for that to count as usual, s (judgement).
pub(crate) const COOLANT_TAKES_LESS_HALF_USUAL_S: f64 = 180.0;

/// heat that the coolant does not take up, `half`: nothing counts as usual so soon after a change of heater, take-off or coolant, s (judgement).
pub(crate) const COOLANT_TAKES_LESS_HALF_SETTLES_S: f64 = 180.0;

/// heat that the coolant does not take up, `half`: a heater that moved by more than this explains it (judgement).
pub(crate) const COOLANT_TAKES_LESS_HALF_HEATER_SHARE: f64 = 0.2;

/// vapour at the spout: the spout is over 45 °C: vapour comes with the spirit, the main way to a fire (from: judgement, as A3).
pub(crate) static VAPOUR_AT_SPOUT_HOT: Cause = Cause {
    code: "vapour_at_spout",
    name: "hot",
    priority: Priority::Critical,
    to_do: "Heat off at the switch outside the vapour; no switch and no flame near the spout; air the room.",
    within_s: Some(60.0),
    on_delay_s: 5.0,
    limit: 45.0,
    dead_band: 2.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// warm spirit: the spout is over 30 °C (from: judgement, as A13).
pub(crate) static SPIRIT_WARM_WARM: Cause = Cause {
    code: "spirit_warm",
    name: "warm",
    priority: Priority::High,
    to_do: "Open the coolant of the product condenser further, or lower the heat; keep the jar covered.",
    within_s: Some(300.0),
    on_delay_s: 30.0,
    limit: 30.0,
    dead_band: 2.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// vapour in the room: the detector shows 25 % of the lower explosive limit (from: common practice of gas detectors, no source).
pub(crate) static VAPOUR_IN_ROOM_ALARM: Cause = Cause {
    code: "vapour_in_room",
    name: "alarm",
    priority: Priority::Critical,
    to_do: "Heat off outside the room; touch no switch inside; leave, and air the room from outside.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 25.0,
    dead_band: 2.0,
    suppressed: &[],
};

/// vapour in the room: the detector shows 10 % of the lower explosive limit (from: common practice of gas detectors, no source).
pub(crate) static VAPOUR_IN_ROOM_WARNING: Cause = Cause {
    code: "vapour_in_room",
    name: "warning",
    priority: Priority::High,
    to_do: "Air the room, find where vapour comes from, and be ready to turn the heat off from outside.",
    within_s: Some(120.0),
    on_delay_s: 0.0,
    limit: 10.0,
    dead_band: 2.0,
    suppressed: &[],
};

/// carbon dioxide in the room: over 15 000 ppm of carbon dioxide (from: half of the short-term limit of 30 000 ppm at work places (from memory)).
pub(crate) static ROOM_CO2_LEAVE: Cause = Cause {
    code: "room_co2",
    name: "leave",
    priority: Priority::Critical,
    to_do: "Leave the room at once, and air it from outside.",
    within_s: Some(60.0),
    on_delay_s: 30.0,
    limit: 15000.0,
    dead_band: 500.0,
    suppressed: &[],
};

/// carbon dioxide in the room: over 5000 ppm of carbon dioxide (from: the limit for eight hours at work places (from memory)).
pub(crate) static ROOM_CO2_AIR: Cause = Cause {
    code: "room_co2",
    name: "air",
    priority: Priority::High,
    to_do: "Open door and window; a fermenter gives off gas that lies on the floor.",
    within_s: Some(300.0),
    on_delay_s: 30.0,
    limit: 5000.0,
    dead_band: 500.0,
    suppressed: &[],
};

/// pressure in the boiler: over 2 kPa in the boiler: a still is open to the air, and something closes it (from: judgement, as A5).
pub(crate) static POT_PRESSURE_HIGH: Cause = Cause {
    code: "pot_pressure",
    name: "high",
    priority: Priority::Critical,
    to_do: "Heat off at once; do not open the boiler; look at vent and vapour path once it has cooled.",
    within_s: Some(60.0),
    on_delay_s: 3.0,
    limit: 2.0,
    dead_band: 0.3,
    suppressed: &[],
};

/// pressure in the boiler: the pressure in the boiler is 1.6 times, and 0.2 kPa more than, 10 to 25 min ago, the heater unchanged: a column that floods, or a path that clogs (from: judgement, as A11).
pub(crate) static POT_PRESSURE_GREW: Cause = Cause {
    code: "pot_pressure",
    name: "grew",
    priority: Priority::High,
    to_do: "Lower the heat by a fifth and watch the pressure fall; heat off where it does not.",
    within_s: Some(300.0),
    on_delay_s: 20.0,
    limit: 1.6,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// pressure in the boiler, `grew`: by so much more, kPa (judgement).
pub(crate) const POT_PRESSURE_GREW_MORE_KPA: f64 = 0.2;

/// pressure in the boiler, `grew`: so long after vapour and the last change of the heater, s (judgement).
pub(crate) const POT_PRESSURE_GREW_SETTLED_S: f64 = 1800.0;

/// a boil-over: the head is 5 K hotter than a minute ago, beyond what the forecast has it climb, a quarter of an hour or more into the boil, before most of the alcohol is drawn: liquid or foam comes up the column (from: judgement, as A10).
pub(crate) static BOIL_OVER_HEAD_JUMPED: Cause = Cause {
    code: "boil_over",
    name: "head_jumped",
    priority: Priority::High,
    to_do: "Heat off, look whether the spirit is cloudy, wait until it settles; then with less heat.",
    within_s: Some(120.0),
    on_delay_s: 5.0,
    limit: 5.0,
    dead_band: 2.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a boil-over, `head_jumped`: so long after vapour and after heat came on, s (judgement).
pub(crate) const BOIL_OVER_HEAD_JUMPED_SETTLED_S: f64 = 900.0;

/// a boil-over, `head_jumped`: against what it was so long ago and before, s (judgement).
pub(crate) const BOIL_OVER_HEAD_JUMPED_BEFORE_S: f64 = 45.0;

/// a head that runs away: hearts of a column, drawing: 0.5 K over the trigger (or over 1 K, and over what the forecast climbs in a still of few contacts) and rising 0.3 K in 10 min, until it comes back; not within 10 min of the prompt that ends the step, nor in the first 3 min of slow hearts (from: judgement, as A14).
pub(crate) static HEAD_RUNNING_AWAY_PAST: Cause = Cause {
    code: "head_running_away",
    name: "past",
    priority: Priority::High,
    to_do: "Change the jar and slow the take-off or go on to the next step.",
    within_s: Some(120.0),
    on_delay_s: 0.0,
    limit: 0.5,
    dead_band: 0.2,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a head that runs away, `past`: slope of a head that runs away, K/s: 0.3 K in 10 min (judgement).
pub(crate) const HEAD_RUNNING_AWAY_PAST_SLOPE_K_PER_S: f64 = 0.0005;

/// a head that runs away, `past`: slow hearts must have run for so long, s: the head answers to the slower take-off first (judgement).
pub(crate) const HEAD_RUNNING_AWAY_PAST_SLOWED_S: f64 = 180.0;

/// a head that runs away, `past`: the head may run on for so long after the prompt that ends the step, s: the prompt says what is to be done, an alarm would say no more (judgement).
pub(crate) const HEAD_RUNNING_AWAY_PAST_RUN_ON_S: f64 = 600.0;

/// a head that runs away: rise 1 K and 0.9 K in 10 min with under three quarters of the least alcohol drawn (from: judgement).
pub(crate) static HEAD_RUNNING_AWAY_EARLY: Cause = Cause {
    code: "head_running_away",
    name: "early",
    priority: Priority::High,
    to_do: "Halve the take-off and watch for two minutes: a real rise falls back, a bad probe does not.",
    within_s: Some(120.0),
    on_delay_s: 0.0,
    limit: 1.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a head that runs away, `early`: slope of such a head, K/s (judgement).
pub(crate) const HEAD_RUNNING_AWAY_EARLY_SLOPE_K_PER_S: f64 = 0.0015;

/// a head that runs away, `early`: of the least alcohol that the step should give, drawn (judgement).
pub(crate) const HEAD_RUNNING_AWAY_EARLY_DRAWN_SHARE: f64 = 0.75;

/// lost readings: for 60 s more than that: the head while drawing or equalising, or whatever showed the coolant while there is vapour, or everything (from: judgement, as A8).
pub(crate) static DATA_STALE_BLIND: Cause = Cause {
    code: "data_stale",
    name: "blind",
    priority: Priority::Critical,
    to_do: "Look at the still itself and read its thermometers; where you cannot tell what it does, heat off.",
    within_s: Some(60.0),
    on_delay_s: 60.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// lost readings: a channel that is not typed misses three readings, 10 s at least, or of a slow feeder is ten minutes old: the head while drawing or equalising, or all that showed the coolant while there is vapour (from: judgement, as A8).
pub(crate) static DATA_STALE_NEEDED: Cause = Cause {
    code: "data_stale",
    name: "needed",
    priority: Priority::High,
    to_do: "Look at the still itself and read its thermometers; then at the cable.",
    within_s: Some(300.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// lost readings: the same: the head before it matters, the pot in heat-up, one of several that show the coolant; or what shows the coolant comes less often than each 90 s, while there is vapour (from: judgement).
pub(crate) static DATA_STALE_USEFUL: Cause = Cause {
    code: "data_stale",
    name: "useful",
    priority: Priority::Medium,
    to_do: "Look at the still itself and read its thermometers; then at the cable.",
    within_s: Some(1200.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// lost readings: the same: any other channel (from: judgement).
pub(crate) static DATA_STALE_OTHER: Cause = Cause {
    code: "data_stale",
    name: "other",
    priority: Priority::Low,
    to_do: "Look at the still itself and read its thermometers; then at the cable.",
    within_s: None,
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// readings that cannot be right: a channel is refused, frozen, flickers by its last digit or is swapped with another: the head while drawing or equalising (from: judgement, as A9).
pub(crate) static DATA_IMPOSSIBLE_NEEDED: Cause = Cause {
    code: "data_impossible",
    name: "needed",
    priority: Priority::High,
    to_do: "Do not steer by it; read the still itself, and look at probe and cable.",
    within_s: Some(300.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// readings that cannot be right, `needed`: faults within this time make an alarm, s (judgement).
pub(crate) const DATA_IMPOSSIBLE_NEEDED_FAULTS_S: f64 = 900.0;

/// readings that cannot be right, `needed`: a single slip is low, so many in that time count in full (judgement).
pub(crate) const DATA_IMPOSSIBLE_NEEDED_FAULTS: f64 = 3.0;

/// readings that cannot be right: the same: the head before it matters, the pot in heat-up, what shows the coolant while there is vapour (from: judgement).
pub(crate) static DATA_IMPOSSIBLE_USEFUL: Cause = Cause {
    code: "data_impossible",
    name: "useful",
    priority: Priority::Medium,
    to_do: "Do not steer by it; read the still itself, and look at probe and cable.",
    within_s: Some(1200.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// readings that cannot be right: the same: any other channel, and a single slip of any (from: judgement).
pub(crate) static DATA_IMPOSSIBLE_OTHER: Cause = Cause {
    code: "data_impossible",
    name: "other",
    priority: Priority::Low,
    to_do: "Do not steer by it; read the still itself, and look at probe and cable.",
    within_s: None,
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cold],
};

/// the heater's power: the meter shows no power for half a minute while heat is recorded on, the plan not being through (from: judgement).
pub(crate) static HEATER_POWER_NONE: Cause = Cause {
    code: "heater_power",
    name: "none",
    priority: Priority::High,
    to_do: "Look at plug, cut-out and element, touch nothing that is wet; record the heat as it is.",
    within_s: Some(300.0),
    on_delay_s: 30.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat],
};

/// the heater's power, `none`: a reading counts, here and below, from so long after a heat is recorded, s: before, it may be of the heat that was (judgement).
pub(crate) const HEATER_POWER_NONE_SETTLES_S: f64 = 15.0;

/// the heater's power: the meter shows 1.5 times the power that is recorded (from: judgement: mains wander by 3 %, a label by 2 % and a cheap meter by 10 %).
pub(crate) static HEATER_POWER_MORE: Cause = Cause {
    code: "heater_power",
    name: "more",
    priority: Priority::High,
    to_do: "Bring the heater to what you want it to be and record it; watch condenser and head.",
    within_s: Some(300.0),
    on_delay_s: 60.0,
    limit: 1.5,
    dead_band: 0.1,
    suppressed: &[Phase::BeforeHeat],
};

/// the heater's power: the meter shows less than half of the power that is recorded (from: judgement).
pub(crate) static HEATER_POWER_LESS: Cause = Cause {
    code: "heater_power",
    name: "less",
    priority: Priority::Medium,
    to_do: "Look at the elements and their switches; record the heat as it is.",
    within_s: Some(1200.0),
    on_delay_s: 300.0,
    limit: 0.5,
    dead_band: 0.1,
    suppressed: &[Phase::BeforeHeat],
};

/// heat after the plan: heat is on 3 min after the stop began, or after the prompt to stop (from: judgement).
pub(crate) static HEATER_LEFT_ON_AFTER_THE_PLAN: Cause = Cause {
    code: "heater_left_on",
    name: "after_the_plan",
    priority: Priority::High,
    to_do: "Turn the heater off and see that it is off; leave the coolant on and the vent open.",
    within_s: Some(300.0),
    on_delay_s: 180.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cold],
};

/// nobody at the still: nothing was pressed for 12 min with heat on (from: judgement, as A7).
pub(crate) static ATTENDANT_ABSENT_LONG: Cause = Cause {
    code: "attendant_absent",
    name: "long",
    priority: Priority::Critical,
    to_do: "Go to the still and look; press Still here. If you must go, heat off first.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 720.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// nobody at the still: nothing was pressed for 10 min with heat on (from: judgement, as A7).
pub(crate) static ATTENDANT_ABSENT_ABSENT: Cause = Cause {
    code: "attendant_absent",
    name: "absent",
    priority: Priority::High,
    to_do: "Go to the still and look; press Still here. If you must go, heat off first.",
    within_s: Some(120.0),
    on_delay_s: 0.0,
    limit: 600.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// liquid over the elements: the pot's likely litres are at the cover (from: judgement, as A6).
pub(crate) static ELEMENT_COVER_BARE: Cause = Cause {
    code: "element_cover",
    name: "bare",
    priority: Priority::Critical,
    to_do: "Turn the heater off before an element stands bare.",
    within_s: Some(60.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// liquid over the elements: its low litres are within 10 min of drawing of the cover (from: judgement).
pub(crate) static ELEMENT_COVER_NEAR: Cause = Cause {
    code: "element_cover",
    name: "near",
    priority: Priority::High,
    to_do: "Turn the heater off before an element stands bare.",
    within_s: Some(300.0),
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// liquid over the elements, `near`: warned of so much drawing before, s (judgement).
pub(crate) const ELEMENT_COVER_NEAR_LEAD_S: f64 = 600.0;

/// a full jar: the open jar holds all of the size that was stated for the jars, and spirit runs into it; that it is nearly full (90 %) is a prompt before (from: judgement, as A12; where no size was stated only the prompt, for the size is a guess).
pub(crate) static RECEIVER_FULL_FULL: Cause = Cause {
    code: "receiver_full",
    name: "full",
    priority: Priority::High,
    to_do: "Put the next jar under the spout, or close the take-off; wipe up what ran over, away from the heat.",
    within_s: Some(60.0),
    on_delay_s: 5.0,
    limit: 1.0,
    dead_band: 0.03,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a take-off over the plan: what runs, as weighed, timed or recorded, is over 1.2 times what the step of the plan gives in mL/min (from: judgement, as A16).
pub(crate) static TAKE_OFF_FAST_OVER_PLAN: Cause = Cause {
    code: "take_off_fast",
    name: "over_plan",
    priority: Priority::Medium,
    to_do: "Close the take-off to what the plan has, or record the step that you mean.",
    within_s: Some(1200.0),
    on_delay_s: 180.0,
    limit: 1.2,
    dead_band: 0.1,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a head that does not settle: the head of a column moves by more than 0.5 K in 10 min though it has equalised for half an hour, the heater unchanged (from: judgement, as A15).
pub(crate) static PLATEAU_UNSTABLE_MOVES: Cause = Cause {
    code: "plateau_unstable",
    name: "moves",
    priority: Priority::Low,
    to_do: "Look at coolant and heater: something changes; draw nothing before the head stands.",
    within_s: None,
    on_delay_s: 300.0,
    limit: 0.5,
    dead_band: 0.1,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a head that does not settle, `moves`: so long into the equalising, and after the last change of the heater, s (judgement).
pub(crate) const PLATEAU_UNSTABLE_MOVES_SETTLED_S: f64 = 1800.0;

/// the coolant's inlet: the coolant comes 3 K warmer than when this run's plateau was taken (from: judgement, as A18; one that comes colder needs no act).
pub(crate) static COOLANT_INLET_WARMER: Cause = Cause {
    code: "coolant_inlet",
    name: "warmer",
    priority: Priority::Low,
    to_do: "Open the coolant a little further; a tank that warms up carries less and less.",
    within_s: None,
    on_delay_s: 300.0,
    limit: 3.0,
    dead_band: 1.5,
    suppressed: &[Phase::BeforeHeat, Phase::HeatUp, Phase::Cooling, Phase::Cold],
};

/// a run that takes longer than it should: heat is on for 1.2 times the latest end (4 in 5) of the forecast before heat (from: judgement, as A21).
pub(crate) static RUN_LONG_OVER_FORECAST: Cause = Cause {
    code: "run_long",
    name: "over_forecast",
    priority: Priority::Low,
    to_do: "Look what the still does: heat, coolant and take-off; decide whether to go on.",
    within_s: None,
    on_delay_s: 0.0,
    limit: 1.2,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// an instrument that is overdue: a channel is read by an instrument that should have been calibrated again before this run (from: judgement, as A22).
pub(crate) static INSTRUMENT_OVERDUE_READ: Cause = Cause {
    code: "instrument_overdue",
    name: "read",
    priority: Priority::Low,
    to_do: "Hold it against another instrument before what rests on it counts; calibrate it after the run.",
    within_s: None,
    on_delay_s: 0.0,
    limit: 0.0,
    dead_band: 0.0,
    suppressed: &[Phase::BeforeHeat, Phase::Cooling, Phase::Cold],
};

/// Calls of the second person: judgement, as A7: the named second person, who cuts the heat.
pub(crate) static CALLS: Calls = Calls { after_s: 60.0, again_s: 300.0, times: 5 };

/// How many alarms are too many: EEMUA 191: 10 alarms in 10 min are a flood (from memory); the rest judgement.
pub(crate) static LOAD: Load =
    Load { window_s: 600.0, flood: 10, chatters: 3, stands_long_s: 1800.0 };
