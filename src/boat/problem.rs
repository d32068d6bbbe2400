//! What is wrong with a boat file: every problem at once, each with its place and a hint.

use std::fmt;

/// One thing that is wrong in a boat file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Path of the field, as `boxes[2].top`; empty when the whole file is meant.
    pub path: String,
    /// Line and column in the file, both from 1, where known.
    pub place: Option<(usize, usize)>,
    /// What is wrong, in one sentence.
    pub what: String,
    /// What mends it.
    pub hint: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((line, column)) = self.place {
            write!(f, "line {line}, column {column}: ")?;
        }
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        write!(f, "{}", self.what)?;
        if !self.hint.is_empty() {
            write!(f, "\n  hint: {}", self.hint)?;
        }
        Ok(())
    }
}

/// All the problems of one boat file, in the order of their places.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Problems {
    /// Never empty.
    pub list: Vec<Problem>,
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.list.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}
