//! `merge`: puts the shares of a search together; the result is that of one machine.

use super::args::Merge;
use super::exit::Exit;
use super::publish::{Asked, Result, Shown, places};
use super::rank::pool;
use super::terminal;
use crate::files;
use crate::project::Inputs;
use crate::report::checkpoint;
use crate::search::{ChunkSizes, Space};
use crate::simulation::PreparedCase;

/// Runs it.
pub(super) fn run(options: &Merge) -> Exit {
    let mut inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    inputs.paths.extend(options.shares.clone());
    let targets = match files::targets_of(&places(&options.outputs).collect::<Vec<_>>(), &inputs.paths) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    pool.install(|| {
        let case = PreparedCase::new(&inputs.source.study);
        let (mut shares, mut faults) = (Vec::new(), Vec::new());
        for path in &options.shares {
            let file = files::shown(path);
            let read =
                files::read(path, "a share", files::Kind::Json).map_err(|diagnostic| diagnostic.to_string());
            let checkpoint = read.and_then(|bytes| {
                checkpoint::read(&bytes, &inputs.digests, &case, ChunkSizes::USUAL)
                    .map_err(|text| format!("{file}: {text}"))
            });
            match checkpoint {
                Ok((checkpoint, told)) => {
                    if let Some(told) = told {
                        terminal::note(&format!("{file}: {told}"));
                    }
                    shares.push((file, checkpoint));
                }
                Err(text) => faults.push(text),
            }
        }
        let merged = checkpoint::merged(shares, faults).and_then(|(query, found)| {
            let space = Space::of_query(&inputs.source.study, &query);
            match options.outputs.unasked(&query) {
                Some(unasked) => Err(unasked.to_owned()),
                None => Ok((space, query, found)),
            }
        });
        match merged {
            Ok((space, query, found)) => {
                let asked = Asked { case: &case, space: &space, query: &query };
                let shown = Shown::whole(found, asked);
                let study = &options.study;
                Result { asked, inputs: &inputs, study, unproved: None, stopped: None, verified: None }
                    .publish(&shown, &options.outputs, &targets, None)
            }
            Err(text) => {
                terminal::note(&format!("nothing was merged\n{text}"));
                Exit::BadInput
            }
        }
    })
}
