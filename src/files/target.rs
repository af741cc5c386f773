//! Where results will go: looked at before anything runs, all at once.

use super::identity::{Identity, behind_links, folder_of};
use super::read::shown;
use super::temporary::{Temporary, remove_left};
use crate::report::mark;
use std::fmt;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// A result that cannot be written.
#[derive(Debug)]
pub(crate) struct CannotWrite {
    path: PathBuf,
    reason: String,
    /// Whether another name would do.
    misplaced: bool,
}

impl CannotWrite {
    /// A result and the reason.
    pub(crate) fn new(path: &Path, reason: impl fmt::Display) -> Self {
        Self { path: path.to_owned(), reason: reason.to_string(), misplaced: false }
    }

    /// A result that would destroy what is not its own.
    fn misplaced(path: &Path, reason: impl fmt::Display) -> Self {
        Self { misplaced: true, ..Self::new(path, reason) }
    }

    /// True where the fault is the name that was asked, not the disk.
    pub(crate) fn is_misplaced(&self) -> bool {
        self.misplaced
    }
}

impl fmt::Display for CannotWrite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: cannot be written: {}", shown(&self.path), self.reason)
    }
}

/// What may be lost where something is there already.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Replaces<'a> {
    /// Anything but an input: the user named this file for this result.
    Anything,
    /// A result of this program: nobody named this file; with what to do where something else is there.
    Result(&'static str),
    /// What a search kept, also the very file that it goes on from.
    Kept(Option<&'a Path>),
}

impl<'a> Replaces<'a> {
    /// The one input that may be replaced.
    fn own(self) -> Option<&'a Path> {
        match self {
            Self::Kept(own) => own,
            _ => None,
        }
    }
}

/// A place that is asked for a result.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    pub(crate) path: &'a Path,
    pub(crate) replaces: Replaces<'a>,
}

/// Where a result will go, found writable.
#[derive(Debug)]
pub(crate) struct Target {
    named: PathBuf,
    pub(crate) place: Place,
}

/// In what way it is written.
#[derive(Debug)]
pub(crate) enum Place {
    /// A file, behind links: replaced whole.
    File(PathBuf),
    /// A pipe or a device, open: written straight.
    Straight(File),
    /// Standard output under a name.
    Printed,
}

impl Target {
    /// As the user named it.
    pub(crate) fn named(&self) -> &Path {
        &self.named
    }

    /// What speaks against replacing that which is there.
    fn lost(&self, replaces: Replaces<'_>) -> Option<String> {
        let Place::File(file) = &self.place else { return None };
        let (is_like, words, instead) = match replaces {
            Replaces::Anything => return None,
            Replaces::Result(instead) => {
                (mark::is_result as fn(&[u8]) -> bool, "no result of this program", instead)
            }
            Replaces::Kept(_) => (
                mark::is_state as fn(&[u8]) -> bool,
                "not what a search keeps",
                "name another file with --checkpoint",
            ),
        };
        let mut first = Vec::new();
        match File::open(file).and_then(|file| file.take(mark::FIRST_BYTES as u64).read_to_end(&mut first)) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => Some(format!("it exists and cannot be read: {}", plain(&error))),
            Ok(_) if first.is_empty() || is_like(&first) => None,
            Ok(_) => Some(format!("it exists and is {words}: {instead}")),
        }
    }

    /// Looks whether a result can be written there; nothing is changed.
    fn new(path: &Path, printed: bool) -> Result<Self, String> {
        let place = match fs::metadata(path) {
            Ok(there) if there.is_dir() => return Err("it is a folder".to_owned()),
            _ if path.to_string_lossy().ends_with(std::path::is_separator) => {
                return Err("it is named as a folder: a file is needed".to_owned());
            }
            Ok(_) if printed => Place::Printed,
            Ok(there) if there.is_file() && there.permissions().readonly() => {
                return Err("it exists and is read-only".to_owned());
            }
            Ok(there) if !there.is_file() => Place::Straight(straight(path).map_err(|e| plain(&e))?),
            _ => Place::File(behind_links(path)),
        };
        if let Place::File(file) = &place {
            Temporary::new(file).map_err(|error| {
                let folder = folder_of(file);
                format!("its folder '{}' cannot be written to: {}", shown(folder), plain(&error))
            })?;
        }
        Ok(Self { named: path.to_owned(), place })
    }
}

/// Returns true for a pipe or a device: what is written there goes on and replaces nothing.
pub(crate) fn is_stream(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir())
}

/// Opens a pipe or a device; a pipe that nobody reads is an error at once.
#[cfg(unix)]
fn straight(path: &Path) -> io::Result<File> {
    use rustix::fs::OFlags;
    use std::os::unix::fs::OpenOptionsExt;
    let flags = OFlags::NONBLOCK | OFlags::NOCTTY;
    let file =
        fs::OpenOptions::new().write(true).custom_flags(flags.bits().cast_signed()).open(path).map_err(
            |error| match error.raw_os_error() {
                Some(code) if code == rustix::io::Errno::NXIO.raw_os_error() => {
                    io::Error::other("nobody reads from it")
                }
                _ => error,
            },
        )?;
    // who reads slowly is waited for
    rustix::fs::fcntl_setfl(&file, OFlags::empty())?;
    Ok(file)
}

#[cfg(not(unix))]
fn straight(path: &Path) -> io::Result<File> {
    fs::OpenOptions::new().write(true).open(path)
}

/// What went wrong with a disk, in plain words.
pub(crate) fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such folder".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::QuotaExceeded => "your share of the disk is used up".to_owned(),
        io::ErrorKind::FileTooLarge => "it is larger than a file may be here (see ulimit -f)".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk may not be changed".to_owned(),
        io::ErrorKind::BrokenPipe => "nobody reads from it any more".to_owned(),
        _ => error.to_string(),
    }
}

/// Finds a target for each path, as [`targets_of`], where each was named by the user.
///
/// # Errors
/// All that cannot be written.
pub(crate) fn targets(paths: &[&Path], inputs: &[PathBuf]) -> Result<Vec<Target>, Vec<CannotWrite>> {
    let wanted: Vec<Wanted<'_>> =
        paths.iter().map(|path| Wanted { path, replaces: Replaces::Anything }).collect();
    targets_of(&wanted, inputs)
}

/// Finds a target for each place, all before anything runs. No two may be the same file, none an input, and what nobody
/// named may replace nothing but its like. What killed runs left beside them is removed.
///
/// # Errors
/// All that cannot be written.
pub(crate) fn targets_of(wanted: &[Wanted<'_>], inputs: &[PathBuf]) -> Result<Vec<Target>, Vec<CannotWrite>> {
    let inputs: Vec<(&Path, Identity)> =
        inputs.iter().map(|path| (path.as_path(), Identity::of(path))).collect();
    let places: Vec<Identity> = wanted.iter().map(|wanted| Identity::of(wanted.path)).collect();
    let out = Identity::of_standard_output();
    let (mut targets, mut failures) = (Vec::new(), Vec::new());
    for (number, (Wanted { path, replaces }, place)) in wanted.iter().zip(&places).enumerate() {
        let known = failures.len();
        // nothing can be lost in a pipe, a device or a folder
        if !is_stream(path) && !path.is_dir() {
            let own = replaces.own().map(Identity::of);
            let is_own = |input: &Identity| own.as_ref().is_some_and(|own| own.is(input));
            for (input, _) in inputs.iter().filter(|(_, input)| input.is(place) && !is_own(input)) {
                let reason = format!("it is one of the inputs: {}", shown(input));
                failures.push(CannotWrite::misplaced(path, reason));
            }
            let before = wanted.iter().zip(&places).take(number);
            for (other, _) in before.filter(|(_, other)| other.is(place)) {
                let reason = format!("two results would go to the same file: {}", shown(other.path));
                failures.push(CannotWrite::misplaced(path, reason));
            }
        }
        if failures.len() > known {
            continue;
        }
        let target = Target::new(path, out.as_ref().is_some_and(|out| out.is(place)));
        match target.map(|target| (target.lost(*replaces), target)) {
            Ok((None, target)) => targets.push(target),
            Ok((Some(reason), _)) => failures.push(CannotWrite::misplaced(path, reason)),
            Err(reason) => failures.push(CannotWrite::new(path, reason)),
        }
    }
    // names derived from that of a folder are all that folder
    failures.dedup_by(|one, before| one.path.is_dir() && one.to_string() == before.to_string());
    if !failures.is_empty() {
        return Err(failures);
    }
    for target in &targets {
        if let Place::File(file) = &target.place {
            remove_left(file);
        }
    }
    Ok(targets)
}
