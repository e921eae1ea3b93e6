//! The checks that look at one entry after the other.

use super::{Check, DAY_MS, Review};
use crate::amount::PureAlcohol;
use crate::entry::{Leg, Numbered};
use crate::kind::EntryKind;
use crate::place::{PlaceKind, Side};

/// Milliseconds of an hour.
const HOUR_MS: f64 = 3_600_000.0;
/// Less than this is no loss worth a word, L of pure alcohol; judgement: what a gauge cannot see.
const LOSS_SEEN_L: f64 = 0.005;

fn stocks(legs: &[Leg]) -> impl Iterator<Item = &Leg> {
    legs.iter().filter(|leg| leg.place.kind().side() == Side::Stock)
}

fn percent_apart(one: f64, other: f64) -> f64 {
    if one == other { 0.0 } else { 100.0 * (one - other).abs() / one.abs().max(other.abs()) }
}

impl Review<'_> {
    pub(super) fn look_at_times(&mut self, numbered: &Numbered) {
        let (number, entry) = (numbered.number, &numbered.entry);
        self.acts.insert(number, entry.act_ms);
        if entry.kind == EntryKind::Close {
            self.closes.push((entry.act_ms, entry.entered_ms));
            return;
        }
        let hours = (entry.entered_ms - entry.act_ms) as f64 / HOUR_MS;
        if hours > self.profile.late_hours {
            let text = format!("entered {hours:.0} h after the act");
            self.find(Check::LateEntry, Some(number), text);
        }
        if let Some(old) = entry.corrects.filter(|_| entry.kind != EntryKind::Void)
            && self.acts.get(&old).is_some_and(|act_ms| *act_ms != entry.act_ms)
        {
            let text = format!("gives entry {old} another time of the act");
            self.find(Check::TimeEdited, Some(number), text);
        }
        if entry.kind.moves() && self.ledger.corrected_by(number).is_none() {
            let local_ms = entry.act_ms + i64::from(entry.zone_minutes) * 60_000;
            let end_ms =
                super::book::month_end_ms(local_ms) - i64::from(entry.zone_minutes) * 60_000;
            let month = super::book::month_of(local_ms);
            let known = self.months.entry(month).or_insert((end_ms, entry.entered_ms));
            known.1 = known.1.min(entry.entered_ms);
        }
    }

    pub(super) fn look_at_people(&mut self, numbered: &Numbered) {
        if self.authorised.is_empty() {
            return;
        }
        let people = &numbered.entry.people;
        let all = [Some(&people.entered), people.read.as_ref(), people.checked.as_ref()];
        for person in all.into_iter().flatten() {
            if !self.authorised.contains(person) {
                let text = format!("{person} is not named among those who may");
                self.find(Check::NotAuthorised, Some(numbered.number), text);
            }
        }
    }

    /// Two records of one vessel at one moment: one of them was hardly written at the act.
    pub(super) fn look_at_vessels(&mut self, numbered: &Numbered) {
        let (number, entry) = (numbered.number, &numbered.entry);
        let mut seen: Vec<String> = Vec::new();
        for leg in stocks(&entry.from).chain(stocks(&entry.to)) {
            let place = leg.whereabouts();
            if seen.contains(&place) {
                continue;
            }
            let before = self.moments.insert((place.clone(), entry.act_ms), number);
            if let Some(before) = before {
                let text = format!("{place} has entry {before} at the very same moment");
                self.find(Check::TwoAtOnce, Some(number), text);
            }
            seen.push(place);
        }
    }

    pub(super) fn look_at_gauge(&mut self, numbered: &Numbered) {
        let Some(gauge) = &numbered.entry.gauge else { return };
        let number = Some(numbered.number);
        for one in gauge.overdue(numbered.entry.act_ms) {
            let days = one.due_ms.map_or(0, |due_ms| (numbered.entry.act_ms - due_ms) / DAY_MS);
            let text = format!("{} was {days} days past its date", one.id);
            self.find(Check::OverdueInstrument, number, text);
        }
        let Ok(again) = gauge.again() else {
            self.find(
                Check::GaugeMismatch,
                number,
                "its reading is one that no liquid gives".into(),
            );
            return;
        };
        let pairs = [
            ("pure alcohol", gauge.alcohol.litres(), again.alcohol.litres()),
            ("proof gallons", gauge.proof_gallons, again.proof_gallons),
        ];
        for (what, written, found) in pairs {
            let apart = percent_apart(written, found);
            if apart > self.profile.mismatch_percent {
                let text = format!(
                    "{what} of the gauge: {written} is written, its reading gives {found:.4}"
                );
                self.find(Check::GaugeMismatch, number, text);
            }
        }
        let entry = &numbered.entry;
        let fits = |leg: &Leg| {
            percent_apart(leg.alcohol.litres(), gauge.alcohol.litres())
                <= self.profile.mismatch_percent
        };
        let counted = entry.counted.is_some_and(|counted| counted.found == gauge.alcohol);
        let sum: PureAlcohol = stocks(&entry.to).map(|leg| leg.alcohol).sum();
        let of_sum = percent_apart(sum.litres(), gauge.alcohol.litres());
        if !counted
            && of_sum > self.profile.mismatch_percent
            && !entry.from.iter().chain(&entry.to).any(fits)
        {
            let text = format!("it gauges {} L of pure alcohol and moves none such", gauge.alcohol);
            self.find(Check::GaugeMismatch, number, text);
        }
    }

    /// No water, filter or bottle makes spirit stronger.
    pub(super) fn look_at_strengths(&mut self, numbered: &Numbered) {
        let entry = &numbered.entry;
        let strongest = stocks(&entry.from)
            .filter_map(|leg| {
                leg.strength_vol.or_else(|| self.strengths.get(&leg.whereabouts()).copied())
            })
            .fold(None, |most: Option<f64>, vol| Some(most.map_or(vol, |most| most.max(vol))));
        let tolerance = self.profile.label_tolerance_vol;
        for leg in stocks(&entry.to) {
            let Some(vol) = leg.strength_vol else { continue };
            self.strengths.insert(leg.whereabouts(), vol);
            if let Some(most) = strongest.filter(|most| vol > most + tolerance)
                && !entry.kind.may_strengthen()
            {
                let text = format!("{} has {vol:.1} % vol, of at most {most:.1} before", leg.place);
                self.find(Check::StrongerAlone, Some(numbered.number), text);
            }
        }
    }

    pub(super) fn look_at_losses(&mut self, numbered: &Numbered) {
        let entry = &numbered.entry;
        let Some(norm) = self.profile.loss_norms.get(&entry.kind).copied() else { return };
        let gone =
            |leg: &&Leg| matches!(leg.place.kind(), PlaceKind::Loss | PlaceKind::NotExplained);
        let lost: PureAlcohol = entry.to.iter().filter(gone).map(|leg| leg.alcohol).sum();
        let moved = entry.moved().litres();
        let percent = 100.0 * lost.litres() / moved.max(f64::MIN_POSITIVE);
        if percent > norm && lost.litres() > LOSS_SEEN_L {
            let text = format!(
                "{} lost {percent:.1} % of what it moved; up to {norm} % is usual",
                entry.kind
            );
            self.find(Check::LossAboveNorm, Some(numbered.number), text);
        }
    }

    pub(super) fn look_at_bottles(&mut self, numbered: &Numbered) {
        for leg in numbered.entry.to.iter().filter(|leg| leg.place.kind() == PlaceKind::Bottles) {
            let (Some(bottles), Some(ml), Some(vol)) =
                (leg.bottles, leg.bottle_ml, leg.strength_vol)
            else {
                continue;
            };
            let litres = f64::from(bottles) * ml / 1000.0 * vol / 100.0;
            let apart = percent_apart(litres, leg.alcohol.litres());
            if apart > self.profile.fill_tolerance_percent {
                let text = format!(
                    "{bottles} bottles of {ml} mL hold {litres:.3} L of pure alcohol, {} L are entered",
                    leg.alcohol
                );
                self.find(Check::BottlesAgainstTank, Some(numbered.number), text);
            }
        }
    }

    pub(super) fn look_at_parents(&mut self, numbered: &Numbered) {
        let entry = &numbered.entry;
        for leg in stocks(&entry.from) {
            let place = leg.whereabouts();
            if leg.place.kind() == PlaceKind::Cask && !self.filled.contains(&place) {
                let text = format!("{place} gives before it was filled");
                self.find(Check::CaskOlderThanFill, Some(numbered.number), text);
            }
        }
        for leg in stocks(&entry.to) {
            self.filled.insert(leg.whereabouts());
        }
        let outside = entry.from.iter().find(|leg| leg.place.kind() == PlaceKind::Received);
        if let Some(leg) = outside
            && leg.place.name().is_none()
            && entry.note.is_none()
        {
            let lots: Vec<String> = stocks(&entry.to).map(Leg::whereabouts).collect();
            let text = format!("{} came from outside and nobody says from where", lots.join(", "));
            self.find(Check::LotWithoutParent, Some(numbered.number), text);
        }
    }
}
