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

    /// The role of a person; none of a device and of nobody.
    pub(crate) const fn role(&self) -> Option<Role> {
        match self {
            Self::Here => Some(Role::Attendant),
            Self::Person(person) => Some(person.role),
            Self::Device(_) | Self::Nobody => None,
        }
    }
}
