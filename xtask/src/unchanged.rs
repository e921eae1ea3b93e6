//! Whether the files of a check are as they were when it last passed: it need not run again.
//!
//! For checks whose answer follows from their files alone.

use std::fs::{create_dir_all, read, read_dir, read_to_string, write};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};

use crate::command::{ChoreError, Done};

/// What is made from the files, not looked at.
const MADE: [&str; 3] = ["node_modules", "test-results", "dist"];

/// A check, and the files it answers for as they are now.
pub(crate) struct Check {
    kept: PathBuf,
    now: String,
}

impl Check {
    /// The check of that name over the files of a folder, made by these versions of its tools.
    pub(crate) fn of(root: &Path, name: &str, folder: &str, tools: &str) -> Done<Self> {
        let target =
            std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), Into::into);
        let mut hasher = DefaultHasher::new();
        tools.hash(&mut hasher);
        for path in files(&root.join(folder))? {
            path.hash(&mut hasher);
            read(&path).map_err(|why| ChoreError::File { path, why })?.hash(&mut hasher);
        }
        let kept = target.join("passed").join(name);
        Ok(Self { kept, now: format!("{:016x}\n", hasher.finish()) })
    }

    /// Whether it passed with these files.
    pub(crate) fn passed(&self) -> bool {
        read_to_string(&self.kept).is_ok_and(|before| before == self.now)
    }

    /// Remembers that it passed.
    pub(crate) fn keep(&self) -> Done {
        let lost = |why| ChoreError::File { path: self.kept.clone(), why };
        create_dir_all(self.kept.parent().unwrap_or(Path::new("."))).map_err(lost)?;
        write(&self.kept, &self.now).map_err(lost)
    }
}

/// Every file below a folder but those that are made, in order.
fn files(folder: &Path) -> Done<Vec<PathBuf>> {
    let lost = |why| ChoreError::File { path: folder.to_owned(), why };
    let mut all = Vec::new();
    for entry in read_dir(folder).map_err(lost)? {
        let path = entry.map_err(lost)?.path();
        let made = path.file_name().is_some_and(|name| MADE.iter().any(|made| name == *made));
        match (made, path.is_dir()) {
            (true, _) => {}
            (false, true) => all.extend(files(&path)?),
            (false, false) => all.push(path),
        }
    }
    all.sort();
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::{Check, files};

    #[test]
    fn a_check_that_passed_runs_again_after_any_change_and_not_without() {
        let folder = std::env::temp_dir().join(format!("unchanged-{}", std::process::id()));
        std::fs::create_dir_all(folder.join("web/node_modules")).unwrap();
        std::fs::write(folder.join("web/one"), "1").unwrap();
        std::fs::write(folder.join("web/node_modules/two"), "2").unwrap();
        assert_eq!(files(&folder.join("web")).unwrap(), [folder.join("web/one")]);
        let kept = folder.join("kept");
        let check = |tools: &str| Check {
            kept: kept.clone(),
            ..Check::of(&folder, "page", "web", tools).unwrap()
        };
        assert!(!check("20").passed());
        check("20").keep().unwrap();
        assert!(check("20").passed());
        assert!(!check("21").passed(), "other tools");
        std::fs::write(folder.join("web/one"), "3").unwrap();
        assert!(!check("20").passed(), "another file");
        std::fs::remove_dir_all(folder).unwrap();
    }
}
