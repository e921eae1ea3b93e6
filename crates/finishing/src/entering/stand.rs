//! Where a lot stands in the book.

use account::{AccountError, Leg, Name, Place, PureAlcohol};

/// A place of the book and the lot in it, as `tank:T1/L-14`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stand {
    /// The place.
    pub place: Place,
    /// The lot.
    pub lot: Name,
}

impl Stand {
    /// The stand of a text.
    ///
    /// # Errors
    /// [`AccountError::OutOfRange`] for any other text.
    pub fn of_text(text: &str) -> Result<Self, AccountError> {
        let (place, lot) = text.trim().split_once('/').ok_or_else(|| AccountError::OutOfRange {
            field: "lot",
            value: text.chars().filter(|c| !c.is_control()).take(60).collect(),
            bound: "must be PLACE/LOT",
            hint: "as tank:T1/L-14",
        })?;
        Ok(Self { place: Place::of_text(place)?, lot: Name::new(lot)? })
    }

    /// Some pure alcohol of it.
    #[must_use]
    pub fn leg(&self, alcohol: PureAlcohol) -> Leg {
        Leg::new(self.place.clone(), Some(self.lot.clone()), alcohol)
    }

    /// The same as a liquid of that strength, % vol: its litres follow.
    pub(super) fn liquid(&self, alcohol: PureAlcohol, strength_vol: f64) -> Leg {
        let litres_20c = (strength_vol > 0.0).then(|| 100.0 * alcohol.litres() / strength_vol);
        Leg { litres_20c, strength_vol: Some(strength_vol), ..self.leg(alcohol) }
    }
}

impl std::fmt::Display for Stand {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.place, self.lot)
    }
}
