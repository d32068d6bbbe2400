//! A sign of life for work that takes its time.

use indicatif::{ProgressBar, ProgressDrawTarget};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

/// Work that ends sooner shows nothing.
const PATIENCE: Duration = Duration::from_millis(500);

/// Time between two pictures of the sign.
const TICK: Duration = Duration::from_millis(100);

/// Does the work; where it takes longer than half a second and standard error is a terminal, says what it
/// is about until it is done.
pub(super) fn while_working<T>(about: &str, work: impl FnOnce() -> T) -> T {
    let target = ProgressDrawTarget::stderr();
    if target.is_hidden() {
        return work();
    }
    let about = about.to_owned();
    let (done, wait) = channel::<()>();
    let sign = thread::spawn(move || {
        if wait.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
            let bar = ProgressBar::with_draw_target(None, target);
            bar.set_message(about);
            bar.enable_steady_tick(TICK);
            // Ends when the other side is dropped.
            let _ = wait.recv();
            bar.finish_and_clear();
        }
    });
    let result = work();
    drop(done);
    // A sign that broke is no reason to lose the work.
    let _ = sign.join();
    result
}
