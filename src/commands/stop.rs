//! What may end a search before its time: Ctrl-C, TERM, a time limit.

use super::exit::Exit;
use super::files;
use super::terminal;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

/// A sign that is set when the search shall stop; `limit` is a time limit.
pub(super) fn sign(limit: Option<Duration>) -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let by_signal = Arc::clone(&stop);
    let set = ctrlc::set_handler(move || {
        // who asks twice does not want to wait for what is best so far
        if by_signal.swap(true, Ordering::Relaxed) || files::waits_for_a_reader() {
            leave();
        }
    });
    warn(set);
    if let Some(limit) = limit {
        let by_time = Arc::clone(&stop);
        // no time at all is over before a thread has started
        by_time.store(limit.is_zero(), Ordering::Relaxed);
        thread::spawn(move || {
            thread::sleep(limit);
            by_time.store(true, Ordering::Relaxed);
        });
    }
    stop
}

/// Lets Ctrl-C, TERM and HUP end the program at once; the sign is never set.
pub(super) fn at_once() -> Arc<AtomicBool> {
    warn(ctrlc::set_handler(leave));
    Arc::default()
}

fn warn(set: Result<(), ctrlc::Error>) {
    if let Err(error) = set {
        terminal::note(&format!("Ctrl-C will end the program in the midst of writing: {error}"));
    }
}

/// Ends the program; nothing stays half written.
fn leave() {
    files::remove_temporaries();
    #[expect(clippy::exit, reason = "nothing is left to be written")]
    std::process::exit(Exit::Stopped.code().into());
}
