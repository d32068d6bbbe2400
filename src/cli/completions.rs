//! `hulltent completions`: scripts for shells.

use super::report::Failure;
use super::{Outcome, talk};
use clap::{Args, CommandFactory};
use clap_complete::{Shell, generate};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// Shell to write for
    #[arg(value_enum)]
    shell: Shell,
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let mut script = Vec::new();
    generate(
        arguments.shell,
        &mut super::Arguments::command(),
        "hulltent",
        &mut script,
    );
    talk::print(&String::from_utf8_lossy(&script))?;
    Ok(Outcome::Good)
}
