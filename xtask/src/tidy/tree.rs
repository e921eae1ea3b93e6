//! The text files of the repository, read once.

use std::path::{Path, PathBuf};

use crate::command::{ChoreError, Done};

/// Folders that are built or fetched, never written by hand.
const SKIPPED: [&str; 7] =
    [".git", "target", "node_modules", "dist", "test-results", "playwright-report", "coverage"];
/// Most files the tree may hold; more means a built folder is not skipped.
const FILES_MAX: usize = 5_000;
/// Files above this are data, not text.
const BYTES_MAX: u64 = 4_000_000;

/// One text file.
pub(crate) struct File {
    /// Path from the root, with `/`.
    pub(crate) path: String,
    /// What stands in it.
    pub(crate) text: String,
}

impl File {
    /// Whether the name ends in `.ending`.
    pub(crate) fn is(&self, ending: &str) -> bool {
        Path::new(&self.path).extension().is_some_and(|found| found == ending)
    }

    /// Lines with their numbers from 1.
    pub(crate) fn lines(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text.lines().enumerate().map(|(index, line)| (index + 1, line))
    }
}

/// All of them.
pub(crate) struct Tree {
    /// Sorted by path.
    pub(crate) files: Vec<File>,
}

impl Tree {
    /// Reads every text file below `root`; binary files are left out.
    pub(crate) fn read(root: &Path) -> Done<Self> {
        let mut files = Vec::new();
        let mut folders = vec![root.to_path_buf()];
        while let Some(folder) = folders.pop() {
            for entry in list(&folder)? {
                let name = entry.file_name().unwrap_or_default().to_string_lossy().into_owned();
                if entry.is_dir() {
                    if !SKIPPED.contains(&name.as_str()) {
                        folders.push(entry);
                    }
                } else if files.len() < FILES_MAX {
                    files.extend(read_text(root, &entry)?);
                }
            }
        }
        files.sort_by(|a: &File, b: &File| a.path.cmp(&b.path));
        Ok(Self { files })
    }

    /// Files with that ending.
    pub(crate) fn ending<'a>(&'a self, ending: &'a str) -> impl Iterator<Item = &'a File> {
        self.files.iter().filter(move |file| file.is(ending))
    }
}

fn list(folder: &Path) -> Done<Vec<PathBuf>> {
    let lost = |why| ChoreError::File { path: folder.to_path_buf(), why };
    let entries = std::fs::read_dir(folder).map_err(lost)?;
    entries.map(|entry| entry.map(|found| found.path()).map_err(lost)).collect()
}

fn read_text(root: &Path, path: &Path) -> Done<Option<File>> {
    let lost = |why| ChoreError::File { path: path.to_path_buf(), why };
    let data = std::fs::symlink_metadata(path).map_err(lost)?;
    if !data.is_file() || data.len() > BYTES_MAX {
        return Ok(None);
    }
    let bytes = std::fs::read(path).map_err(lost)?;
    let relative = path.strip_prefix(root).unwrap_or(path);
    let path = relative.to_string_lossy().replace('\\', "/");
    Ok(String::from_utf8(bytes).ok().map(|text| File { path, text }))
}
