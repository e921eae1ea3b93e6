//! What a country asks of a label and of a fill (`reference/profiles.csv`).

use crate::error::FinishingError;
use crate::table::{number, rows};

/// How a lot of fills is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// Every bottle within the tolerance either way, as many over as under.
    Each,
    /// The mean not under the nominal content, few bottles short by more than the tolerance, none by
    /// more than twice.
    Average,
}

/// One rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Tolerance, % vol of a strength or mL of a fill.
    pub tolerance: f64,
    /// How a lot is judged by it.
    pub scheme: Scheme,
    /// Whether it is from memory, not read again in the text of the law.
    pub from_memory: bool,
    /// Where it is published.
    pub source: &'static str,
}

/// What a country asks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Profile {
    /// The word commands use.
    pub country: &'static str,
    /// Of the strength on the label.
    pub strength: Rule,
    /// Of the fill of this bottle.
    pub fill: Rule,
}

/// The countries known.
#[must_use]
pub fn countries() -> Vec<&'static str> {
    let mut names: Vec<&str> = rules().map(|row| row[0]).collect();
    names.dedup();
    names
}

fn rules() -> impl Iterator<Item = Vec<&'static str>> {
    rows(include_str!("../reference/profiles.csv"), 9)
}

fn rule(row: &[&'static str], nominal_ml: f64) -> Option<Rule> {
    let given = number(row[4])?;
    Some(Rule {
        tolerance: if row[5] == "percent" { nominal_ml * given / 100.0 } else { given },
        scheme: if row[6] == "average" { Scheme::Average } else { Scheme::Each },
        from_memory: row[7] == "1",
        source: row[8],
    })
}

/// What a country asks of bottles of this nominal content, mL; a spirit with macerated fruit or
/// plants in it may be further from its label in some.
///
/// # Errors
/// [`FinishingError`] naming `country`, or `size` where its rules name no such bottle.
pub fn of(country: &str, nominal_ml: f64, is_macerated: bool) -> Result<Profile, FinishingError> {
    let own = || rules().filter(|row| row[0] == country);
    let Some(name) = own().next().map(|row| row[0]) else {
        let (value, allowed) = (country.to_owned(), countries().join(", "));
        return Err(FinishingError::Unknown { field: "country", value, allowed });
    };
    // A size on the border of two rows belongs to the row that ends there.
    let fill = own().filter(|row| row[1] == "fill").find(|row| {
        let of = |cell: &str| number(cell).unwrap_or(0.0);
        nominal_ml <= of(row[3]) && nominal_ml > 0.0
    });
    let least = own().filter(|row| row[1] == "fill").find_map(|row| number(row[2]));
    let fill = fill.filter(|_| least.is_some_and(|least| nominal_ml >= least));
    let macerated = own().find(|row| is_macerated && row[1] == "macerated");
    let strength = macerated.or_else(|| own().find(|row| row[1] == "strength"));
    let strength = strength.and_then(|row| rule(&row, nominal_ml));
    match (strength, fill.and_then(|row| rule(&row, nominal_ml))) {
        (Some(strength), Some(fill)) => Ok(Profile { country: name, strength, fill }),
        _ => Err(FinishingError::Unfit {
            field: "size",
            what: format!("{nominal_ml} mL is no bottle that the rules of \"{name}\" speak of"),
            hint: "give the nominal content in mL, as 500",
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::{Scheme, countries, of};

    #[test]
    fn val_tolerances_of_the_tables() {
        // 27 CFR 19.356 and Directive 76/211/EEC, Annex I, as the file quotes them.
        for (country, nominal_ml, tolerance) in [
            ("us", 50.0, 2.25),
            ("us", 100.0, 4.5),
            ("us", 200.0, 6.0),
            ("us", 375.0, 11.25),
            ("us", 750.0, 15.0),
            ("us", 1000.0, 15.0),
            ("us", 1750.0, 26.25),
            ("eu", 50.0, 4.5),
            ("eu", 100.0, 4.5),
            ("eu", 200.0, 9.0),
            ("eu", 350.0, 10.5),
            ("eu", 500.0, 15.0),
            ("eu", 700.0, 15.0),
            ("eu", 1000.0, 15.0),
        ] {
            let found = of(country, nominal_ml, false).unwrap();
            assert!(
                (found.fill.tolerance - tolerance).abs() < 1e-9,
                "{country} {nominal_ml}: {found:?}"
            );
            assert!((found.strength.tolerance - 0.3).abs() < 1e-12);
        }
        assert_eq!(of("us", 750.0, false).unwrap().fill.scheme, Scheme::Each);
        assert_eq!(of("eu", 700.0, false).unwrap().fill.scheme, Scheme::Average);
        assert!(of("eu", 2.0, false).is_err() && of("atlantis", 700.0, false).is_err());
        assert!((of("eu", 700.0, true).unwrap().strength.tolerance - 1.5).abs() < 1e-12);
        assert_eq!(countries(), ["us", "eu", "uk"]);
    }
}
