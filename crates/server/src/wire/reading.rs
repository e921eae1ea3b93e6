//! A row of readings on the wire: its cells by column, with a schema made from the list of probes.

use sense::{Probe, Reading};
use serde::de::{Deserialize, Deserializer};
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{
    AdditionalProperties, KnownFormat, ObjectBuilder, Schema, SchemaFormat, SchemaType, Type,
};
use utoipa::{PartialSchema, ToSchema};

/// One row of readings; an absent value was not read.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct ReadingRowWire {
    /// Run time, s; absent = now.
    pub(crate) time_s: Option<f64>,
    /// The cells.
    pub(crate) cells: Reading,
}

impl<'de> Deserialize<'de> for ReadingRowWire {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (time_s, cells) = Reading::from_columns(deserializer)?;
        Ok(Self { time_s, cells })
    }
}

fn number(words: String) -> Schema {
    let kinds = SchemaType::from_iter([Type::Number, Type::Null]);
    let format = SchemaFormat::KnownFormat(KnownFormat::Double);
    let number = ObjectBuilder::new().schema_type(kinds).format(Some(format));
    number.description(Some(words)).build().into()
}

impl PartialSchema for ReadingRowWire {
    fn schema() -> RefOr<Schema> {
        let row = ObjectBuilder::new()
            .description(Some("One row of readings; an absent value was not read."))
            .property("time_s", number("Run time, s; absent = now.".to_owned()));
        let cell = |row: ObjectBuilder, probe: Probe| {
            row.property(
                probe.column(),
                number(format!("The {}, {}.", probe.words(), probe.unit())),
            )
        };
        let row = Probe::ALL.into_iter().fold(row, cell);
        row.additional_properties(Some(AdditionalProperties::<Schema>::FreeForm(false))).into()
    }
}

impl ToSchema for ReadingRowWire {}
