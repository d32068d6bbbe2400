//! Quantities of the plain kind: one number, one unit.

use super::reader::{Number, Reader, look_up, tidy};
use super::{Quantity, UnitError};

/// Reads a number and its unit; the table gives spellings and the SI value of one of each, first the usual
/// unit of either system.
pub(super) fn parse(
    quantity: Quantity,
    text: &str,
    table: &[(&'static str, f64)],
) -> Result<f64, UnitError> {
    let tidied = tidy(quantity, text)?;
    let mut reader = Reader::new(quantity, &tidied);
    let sign = reader.sign()?;
    let number = reader.number()?;
    match reader.unit_rest()? {
        Some(unit) => Ok(sign * number.value * look_up(quantity, &unit, table)?),
        None => Err(no_unit(number, table)),
    }
}

fn no_unit(number: Number, table: &[(&'static str, f64)]) -> UnitError {
    let number = number.text;
    let written: Vec<String> = table
        .iter()
        .take(2)
        .map(|(unit, _)| format!("\"{number} {unit}\""))
        .collect();
    UnitError::NoUnit {
        example: format!("write {}", written.join(" or ")),
        number,
    }
}
