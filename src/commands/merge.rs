//! `merge`: puts the shares of a search together; the result is that of one machine.

use super::exit::Exit;
use super::options::Merge;
use super::publish::{Asked, Result, Shown, places};
use super::rank::pool;
use super::terminal;
use crate::files;
use crate::project::Inputs;
use crate::results::kept;
use crate::search::{Portions, Space};
use crate::simulation::Conditions;

/// Runs it.
pub(super) fn run(options: &Merge) -> Exit {
    let mut inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
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
        let conditions = Conditions::new(&inputs.source.study);
        let (mut shares, mut faults) = (Vec::new(), Vec::new());
        for path in &options.shares {
            let file = files::shown(path);
            let read = files::read(path, "a share", files::Kind::Json).map_err(|problem| problem.to_string());
            let kept = read.and_then(|bytes| {
                kept::read(&bytes, &inputs.digests, &conditions, Portions::USUAL)
                    .map_err(|text| format!("{file}: {text}"))
            });
            match kept {
                Ok((kept, told)) => {
                    if let Some(told) = told {
                        terminal::note(&format!("{file}: {told}"));
                    }
                    shares.push((file, kept));
                }
                Err(text) => faults.push(text),
            }
        }
        let merged = kept::merged(shares, faults).and_then(|(wanted, found)| {
            let space = Space::wanted(&inputs.source.study, &wanted);
            match options.outputs.unasked(&wanted) {
                Some(unasked) => Err(unasked.to_owned()),
                None => Ok((space, wanted, found)),
            }
        });
        match merged {
            Ok((space, wanted, found)) => {
                let asked = Asked { conditions: &conditions, space: &space, wanted: &wanted };
                let shown = Shown::whole(found, asked);
                Result { asked, inputs: &inputs, unproved: None, verified: None }.publish(
                    &shown,
                    &options.outputs,
                    &targets,
                    None,
                )
            }
            Err(text) => {
                terminal::note(&format!("nothing was merged\n{text}"));
                Exit::BadInput
            }
        }
    })
}
