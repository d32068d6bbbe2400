//! The `hulltent` command: arguments in, exit code out. The one place that knows both the command line and the
//! viewer.

use std::process::ExitCode;

#[cfg(feature = "viewer")]
use hulltent::viewer::run as view;

/// Says how to get the viewer.
#[cfg(not(feature = "viewer"))]
fn view(_: hulltent::view::ViewRequest) -> Result<Option<String>, hulltent::view::Refusal> {
    Err(hulltent::view::Refusal::not_built())
}

fn main() -> ExitCode {
    hulltent::cli::run(view)
}
