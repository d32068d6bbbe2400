//! Printing that survives a reader who has gone away.

use super::report::Failure;
use crate::export::Missing;
use std::io::{self, ErrorKind, Write};

/// Writes data to standard output. A reader who closed the pipe has seen enough: that is no failure.
pub(super) fn print(data: &str) -> Result<(), Failure> {
    let mut output = io::stdout().lock();
    match output
        .write_all(data.as_bytes())
        .and_then(|()| output.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::plain(
            format!("cannot write to standard output: {error}"),
            "check where the output goes",
        )),
        _ => Ok(()),
    }
}

/// Says something on standard error, if anybody listens.
pub(super) fn say(words: &str) {
    let mut output = io::stderr().lock();
    let _ = writeln!(output, "{}", words.trim_end());
}

/// Says which words of written pages have letters that no typeface has, and whether there were any.
pub(super) fn say_missing(missing: &[Missing]) -> bool {
    for words in missing {
        say(&words.to_string());
    }
    if !missing.is_empty() {
        say("write those names in other letters too; text, CSV, SVG and HTML have them as typed");
    }
    !missing.is_empty()
}
