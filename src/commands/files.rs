//! The only disk access: reads the inputs, writes results whole or not at all.
#![expect(clippy::disallowed_methods, reason = "this is the one file that may touch the disk")]

mod read;

pub(super) use read::{Kind, read, shown};

use std::fmt;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A result that cannot be written.
#[derive(Debug)]
pub(super) struct CannotWrite {
    path: PathBuf,
    reason: String,
}

impl CannotWrite {
    /// A result and the reason.
    pub(super) fn new(path: &Path, reason: impl fmt::Display) -> Self {
        Self { path: path.to_owned(), reason: reason.to_string() }
    }
}

impl fmt::Display for CannotWrite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: cannot be written: {}", shown(&self.path), self.reason)
    }
}

/// Where a result will go, found writable.
#[derive(Debug)]
pub(super) struct Target {
    /// As the user named it.
    named: PathBuf,
    /// The file itself, behind links.
    file: PathBuf,
    /// False for a device or a pipe, which is written in place.
    replaced: bool,
}

impl Target {
    /// Looks whether a result can be written there; nothing is changed.
    ///
    /// # Errors
    /// Why it cannot.
    pub(super) fn new(path: &Path) -> Result<Self, CannotWrite> {
        let fail = |reason: String| CannotWrite::new(path, reason);
        let file = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let target = match fs::metadata(&file) {
            Ok(there) if there.is_dir() => return Err(fail("it is a folder".to_owned())),
            Ok(there) if there.is_file() && there.permissions().readonly() => {
                return Err(fail("it is there already and may not be changed".to_owned()));
            }
            Ok(there) => Self { named: path.to_owned(), replaced: there.is_file(), file },
            Err(_) => Self { named: path.to_owned(), replaced: true, file },
        };
        if target.replaced {
            let folder = target.folder();
            tempfile::NamedTempFile::new_in(&folder).map_err(|error| {
                fail(format!("its folder '{}' takes no file: {}", shown(&folder), plain(&error)))
            })?;
        }
        Ok(target)
    }

    /// True where both are the same file.
    pub(super) fn is(&self, path: &Path) -> bool {
        let other = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let mine = fs::canonicalize(&self.file).unwrap_or_else(|_| in_folder(&self.file));
        self.replaced && (mine == other || in_folder(&self.file) == in_folder(&other))
    }

    /// As the user named it.
    pub(super) fn named(&self) -> &Path {
        &self.named
    }

    fn folder(&self) -> PathBuf {
        folder_of(&self.file)
    }

    /// Writes the whole result, or leaves what was there.
    ///
    /// # Errors
    /// Why it cannot be written.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), CannotWrite> {
        let result = if self.replaced { self.replace(bytes) } else { self.write_in_place(bytes) };
        result.map_err(|error| CannotWrite::new(&self.named, plain(&error)))
    }

    fn write_in_place(&self, bytes: &[u8]) -> io::Result<()> {
        fs::OpenOptions::new().write(true).open(&self.file)?.write_all(bytes)
    }

    fn replace(&self, bytes: &[u8]) -> io::Result<()> {
        let folder = self.folder();
        let mut file = tempfile::NamedTempFile::new_in(&folder)?;
        file.write_all(bytes)?;
        set_mode(file.as_file(), &self.file)?;
        file.as_file().sync_all()?;
        file.persist(&self.file).map_err(|error| error.error)?;
        Ok(())
    }
}

/// A new file may be read by all and changed by its owner, as files made in other ways; one that is replaced keeps its
/// permissions.
#[cfg(unix)]
fn set_mode(file: &fs::File, replaced: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let permissions =
        fs::metadata(replaced).map_or_else(|_| fs::Permissions::from_mode(0o644), |m| m.permissions());
    file.set_permissions(permissions)
}

#[cfg(not(unix))]
fn set_mode(_: &fs::File, _: &Path) -> io::Result<()> {
    Ok(())
}

fn folder_of(path: &Path) -> PathBuf {
    path.parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .map_or_else(|| PathBuf::from("."), Path::to_owned)
}

/// A path with its folder made whole, for a file that may not be there yet.
fn in_folder(path: &Path) -> PathBuf {
    let folder = fs::canonicalize(folder_of(path)).unwrap_or_else(|_| folder_of(path));
    path.file_name().map_or_else(|| folder.clone(), |name| folder.join(name))
}

fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such folder".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        _ => error.to_string(),
    }
}

/// Finds a target for each path, all before anything is written; no two may be the same file, and none an input.
///
/// # Errors
/// All that cannot be written.
pub(super) fn targets(paths: &[&Path], inputs: &[PathBuf]) -> Result<Vec<Target>, Vec<CannotWrite>> {
    let mut targets: Vec<Target> = Vec::new();
    let mut failures = Vec::new();
    for path in paths {
        match Target::new(path) {
            Ok(target) if targets.iter().any(|other| other.is(path)) => {
                failures.push(CannotWrite::new(target.named(), "two results would go to the same file"));
            }
            Ok(target) if inputs.iter().any(|input| target.is(input)) => {
                failures.push(CannotWrite::new(target.named(), "it is one of the inputs"));
            }
            Ok(target) => targets.push(target),
            Err(failure) => failures.push(failure),
        }
    }
    if failures.is_empty() { Ok(targets) } else { Err(failures) }
}
