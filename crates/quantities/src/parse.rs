//! Numbers as people type them: a decimal comma is a decimal point, and nothing else is forgiven.

/// Text that is not a finite number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseNumber {
    /// Nothing was typed.
    #[error("a number is missing")]
    Empty,
    /// The text is no number.
    #[error("\"{0}\" is not a number")]
    NotANumber(String),
    /// NaN or an infinity was typed, or the number overflows.
    #[error("\"{0}\" is not a finite number")]
    NotFinite(String),
    /// A thousands separator, or both a point and a comma.
    #[error("\"{0}\" has more than one separator; write 1234,5 or 1234.5")]
    Separators(String),
}

/// Longest piece of refused text that a message repeats.
const SHOWN_CHARACTERS_MAX: usize = 40;

fn shown(text: &str) -> String {
    let mut short: String = text.chars().take(SHOWN_CHARACTERS_MAX).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

/// Reads a finite number with a decimal point, as files hold it.
///
/// # Errors
/// [`ParseNumber`] for anything but one finite decimal number.
pub fn parse_decimal(text: &str) -> Result<f64, ParseNumber> {
    let text = text.trim();
    if text.is_empty() {
        return Err(ParseNumber::Empty);
    }
    let value: f64 = text.parse().map_err(|_| ParseNumber::NotANumber(shown(text)))?;
    if value.is_finite() { Ok(value) } else { Err(ParseNumber::NotFinite(shown(text))) }
}

/// Reads a number a person typed: point or comma, not both, no thousands separators.
///
/// # Errors
/// [`ParseNumber`] as [`parse_decimal`], and for more than one separator.
pub fn parse_typed(text: &str) -> Result<f64, ParseNumber> {
    let separators = text.chars().filter(|c| matches!(c, '.' | ',')).count();
    if separators > 1 {
        return Err(ParseNumber::Separators(shown(text.trim())));
    }
    parse_decimal(&text.replace(',', "."))
}

#[cfg(test)]
mod tests {
    use super::{ParseNumber, parse_decimal, parse_typed};

    #[test]
    fn a_decimal_comma_is_a_decimal_point() {
        assert_eq!(parse_typed("95,5"), parse_typed("95.5"));
        assert_eq!(parse_typed(" 1e3 "), Ok(1000.0));
        assert_eq!(parse_typed("1,234.5"), Err(ParseNumber::Separators("1,234.5".into())));
        assert!(parse_decimal("95,5").is_err());
    }

    #[test]
    fn nothing_but_finite_numbers_passes() {
        for text in ["NaN", "inf", "-infinity", "1e999"] {
            assert!(matches!(parse_typed(text), Err(ParseNumber::NotFinite(_))), "{text}");
        }
        for text in ["forty", "12 L", "0x10", "--3"] {
            assert!(matches!(parse_typed(text), Err(ParseNumber::NotANumber(_))), "{text}");
        }
        assert_eq!(parse_typed("  "), Err(ParseNumber::Empty));
    }
}
