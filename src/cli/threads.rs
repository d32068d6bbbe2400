//! How many threads may run side by side.

use super::report::Failure;

/// Sets the most threads; nothing where none are given.
pub(super) fn limit(threads: Option<u16>) -> Result<(), Failure> {
    let Some(threads) = threads else {
        return Ok(());
    };
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(threads))
        .build_global()
        .map_err(|error| {
            Failure::plain(
                format!("the threads cannot be started: {error}"),
                "ask for fewer",
            )
        })
}
