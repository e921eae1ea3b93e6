//! Everything that can go wrong at the workbench: what is said, the hint, the exit code.

use std::path::PathBuf;

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(crate) enum BenchError {
    /// A number out of its range.
    #[error("--jobs is {value}: it must lie from 1 to {high}")]
    Jobs {
        /// What was given.
        value: usize,
        /// Most.
        high: usize,
    },
    /// A run folder cannot be read.
    #[error(transparent)]
    Folder(#[from] store::folder::FolderError),
    /// A file could not be written.
    #[error("{option} {}: {why}", path.display())]
    Write {
        /// The option that named it.
        option: &'static str,
        /// The file.
        path: PathBuf,
        /// The system's reason.
        why: std::io::Error,
    },
    /// No run folder lies below the folder that was named.
    #[error("{}: no run folder is there or below", dir.display())]
    NoRuns {
        /// The folder.
        dir: PathBuf,
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
    /// Some forecasts could not be made; each was named before.
    #[error("{failed} of {of} forecasts, or replays, could not be made")]
    Unmade {
        /// How many not.
        failed: usize,
        /// How many were asked for.
        of: usize,
    },
    /// Too many alarms for nothing.
    #[error("more than one false alarm in ten healthy runs")]
    Alarms,
    /// No run could be drawn that an owner could have had.
    #[error("run {place}: all draws were thrown away: {why}")]
    Undrawn {
        /// Its number.
        place: usize,
        /// Reasons and how often.
        why: String,
    },
    /// The threads for the work could not be started.
    #[error("threads: {0}")]
    Threads(#[from] rayon::ThreadPoolBuildError),
    /// Standard output could not be written.
    #[error("standard output: {0}")]
    Output(#[from] std::io::Error),
}

impl BenchError {
    /// 2 where the input was bad, 1 where the work failed.
    pub(crate) const fn exit_code(&self) -> u8 {
        if matches!(
            self,
            Self::Unmade { .. }
                | Self::Alarms
                | Self::Undrawn { .. }
                | Self::Threads(_)
                | Self::Output(_)
        ) {
            1
        } else {
            2
        }
    }

    /// What the person can do.
    pub(crate) fn hint(&self) -> String {
        match self {
            Self::Unfit { hint, .. } => hint.clone(),
            Self::Folder(error) => error.hint(),
            Self::Jobs { .. } => "leave it out to use all cores".to_owned(),
            Self::Write { .. } => {
                "name a file in a folder that exists and that you may write to".to_owned()
            }
            Self::NoRuns { .. } => {
                "a run folder holds run.toml and readings.csv or actions.csv; check the path"
                    .to_owned()
            }
            Self::Unmade { .. } => {
                "each is named above with its reason; the others are whole".to_owned()
            }
            Self::Alarms => "the table above tells which, and in which runs".to_owned(),
            Self::Undrawn { .. } => "draw with another seed".to_owned(),
            Self::Threads(_) => "ask for fewer with --jobs".to_owned(),
            Self::Output(_) => "see whether the disk is full".to_owned(),
        }
    }
}
