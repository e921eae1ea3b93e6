//! Everything that can go wrong in the record, one enum.

use std::path::{Path, PathBuf};

use crate::folder::FolderError;
use crate::record::{Trouble, VerifyFailure};
use crate::rows::RowFault;

/// Why the record refuses, or cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The disk refuses.
    #[error("{}: {source}", path.display())]
    Io {
        /// File or folder.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
    /// Another process writes here.
    #[error("{}: another middlecut already writes into this data folder", dir.display())]
    Locked {
        /// The data folder.
        dir: PathBuf,
    },
    /// There is no record here.
    #[error("{}: there is no record here", path.display())]
    Absent {
        /// The file looked for.
        path: PathBuf,
    },
    /// The file is no database.
    #[error("{}: not a record of this program", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// A newer program made it.
    #[error("{}: made by a newer program (tables {found}, this one knows {known})", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: i64,
        /// The newest this program knows.
        known: i64,
    },
    /// The disk is full; nothing of this entry was kept.
    #[error("the disk is full: the entry was not kept")]
    DiskFull,
    /// Another program holds the file for longer than is waited.
    #[error("another program holds the record: the entry was not kept")]
    Busy,
    /// The disk takes nothing: no right to write, a disk that is gone or mounted for reading.
    #[error("the disk takes nothing: {what}")]
    Refused {
        /// What the system says.
        what: String,
    },
    /// The file is damaged.
    #[error("the record is damaged: {what}")]
    Damaged {
        /// What was found.
        what: String,
    },
    /// Nothing is recorded: why, in the words of what failed when it was opened.
    #[error("nothing is recorded: {}", .0.what)]
    Unrecorded(Trouble),
    /// A backup that does not verify.
    #[error(transparent)]
    NotWhole(#[from] VerifyFailure),
    /// Opened for reading only.
    #[error("the record is open for reading only")]
    ReadOnly,
    /// No such run.
    #[error("run {run}: there is no such run")]
    NoRun {
        /// What was asked for.
        run: String,
    },
    /// Nothing was ever learned about a still of that name.
    #[error("still {still}: nothing is recorded about it")]
    NoStill {
        /// What was asked for.
        still: String,
    },
    /// No calibration of a still stands.
    #[error("still {still}: no calibration stands")]
    NotCalibrated {
        /// What was asked for.
        still: String,
    },
    /// A row that no run folder could hold.
    #[error("{0}")]
    Row(#[from] RowFault),
    /// An entry that names something that cannot be.
    #[error("{field} = {value}: {bound}")]
    Entry {
        /// The field.
        field: &'static str,
        /// What stood there.
        value: String,
        /// What is allowed.
        bound: &'static str,
    },
    /// An entry that the account of pure alcohol refuses.
    #[error(transparent)]
    Account(#[from] account::AccountError),
    /// A book that is not whole, or not the one that is there.
    #[error("{0}")]
    Book(#[from] crate::book::BookFault),
    /// A plan that cannot be run.
    #[error("{0}")]
    Plan(#[from] still::plan::PlanError),
    /// An entry is longer than the record keeps.
    #[error("an entry of {found} bytes is over {limit}")]
    TooLong {
        /// Its length.
        found: usize,
        /// Most bytes.
        limit: usize,
    },
    /// An entry of a newer program, or one that is damaged.
    #[error("run {run}, entry {entry}: {what}")]
    Unreadable {
        /// The run.
        run: String,
        /// The entry.
        entry: i64,
        /// What is wrong.
        what: String,
    },
    /// The same run or wash is in the record already.
    #[error("it is in the record already: {run}, \"{title}\"")]
    AlreadyThere {
        /// The run that is there.
        run: String,
        /// What it is called.
        title: String,
    },
    /// A folder was changed after it was written.
    #[error("the tables or the plan of this folder were changed after it was written")]
    Altered,
    /// No such wash.
    #[error("wash {wash}: there is no such wash")]
    NoWash {
        /// What was asked for.
        wash: String,
    },
    /// The wash is a charge already, or was poured away.
    #[error("wash {wash}: it is over, nothing is written of it any more")]
    WashOver {
        /// What it is called.
        wash: String,
    },
    /// A recipe that cannot be.
    #[error("{0}")]
    Recipe(#[from] Box<ferment::RecipeError>),
    /// No plan is kept under that name.
    #[error("plan {name}: no plan is kept under this name")]
    NoPlan {
        /// What was asked for.
        name: String,
    },
    /// A run folder is refused.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// The database refuses.
    #[error("the record's database: {0}")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as Code;
        match error.sqlite_error_code() {
            Some(Code::DiskFull) => Self::DiskFull,
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => Self::Busy,
            Some(
                Code::ReadOnly
                | Code::CannotOpen
                | Code::PermissionDenied
                | Code::SystemIoFailure
                | Code::FileLockingProtocolFailed,
            ) => Self::Refused { what: error.to_string() },
            Some(Code::DatabaseCorrupt | Code::NotADatabase) => {
                Self::Damaged { what: error.to_string() }
            }
            _ => Self::Database(error),
        }
    }
}

impl From<&StoreError> for Trouble {
    fn from(error: &StoreError) -> Self {
        Self { code: error.code(), what: error.to_string(), hint: error.hint() }
    }
}

impl Trouble {
    /// Of a record that could not be opened for writing: only another start can.
    #[must_use]
    pub fn at_the_start(error: &StoreError) -> Self {
        let anew = |what: &str, first: &str| Self {
            code: error.code(),
            what: what.to_owned(),
            hint: format!("{first}, then start the program again"),
        };
        match error {
            StoreError::DiskFull => anew("the disk is full", "make room"),
            StoreError::Busy => anew("another program holds the record", "close it"),
            StoreError::Io { .. } => {
                anew(&error.to_string(), "mend the rights of the data folder, or its disk")
            }
            _ => Self::from(error),
        }
    }
}

impl StoreError {
    /// That the system refuses a file or a folder.
    #[must_use]
    pub fn io(path: &Path, source: std::io::Error) -> Self {
        Self::Io { path: path.to_owned(), source }
    }

    /// Whether the disk or the file is at fault, not what was given.
    #[must_use]
    pub const fn is_of_disk(&self) -> bool {
        matches!(
            self,
            Self::Io { .. }
                | Self::DiskFull
                | Self::Busy
                | Self::Refused { .. }
                | Self::Damaged { .. }
        )
    }

    /// Whether what was given is at fault, not the record or the disk.
    #[must_use]
    pub const fn is_bad_input(&self) -> bool {
        matches!(
            self,
            Self::NoRun { .. }
                | Self::NoStill { .. }
                | Self::NotCalibrated { .. }
                | Self::AlreadyThere { .. }
                | Self::Altered
                | Self::NoPlan { .. }
                | Self::NoWash { .. }
                | Self::WashOver { .. }
                | Self::Recipe(_)
                | Self::Row(_)
                | Self::Entry { .. }
                | Self::Account(_)
                | Self::Book(_)
                | Self::Plan(_)
                | Self::TooLong { .. }
                | Self::Folder(_)
                | Self::Absent { .. }
                | Self::Foreign { .. }
        )
    }

    /// Stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Io { .. } => "file_unreadable",
            Self::Locked { .. } => "record_locked",
            Self::Absent { .. } => "record_absent",
            Self::Foreign { .. } => "record_foreign",
            Self::Newer { .. } => "record_newer",
            Self::DiskFull => "disk_full",
            Self::ReadOnly => "read_only",
            Self::Busy => "record_busy",
            Self::Refused { .. } => "disk_refuses",
            Self::Damaged { .. } => "record_damaged",
            Self::Unrecorded(trouble) => trouble.code,
            Self::NotWhole(_) => "not_whole",
            Self::NoRun { .. } => "run_unknown",
            Self::NoStill { .. } => "still_unknown",
            Self::NotCalibrated { .. } => "not_calibrated",
            Self::AlreadyThere { .. } => "run_already_there",
            Self::Altered => "folder_altered",
            Self::NoPlan { .. } => "plan_unknown",
            Self::NoWash { .. } => "wash_unknown",
            Self::WashOver { .. } => "wash_over",
            Self::Recipe(_) => "recipe_refused",
            Self::Row(_) => "row_refused",
            Self::Entry { .. } => "entry_refused",
            Self::Account(_) => "account_refused",
            Self::Book(_) => "book_refused",
            Self::Plan(_) => "plan_refused",
            Self::TooLong { .. } => "entry_too_long",
            Self::Unreadable { .. } => "entry_unreadable",
            Self::Folder(error) => error.code(),
            Self::Database(_) => "database_failed",
        }
    }

    /// Field, value and bound, where the error is about one of them.
    #[must_use]
    pub fn field(&self) -> Option<(&str, &str, &str)> {
        match self {
            Self::Row(fault) => Some((fault.column, &fault.value, &fault.bound)),
            Self::Entry { field, value, bound } => Some((field, value, bound)),
            Self::Account(error) => error.about(),
            Self::Plan(error) => Some((&error.field, &error.value, &error.bound)),
            Self::Folder(error) => error.field(),
            Self::NoRun { run } => Some(("run", run, "must be a run of this record")),
            Self::NoStill { still } => Some(("still", still, "must be a still of this record")),
            _ => None,
        }
    }

    /// What to do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Io { source, .. } => crate::folder::io_hint(source).into(),
            Self::Locked { .. } => {
                "stop the other one, or give this one a data folder of its own".into()
            }
            Self::Absent { .. } => "check --data; serve makes the record when it first runs".into(),
            Self::Foreign { .. } => "check which file was given; nothing was changed".into(),
            Self::Newer { .. } => "use the newer program; nothing was changed".into(),
            Self::DiskFull => {
                "make room, then say it again; everything acknowledged is kept".into()
            }
            Self::ReadOnly => "open it for writing".into(),
            Self::Busy => "close the other program, then say it again".into(),
            Self::Refused { .. } => {
                "check the disk and the rights of the data folder, then start the program again"
                    .into()
            }
            Self::Damaged { .. } => {
                "stop the program and put a backup back with `middlecut restore FILE`; the damaged \
                 file is kept"
                    .into()
            }
            Self::Unrecorded(trouble) => trouble.hint.clone(),
            Self::NotWhole(_) => "take another backup; nothing was changed".into(),
            Self::NoRun { .. } => "the list of runs names them".into(),
            Self::NoStill { .. } => "a still is known once a run of it was learned from".into(),
            Self::NotCalibrated { .. } => {
                "there is nothing to set aside; calibrate it on two runs or more first".into()
            }
            Self::AlreadyThere { .. } => "open the run that is there; nothing was added".into(),
            Self::Altered => {
                "take record.toml out of the folder to read it as a run of its own".into()
            }
            Self::NoPlan { .. } => "the list of plans names them".into(),
            Self::NoWash { .. } => "`middlecut washes list` names them".into(),
            Self::WashOver { .. } => "take its end back first, with the reason".into(),
            Self::Recipe(error) => error.hint.to_owned(),
            Self::Row(fault) => fault.hint.clone(),
            Self::Plan(error) => error.hint.clone(),
            Self::Entry { .. } => "correct this field".into(),
            Self::Account(error) => error.hint().into(),
            Self::Book(_) => "hold it against another copy; nothing was changed".into(),
            Self::TooLong { .. } => "send fewer rows at once".into(),
            Self::Folder(error) => error.hint(),
            Self::Unreadable { .. } | Self::Database(_) => {
                "run verify; restore a backup if it fails".into()
            }
        }
    }
}
