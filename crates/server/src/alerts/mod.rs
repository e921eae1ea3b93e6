//! Alarms told further by the outputs that the program itself has: a command and the terminal's bell.

mod change;
mod command;
mod outputs;
mod settings;
mod sound;

use std::path::Path;
use std::sync::Arc;

use advise::Priority;

pub(crate) use change::{AlarmChange, What, changes};
pub use outputs::OutputResult;
pub(crate) use outputs::{OutputState, Outputs};
pub use settings::{AlertSettings, AlertsError};

/// The outputs, and how they were set up.
#[derive(Debug)]
pub(crate) struct Alerts {
    outputs: Outputs,
    /// Why the settings of the data folder are not at work.
    refused: Option<AlertsError>,
}

impl Alerts {
    /// As the data folder says; tests each output where that is asked for. Settings that are refused
    /// stop nothing: a still is better attended by a page and a bell than by nobody.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn start(data_dir: &Path) -> std::io::Result<Arc<Self>> {
        let (settings, refused) = match AlertSettings::read(data_dir) {
            Ok(settings) => (settings, None),
            Err(error) => {
                tracing::error!("{error}; the bell rings, and no command is called");
                (AlertSettings::usual(), Some(error))
            }
        };
        let at_start = settings.test_at_start;
        let outputs = Outputs::start(settings)?;
        if at_start {
            for priority in [Priority::Critical, Priority::High, Priority::Medium, Priority::Low] {
                outputs.put(Arc::new(AlarmChange::test(priority)));
            }
        }
        Ok(Arc::new(Self { outputs, refused }))
    }

    /// As these settings say, without a test.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn telling(settings: AlertSettings) -> std::io::Result<Arc<Self>> {
        Ok(Arc::new(Self { outputs: Outputs::start(settings)?, refused: None }))
    }

    /// Why the settings of the data folder are not at work.
    pub(crate) const fn refused(&self) -> Option<&AlertsError> {
        self.refused.as_ref()
    }

    /// Tells a change of a real run's alarm.
    pub(crate) fn tell(&self, change: AlarmChange) {
        if change.real {
            self.outputs.put(Arc::new(change));
        }
    }

    /// The outputs.
    pub(crate) const fn outputs(&self) -> &Outputs {
        &self.outputs
    }

    /// Stops the outputs; what waits is let go.
    pub(crate) fn stop(&self) {
        self.outputs.stop();
    }
}

/// Tests each output of a data folder, one after the other, and says what came of it.
///
/// # Errors
/// [`AlertsError`] for settings that are refused.
pub fn test_alerts(data_dir: &Path) -> Result<Vec<OutputResult>, AlertsError> {
    Ok(outputs::test(&AlertSettings::read(data_dir)?))
}
