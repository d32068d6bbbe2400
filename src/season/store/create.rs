//! A new store: made beside its place and put there when it is whole, so that no other program, nor a power cut, finds
//! half of one.

use super::error::StoreError;
use super::{Store, schema};
use rusqlite::OpenFlags;
use std::fs::File;
use std::path::Path;
use tempfile::Builder;

/// What files that are not ready yet begin with.
const PART: &str = ".hulltent-part-";

/// Makes a store where nothing is.
pub(super) fn create(path: &Path) -> Result<(), StoreError> {
    let making = |error: std::io::Error| StoreError::making(path, &error);
    if path.symlink_metadata().is_ok() {
        return Err(StoreError::Exists(path.to_owned()));
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let part = builder()
        .tempfile_in(folder)
        .map_err(making)?
        .into_temp_path();
    fill(&part).map_err(|error| error.at(path))?;
    part.persist_noclobber(path)
        .map_err(|error| making(error.error))?;
    // That the folder knows the file outlives a power cut too. Some network drives cannot promise it.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

fn fill(part: &Path) -> Result<(), StoreError> {
    let mut store = Store::connect(part, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    schema::make(&mut store.connection).map_err(|error| StoreError::of(part, &error))
}

fn builder() -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(PART);
    // A file of the yard, not of one person alone: the machine's mask still takes rights away.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder
}
