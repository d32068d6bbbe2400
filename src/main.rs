//! The `hulltent` command: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    hulltent::cli::run()
}
