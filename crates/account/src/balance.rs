//! The balance of the account, from sugar to bottle: what was there, what came, what went where.

use std::collections::BTreeMap;

use crate::amount::PureAlcohol;
use crate::entry::Serial;
use crate::kind::EntryKind;
use crate::ledger::{Kept, KeptLeg, Ledger};
use crate::place::{Place, PlaceKind, Side};
use crate::spent::Spent;

/// How many standard deviations a difference must have to be more than the gauges' own doubt;
/// judgement: twenty to one.
const SEEN_FROM_SDS: f64 = 2.0;

/// A span of acts: from a moment on, up to another, both within it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// First moment, ms of UTC.
    pub from_ms: i64,
    /// Last moment, ms of UTC.
    pub upto_ms: i64,
}

impl Span {
    /// All of it.
    pub const ALL: Self = Self { from_ms: i64::MIN, upto_ms: i64::MAX };

    const fn holds(self, act_ms: i64) -> bool {
        self.from_ms <= act_ms && act_ms <= self.upto_ms
    }
}

/// One kind of stock over a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StockLine {
    /// Which.
    pub kind: PlaceKind,
    /// There at the beginning.
    pub opening: PureAlcohol,
    /// Came in.
    pub into: PureAlcohol,
    /// Went out.
    pub out: PureAlcohol,
    /// There at the end: opening and what came in, less what went out.
    pub closing: PureAlcohol,
}

/// What flowed from one kind of place to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flow {
    /// From.
    pub from: PlaceKind,
    /// To; a loss with its name.
    pub to: Place,
    /// How much.
    pub alcohol: PureAlcohol,
}

/// The balance over a span.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Balance {
    /// What came: fermented, received, found.
    pub sources: Vec<(Place, PureAlcohol)>,
    /// What stands or stood there.
    pub stocks: Vec<StockLine>,
    /// What is gone, each loss by its name; without what nobody explains.
    pub gone: Vec<(Place, PureAlcohol)>,
    /// Gone, and nobody knows what to.
    pub not_explained: PureAlcohol,
    /// Its standard deviation, L, where every gauge behind it has one: less than twice this is less
    /// than the gauges can see.
    pub not_explained_sd_l: Option<f64>,
    /// In stock at the beginning.
    pub opening: PureAlcohol,
    /// In stock at the end.
    pub closing: PureAlcohol,
    /// Opening and what came, less what is gone and what is there: 0, or the book is not whole.
    pub off: PureAlcohol,
    /// Bottles filled.
    pub bottles: u64,
    /// Pure alcohol that was filled into bottles.
    pub bottled: PureAlcohol,
    /// Energy, water and money.
    pub spent: Spent,
    /// The entries gauged with an instrument that was overdue then.
    pub gauged_overdue: Vec<Serial>,
}

impl Balance {
    /// What came in all.
    #[must_use]
    pub fn came(&self) -> PureAlcohol {
        self.sources.iter().map(|(_, alcohol)| *alcohol).sum()
    }

    /// What is gone in all, with a name.
    #[must_use]
    pub fn gone_in_all(&self) -> PureAlcohol {
        self.gone.iter().map(|(_, alcohol)| *alcohol).sum()
    }

    /// The least that the gauges behind what is not explained could see; none where one of them did
    /// not say.
    #[must_use]
    pub fn gauges_tell(&self) -> Option<PureAlcohol> {
        PureAlcohol::of_litres(SEEN_FROM_SDS * self.not_explained_sd_l?).ok()
    }

    /// Whether the gauges could see what is not explained; none where nobody knows.
    #[must_use]
    pub fn gauges_see_it(&self) -> Option<bool> {
        Some(self.not_explained > self.gauges_tell()?)
    }

    /// Of all there was to account for, what was filled into bottles, %.
    #[must_use]
    pub fn bottled_percent(&self) -> Option<f64> {
        self.share_percent(self.bottled)
    }

    /// Of all there was to account for, what stands in low wines and feints, %.
    #[must_use]
    pub fn feints_percent(&self) -> Option<f64> {
        let waits =
            |line: &&StockLine| matches!(line.kind, PlaceKind::LowWines | PlaceKind::Feints);
        self.share_percent(self.stocks.iter().filter(waits).map(|line| line.closing).sum())
    }

    /// Energy, water and money for each litre of pure alcohol that was bottled; none where nothing was.
    #[must_use]
    pub fn spent_per_litre(&self) -> Spent {
        self.spent.each(self.bottled.litres())
    }

    /// Energy, water and money for each bottle.
    #[must_use]
    pub fn spent_per_bottle(&self) -> Spent {
        self.spent.each(self.bottles as f64)
    }

    /// What is not explained as a share of what was there to account for, %; none of nothing.
    #[must_use]
    pub fn not_explained_percent(&self) -> Option<f64> {
        self.share_percent(self.not_explained)
    }

    fn share_percent(&self, part: PureAlcohol) -> Option<f64> {
        let all = self.opening.plus(self.came()).litres();
        (all > 0.0).then(|| 100.0 * part.litres() / all)
    }
}

impl Ledger {
    /// The balance over a span of acts. What was corrected does not count, what corrects it does.
    #[must_use]
    pub fn balance(&self, span: Span) -> Balance {
        let mut balance = Balance::default();
        let mut stocks: BTreeMap<PlaceKind, [i64; 3]> = BTreeMap::new();
        let mut ends: BTreeMap<Place, i64> = BTreeMap::new();
        for holding in &self.holdings {
            let first = holding.events.partition_point(|event| event.at.0 < span.from_ms);
            let last = holding.events.partition_point(|event| event.at.0 <= span.upto_ms);
            let within = holding.events.get(first..last).unwrap_or_default();
            let (out, into) = within
                .iter()
                .fold((0_i64, 0_i64), |(out, into), event| (out + event.out, into + event.into));
            let side = holding.place.kind().side();
            if side == Side::Stock {
                let opening = first.checked_sub(1).map_or(0, |at| holding.events[at].after);
                let line = stocks.entry(holding.place.kind()).or_default();
                for (sum, part) in line.iter_mut().zip([opening, into, out]) {
                    *sum += part;
                }
            } else if !within.is_empty() {
                *ends.entry(holding.place.clone()).or_default() += out + into;
            }
        }
        let amount = PureAlcohol::of_nanolitres;
        for (kind, [opening, into, out]) in stocks {
            let closing = amount(opening + into - out);
            let (opening, into, out) = (amount(opening), amount(into), amount(out));
            balance.stocks.push(StockLine { kind, opening, into, out, closing });
        }
        for (place, alcohol) in ends {
            let alcohol = amount(alcohol);
            match place.kind().side() {
                Side::Source => balance.sources.push((place, alcohol)),
                _ if place.kind() == PlaceKind::NotExplained => {
                    balance.not_explained = balance.not_explained.plus(alcohol);
                }
                _ => balance.gone.push((place, alcohol)),
            }
        }
        balance.opening = balance.stocks.iter().map(|line| line.opening).sum();
        balance.closing = balance.stocks.iter().map(|line| line.closing).sum();
        let there = balance.opening.plus(balance.came());
        let gone = balance.gone_in_all().plus(balance.not_explained).plus(balance.closing);
        balance.off = there.less(gone);
        self.add_acts(&mut balance, span);
        balance
    }

    /// The entries that hold, with their serials, within a span.
    fn acts(&self, span: Span) -> impl Iterator<Item = (Serial, &Kept)> {
        let holds = move |kept: &Kept| kept.corrected_by.is_none() && span.holds(kept.act_ms);
        (1..).zip(&self.kept).filter(move |(_, kept)| holds(kept))
    }

    fn add_acts(&self, balance: &mut Balance, span: Span) {
        let add = |sum: &mut Option<f64>, part: Option<f64>| {
            if let Some(part) = part {
                *sum = Some(sum.unwrap_or_default() + part);
            }
        };
        let (mut variance, mut known) = (0.0, true);
        for (number, kept) in self.acts(span) {
            if kept.overdue {
                balance.gauged_overdue.push(number);
            }
            let is_not_explained = |leg: &KeptLeg| {
                leg.nanolitres > 0
                    && self.holdings[leg.holding as usize].place.kind() == PlaceKind::NotExplained
            };
            if kept.to().iter().any(is_not_explained) {
                known &= kept.not_explained_sd_l.is_some();
                variance += kept.not_explained_sd_l.map_or(0.0, |sd| f64::from(sd).powi(2));
            }
            if kept.kind == EntryKind::Bottle {
                for leg in kept.to() {
                    let place = self.holdings[leg.holding as usize].place.kind();
                    if place == PlaceKind::Bottles {
                        balance.bottles += u64::from(leg.bottles);
                        let filled = PureAlcohol::of_nanolitres(leg.nanolitres);
                        balance.bottled = balance.bottled.plus(filled);
                    }
                }
            }
            if let Some(spent) = &kept.spent {
                add(&mut balance.spent.energy_kwh, spent.energy_kwh);
                add(&mut balance.spent.water_l, spent.water_l);
                add(&mut balance.spent.cost, spent.cost);
            }
        }
        balance.not_explained_sd_l = Some(variance.sqrt()).filter(|sd| known && *sd > 0.0);
    }

    /// What flowed between kinds of places, for a drawing: what an entry takes from several is
    /// shared out among what it brings to, so that both sums stay exact.
    #[must_use]
    pub fn flows(&self, span: Span) -> Vec<Flow> {
        let mut flows: BTreeMap<(PlaceKind, Place), i64> = BTreeMap::new();
        for (_, kept) in self.acts(span) {
            let total: i128 = kept.from().iter().map(|leg| i128::from(leg.nanolitres)).sum();
            let mut taken = 0_i128;
            for from in kept.from() {
                let upto = taken + i128::from(from.nanolitres);
                let mut brought = 0_i128;
                for to in kept.to() {
                    let next = brought + i128::from(to.nanolitres);
                    // The share of two running sums, rounded down at each corner.
                    let corner = |a: i128, b: i128| if total > 0 { a * b / total } else { 0 };
                    let cell = corner(upto, next) - corner(taken, next) - corner(upto, brought)
                        + corner(taken, brought);
                    brought = next;
                    let from = self.holdings[from.holding as usize].place.kind();
                    let place = self.drawn(to.holding);
                    let cell = i64::try_from(cell).unwrap_or(i64::MAX);
                    *flows.entry((from, place)).or_default() += cell;
                }
                taken = upto;
            }
        }
        let flow = |((from, to), nanolitres)| Flow {
            from,
            to,
            alcohol: PureAlcohol::of_nanolitres(nanolitres),
        };
        flows.into_iter().filter(|(_, nanolitres)| *nanolitres > 0).map(flow).collect()
    }

    /// A place as a drawing has it: a kind of stock by its word, a loss by its name.
    fn drawn(&self, holding: u32) -> Place {
        let place = &self.holdings[holding as usize].place;
        if place.kind() == PlaceKind::Loss { place.clone() } else { Place::of_kind(place.kind()) }
    }
}
