//! `changes`: an earlier ranking compared with that of the study as it is now.

use super::args::Changes as Options;
use super::exit::Exit;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::files::{self, CannotWrite, Target};
use crate::project::Project;
use crate::report::changes::{self, Compared};
use crate::report::views::{self, ComparisonView};
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    // what is wrong with the study is said as well as what is wrong with the earlier ranking
    let previous = Project::previous(&options.old, &options.old_files);
    let (project, previous) = match (Project::from_files(&options.study), previous) {
        (Ok(project), Ok(previous)) => (project, previous),
        (project, previous) => {
            let mut all = project.err().unwrap_or_default();
            all.extend(previous.err().unwrap_or_default());
            return terminal::diagnostics(all);
        }
    };
    let inputs = project.inputs();
    let read: Vec<PathBuf> =
        inputs.paths.iter().chain([&options.old]).chain(&options.old_files).cloned().collect();
    let paths: Vec<&Path> =
        [&options.csv, &options.json].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = match files::targets(&paths, &read) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    let watch = |combinations| Box::new(Bar::new(combinations)) as _;
    let comparison = match pool.install(|| project.compare_watched(&previous, &watch)) {
        Ok(comparison) => comparison,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    let study = project.study();
    let compared = Compared { comparison: &comparison, previous: &previous, study, digests: &inputs.digests };
    match write(options, &compared, &targets) {
        Ok(()) if comparison.adequate => Exit::Adequate,
        Ok(()) => Exit::NothingAdequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

/// Makes all results before the first is written, writes them, prints the answer.
fn write(options: &Options, compared: &Compared<'_>, targets: &[Target]) -> Result<(), Vec<CannotWrite>> {
    let csv = options.csv.is_some().then(|| changes::csv(compared));
    let json = options.json.is_some().then(|| views::bytes(&ComparisonView::new(compared)));
    written::write(targets, csv.into_iter().chain(json))?;
    let document = changes::document(compared, &files::shown(&options.study));
    terminal::document(&document, compared.study.system).map_err(|failure| vec![failure])
}
