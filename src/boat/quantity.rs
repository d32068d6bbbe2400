//! A dimension as it stands in the file, before its unit is read.

use serde::de::{Deserialize, Deserializer, Unexpected, Visitor};
use std::fmt;

/// A value as written: text with a unit, or a bare number. Reading keeps what stands there, so that
/// a wrong unit is reported with all the other problems instead of ending the reading.
#[derive(Debug, Clone, PartialEq)]
pub enum Quantity {
    /// `"18 ft 6 in"`
    Text(String),
    /// `18`
    Number(f64),
}

impl Quantity {
    /// The text to hand to a unit parser; a bare number is printed as it was read.
    pub fn text(&self) -> String {
        match self {
            Quantity::Text(text) => text.clone(),
            Quantity::Number(number) => number.to_string(),
        }
    }
}

struct QuantityVisitor;

impl Visitor<'_> for QuantityVisitor {
    type Value = Quantity;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a dimension in quotes, as \"18 ft 6 in\" or \"5.64 m\"")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Quantity, E> {
        Ok(Quantity::Text(text.to_owned()))
    }

    fn visit_f64<E: serde::de::Error>(self, number: f64) -> Result<Quantity, E> {
        Ok(Quantity::Number(number))
    }

    fn visit_i64<E: serde::de::Error>(self, number: i64) -> Result<Quantity, E> {
        Ok(Quantity::Number(number as f64))
    }

    fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<Quantity, E> {
        Ok(Quantity::Number(number as f64))
    }

    fn visit_bool<E: serde::de::Error>(self, value: bool) -> Result<Quantity, E> {
        Err(E::invalid_type(Unexpected::Bool(value), &self))
    }
}

impl<'de> Deserialize<'de> for Quantity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Quantity, D::Error> {
        deserializer.deserialize_any(QuantityVisitor)
    }
}
