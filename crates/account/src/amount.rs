//! Litres of pure alcohol at 20 °C as whole nanolitres, so that sums close exactly.

use serde::{Deserialize, Serialize};

use crate::error::AccountError;

/// Nanolitres in a litre.
const PER_LITRE: i64 = 1_000_000_000;
/// Digits behind the point of a litre.
const DIGITS: usize = 9;
/// Most litres of one amount. Judgement: a hundred thousand times a small batch; the nanolitres of
/// it, and of nine thousand like it, are whole numbers that nothing overflows.
const LITRES_MAX: i64 = 1_000_000;

/// An amount of pure alcohol: nanolitres at 20 °C.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct PureAlcohol(i64);

impl PureAlcohol {
    /// None.
    pub const ZERO: Self = Self(0);
    /// Most that one leg of an entry moves.
    pub const MOST: Self = Self(LITRES_MAX * PER_LITRE);

    /// Of so many nanolitres.
    #[must_use]
    pub const fn of_nanolitres(nanolitres: i64) -> Self {
        Self(nanolitres)
    }

    /// Nanolitres.
    #[must_use]
    pub const fn nanolitres(self) -> i64 {
        self.0
    }

    /// Of litres, rounded once to the nearest nanolitre.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] outside 0 to 1 000 000 L, NaN too.
    pub fn of_litres(litres: f64) -> Result<Self, AccountError> {
        if !(0.0..=LITRES_MAX as f64).contains(&litres) {
            return Err(AccountError::OutOfRange {
                field: "pure_alcohol_l",
                value: litres.to_string(),
                bound: "must lie from 0 to 1000000 L",
                hint: "litres of pure alcohol at 20 °C: litres at 20 °C times % vol over 100",
            });
        }
        #[expect(clippy::cast_possible_truncation, reason = "below 2^53, checked above")]
        let nanolitres = (litres * PER_LITRE as f64).round() as i64;
        Ok(Self(nanolitres))
    }

    /// Of litres of a liquid at 20 °C with a strength in % vol, rounded once.
    ///
    /// # Errors
    /// As [`PureAlcohol::of_litres`], for a strength outside 0 to 100 % vol too.
    pub fn of_liquid(litres_20c: f64, strength_vol: f64) -> Result<Self, AccountError> {
        if !(0.0..=100.0).contains(&strength_vol) {
            return Err(AccountError::OutOfRange {
                field: "strength_vol",
                value: strength_vol.to_string(),
                bound: "must lie from 0 to 100 % vol",
                hint: "strength is per cent by volume at 20 °C",
            });
        }
        Self::of_litres(litres_20c * strength_vol / 100.0)
    }

    /// Litres; exact to the nanolitre below nine million litres.
    #[must_use]
    pub const fn litres(self) -> f64 {
        self.0 as f64 / PER_LITRE as f64
    }

    /// The exact litres of a decimal text with at most nine digits behind the point.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for what is no such number, a negative one or too much.
    pub fn of_text(text: &str) -> Result<Self, AccountError> {
        let refused = || AccountError::OutOfRange {
            field: "pure_alcohol_l",
            value: crate::error::shown(text),
            bound: "must be a number of litres from 0 to 1000000 with at most nine decimals",
            hint: "litres of pure alcohol at 20 °C, as 1.25",
        };
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |piece: &str| piece.bytes().all(|byte| byte.is_ascii_digit());
        let is_number = !whole.is_empty() && digits(whole) && digits(part) && part.len() <= DIGITS;
        if !is_number || whole.len() > DIGITS || text.ends_with('.') {
            return Err(refused());
        }
        let whole: i64 = whole.parse().map_err(|_| refused())?;
        let part: i64 = format!("{part:0<DIGITS$}").parse().map_err(|_| refused())?;
        let found = Self(whole * PER_LITRE + part);
        if found > Self::MOST { Err(refused()) } else { Ok(found) }
    }

    /// Both together; at the ends of what a whole number holds it stays there.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// This less the other; at the ends of what a whole number holds it stays there.
    #[must_use]
    pub const fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

/// Litres with all nine decimals, as a book has them.
impl std::fmt::Display for PureAlcohol {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, part) =
            (self.0.unsigned_abs() / PER_LITRE as u64, self.0.unsigned_abs() % PER_LITRE as u64);
        write!(f, "{sign}{whole}.{part:0DIGITS$}")
    }
}

impl std::iter::Sum for PureAlcohol {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Self::plus)
    }
}

#[cfg(test)]
mod tests {
    use super::PureAlcohol;

    #[test]
    fn prop_a_text_comes_back_to_the_nanolitre() {
        for nanolitres in [0, 1, 999_999_999, 1_000_000_000, 123_456_789_012_345] {
            let amount = PureAlcohol::of_nanolitres(nanolitres);
            assert_eq!(PureAlcohol::of_text(&amount.to_string()).unwrap(), amount);
            assert_eq!(PureAlcohol::of_litres(amount.litres()).unwrap(), amount);
        }
        assert_eq!(PureAlcohol::of_text("1.25").unwrap().nanolitres(), 1_250_000_000);
        assert_eq!(PureAlcohol::of_nanolitres(-1).to_string(), "-0.000000001");
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        for text in ["", "-1", "1.", ".5", "1e3", "0.0000000001", "1000001", "12345678901", "1,5"] {
            assert!(PureAlcohol::of_text(text).is_err(), "{text}");
        }
        for litres in [f64::NAN, -1e-9, 1e7, f64::INFINITY] {
            assert!(PureAlcohol::of_litres(litres).is_err(), "{litres}");
        }
        assert!(PureAlcohol::of_liquid(1.0, 100.5).is_err());
    }
}
