//! What ends a command before its time: Ctrl-C, TERM, HUP, a time limit.
//!
//! Most commands have nothing to show until they are done: they end at once, whatever they are at. A command that has
//! something [`heeds`](heed) the stop: it does its long work in [`unless_stopped`], which leaves the work alone where
//! it takes too long to end, and writes what it has. A second signal ends any command at once. So nothing below the
//! commands need look at a sign in order that a stop is prompt.
#![expect(
    clippy::disallowed_methods,
    reason = "a stop has its time; the clock decides nothing of a whole result"
)]

use super::exit::Exit;
use super::terminal;
use crate::files;
use std::io;
use std::panic;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Mutex, OnceLock, PoisonError, TryLockError};
use std::thread;
use std::time::{Duration, Instant};

/// Set when the command shall stop.
static ASKED: AtomicBool = AtomicBool::new(false);
/// Whether the command does something about it.
static HEEDED: AtomicBool = AtomicBool::new(false);
/// Signals so far.
static SIGNALS: AtomicUsize = AtomicUsize::new(0);
/// Held while results are written; whether some are.
static WRITTEN: Mutex<bool> = Mutex::new(false);
/// When the program began.
static START: OnceLock<Instant> = OnceLock::new();

/// How long work that heeds the sign may take to end, and a command to heed it.
const GRACE: Duration = Duration::from_millis(400);
/// How often the sign is looked at.
const LOOK: Duration = Duration::from_millis(20);
/// How long results that are being written may take.
const WRITING: Duration = Duration::from_millis(700);
/// How long the last words may take, where nobody reads them.
const WORDS: Duration = Duration::from_millis(100);
/// The number that the program leaves after a second signal, as shells count one that ended by Ctrl-C.
const AT_ONCE: i32 = 130;

/// A moment at which something must be over.
pub(super) struct Until(Instant);

impl Until {
    /// So long from now.
    pub(super) fn after(time: Duration) -> Self {
        Self(Instant::now() + time)
    }

    /// What is left up to then; `None` once it is over.
    pub(super) fn left(&self) -> Option<Duration> {
        self.0.checked_duration_since(Instant::now())
    }
}

/// Listens to signals, from the start of the program on; not to one that is to be ignored, as `nohup` has it.
pub(super) fn listen() {
    START.get_or_init(Instant::now);
    if let Err(error) = handle() {
        terminal::note(&format!("Ctrl-C will stop without saving: {error}"));
    }
}

#[cfg(unix)]
fn handle() -> io::Result<()> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let ignored = files::ignored_signals();
    // where none can be seen, a program that outlives its terminal matters more
    let ignores = |signal: i32| ignored.map_or(signal == SIGHUP, |mask| mask >> (signal - 1) & 1 == 1);
    let heard = [SIGHUP, SIGINT, SIGTERM].into_iter().filter(|signal| !ignores(*signal));
    let mut signals = signal_hook::iterator::Signals::new(heard)?;
    thread::spawn(move || {
        for _ in signals.forever() {
            signalled();
        }
    });
    Ok(())
}

#[cfg(not(unix))]
fn handle() -> io::Result<()> {
    ctrlc::set_handler(signalled).map_err(io::Error::other)
}

/// From here on the command ends by itself when it is asked to stop, with what it has.
pub(super) fn heed() {
    HEEDED.store(true, Ordering::SeqCst);
}

/// Asks the command to stop so long after the start of the program; one that does not heed it a moment later is ended.
pub(super) fn after(limit: Duration) {
    let left = limit.saturating_sub(START.get_or_init(Instant::now).elapsed());
    if left.is_zero() {
        ASKED.store(true, Ordering::SeqCst);
    }
    thread::spawn(move || {
        thread::sleep(left);
        ASKED.store(true, Ordering::SeqCst);
        // small inputs are read by then, however short the limit
        thread::sleep(GRACE);
        end_unheeded();
    });
}

/// How long the program has run.
pub(super) fn elapsed() -> Duration {
    START.get_or_init(Instant::now).elapsed()
}

/// The sign itself, for work that looks at it.
pub(super) fn sign() -> &'static AtomicBool {
    &ASKED
}

/// Whether the command was asked to stop.
pub(super) fn asked() -> bool {
    ASKED.load(Ordering::SeqCst)
}

/// What lives as long as the program: work that is left alone may still read it.
pub(super) fn kept<T>(value: T) -> &'static T {
    Box::leak(Box::new(value))
}

/// Does long work; `None` where the command is asked to stop and the work does not end soon: it is left alone, and ends
/// with the program.
pub(super) fn unless_stopped<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Option<T> {
    let (send, done) = mpsc::channel();
    let thread = thread::spawn(move || {
        // nobody may wait any more
        let _ = send.send(work());
    });
    let mut until: Option<Until> = None;
    loop {
        match done.recv_timeout(LOOK) {
            Ok(done) => return Some(done),
            Err(RecvTimeoutError::Disconnected) => {
                if let Err(fault) = thread.join() {
                    panic::resume_unwind(fault);
                }
                return None;
            }
            Err(RecvTimeoutError::Timeout) if asked() => {
                until.get_or_insert_with(|| Until::after(GRACE)).left()?;
            }
            Err(RecvTimeoutError::Timeout) => {}
        }
    }
}

/// Writes results that belong together: a first signal waits until all are written, or ends the program before any is.
pub(super) fn undisturbed<T>(write: impl FnOnce() -> T) -> T {
    let mut written = WRITTEN.lock().unwrap_or_else(PoisonError::into_inner);
    let done = write();
    *written = true;
    done
}

fn signalled() {
    let first = SIGNALS.fetch_add(1, Ordering::SeqCst) == 0;
    ASKED.store(true, Ordering::SeqCst);
    if first && files::waits_for_a_reader() {
        end("stopped: nothing was written", Exit::Stopped.code().into());
    }
    if !first {
        end("ended at once: what was not written yet is not written", AT_ONCE);
    }
    end_unheeded();
}

/// Ends a command that does nothing about a stop.
fn end_unheeded() {
    if !HEEDED.load(Ordering::SeqCst) {
        let until = Until::after(WRITING);
        let written = loop {
            match WRITTEN.try_lock() {
                Ok(written) => break Some(written),
                Err(TryLockError::Poisoned(written)) => break Some(written.into_inner()),
                Err(TryLockError::WouldBlock) if until.left().is_some() => thread::sleep(LOOK),
                Err(TryLockError::WouldBlock) => break None,
            }
        };
        // the lock is held to the end: nothing more is written
        let words = match written.as_deref() {
            Some(false) if terminal::has_printed() => "stopped",
            Some(false) => "stopped: nothing was written",
            Some(true) => "stopped: the results are written, not all is printed",
            None => {
                "stopped while results were written: those named above are, the others are what they were"
            }
        };
        end(words, Exit::Stopped.code().into());
    }
}

/// Ends the program where it stands.
fn end(words: &'static str, code: i32) {
    let (send, said) = mpsc::channel();
    thread::spawn(move || {
        terminal::note(words);
        let _ = send.send(());
    });
    let _ = said.recv_timeout(WORDS);
    // or what is half written would stay
    files::remove_temporaries();
    #[expect(clippy::exit, reason = "whatever the command is at, it ends here")]
    std::process::exit(code);
}
