//! Results on their way out.

use super::{stop, terminal};
use crate::files::{self, CannotWrite, Target};
use std::io;

/// Writes results to their targets, in order, all or none, and says so.
///
/// # Errors
/// The results that cannot be made or written.
pub(super) fn write(
    targets: &[Target],
    made: impl IntoIterator<Item = io::Result<Vec<u8>>>,
) -> Result<(), Vec<CannotWrite>> {
    let results: Vec<(&Target, Vec<u8>)> = targets
        .iter()
        .zip(made)
        .map(|(target, bytes)| match bytes {
            Ok(bytes) => Ok((target, bytes)),
            Err(error) => Err(vec![CannotWrite::new(target.named(), error)]),
        })
        .collect::<Result<_, _>>()?;
    if results.is_empty() {
        return Ok(());
    }
    stop::undisturbed(|| {
        files::commit(&results, |bytes| terminal::bytes(bytes).map(|_| ()))?;
        for (target, _) in &results {
            terminal::note(&format!("written: {}", files::shown(target.named())));
        }
        Ok(())
    })
}
