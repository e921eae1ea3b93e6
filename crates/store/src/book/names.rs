//! Persons' names left out of a book that is shown to others: one person is one number throughout.

use std::collections::BTreeMap;

use account::Numbered;

/// What stands in the last line of a book without names.
pub(super) const LEFT_OUT: &str = "names_left_out";
/// What a person is called then, with a number.
const CALLED: &str = "person-";

/// The numbers of persons, in the order in which a book first names them.
#[derive(Debug, Default)]
pub(super) struct Unnamed(BTreeMap<String, usize>);

impl Unnamed {
    /// The entry without names; what stands in its words stays.
    pub(super) fn entry(&mut self, numbered: &Numbered) -> Numbered {
        let mut without = numbered.clone();
        let people = &mut without.entry.people;
        self.put(&mut people.entered);
        for name in [&mut people.read, &mut people.checked].into_iter().flatten() {
            self.put(name);
        }
        without
    }

    fn put(&mut self, name: &mut String) {
        let next = self.0.len() + 1;
        let number = *self.0.entry(name.clone()).or_insert(next);
        *name = format!("{CALLED}{number}");
    }
}
