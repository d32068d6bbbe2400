//! Any table as CSV.

use super::ExportError;
use crate::season::guarded;

/// A row of headings and rows of cells as CSV. No text becomes a formula in a spreadsheet: see [`guarded`].
///
/// # Errors
/// When the writer refuses, as where a row is longer than the headings.
pub fn csv_table<const N: usize>(
    headings: &[&str; N],
    rows: impl IntoIterator<Item = [String; N]>,
) -> Result<String, ExportError> {
    let refuse = |error: ::csv::Error| ExportError::new("CSV", error);
    let mut writer = ::csv::Writer::from_writer(Vec::new());
    writer.write_record(headings).map_err(refuse)?;
    for row in rows {
        let cells = row.iter().map(|cell| guarded(cell).into_owned());
        writer.write_record(cells).map_err(refuse)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| ExportError::new("CSV", error))?;
    String::from_utf8(bytes).map_err(|error| ExportError::new("CSV", error))
}
