//! The plan as JSON for other programs.

use super::{ExportError, Record};

/// The record as indented JSON with a line break at its end.
///
/// # Units
/// SI; see [`Record`].
///
/// # Errors
/// When the writer refuses, which it does for no record.
pub fn json(record: &Record) -> Result<String, ExportError> {
    let mut text =
        serde_json::to_string_pretty(record).map_err(|error| ExportError::new("JSON", error))?;
    text.push('\n');
    Ok(text)
}
