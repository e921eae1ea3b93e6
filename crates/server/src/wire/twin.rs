//! How twins of inner types are written: the type of the wire and the way to it in one place.

/// Writes an enum of the wire and the conversion from its inner twin.
macro_rules! enum_twin {
    ($(#[$doc:meta])* $wire:ident, $inner:path, $($(#[$variant_doc:meta])* $variant:ident),+) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, utoipa::ToSchema)]
        #[serde(rename_all = "snake_case")]
        pub(crate) enum $wire { $($(#[$variant_doc])* $variant),+ }
        impl $wire {
            /// All of them.
            pub(crate) const ALL: &'static [Self] = &[$(Self::$variant),+];
        }
        const _: &[$wire] = $wire::ALL;
        impl From<$inner> for $wire {
            fn from(value: $inner) -> Self {
                type Inner = $inner;
                match value { $(Inner::$variant => Self::$variant),+ }
            }
        }
        impl $crate::wire::twin::Twin<$wire> for $inner {
            fn twin(&self) -> $wire { (*self).into() }
        }
    };
}

/// Writes a struct of the wire with exactly the fields of its inner twin: one that is added there
/// does not compile until it is added here.
macro_rules! exact_twin {
    ($(#[$doc:meta])* $wire:ident, $inner:path, { $($(#[$field_doc:meta])* $field:ident : $kind:ty,)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, serde::Serialize, utoipa::ToSchema)]
        pub(crate) struct $wire { $($(#[$field_doc])* pub(crate) $field: $kind,)+ }
        impl From<&$inner> for $wire {
            fn from(inner: &$inner) -> Self {
                type Inner = $inner;
                let Inner { $($field),+ } = inner;
                Self { $($field: $crate::wire::twin::Twin::twin($field),)+ }
            }
        }
        impl $crate::wire::twin::Twin<$wire> for $inner {
            fn twin(&self) -> $wire { self.into() }
        }
    };
}

pub(super) use {enum_twin, exact_twin};

/// A value that has a twin on the wire.
pub(crate) trait Twin<Wire> {
    /// The twin.
    fn twin(&self) -> Wire;
}

impl Twin<Self> for f64 {
    fn twin(&self) -> Self {
        *self
    }
}

impl Twin<Self> for bool {
    fn twin(&self) -> Self {
        *self
    }
}

impl Twin<Self> for u32 {
    fn twin(&self) -> Self {
        *self
    }
}

impl Twin<Self> for usize {
    fn twin(&self) -> Self {
        *self
    }
}

impl Twin<String> for &'static str {
    fn twin(&self) -> String {
        (*self).to_owned()
    }
}

impl Twin<Self> for u64 {
    fn twin(&self) -> Self {
        *self
    }
}

impl Twin<Self> for String {
    fn twin(&self) -> Self {
        self.clone()
    }
}

impl<Inner: Twin<Wire>, Wire> Twin<Option<Wire>> for Option<Inner> {
    fn twin(&self) -> Option<Wire> {
        self.as_ref().map(Twin::twin)
    }
}

impl<Inner: Twin<Wire>, Wire> Twin<Vec<Wire>> for Vec<Inner> {
    fn twin(&self) -> Vec<Wire> {
        self.iter().map(Twin::twin).collect()
    }
}

/// The word of a variant, as it is sent.
pub(crate) fn word(value: &impl serde::Serialize) -> String {
    let word = serde_json::to_value(value).ok();
    word.as_ref().and_then(serde_json::Value::as_str).unwrap_or_default().to_owned()
}
