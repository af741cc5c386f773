//! Writes all results of a command, or none.

use super::identity::folder_of;
use super::target::{CannotWrite, Place, Target, plain};
use super::temporary::{Temporary, live};
use crate::input::visible_bytes;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether something is written to a pipe or a device just now.
static STREAMING: AtomicBool = AtomicBool::new(false);

/// Returns true while a result goes to a pipe or a device: for as long as its reader likes.
pub(crate) fn waits_for_a_reader() -> bool {
    STREAMING.load(Ordering::Relaxed)
}

/// Writes results to their targets, standard output by `print`. Files are replaced all together at the end; what stood
/// in them is put back if one cannot be.
///
/// # Errors
/// Why nothing was replaced.
pub(crate) fn commit(
    results: &[(&Target, Vec<u8>)],
    print: impl Fn(&[u8]) -> Result<(), CannotWrite>,
) -> Result<(), Vec<CannotWrite>> {
    let fail = |target: &Target, error: &io::Error| CannotWrite::new(target.named(), plain(error));
    let (mut fresh, mut failures) = (Vec::new(), Vec::new());
    for (target, bytes) in results {
        if let Place::File(file) = &target.place {
            match filled(file, bytes) {
                Ok(temporary) => fresh.push(Fresh { target, file, temporary }),
                Err(error) => failures.push(fail(target, &error)),
            }
        }
    }
    if !failures.is_empty() {
        return Err(failures);
    }
    // what went through a pipe does not come back: last, when all else is as good as written
    for (target, bytes) in results {
        match &target.place {
            Place::File(_) => {}
            Place::Straight(stream) => {
                STREAMING.store(true, Ordering::Relaxed);
                let written = if stream.is_terminal() {
                    { stream }.write_all(&visible_bytes(bytes))
                } else {
                    { stream }.write_all(bytes)
                };
                STREAMING.store(false, Ordering::Relaxed);
                written.map_err(|error| vec![fail(target, &error)])?;
            }
            Place::Printed => print(bytes).map_err(|failure| vec![failure])?,
        }
    }
    replace(&fresh).map_err(|(target, error)| vec![fail(target, &error)])?;
    let folders: BTreeSet<&Path> = fresh.iter().map(|fresh| folder_of(fresh.file)).collect();
    for folder in folders {
        // a disk that cannot do this has the files all the same
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
    Ok(())
}

/// A result on the disk, but not yet under its name.
struct Fresh<'a> {
    target: &'a Target,
    file: &'a Path,
    temporary: Temporary,
}

/// A file beside a target that holds a result, safe on the disk.
fn filled(target: &Path, bytes: &[u8]) -> io::Result<Temporary> {
    fits(bytes.len())?;
    let temporary = Temporary::new(target)?;
    temporary.file().write_all(bytes)?;
    temporary.file().sync_all()?;
    Ok(temporary)
}

/// Wants a file of this length to be allowed: the system ends a program that writes a longer one.
#[cfg(unix)]
fn fits(length: usize) -> io::Result<()> {
    let most = rustix::process::getrlimit(rustix::process::Resource::Fsize).current;
    match most {
        Some(most) if most < length as u64 => Err(io::ErrorKind::FileTooLarge.into()),
        _ => Ok(()),
    }
}

#[cfg(not(unix))]
fn fits(_: usize) -> io::Result<()> {
    Ok(())
}

/// Gives all files their names, or leaves all as they were.
fn replace<'a>(fresh: &[Fresh<'a>]) -> Result<(), (&'a Target, io::Error)> {
    let mut aside: Vec<Option<Temporary>> = Vec::new();
    // a signal waits until all is done or undone
    let mut live = live();
    if fresh.len() > 1 {
        for Fresh { target, file, .. } in fresh {
            let there = fs::symlink_metadata(file).is_ok();
            let old = there.then(|| Temporary::aside(file, &mut live)).transpose();
            aside.push(old.map_err(|error| (*target, error))?);
        }
    }
    for (number, Fresh { target, file, temporary }) in fresh.iter().enumerate() {
        if let Err(error) = temporary.rename(file) {
            for (Fresh { file, .. }, old) in fresh.iter().zip(&aside).take(number) {
                let _ = match old {
                    Some(old) => old.rename(file),
                    None => fs::remove_file(file),
                };
            }
            return Err((target, error));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::targets;
    use std::path::PathBuf;

    #[test]
    fn a_name_that_cannot_be_given_puts_back_all_that_were() {
        let folder = tempfile::TempDir::new().unwrap();
        let files = ["a", "b", "c", "d"].map(|name| folder.path().join(name));
        let paths = files.each_ref().map(PathBuf::as_path);
        fs::write(paths[0], "old").unwrap();
        let targets = targets(&paths, &[]).unwrap();
        // none of these renames can be foreseen
        fs::create_dir(paths[2]).unwrap();
        let results: Vec<_> = targets.iter().map(|target| (target, b"new".to_vec())).collect();
        let failures = commit(&results, |_| Ok(())).unwrap_err();
        assert_eq!(failures.len(), 1);
        assert!(failures[0].to_string().starts_with(&format!("{}: cannot", paths[2].display())));
        assert_eq!(fs::read(paths[0]).unwrap(), b"old");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
        fs::remove_dir(paths[2]).unwrap();
        commit(&results, |_| Ok(())).unwrap();
        assert!(paths.iter().all(|path| fs::read(path).unwrap() == b"new"));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 4);
    }
}
