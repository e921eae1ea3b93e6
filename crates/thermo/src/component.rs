//! The thirteen substances a wash is made of, in the order every table and vector uses.

/// A substance. `Water` and `Ethanol` are always present; the others are congeners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(usize)]
pub enum Component {
    /// Water.
    Water,
    /// Ethanol.
    Ethanol,
    /// Methanol, from the pectin of fruit.
    Methanol,
    /// Acetaldehyde, the lightest of the heads.
    Acetaldehyde,
    /// Ethyl acetate, the smell of nail varnish.
    EthylAcetate,
    /// 1-Propanol.
    Propanol,
    /// 2-Methyl-1-propanol (isobutanol).
    Isobutanol,
    /// 3-Methyl-1-butanol (isoamyl alcohol), the chief fusel alcohol.
    IsoamylAlcohol,
    /// Acetic acid, as the monomer.
    AceticAcid,
    /// 2-Methyl-1-butanol (active amyl alcohol).
    ActiveAmylAlcohol,
    /// Furfural.
    Furfural,
    /// Diacetyl (2,3-butanedione).
    Diacetyl,
    /// 1,1-Diethoxyethane (acetal).
    Acetal,
}

/// How many substances there are.
pub const COMPONENT_COUNT: usize = 13;

impl Component {
    /// All substances in order.
    pub const ALL: [Self; COMPONENT_COUNT] = [
        Self::Water,
        Self::Ethanol,
        Self::Methanol,
        Self::Acetaldehyde,
        Self::EthylAcetate,
        Self::Propanol,
        Self::Isobutanol,
        Self::IsoamylAlcohol,
        Self::AceticAcid,
        Self::ActiveAmylAlcohol,
        Self::Furfural,
        Self::Diacetyl,
        Self::Acetal,
    ];

    /// The name used in files and tables.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Ethanol => "ethanol",
            Self::Methanol => "methanol",
            Self::Acetaldehyde => "acetaldehyde",
            Self::EthylAcetate => "ethyl_acetate",
            Self::Propanol => "1-propanol",
            Self::Isobutanol => "2-methyl-1-propanol",
            Self::IsoamylAlcohol => "3-methyl-1-butanol",
            Self::AceticAcid => "acetic_acid",
            Self::ActiveAmylAlcohol => "2-methyl-1-butanol",
            Self::Furfural => "furfural",
            Self::Diacetyl => "diacetyl",
            Self::Acetal => "1,1-diethoxyethane",
        }
    }

    /// The substance of that name in files.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|component| component.name() == name)
    }

    /// Position in [`Component::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Whether it is neither water nor ethanol.
    #[must_use]
    pub const fn is_congener(self) -> bool {
        self.index() > Self::Ethanol.index()
    }
}
