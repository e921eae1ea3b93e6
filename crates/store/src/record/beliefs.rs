//! What is believed of a still when runs are left out: Gaussian beliefs joined and parted again.

use estimate::{Belief, Character, Learned};

/// Two beliefs about one trait as one: their product, or with the second taken out of the first.
fn joined(one: &Belief, other: &Belief, sign: f64) -> Option<Belief> {
    let (weight, other_weight) = (one.sd.powi(-2), sign * other.sd.powi(-2));
    let sum = weight + other_weight;
    let sound = sum.is_finite() && sum > 0.0;
    sound.then(|| Belief {
        of: one.of,
        mean: (one.mean * weight + other.mean * other_weight) / sum,
        sd: sum.sqrt().recip(),
    })
}

/// What was believed before a run taught, where only what it left is known.
pub(super) fn before(learned: &Learned) -> Vec<Belief> {
    let alone = |of| learned.run.iter().find(|belief| belief.of == of);
    let parted = |after: &Belief| joined(after, alone(after.of)?, -1.0);
    learned.after.iter().filter_map(parted).collect()
}

/// What is believed after a run of which is known what it says alone; `first` holds for traits
/// that nothing is believed of yet. The spread never falls below what that run left it at, so that
/// no still is known too well.
pub(super) fn told(known: Character, learned: &Learned, first: &[Belief]) -> Character {
    let Character { beliefs, mut history } = known;
    let of =
        |list: &[Belief], own: &Belief| list.iter().find(|belief| belief.of == own.of).copied();
    let join = |own: &Belief| {
        let prior = of(&beliefs, own).or_else(|| of(first, own));
        let joined = prior.and_then(|prior| joined(&prior, own, 1.0)).unwrap_or(*own);
        let least = of(&learned.after, own).map_or(0.0, |after| after.sd);
        Belief { sd: joined.sd.max(least), ..joined }
    };
    let after: Vec<Belief> = learned.run.iter().map(join).collect();
    history.push(Learned { after: after.clone(), ..learned.clone() });
    Character { beliefs: after, history }
}
