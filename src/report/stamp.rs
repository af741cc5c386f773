//! From what a result was made, so that it can be repeated: the version of the program and digests of the inputs.

use crate::numerics::digest;

/// Name of the program.
pub const PROGRAM: &str = env!("CARGO_PKG_NAME");
/// Version of the program.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// An input file as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputFile {
    /// Name as the user or the study gave it.
    pub file: String,
    /// How many bytes.
    pub length: usize,
    /// FNV-1a, 64 bits, of the bytes.
    pub digest: u64,
    /// What stood in it, where that is short enough to be kept with a result.
    pub text: Option<String>,
}

/// Bytes of an input up to which its text is kept with a ranking: a study, a catalog, a load profile of some thousand
/// rows.
pub const MOST_KEPT: usize = 256 * 1024;

impl InputFile {
    /// The digest of a file's bytes.
    pub fn new(file: &str, bytes: &[u8]) -> Self {
        let short = (bytes.len() <= MOST_KEPT).then_some(bytes);
        let text = short.and_then(|bytes| std::str::from_utf8(bytes).ok()).map(str::to_owned);
        Self { file: file.to_owned(), length: bytes.len(), digest: digest(bytes.iter().copied()), text }
    }

    /// The digest as results write it.
    pub fn digest_text(&self) -> String {
        format!("{:016x}", self.digest)
    }
}
