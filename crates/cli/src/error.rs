//! Everything that can go wrong at the command line: what is said, the hint, the exit code.

use std::path::PathBuf;

use advise::AdviseError;
use alcoholometry::AlcoholometryError;
use estimate::{CalibrateError, EstimateError};
use finishing::FinishingError;
use rehearse::RehearseError;
use server::{ServeError, TlsError};
use still::StillError;

use crate::failure::Failure;

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CliError {
    /// A number out of its range.
    #[error("{option} is {value}: it {bound}")]
    Value {
        /// The option as typed.
        option: &'static str,
        /// What was given.
        value: f64,
        /// What is allowed.
        bound: String,
        /// What to do.
        hint: String,
    },
    /// Words that are not what is asked for.
    #[error("{option} is \"{value}\": it {bound}")]
    Typed {
        /// The option as typed.
        option: &'static str,
        /// What was given.
        value: String,
        /// What is allowed.
        bound: &'static str,
        /// What to do.
        hint: String,
    },
    /// An exported book is not whole.
    #[error("the book is not whole: {what}")]
    BookNotWhole {
        /// The first thing that does not fit.
        what: String,
    },
    /// An option that is no number.
    #[error("{option}: {what}")]
    NoNumber {
        /// The option as typed.
        option: &'static str,
        /// What is wrong.
        what: String,
        /// What to do.
        hint: String,
    },
    /// A quantity refused a value.
    #[error(transparent)]
    Quantity(#[from] quantities::OutOfRange),
    /// The bench refused an input.
    #[error(transparent)]
    Bench(#[from] AlcoholometryError),
    /// The finishing of a spirit refused an input.
    #[error(transparent)]
    Finishing(#[from] FinishingError),
    /// An equilibrium did not come out.
    #[error(transparent)]
    Equilibrium(#[from] thermo::ThermoError),
    /// The plan cannot be simulated.
    #[error(transparent)]
    Still(#[from] still::StillError),
    /// The live engine refuses.
    #[error(transparent)]
    Advise(#[from] advise::AdviseError),
    /// Nothing can be estimated or learned.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
    /// Runs cannot be calibrated together.
    #[error(transparent)]
    Calibrate(#[from] CalibrateError),
    /// A rehearsal refuses.
    #[error(transparent)]
    Rehearse(#[from] RehearseError),
    /// A run folder or run file cannot be read or written.
    #[error(transparent)]
    Folder(#[from] store::folder::FolderError),
    /// A feeds.toml is refused.
    #[error(transparent)]
    Feeds(Box<feeds::FeedsError>),
    /// Of channels that feeds.toml names, nothing came, or nothing that can be true.
    #[error("no reading that can be believed comes of {channels}")]
    Unfed {
        /// Which, of which still.
        channels: String,
    },
    /// An alarms.toml is refused.
    #[error(transparent)]
    Alerts(#[from] server::AlertsError),
    /// Outputs of alarms do not tell them, or none is named.
    #[error("{}", if silent.is_empty() { "no output tells an alarm".to_owned() } else { format!("an alarm is not told by: {silent}") })]
    Unheard {
        /// Which.
        silent: String,
    },
    /// Something is missing on this machine.
    #[error("missing: {what}")]
    Unready {
        /// What.
        what: String,
    },
    /// The record refuses, or cannot be opened.
    #[error(transparent)]
    Store(#[from] store::StoreError),
    /// The record is not whole.
    #[error("the record is not whole: {0}")]
    NotWhole(#[from] store::VerifyFailure),
    /// The server cannot be started.
    #[error(transparent)]
    Serve(#[from] server::ServeError),
    /// A drawing could not be made.
    #[error("--svg: {0}")]
    Drawing(#[from] plotters::drawing::DrawingAreaErrorKind<std::io::Error>),
    /// There is no user whose data folder could be used.
    #[error("this user has no data folder")]
    NoHome,
    /// A file could not be written.
    #[error("{option} {}: {why}", path.display())]
    Write {
        /// The option or argument that named it.
        option: &'static str,
        /// The file.
        path: PathBuf,
        /// The system's reason.
        why: std::io::Error,
    },
    /// A file that was named cannot be used.
    #[error("{}{}: {what}", file.display(), line.map(|line| format!(":{line}")).unwrap_or_default())]
    Unfit {
        /// The file.
        file: PathBuf,
        /// Counted from 1.
        line: Option<u64>,
        /// Field, value and bound.
        what: String,
        /// What to do.
        hint: String,
    },
    /// No manual page has that name.
    #[error("there is no command \"{command}\"")]
    NoPage {
        /// What was asked for.
        command: String,
    },
    /// Of no still of that name the record states values that a calibration gave.
    #[error("{}: nothing was calibrated for the still \"{still}\"", dir.display())]
    NotCalibrated {
        /// Its name.
        still: String,
        /// The record.
        dir: PathBuf,
    },
    /// The run still goes on.
    #[error("run {run} is not over")]
    NotOver {
        /// The run.
        run: String,
    },
    /// Nobody of that id may come in.
    #[error("there is no session and no device \"{id}\"")]
    NoGuest {
        /// What was asked for.
        id: String,
    },
    /// Nothing to blend is in a run.
    #[error("{run}: no jar that {what}")]
    NoJars {
        /// The run.
        run: String,
        /// What is wanted of a jar.
        what: String,
    },
    /// Standard output could not be written.
    #[error("standard output: {0}")]
    Output(#[from] std::io::Error),
}

impl CliError {
    /// 2 where the input was bad, 1 where the work failed.
    pub(crate) fn exit_code(&self) -> u8 {
        let is_bad_input = match self {
            Self::Still(error)
            | Self::Estimate(EstimateError::Still(error))
            | Self::Calibrate(CalibrateError::Still(error))
            | Self::Rehearse(RehearseError::Still(error)) => is_bad_plan(error),
            Self::Store(error) | Self::Serve(ServeError::Store(error)) => error.is_bad_input(),
            Self::Serve(ServeError::Proxy { .. } | ServeError::Tls(TlsError::Name { .. })) => true,
            Self::Equilibrium(_)
            | Self::Advise(AdviseError::Thermo(_))
            | Self::Rehearse(RehearseError::Advise(AdviseError::Thermo(_)))
            | Self::NotWhole(_)
            | Self::BookNotWhole { .. }
            | Self::Unfed { .. }
            | Self::Unheard { .. }
            | Self::Unready { .. }
            | Self::Serve(_)
            | Self::Drawing(_)
            | Self::Output(_) => false,
            Self::Value { .. }
            | Self::Typed { .. }
            | Self::NoNumber { .. }
            | Self::Quantity(_)
            | Self::Bench(_)
            | Self::Finishing(_)
            | Self::Folder(_)
            | Self::Feeds(_)
            | Self::Alerts(_)
            | Self::Advise(_)
            | Self::Estimate(_)
            | Self::Calibrate(_)
            | Self::Rehearse(_)
            | Self::NoHome
            | Self::NoPage { .. }
            | Self::NoGuest { .. }
            | Self::NotCalibrated { .. }
            | Self::NoJars { .. }
            | Self::NotOver { .. }
            | Self::Unfit { .. }
            | Self::Write { .. } => true,
        };
        if is_bad_input { 2 } else { 1 }
    }

    /// What the person can do.
    pub(crate) fn hint(&self) -> String {
        match self {
            Self::Value { hint, .. } | Self::NoNumber { hint, .. } | Self::Typed { hint, .. } | Self::Unfit { hint, .. } => {
                hint.clone()
            }
            Self::BookNotWhole { .. } => {
                "hold it against another copy, or export it again from the record".to_owned()
            }
            Self::Quantity(_) | Self::Rehearse(RehearseError::Power(_)) => {
                "give a value within the range named".to_owned()
            }
            Self::Bench(error) => error.hint().to_owned(),
            Self::Finishing(error) => error.hint().to_owned(),
            Self::Equilibrium(_) => {
                "try a slightly different input, and report this with the numbers above".to_owned()
            }
            Self::Still(error) => error.hint(),
            Self::Advise(error) | Self::Rehearse(RehearseError::Advise(error)) => {
                advise_hint(error)
            }
            Self::Estimate(EstimateError::Plan(plan))
            | Self::Calibrate(CalibrateError::Plan(plan))
            | Self::Rehearse(RehearseError::Plan(plan)) => plan.hint.clone(),
            Self::Estimate(EstimateError::Still(still))
            | Self::Calibrate(CalibrateError::Still(still))
            | Self::Rehearse(RehearseError::Still(still)) => still.hint(),
            Self::Calibrate(error) => calibrate_hint(error).to_owned(),
            Self::Folder(error) => error.hint(),
            Self::Feeds(error) => error.hint.to_owned(),
            Self::Alerts(error) => error.hint.to_owned(),
            Self::Unheard { .. } => {
                "name a command in alarms.toml in the data folder; docs/alarms.md has an example"
                    .to_owned()
            }
            Self::Unfed { .. } => {
                "the last column says why; the program that serves may hold a serial device; \
                 middlecut doctor says what is missing on this machine"
                    .to_owned()
            }
            Self::Store(error) => error.hint(),
            Self::NotWhole(_) => {
                "keep this file as it is; `middlecut restore FILE` puts a backup back and keeps it, \
                 `middlecut accept-loss` says that lost entries are known"
                    .to_owned()
            }
            Self::Unready { .. } => "each has what to do beside it".to_owned(),
            Self::Serve(error) => error.hint(),
            Self::NoHome => "name a folder with --data DIR".to_owned(),
            Self::Write { .. } => {
                "name a file in a folder that exists and that you may write to".to_owned()
            }
            Self::NoGuest { .. } => "middlecut access list shows who may come in".to_owned(),
            Self::NoPage { .. } => "middlecut --help lists the commands".to_owned(),
            Self::NotCalibrated { .. } => {
                "middlecut calibrate RUN_FOLDER... --store keeps what its runs gave".to_owned()
            }
            Self::NotOver { .. } => {
                "end it first; while it goes on, its page takes feints and samples".to_owned()
            }
            Self::NoJars { .. } => {
                "gauge the jars first, or name others with --jars; parts can be typed too"
                    .to_owned()
            }
            Self::Drawing(_) | Self::Output(_) => "see whether the disk is full".to_owned(),
        }
    }

    /// All of it, taken apart.
    pub(crate) fn failure(&self) -> Failure {
        let about = |(field, value, bound): (&str, &str, &str)| {
            let some = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
            (some(field), some(value), some(bound))
        };
        let (field, value, bound) = match self {
            Self::Value { option, value, bound, .. } => about((option, &value.to_string(), bound)),
            Self::Typed { option, value, bound, .. } => about((option, value, bound)),
            Self::Quantity(out) => {
                let bound = format!("must lie from {} to {} {}", out.low, out.high, out.unit);
                about((out.quantity, &out.value.to_string(), &bound))
            }
            Self::Bench(AlcoholometryError::OutOfRange {
                field, value, low, high, unit, ..
            }) => {
                let bound = format!("must lie from {low} to {high} {unit}");
                about((&field.to_string(), &value.to_string(), &bound))
            }
            Self::Finishing(error) => {
                let (field, value, bound) = error.parts();
                about((&field, &value, &bound))
            }
            Self::Still(StillError::Plan(plan))
            | Self::Advise(AdviseError::Plan(plan))
            | Self::Estimate(EstimateError::Plan(plan))
            | Self::Calibrate(CalibrateError::Plan(plan))
            | Self::Rehearse(RehearseError::Plan(plan)) => {
                about((&plan.field, &plan.value, &plan.bound))
            }
            Self::Folder(error) => error.field().map_or_else(Default::default, about),
            Self::Feeds(error) => about((&error.key, &error.value, &error.bound)),
            Self::Store(error) => error.field().map_or_else(Default::default, about),
            Self::Write { option, path, .. } => about((option, &path.display().to_string(), "")),
            _ => (None, None, None),
        };
        let place = match self {
            Self::Folder(error) => error.place(),
            Self::Feeds(error) => Some((&*error.file, error.line, None)),
            _ => None,
        };
        let (file, line, column) = place.map_or((None, None, None), |(file, line, column)| {
            (Some(file.display().to_string()), line, column)
        });
        let (message, hint) = (self.to_string(), self.hint());
        Failure { message, field, value, bound, file, line, column, hint }
    }

    /// Whether nobody reads the output any more, as when piped into `head`.
    pub(crate) fn is_broken_pipe(&self) -> bool {
        matches!(self, Self::Output(why) if why.kind() == std::io::ErrorKind::BrokenPipe)
    }
}

/// A plan that cannot be run is bad input; equations that fail are a failure.
const fn is_bad_plan(error: &StillError) -> bool {
    matches!(
        error,
        StillError::Plan(_) | StillError::NeverBoils { .. } | StillError::HoldupTooLarge { .. }
    )
}

const fn calibrate_hint(error: &CalibrateError) -> &'static str {
    match error {
        CalibrateError::Runs { .. } => {
            "name two or more runs of one still, at best at different power or reflux"
        }
        CalibrateError::Jars { .. } => {
            "record the jars with volume and times, or leave this run out"
        }
        CalibrateError::Residue { .. } => {
            "give litres at 20 °C and, where gauged, the strength: --residue 2=31.5@1.2"
        }
        CalibrateError::NeverRan { .. } => {
            "check heater and losses in its run.toml, or leave this run out"
        }
        CalibrateError::Plan(_) | CalibrateError::Still(_) => "check its run.toml",
    }
}

fn advise_hint(error: &AdviseError) -> String {
    match error {
        AdviseError::Thermo(_) => {
            "check the site's pressure; if it is real, report this run file".to_owned()
        }
        AdviseError::Plan(plan) => plan.hint.clone(),
        AdviseError::Option { hint, .. } => (*hint).to_owned(),
        AdviseError::Time { .. } => "check the time column".to_owned(),
    }
}
