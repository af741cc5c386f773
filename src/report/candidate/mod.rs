//! Everything of one combination: the answer first, then what stands behind it.

mod cycle;
mod heat;
mod parts;
mod summary;

pub(super) use cycle::loaded_by_step;
pub(super) use summary::verdict;

use super::digits::text;
use super::document::{Block, Document, Section};
use super::{cautions, checks, flags, rules_of_thumb, settings, stamp};
use crate::analysis::Judged;
use crate::analysis::explain::Explanation;
use crate::units::QuantityKind;

/// Lays out everything of one combination; `next` is a command to go on with.
pub fn document(explanation: &Explanation<'_>, next: String) -> Document {
    let judged = &explanation.judged;
    let (assessment, study) = (judged.assessment, judged.case.study);
    let system = study.system;
    let mut document = Document { next, ..Document::new(&study.title) };
    let verdict = Section::new("").with(verdict(judged));
    let sections = [
        verdict.with(Block::Verbatim(assessment.name.clone())),
        Section::new("It fails").with(checks::failed(assessment, system)),
        Section::new("").with(summary::lines(explanation)),
        Section::new("").with(checks::least(assessment, system)),
        heat::sources(explanation),
        heat::warm_up(explanation),
        cycle::steps(explanation),
        Section::new("All checks").with(checks::table(assessment, system)),
        Section::new("Parts").with(parts::bill(judged)),
        settings::changed(&study.settings, system),
        heat::temperatures(judged),
        cycle::nodes(explanation),
        cycle::staging(explanation),
        cycle::loaded_pumps(explanation),
        cycle::standing_still(explanation),
        parts::accumulators(explanation),
        parts::usable_volume(explanation),
        parts::engine(judged),
        parts::lines(judged),
        rules_of_thumb::section(explanation),
        Section::new("Notes").with(flags::of(judged).iter().map(|&note| note.to_owned()).collect::<Vec<_>>()),
        cautions::section(cautions::of(explanation)),
        Section::new("").with(format!("{} {}", stamp::PROGRAM, stamp::VERSION)),
    ];
    for section in sections {
        document.push(section);
    }
    document
}

fn limit(judged: &Judged<'_>) -> String {
    let case = judged.case;
    let limit = case.nodes[case.limit_node].temperature;
    text(QuantityKind::Temperature, Some(limit), case.study.system)
}
