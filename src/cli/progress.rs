//! A sign of life on a terminal while a search takes long.
//!
//! Leans on indicatif. Leaves to others: the work. Nothing is drawn where standard error is no
//! terminal, and nothing in the first second.

use std::io::{IsTerminal as _, stderr};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use indicatif::ProgressBar;

/// How long nothing is drawn.
const QUIET: Duration = Duration::from_secs(1);
/// How often the sign turns.
const TURN: Duration = Duration::from_millis(120);

/// Does the work, and draws `what` with a turning sign while it lasts.
pub fn during<T>(what: &'static str, work: impl FnOnce() -> T) -> T {
    if !stderr().is_terminal() {
        return work();
    }
    let (working, done) = channel::<()>();
    thread::scope(|scope| {
        scope.spawn(move || {
            if done.recv_timeout(QUIET) == Err(RecvTimeoutError::Timeout) {
                let bar = ProgressBar::new_spinner().with_message(what);
                bar.enable_steady_tick(TURN);
                // Ends when the other side is dropped, which is the only thing that is waited for.
                let _ = done.recv();
                bar.finish_and_clear();
            }
        });
        // Dropped when the work is done, also where it fails.
        let _working = working;
        work()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_comes_back_as_it_is() {
        assert_eq!(during("adding", || 1 + 1), 2);
    }
}
