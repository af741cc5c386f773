//! Which file a path leads to: the same one under another path, link or case.

use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::{self, Path, PathBuf};

/// Links behind links that are followed; Linux follows as many.
const MOST_LINKS: usize = 40;

/// A file as its disk knows it.
#[cfg(unix)]
type Node = (u64, u64);
#[cfg(not(unix))]
type Node = same_file::Handle;

#[cfg(unix)]
fn node(path: &Path) -> Option<Node> {
    use std::os::unix::fs::MetadataExt;
    // asked by name, not opened: a pipe would wait for the other end
    fs::metadata(path).ok().map(|there| (there.dev(), there.ino()))
}

#[cfg(not(unix))]
fn node(path: &Path) -> Option<Node> {
    same_file::Handle::from_path(path).ok()
}

/// A file that is there, or will be.
#[derive(Debug)]
pub(crate) struct Identity {
    there: Option<Node>,
    folder: Place,
    name: OsString,
}

/// A folder, or how it is named where there is none.
#[derive(Debug, PartialEq)]
enum Place {
    There(Node),
    Named(PathBuf),
}

impl Place {
    fn of(folder: &Path) -> Self {
        let named = || Self::Named(path::absolute(folder).unwrap_or_else(|_| folder.to_owned()));
        node(folder).map_or_else(named, Self::There)
    }
}

impl Identity {
    /// Finds what a path leads to.
    pub(crate) fn of(path: &Path) -> Self {
        let file = behind_links(path);
        let name = file.file_name().unwrap_or(file.as_os_str()).to_owned();
        Self { there: node(path), folder: Place::of(folder_of(&file)), name }
    }

    /// Finds what standard output leads to; nothing where the system does not say.
    pub(crate) fn of_standard_output() -> Option<Self> {
        let path = Path::new("/dev/stdout");
        node(path).map(|node| Self { there: Some(node), folder: Place::of(path), name: OsString::new() })
    }

    /// Returns true if both are one file. Two that are not there yet are one by folder and name, whatever the case of
    /// its letters: many disks make no difference.
    pub(crate) fn is(&self, other: &Self) -> bool {
        match (&self.there, &other.there) {
            (Some(one), Some(other)) => one == other,
            (None, None) => self.folder == other.folder && same_but_case(&self.name, &other.name),
            _ => false,
        }
    }
}

/// Returns true for names that differ at most in the case of their letters.
fn same_but_case(one: &OsStr, other: &OsStr) -> bool {
    match (one.to_str(), other.to_str()) {
        (Some(one), Some(other)) => one.to_lowercase() == other.to_lowercase(),
        _ => one.eq_ignore_ascii_case(other),
    }
}

/// The folder of a file.
pub(crate) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The file behind a path, also where links lead to one that is not there yet.
pub(crate) fn behind_links(path: &Path) -> PathBuf {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        if let Ok(whole) = fs::canonicalize(&path) {
            return whole;
        }
        let Ok(link) = fs::read_link(&path) else { break };
        path = folder_of(&path).join(link);
    }
    let folder = fs::canonicalize(folder_of(&path)).unwrap_or_else(|_| folder_of(&path).to_owned());
    path.file_name().map_or_else(|| folder.clone(), |name| folder.join(name))
}
