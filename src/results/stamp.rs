//! From what a result was made, so that it can be repeated: the version of the program and digests of the inputs.

use super::json::Json;

/// Version of the program.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// An input file as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// Name as the user or the study gave it.
    pub file: String,
    /// How many bytes.
    pub length: usize,
    /// FNV-1a, 64 bits, of the bytes.
    pub digest: u64,
    /// What stood in it, where that is short enough to be kept with a result.
    pub text: Option<String>,
}

/// Bytes of an input up to which its text is kept with a ranking: a study, a catalog, a load profile of some thousand rows.
pub const MOST_KEPT: usize = 256 * 1024;

impl Input {
    /// The digest of a file's bytes.
    pub fn new(file: &str, bytes: &[u8]) -> Self {
        let short = (bytes.len() <= MOST_KEPT).then_some(bytes);
        let text = short.and_then(|bytes| std::str::from_utf8(bytes).ok()).map(str::to_owned);
        Self { file: file.to_owned(), length: bytes.len(), digest: digest(bytes), text }
    }

    /// The digest as results write it.
    pub fn digest_text(&self) -> String {
        format!("{:016x}", self.digest)
    }
}

/// FNV-1a with 64 bits: tells files apart that differ by mistake; it is no proof against intent.
///
/// # Source
/// IETF draft-eastlake-fnv, *The FNV Non-Cryptographic Hash Algorithm* (constants from memory).
pub fn digest(bytes: &[u8]) -> u64 {
    const OFFSET: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    bytes.iter().fold(OFFSET, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(PRIME))
}

/// The stamp as JSON.
pub(super) fn json(inputs: &[Input]) -> Vec<(&'static str, Json)> {
    stamped(inputs, false)
}

/// The stamp as JSON, with what stood in the inputs.
pub(super) fn with_texts(inputs: &[Input]) -> Vec<(&'static str, Json)> {
    stamped(inputs, true)
}

fn stamped(inputs: &[Input], texts: bool) -> Vec<(&'static str, Json)> {
    let files = inputs.iter().map(|input| {
        let mut entries = vec![
            ("file", input.file.as_str().into()),
            ("bytes", input.length.into()),
            ("fnv1a64", Json::text(input.digest_text())),
        ];
        if texts {
            entries.push(("text", input.text.as_deref().into()));
        }
        Json::object(entries)
    });
    vec![
        ("program", "sumpwright".into()),
        ("version", VERSION.into()),
        (
            "units",
            "SI unless a key says otherwise; pressures are gauge unless named absolute; money in cents"
                .into(),
        ),
        ("inputs", Json::list(files)),
    ]
}

#[cfg(test)]
mod tests {
    use super::digest;

    #[test]
    fn digests_are_those_of_fnv_1a() {
        // published test values: "" and "a"
        assert_eq!(digest(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(digest(b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}
