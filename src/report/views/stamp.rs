//! From what a result was made, so that it can be repeated: kind, program, version, format and digests of the inputs.

use crate::report::stamp::{InputFile, PROGRAM, VERSION};
use schemars::JsonSchema;
use serde::Serialize;

/// Number of the layout of JSON results; it rises when a key changes.
pub const FORMAT: u32 = 2;

/// The head of every JSON result.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Stamp<'a> {
    /// What the file is: `ranking`, `candidate`, ...
    kind: &'static str,
    /// Name of the program.
    program: &'static str,
    /// Version of the program.
    version: &'static str,
    /// Number of the layout.
    format: u32,
    /// How numbers are to be read.
    units: &'static str,
    /// The input files.
    inputs: Vec<InputView<'a>>,
}

/// An input file.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct InputView<'a> {
    /// Name as the user or the study gave it.
    file: &'a str,
    /// Length, bytes.
    bytes: usize,
    /// FNV-1a of the bytes, 64 bits, 16 hexadecimal digits.
    fnv1a64: String,
    /// What stood in it, in a ranking; null where it was too long to be kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[expect(clippy::option_option, reason = "left out, or null")]
    text: Option<Option<&'a str>>,
}

impl<'a> Stamp<'a> {
    /// Creates the head of a result.
    pub fn new(kind: &'static str, inputs: &'a [InputFile]) -> Self {
        Self::made(kind, inputs, false)
    }

    /// Creates the head of a result that keeps what stood in its inputs.
    pub fn with_texts(kind: &'static str, inputs: &'a [InputFile]) -> Self {
        Self::made(kind, inputs, true)
    }

    fn made(kind: &'static str, inputs: &'a [InputFile], texts: bool) -> Self {
        let inputs = inputs.iter().map(|input| InputView {
            file: &input.file,
            bytes: input.length,
            fnv1a64: input.digest_text(),
            text: texts.then_some(input.text.as_deref()),
        });
        let units =
            "SI; a key ends in the unit of its number; pressures are gauge unless the key ends in _abs";
        Self { kind, program: PROGRAM, version: VERSION, format: FORMAT, units, inputs: inputs.collect() }
    }
}
