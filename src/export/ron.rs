//! The plan as RON, the language of boat files.

use super::{ExportError, Record};

/// The record as indented RON with a line break at its end; the same fields as in JSON.
///
/// # Units
/// SI; see [`Record`].
///
/// # Errors
/// When the writer refuses, which it does for no record.
pub fn ron(record: &Record) -> Result<String, ExportError> {
    let style = ::ron::ser::PrettyConfig::new()
        .indentor("  ")
        .new_line("\n");
    let mut text = ::ron::ser::to_string_pretty(record, style)
        .map_err(|error| ExportError::new("RON", error))?;
    text.push('\n');
    Ok(text)
}
