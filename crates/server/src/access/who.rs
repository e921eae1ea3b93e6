//! Who asks: somebody at this computer, a browser that was paired, a device, or nobody known.

use store::access::{Device, Person, Role};

/// Who sends a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Who {
    /// Somebody at this computer itself.
    Here,
    /// A browser that was paired.
    Person(Person),
    /// A device with a token.
    Device(Device),
    /// Anybody else.
    Nobody,
}

impl Who {
    /// What somebody who was let in is called; none at this computer itself, where nobody pairs.
    pub(crate) fn name(&self) -> Option<&str> {
        match self {
            Self::Person(person) => {
                Some(&person.name).filter(|name| !name.trim().is_empty()).map(String::as_str)
            }
            Self::Here | Self::Device(_) | Self::Nobody => None,
        }
    }

    /// Who signs: as they say, and by the name they were let in under.
    pub(crate) fn signs(&self, said: Option<String>) -> Option<String> {
        signed(said, self.name())
    }

    /// The role of a person; none of a device and of nobody.
    pub(crate) const fn role(&self) -> Option<Role> {
        match self {
            Self::Here => Some(Role::Attendant),
            Self::Person(person) => Some(person.role),
            Self::Device(_) | Self::Nobody => None,
        }
    }
}

/// Who signs, by what they say and the name they were let in under: what is known is not hidden by
/// what is said.
pub(crate) fn signed(said: Option<String>, paired: Option<&str>) -> Option<String> {
    let said = said.map(|said| said.trim().to_owned());
    match (said, paired) {
        (Some(said), Some(paired)) if said != paired => Some(format!("{said} ({paired})")),
        (said, paired) => paired.map(str::to_owned).or(said),
    }
}
