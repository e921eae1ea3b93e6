//! Published limits of a category of spirit, in grams per hectolitre of pure alcohol, each with its
//! source (`reference/limits.csv`).

use crate::congeners::Substance;
use crate::error::FinishingError;
use crate::table::{number, rows};

/// The most of a substance that a category may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// The category by the word commands use.
    pub category: &'static str,
    /// The category as a person reads it.
    pub words: &'static str,
    /// Of what.
    pub substance: Substance,
    /// The most, g per hL of pure alcohol.
    pub most_g_per_hl_pa: f64,
    /// Whether it is from memory, not read again in the text of the law.
    pub from_memory: bool,
    /// Where it is published.
    pub source: &'static str,
}

/// All limits known, by category.
pub fn all() -> impl Iterator<Item = Limit> {
    rows(include_str!("../reference/limits.csv"), 6).filter_map(|row| {
        Some(Limit {
            category: row[0],
            words: row[1],
            substance: Substance::from_name(row[2])?,
            most_g_per_hl_pa: number(row[3])?,
            from_memory: row[4] == "1",
            source: row[5],
        })
    })
}

/// The words of the categories known.
#[must_use]
pub fn categories() -> Vec<&'static str> {
    let mut words: Vec<&str> = all().map(|limit| limit.category).collect();
    words.dedup();
    words
}

/// The limits of a category.
///
/// # Errors
/// [`FinishingError::Unknown`] naming `category` with the words that are known.
pub fn of(category: &str) -> Result<Vec<Limit>, FinishingError> {
    let limits: Vec<Limit> = all().filter(|limit| limit.category == category).collect();
    if limits.is_empty() {
        let (value, allowed) = (category.to_owned(), categories().join(", "));
        return Err(FinishingError::Unknown { field: "category", value, allowed });
    }
    Ok(limits)
}

#[cfg(test)]
mod tests {
    use super::{all, categories, of};

    #[test]
    fn every_row_of_the_file_is_read_and_has_a_source() {
        let text = include_str!("../reference/limits.csv");
        let lines = text.lines().filter(|line| !line.starts_with('#')).count() - 1;
        assert_eq!(all().count(), lines);
        assert!(all().all(|limit| !limit.source.is_empty() && limit.most_g_per_hl_pa > 0.0));
        assert!(categories().iter().all(|category| of(category).is_ok()));
        let error = of("moonshine").unwrap_err();
        assert!(error.to_string().contains("moonshine") && error.to_string().contains("vodka"));
    }
}
