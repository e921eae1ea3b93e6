//! How the numbers of an entry were typed: what a book can hold of that in one cell.

use quantities::TypedValue;

use crate::error::{AccountError, shown};
use crate::name::check_words;

/// Most numbers of one entry that were typed in other units: each of every leg.
const TYPED_MAX: usize = 1000;

/// Refuses what is no number with few words.
pub(crate) fn check_typed(typed: &[TypedValue]) -> Result<(), AccountError> {
    let refused = |field, value: String, bound| {
        let hint = "as it was typed, with its unit";
        Err(AccountError::OutOfRange { field, value, bound, hint })
    };
    if typed.len() > TYPED_MAX {
        return refused("typed", typed.len().to_string(), "must be at most 1000");
    }
    for TypedValue { field, value, unit } in typed {
        if !value.is_finite() {
            return refused("typed", value.to_string(), "must be a finite number");
        }
        for (what, text) in [("typed field", field), ("typed unit", unit)] {
            check_words(what, text)?;
            if text.contains([';', '=']) {
                return refused(what, shown(text), "must hold neither ; nor =");
            }
        }
    }
    Ok(())
}
