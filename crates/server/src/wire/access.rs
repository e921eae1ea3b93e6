//! Who may come in, on the wire.

use serde::{Deserialize, Serialize};
use store::access::{Device, Person, Role};
use utoipa::ToSchema;

/// What a person may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum RoleWire {
    /// Attends: sees and records.
    Attendant,
    /// Sees, and records nothing.
    LookerOn,
}

impl From<Role> for RoleWire {
    fn from(role: Role) -> Self {
        match role {
            Role::Attendant => Self::Attendant,
            Role::LookerOn => Self::LookerOn,
        }
    }
}

impl From<RoleWire> for Role {
    fn from(role: RoleWire) -> Self {
        match role {
            RoleWire::Attendant => Self::Attendant,
            RoleWire::LookerOn => Self::LookerOn,
        }
    }
}

/// A code for a session.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PairAsk {
    /// The code, as it was shown.
    pub(crate) code: String,
    /// What this browser is called, 1 to 60 characters; absent = "a browser".
    #[serde(default)]
    pub(crate) name: Option<String>,
}

/// A browser that was let in.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct PersonWire {
    /// Names the session.
    pub(crate) id: String,
    /// What it may do.
    pub(crate) role: RoleWire,
    /// What it is called.
    pub(crate) name: String,
    /// When it was let in, ms UTC.
    pub(crate) made_ms: i64,
    /// When the session ends, ms UTC.
    pub(crate) expires_ms: i64,
    /// When it last asked, ms UTC, to the minute.
    pub(crate) seen_ms: i64,
}

impl From<Person> for PersonWire {
    fn from(person: Person) -> Self {
        let Person { id, role, name, made_ms, expires_ms, seen_ms } = person;
        Self { id, role: role.into(), name, made_ms, expires_ms, seen_ms }
    }
}

/// A device that may send readings.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct DeviceWire {
    /// Names the device.
    pub(crate) id: String,
    /// Name of the still it may send readings of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) still: Option<String>,
    /// Name of the wash it may send readings of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) wash: Option<String>,
    /// What it is called.
    pub(crate) name: String,
    /// When its token was made, ms UTC.
    pub(crate) made_ms: i64,
    /// When it last sent something, ms UTC, to the minute.
    pub(crate) seen_ms: Option<i64>,
}

impl From<Device> for DeviceWire {
    fn from(device: Device) -> Self {
        let Device { id, of, name, made_ms, seen_ms } = device;
        let (still, wash) = of.split();
        Self { id, still, wash, name, made_ms, seen_ms }
    }
}

/// Who asks, and where the server can be reached.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AskerWire {
    /// What the asker may do.
    pub(crate) role: RoleWire,
    /// The session; none for somebody at this computer, who needs none.
    pub(crate) session: Option<PersonWire>,
    /// Where the server can be reached from other machines; empty where it cannot.
    pub(crate) places: Vec<String>,
}

/// All who may come in.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct GuestsWire {
    /// Browsers, the oldest session first.
    pub(crate) people: Vec<PersonWire>,
    /// Devices, the oldest first.
    pub(crate) devices: Vec<DeviceWire>,
}

/// A code to make.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CodeAsk {
    /// As what it lets in.
    pub(crate) role: RoleWire,
}

/// A code that lets one browser in, once.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct CodeWire {
    /// As it is typed at `/pair`.
    pub(crate) code: String,
    /// As what it lets in.
    pub(crate) role: RoleWire,
    /// Until when, ms UTC.
    pub(crate) expires_ms: i64,
    /// The addresses to open, the likeliest first.
    pub(crate) links: Vec<LinkWire>,
}

/// An address to open on a phone.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LinkWire {
    /// The address.
    pub(crate) url: String,
    /// The same as a square that a phone reads, SVG.
    pub(crate) qr_svg: Option<String>,
}

/// A device to let in: of a still or of a wash.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DeviceAsk {
    /// Name of the still it may send readings of, as plans have it.
    #[serde(default)]
    pub(crate) still: Option<String>,
    /// Title of the wash it may send readings of, or its name in the record.
    #[serde(default)]
    pub(crate) wash: Option<String>,
    /// What it is called.
    pub(crate) name: String,
}

/// A device and its token.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct DeviceTokenWire {
    /// The device.
    pub(crate) device: DeviceWire,
    /// Its token, for the header `Authorization: Bearer ...`; told here and never again.
    pub(crate) token: String,
}
