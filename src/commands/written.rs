//! Results on their way out.

use super::files::{CannotWrite, Target};
use super::{stop, terminal};
use std::io;

/// Writes results to their targets, in order, and says so. All are made before the first is written.
///
/// # Errors
/// The result that cannot be made or written.
pub(super) fn write(
    targets: &[Target],
    made: impl IntoIterator<Item = io::Result<Vec<u8>>>,
) -> Result<(), CannotWrite> {
    let contents: Vec<Vec<u8>> = targets
        .iter()
        .zip(made)
        .map(|(target, bytes)| bytes.map_err(|error| CannotWrite::new(target.named(), error)))
        .collect::<Result<_, _>>()?;
    stop::undisturbed(|| {
        for (target, bytes) in targets.iter().zip(&contents) {
            target.write(bytes)?;
            terminal::note(&format!("written: {}", target.named().display()));
        }
        Ok(())
    })
}
