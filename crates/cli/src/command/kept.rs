//! What is kept of numbers that were typed in other units.

use alcoholometry::typed::Typed;
use quantities::TypedValue;

/// What is kept, each number by what it is called in the record.
pub(super) fn kept<'a>(
    values: impl IntoIterator<Item = (&'a str, Option<&'a Typed>)>,
) -> Vec<TypedValue> {
    values.into_iter().filter_map(|(field, typed)| typed?.noted(field)).collect()
}
