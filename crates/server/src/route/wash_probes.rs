//! What devices send of a wash: readings of its probes, few of which become entries.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::{Extension, Json};
use feeds::Sifted;
use sense::{Sensor, WashProbe};
use store::WashBy;
use store::access::DeviceOf;

use crate::access::Who;
use crate::app::App;
use crate::body::Given;
use crate::counted::Counted;
use crate::problem::{ApiError, Problem, Refusal};
use crate::wash_feed::{Moment, entries, write};
use crate::wash_posts::Sender;
use crate::wire::wash_ask::{WashProbesAsk, WashProbesRowAsk, WashProbesWire};

/// Most rows of one post.
const ROWS_MAX: usize = 1000;

/// Takes what probes of a wash read. A wash lasts weeks: of a channel one reading an hour is kept
/// (gravity and temperature sooner where they moved), of acid and weight one in eight hours; the rest
/// is passed over, and that is said. A wash that is over takes nothing more.
#[utoipa::path(
    post, path = "/api/washes/{id}/probes", tag = "wash", operation_id = "probeWash",
    request_body = WashProbesAsk,
    params(("id" = String, Path, description = "Title of a wash that goes on, or its name in the record")),
    responses(
        (status = 200, description = "What became of them", body = WashProbesWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn probe_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
    Given(ask): Given<WashProbesAsk>,
) -> Result<Json<WashProbesWire>, ApiError> {
    let WashProbesAsk { rows, key, sequence, boot } = ask;
    let (device, key) = match &who {
        Who::Device(device) if device.of != DeviceOf::Wash(name.clone()) => {
            return Err(Refusal::Device { of: device.of.clone() }.into());
        }
        Who::Device(device) => {
            let key = Counted { boot, sequence }.key(&device.id, key, &format!("{rows:?}"))?;
            (device.id.clone(), key)
        }
        _ if sequence.is_some() || boot.is_some() => {
            let hint = "a person's program gives a key";
            return Err(ApiError::field("sequence", "given", "goes with a device's token", hint));
        }
        _ => (String::new(), key),
    };
    let moments = moments(&rows, app.clock.now_ms())?;
    let mut known = app.wash_posts.enter().await;
    let mut sender = Sender::known(&known, &device, &name);
    if let Some(answer) = key.as_ref().and_then(|key| sender.answered(key)) {
        return Ok(Json(answer));
    }
    let (mut kept, mut passed_over, mut impossible) = (0, 0, 0);
    let mut due: Vec<Moment> = Vec::new();
    for (at_ms, cells) in moments {
        let mut of_it = Vec::new();
        for (probe, value) in cells {
            match sender.thin.sift(probe, at_ms as f64 / 1000.0, value) {
                Sifted::Kept => of_it.push((probe, value)),
                Sifted::PassedOver => passed_over += 1,
                Sifted::Impossible => impossible += 1,
            }
        }
        kept += of_it.len();
        due.extend((!of_it.is_empty()).then_some((at_ms, of_it)));
    }
    let by = match &who {
        Who::Device(device) => Some(device.name.clone()),
        _ => who.signs(None),
    };
    let by = WashBy { by, key: key.clone() };
    let wash = write(&app, &name, entries(&due, &[], &by)).await?;
    let answer = WashProbesWire { wash, kept, passed_over, impossible };
    sender.remember(&mut known, key, answer.clone());
    Ok(Json(answer))
}

/// The rows as moments, each with what was read then.
fn moments(rows: &[WashProbesRowAsk], now_ms: i64) -> Result<Vec<Moment>, ApiError> {
    if rows.is_empty() || rows.len() > ROWS_MAX {
        let bound = format!("must be 1 to {ROWS_MAX} rows");
        return Err(ApiError::field("rows", rows.len(), bound, "send the rest in another post"));
    }
    let mut moments: Vec<Moment> = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        let WashProbesRowAsk { at_ms, temperature_c, gravity, ph, weight_kg } = *row;
        let at_ms = at_ms.unwrap_or(now_ms);
        if moments.last().is_some_and(|before| at_ms < before.0) {
            let hint = "rows in the order of time; one without at_ms is of now";
            let key = format!("rows[{i}].at_ms");
            return Err(ApiError::field(key, at_ms, "must not be before the row before", hint));
        }
        let values = [temperature_c, gravity, ph, weight_kg];
        let mut cells = Vec::new();
        for (probe, value) in WashProbe::ALL.into_iter().zip(values) {
            let Some(value) = value else { continue };
            let sensor = Sensor::from(probe);
            let (low, high) = sensor.kept();
            if !(low..=high).contains(&value) {
                let bound = format!("must lie from {low} to {high} {}", sensor.unit());
                let key = format!("rows[{i}].{}", sensor.column());
                return Err(ApiError::field(key, value, bound, "no such probe sends this"));
            }
            cells.push((probe, value));
        }
        if cells.is_empty() {
            let bound = "must have a value";
            let hint = "temperature_c, gravity, ph or weight_kg";
            return Err(ApiError::field(format!("rows[{i}]"), "empty", bound, hint));
        }
        moments.push((at_ms, cells));
    }
    Ok(moments)
}
