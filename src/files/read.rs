//! Reads input files: of any kind, but none without an end and none beyond a size.

use crate::input::{Diagnostic, LONGEST_LINE, visible};
use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

/// What is read, which says how much of it may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A study.
    Study,
    /// A text of lines: a catalog, a load profile, a ranked CSV.
    Lines,
    /// What this program has written as JSON.
    Json,
}

/// Bytes of a file.
const MOST: u64 = 1 << 30;
/// Bytes of a study.
const MOST_OF_STUDY: u64 = 16 << 20;
/// Bytes of a pipe or a device: how much is to come cannot be seen, and it stands in memory meanwhile.
const MOST_PIPED: u64 = 256 << 20;
/// How long somebody may take to open a pipe at its other end.
const PATIENCE: Duration = Duration::from_secs(1);

impl Kind {
    fn most(self, is_file: bool) -> u64 {
        match (self, is_file) {
            (Self::Study, _) => MOST_OF_STUDY,
            (_, true) => MOST,
            (_, false) => MOST_PIPED,
        }
    }
}

/// Why a file is not read.
enum Refusal {
    Failed(io::Error),
    Folder,
    Unwritten,
    TooLarge(u64),
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        Self::Failed(error)
    }
}

/// Reads a file. Of a text with a line that is too long what was read up to there is enough to say so.
///
/// # Errors
/// A problem with the file as a whole.
pub(crate) fn read(path: &Path, place: &str, kind: Kind) -> Result<Vec<u8>, Box<Diagnostic>> {
    bytes(path, kind).map_err(|refusal| {
        let cannot = |why: &str| format!("a file that cannot be read: {why}");
        let (found, accepted, hint) = match refusal {
            Refusal::Folder => (cannot("it is a folder"), None, String::new()),
            Refusal::Failed(error) => {
                let (why, hint) = reason(&error, place);
                (cannot(&why), None, hint.to_owned())
            }
            Refusal::Unwritten => {
                let found = "a pipe that gives nothing".to_owned();
                (found, None, "nobody writes to it".to_owned())
            }
            Refusal::TooLarge(most) => {
                let most = most >> 20;
                let accepted = match kind {
                    Kind::Study => format!("a study of at most {most} MiB"),
                    _ if most == MOST_PIPED >> 20 => {
                        format!(
                            "at most {most} MiB from a pipe or device; a file may have {} MiB",
                            MOST >> 20
                        )
                    }
                    _ => format!("a file of at most {most} MiB"),
                };
                (format!("larger than {most} MiB"), Some(accepted), String::new())
            }
        };
        Box::new(Diagnostic {
            file: path.display().to_string(),
            line: 0,
            column: 0,
            place: place.to_owned(),
            found,
            accepted: accepted.unwrap_or_default(),
            hint,
        })
    })
}

/// A path as it may stand within a line of a message.
pub(crate) fn shown(path: &Path) -> String {
    visible(&path.display().to_string()).into_owned()
}

fn reason(error: &io::Error, place: &str) -> (String, &'static str) {
    let in_study = "names in a study are relative to the study's folder";
    match error.kind() {
        io::ErrorKind::NotFound => {
            ("no such file".to_owned(), if place.starts_with('[') { in_study } else { "" })
        }
        io::ErrorKind::PermissionDenied => ("permission denied".to_owned(), ""),
        _ => (error.to_string(), ""),
    }
}

fn bytes(path: &Path, kind: Kind) -> Result<Vec<u8>, Refusal> {
    let mut file = open(path)?;
    let about = file.metadata()?;
    if about.is_dir() {
        return Err(Refusal::Folder);
    }
    let most = kind.most(about.is_file());
    if about.len() > most {
        return Err(Refusal::TooLarge(most));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(about.len()).unwrap_or_default() + 1);
    if !answers(&mut file, &about, &mut bytes)? {
        return Err(Refusal::Unwritten);
    }
    let mut end_of_line = 0;
    let mut more = vec![0; 1 << 16];
    loop {
        let read = match file.read(&mut more) {
            Ok(0) => return Ok(bytes),
            Ok(read) => read,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error.into()),
        };
        if bytes.len() as u64 + read as u64 > most {
            return Err(Refusal::TooLarge(most));
        }
        if kind == Kind::Json {
            end_of_line = bytes.len();
        } else if let Some(last) = more[..read].iter().rposition(|&byte| byte == b'\n') {
            end_of_line = bytes.len() + last;
        }
        bytes.extend_from_slice(&more[..read]);
        // with what a pipe gave before: longer than a line may be in any case
        if bytes.len() - end_of_line > LONGEST_LINE + more.len() {
            return Ok(bytes);
        }
    }
}

#[cfg(unix)]
fn open(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let at_once = rustix::fs::OFlags::NONBLOCK.bits();
    File::options().read(true).custom_flags(at_once.cast_signed()).open(path)
}

#[cfg(not(unix))]
fn open(path: &Path) -> io::Result<File> {
    File::open(path)
}

/// Waits until a pipe has somebody who writes to it, or has given something; false where there is nobody. From there on
/// reading waits for what is to come.
#[cfg(unix)]
fn answers(file: &mut File, about: &Metadata, bytes: &mut Vec<u8>) -> io::Result<bool> {
    use std::os::unix::fs::FileTypeExt;
    let from = Instant::now();
    let mut first = [0; 1 << 12];
    while about.file_type().is_fifo() {
        match file.read(&mut first) {
            Ok(0) if from.elapsed() > PATIENCE => return Ok(false),
            Ok(0) => thread::sleep(Duration::from_millis(10)),
            Ok(read) => {
                bytes.extend_from_slice(&first[..read]);
                break;
            }
            Err(error) if error.kind() == io::ErrorKind::WouldBlock => break,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    rustix::fs::fcntl_setfl(&*file, rustix::fs::OFlags::empty())?;
    Ok(true)
}

#[cfg(not(unix))]
fn answers(_: &mut File, _: &Metadata, _: &mut Vec<u8>) -> io::Result<bool> {
    Ok(true)
}
