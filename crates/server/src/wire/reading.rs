//! The schema of a row of readings on the wire, made from the list of probes.

use sense::Probe;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::{
    AdditionalProperties, KnownFormat, ObjectBuilder, Schema, SchemaFormat, SchemaType, Type,
};
use utoipa::{PartialSchema, ToSchema};

/// What [`sense::SentRow`] reads, for the API document.
#[derive(Debug)]
pub(crate) enum ReadingRowWire {}

fn number(words: String) -> Schema {
    let kinds = SchemaType::from_iter([Type::Number, Type::Null]);
    let format = SchemaFormat::KnownFormat(KnownFormat::Double);
    let number = ObjectBuilder::new().schema_type(kinds).format(Some(format));
    number.description(Some(words)).build().into()
}

fn moment() -> Schema {
    let kinds = SchemaType::from_iter([Type::String, Type::Null]);
    let words = "The moment in RFC 3339, as `2026-10-03T08:12:00+02:00`, instead of `time_s`.";
    ObjectBuilder::new().schema_type(kinds).description(Some(words)).build().into()
}

impl PartialSchema for ReadingRowWire {
    fn schema() -> RefOr<Schema> {
        let row = ObjectBuilder::new()
            .description(Some("One row of readings; an absent value was not read."))
            .property("time_s", number("Run time, s; absent, and without `at`: now.".to_owned()))
            .property("at", moment());
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
