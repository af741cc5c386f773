//! Files beside a target, for the time in which it is written: none stays, however the program ends.
//!
//! Each is locked as long as its program lives, so one that a killed program left is known by having no lock.

use super::identity::folder_of;
use std::collections::BTreeSet;
use std::fs::{self, File, TryLockError};
use std::io;
use std::mem;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use tempfile::{Builder, NamedTempFile};

/// How the name of each ends.
const ENDING: &str = ".sumpwright-tmp";
/// Signs between the name of the target and the ending, drawn at random.
const DRAWN: usize = 6;
/// Bytes of the target's name that are repeated at most: a name has 255 of them on most disks.
const MOST_REPEATED: usize = 200;
/// How often another program may take a fresh file for one that was left.
const TRIES: usize = 8;

/// The files that are there now.
static LIVE: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// The right to make, rename and remove such files; a signal waits until it is given back.
pub(crate) type Live = MutexGuard<'static, BTreeSet<PathBuf>>;

/// Waits for that right.
pub(crate) fn live() -> Live {
    LIVE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes all files that are there now, and makes sure that no more come: the program must end after this.
pub(crate) fn remove_temporaries() {
    let live = live();
    for path in live.iter() {
        let _ = fs::remove_file(path);
    }
    mem::forget(live);
}

/// A file beside a target; it goes away with this.
#[derive(Debug)]
pub(crate) struct Temporary {
    path: PathBuf,
    file: File,
}

impl Temporary {
    /// Makes an empty file. It has the permissions of the target, or those of any new file.
    ///
    /// # Errors
    /// The folder takes no file.
    pub(crate) fn new(target: &Path) -> io::Result<Self> {
        for _ in 0..TRIES {
            let made = Self::made(target, &mut live(), |builder| fresh(builder, target))?;
            if made.is_locked() && fs::symlink_metadata(&made.path).is_ok() {
                return Ok(made);
            }
        }
        Err(io::Error::other("another program removes what is written"))
    }

    /// Keeps what stands in a target, as a second name of it or, where the disk knows none, as a copy.
    ///
    /// # Errors
    /// Neither can be made.
    pub(crate) fn aside(target: &Path, live: &mut Live) -> io::Result<Self> {
        let made = Self::made(target, live, |builder| {
            builder.make_in(folder_of(target), |path| {
                match fs::hard_link(target, path) {
                    Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
                        fs::copy(target, path).map(|_| ())
                    }
                    linked => linked,
                }?;
                let opened = fs::OpenOptions::new().read(true).open(path);
                opened.inspect_err(|_| drop(fs::remove_file(path)))
            })
        })?;
        // without a lock another run may remove it, and then it cannot be put back: no reason to write nothing
        made.is_locked();
        Ok(made)
    }

    fn made(
        target: &Path,
        live: &mut Live,
        make: impl FnOnce(&mut Builder<'_, '_>) -> io::Result<NamedTempFile<File>>,
    ) -> io::Result<Self> {
        let prefix = beginning(target);
        let mut builder = Builder::new();
        let (file, path) = make(builder.prefix(&prefix).suffix(ENDING).rand_bytes(DRAWN))?.into_parts();
        let path = path.keep()?;
        live.insert(path.clone());
        Ok(Self { path, file })
    }

    /// Locks it; a disk without locks is told by no error, and what was left there stays.
    fn is_locked(&self) -> bool {
        !matches!(self.file.try_lock(), Err(TryLockError::WouldBlock))
    }

    /// The file.
    pub(crate) fn file(&self) -> &File {
        &self.file
    }

    /// Puts it in the place of a target.
    ///
    /// # Errors
    /// It stays where it is.
    pub(crate) fn rename(&self, target: &Path) -> io::Result<()> {
        fs::rename(&self.path, target)
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        let mut live = live();
        let _ = fs::remove_file(&self.path);
        live.remove(&self.path);
    }
}

#[cfg(unix)]
fn fresh(builder: &mut Builder<'_, '_>, target: &Path) -> io::Result<NamedTempFile<File>> {
    use std::os::unix::fs::PermissionsExt;
    let old = fs::metadata(target).ok().map(|there| there.permissions());
    // the system takes from these what its mask for new files says
    let permissions = old.clone().unwrap_or_else(|| fs::Permissions::from_mode(0o666));
    let made = builder.permissions(permissions).tempfile_in(folder_of(target))?;
    if let Some(old) = old {
        made.as_file().set_permissions(old)?;
    }
    Ok(made)
}

#[cfg(not(unix))]
fn fresh(builder: &mut Builder<'_, '_>, target: &Path) -> io::Result<NamedTempFile<File>> {
    builder.tempfile_in(folder_of(target))
}

/// How the name of each begins that belongs to a target.
fn beginning(target: &Path) -> String {
    let name = target.file_name().unwrap_or_default().to_string_lossy();
    let end = (0..=name.len().min(MOST_REPEATED)).rev().find(|end| name.is_char_boundary(*end));
    format!(".{}.", &name[..end.unwrap_or(0)])
}

/// Removes what programs that were killed have left beside a target. What cannot be removed is left again.
pub(crate) fn remove_left(target: &Path) {
    let beginning = beginning(target);
    let drawn = |name: &str| name.strip_prefix(&beginning)?.strip_suffix(ENDING).map(str::len);
    let Ok(entries) = fs::read_dir(folder_of(target)) else { return };
    for entry in entries.flatten() {
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if is_file && drawn(&entry.file_name().to_string_lossy()) == Some(DRAWN) {
            let file = fs::OpenOptions::new().read(true).write(true).open(entry.path());
            if file.is_ok_and(|file| file.try_lock().is_ok()) {
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}
