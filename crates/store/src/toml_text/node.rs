//! A parsed plan handed to its types, with refusals that say what is wrong as data, not as text.

use std::fmt;

use serde::de::value::{MapDeserializer, SeqDeserializer};
use serde::de::{Deserializer, Error, Expected, IntoDeserializer, Unexpected, Visitor};
use serde::forward_to_deserialize_any;
use toml::Spanned;
use toml::de::{DeInteger, DeValue};

/// What a type refuses of a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fault {
    /// A key that must be there is not.
    Missing(&'static str),
    /// A key, or a word, that is none of these.
    NoneOf(String, &'static [&'static str]),
    /// A value of another type, or anything else.
    Other(String),
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(_) => write!(out, "this key is missing"),
            Self::NoneOf(found, known) => {
                let found = crate::rows::shown(found);
                write!(out, "\"{found}\" is unknown; expected one of {}", known.join(", "))
            }
            Self::Other(what) => write!(out, "{what}"),
        }
    }
}

impl std::error::Error for Fault {}

impl Error for Fault {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::Other(message.to_string())
    }

    fn invalid_type(found: Unexpected<'_>, expected: &dyn Expected) -> Self {
        // The names of the program's own types are no words for a person.
        let expected = match expected.to_string().as_str() {
            "f64" => "a number".to_owned(),
            "u32" => "a whole number".to_owned(),
            "a string" => "text in quotation marks".to_owned(),
            other => other.to_owned(),
        };
        Self::Other(format!("is {found}: expected {expected}"))
    }

    fn unknown_variant(found: &str, expected: &'static [&'static str]) -> Self {
        Self::NoneOf(found.to_owned(), expected)
    }

    fn unknown_field(found: &str, expected: &'static [&'static str]) -> Self {
        Self::NoneOf(found.to_owned(), expected)
    }

    fn missing_field(field: &'static str) -> Self {
        Self::Missing(field)
    }
}

/// A value of the parsed text.
pub(super) struct Node<'a, 'text>(pub(super) &'a Spanned<DeValue<'text>>);

impl IntoDeserializer<'_, Fault> for Node<'_, '_> {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for Node<'_, '_> {
    type Error = Fault;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.0.get_ref() {
            DeValue::String(text) => visitor.visit_str(text),
            DeValue::Boolean(value) => visitor.visit_bool(*value),
            DeValue::Integer(number) => visitor.visit_i64(whole(number)?),
            DeValue::Float(number) => {
                let value = number.as_str().parse::<f64>();
                visitor.visit_f64(value.map_err(|_| no_number(number.as_str()))?)
            }
            DeValue::Datetime(_) => {
                Err(Fault::invalid_type(Unexpected::Other("a bare date"), &visitor))
            }
            DeValue::Array(list) => visitor.visit_seq(SeqDeserializer::new(list.iter().map(Node))),
            DeValue::Table(table) => {
                let entries =
                    table.iter().map(|(key, value)| (key.get_ref().as_ref(), Node(value)));
                visitor.visit_map(MapDeserializer::new(entries))
            }
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_some(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match self.0.get_ref() {
            DeValue::String(text) => {
                let word: serde::de::value::StrDeserializer<'_, Fault> =
                    text.as_ref().into_deserializer();
                word.deserialize_enum(name, variants, visitor)
            }
            _ => self.deserialize_any(visitor),
        }
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf
        unit unit_struct newtype_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}

fn whole(number: &DeInteger<'_>) -> Result<i64, Fault> {
    i64::from_str_radix(number.as_str(), number.radix()).map_err(|_| no_number(number.as_str()))
}

fn no_number(text: &str) -> Fault {
    Fault::Other(format!("\"{}\" is no number that can be used", crate::rows::shown(text)))
}
