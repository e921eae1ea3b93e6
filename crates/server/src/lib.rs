//! HTTP, live events and the embedded page. Whatever is acknowledged is stored before.

mod access;
mod alerts;
mod app;
mod assets;
mod body;
mod broker;
mod calibrator;
mod clock;
mod example;
mod feeding;
mod fit_runs;
mod forecasts;
mod guard;
mod keeper;
mod listen;
mod log_words;
mod metrics;
mod problem;
mod route;
mod router;
mod serve;
mod session;
mod sheet;
mod squeeze;
mod standing;
mod teacher;
mod tls;
mod wire;

pub use access::{DoorCode, Reach, device_token, door_code, qr_text};
pub use alerts::{AlertSettings, AlertsError, OutputResult, test_alerts};
pub use clock::{Clock, HandClock, zone_offset_minutes};
pub use feeding::{CheckedFeeds, CheckedStill, check_feeds};
pub use router::openapi_json;
pub use serve::{EXAMPLE_FOLDER, Listening, Options, ServeError, Server, serve};
pub use session::is_over_charge;
pub use tls::TlsError;
