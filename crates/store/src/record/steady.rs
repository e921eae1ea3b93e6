//! What a clock that nobody sets showed, and on which start of which computer: payloads of version 4.

use serde::{Deserialize, Serialize};

/// Digits of a computer's name for one of its starts.
const BOOT_DIGITS: usize = 32;

/// One start of a computer, by the random name that its system gives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct BootId(u128);

impl BootId {
    /// The name as a system writes it: 32 hexadecimal digits, with or without dashes.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let digits: String = text.trim().chars().filter(|sign| *sign != '-').collect();
        let all =
            digits.len() == BOOT_DIGITS && digits.chars().all(|sign| sign.is_ascii_hexdigit());
        u128::from_str_radix(&digits, 16).ok().filter(|_| all).map(Self)
    }
}

impl TryFrom<String> for BootId {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        Self::read(&text).ok_or_else(|| format!("{text:?} must be 32 hexadecimal digits"))
    }
}

impl From<BootId> for String {
    fn from(BootId(number): BootId) -> Self {
        format!("{number:032x}")
    }
}

/// What the clock showed that only runs and counts sleep. It begins anew with the computer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SteadyMark {
    /// Since when it runs.
    pub boot: BootId,
    /// Milliseconds; negative for a moment before the computer began.
    pub ms: i64,
}

#[cfg(test)]
mod tests {
    use super::BootId;

    #[test]
    fn the_name_of_a_start_is_read_as_a_system_writes_it_and_nothing_else_is() {
        let boot = BootId::read("0f2a8c1e-5b77-4d09-9c3e-77aa01b2c3d4\n").expect("a name");
        assert_eq!(String::from(boot), "0f2a8c1e5b774d099c3e77aa01b2c3d4");
        assert_eq!(BootId::read(&String::from(boot)), Some(boot));
        for text in
            ["", "0f2a", "+f2a8c1e5b774d099c3e77aa01b2c3d4", "0f2a8c1e5b774d099c3e77aa01b2c3dx"]
        {
            assert_eq!(BootId::read(text), None, "{text}");
        }
    }
}
