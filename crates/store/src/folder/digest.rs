//! The digest by which a copy of a run is known.

use super::error::FolderError;
use super::plan::write_plan;
use super::tables;
use super::whole::RunFolder;

/// Digest of the plan and the rows as their files hold them: of two folders with the same, one is
/// a copy of the other.
///
/// # Errors
/// [`FolderError::Unwritable`] where the plan cannot be written as text.
pub fn digest(run: &RunFolder) -> Result<String, FolderError> {
    let mut hasher = blake3::Hasher::new();
    let mut add = |bytes: &[u8]| {
        hasher.update(&(bytes.len() as u64).to_le_bytes());
        hasher.update(bytes);
    };
    add(write_plan(&run.plan)?.as_bytes());
    add(&tables::readings_csv(&run.rows.readings, run.plan.format));
    add(&tables::actions_csv(&run.rows.actions));
    add(&tables::jars_csv(&run.rows.jars));
    Ok(hasher.finalize().to_hex().to_string())
}
