//! Where what is learned comes from and goes to: the record, or files that were named.

use std::path::PathBuf;

use estimate::Character;
use server::Clock;
use store::folder::RunFolder;
use store::{LessonSource, StillLesson, Store};

use super::file;
use super::known::Taught;
use crate::args::LearnArgs;
use crate::command::data;
use crate::error::CliError;

/// The record, or the files.
pub(super) enum Keeper {
    /// The record in a folder.
    Record { store: Box<Store>, dir: PathBuf },
    /// Files: what was known before, and where to put what is known now.
    Files { from: Option<PathBuf>, save: Option<PathBuf> },
}

impl Keeper {
    /// Files where one was named, else the record, which files every still under one name.
    pub(super) fn open(args: &LearnArgs, runs: &[RunFolder]) -> Result<Self, CliError> {
        if args.from.is_some() || args.save.is_some() {
            return Ok(Self::Files { from: args.from.clone(), save: args.save.clone() });
        }
        let names = runs.iter().map(|run| run.plan.still.name.as_str());
        if let Some((first, at)) = other_name(names) {
            let name = &runs[at].plan.still.name;
            return Err(CliError::Unfit {
                file: args.folders[at].join("run.toml"),
                line: None,
                what: format!("still.name is \"{name}\": it must be \"{first}\", under which the record keeps the runs before"),
                hint: "name runs of one still; one still under two names can be learned into a file with --save".to_owned(),
            });
        }
        let dir = data::folder(args.data.as_deref())?;
        Ok(Self::Record { store: Box::new(Store::open(&dir)?), dir })
    }

    /// What was known of the still before these runs.
    pub(super) fn before(&self, still: &str) -> Result<Character, CliError> {
        match self {
            Self::Record { store, .. } => Ok(store.character(still)?.unwrap_or_default()),
            Self::Files { from: Some(path), .. } => file::read(path),
            Self::Files { from: None, .. } => Ok(Character::default()),
        }
    }

    /// Keeps every lesson in the record, or the last state in the file.
    pub(super) fn keep(
        &mut self,
        still: &str,
        taught: &[Taught],
        known: &Character,
    ) -> Result<(), CliError> {
        match self {
            Self::Record { store, .. } => taught.iter().try_for_each(|one| {
                let lesson = StillLesson {
                    still: still.to_owned(),
                    source: LessonSource::Folder,
                    run: None,
                    upto: 0,
                    character: one.character.clone(),
                    balance: one.balance.clone(),
                };
                store.learn(&lesson, Clock::default().now_ms())?;
                Ok(())
            }),
            Self::Files { save: Some(path), .. } => file::write(path, known),
            Self::Files { save: None, .. } => Ok(()),
        }
    }

    /// Where it is kept, in words.
    pub(super) fn place(&self) -> String {
        match self {
            Self::Record { dir, .. } => dir.display().to_string(),
            Self::Files { save: Some(path), .. } => path.display().to_string(),
            Self::Files { save: None, .. } => "nowhere".to_owned(),
        }
    }
}

/// The first name, and the place of the first one that differs from it.
fn other_name<'a>(mut names: impl Iterator<Item = &'a str>) -> Option<(&'a str, usize)> {
    let first = names.next()?;
    names.position(|name| name != first).map(|at| (first, at + 1))
}
