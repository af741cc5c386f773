//! A ranking as a document: the best choice, the setups among the rows, groups, the account, what to do next.

use super::columns::Row;
use super::document::{Block, Document, Section};
use super::phrases::pasted;
use super::views::Answer;
use super::{account, best_choice, cautions, digits, groups, misses, settings, setups};
use crate::analysis::Judged;
use crate::candidate::pumps_name;
use crate::search::Entry;
use crate::units::{Money, QuantityKind, money};

/// Rows whose parts decide the cautions.
const CAUTIONED: usize = 10;
/// Entries that are printed by name at most.
const MOST_UNJUDGED: usize = 10;
/// What a stop leaves out.
const UNTIMED: &str =
    "The best rows so far were not run with gas heat transfer: these columns of the CSV are empty.";

/// What a document about a ranking is told beside the answer.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The study as it is typed.
    pub study: &'a str,
    /// The ranked CSV as it is typed; `None` where no command can read it again.
    pub csv: Option<&'a str>,
    /// Every reason of the account and all settings.
    pub account: bool,
    /// The verdict alone.
    pub quiet: bool,
    /// What a look behind the bounds saw.
    pub verified: Option<&'a str>,
    /// How the search ended before its end.
    pub stopped: Option<&'a Stopped>,
}

/// How a search ended before its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Stopped {
    /// How long it ran, s.
    pub seconds: f64,
    /// Objective and cost of the first adequate one so far.
    pub best: Option<(f64, Money)>,
    /// No adequate combination that is left has a smaller objective.
    pub floor: Option<f64>,
    /// True where the search itself came to its end.
    pub searched: bool,
    /// Files with the best rows so far.
    pub saved: Vec<String>,
    /// The checkpoint, where one is kept.
    pub checkpoint: Option<String>,
    /// The command that resumes it; empty where nothing can.
    pub resume: String,
}

impl Stopped {
    /// Returns what is to be said of it: the verdict first.
    pub fn lines(&self, answer: &Answer<'_>) -> [String; 3] {
        let ran = digits::text(QuantityKind::Duration, Some(self.seconds), answer.study.system);
        let (counted, total) = (answer.account.total(), answer.space.total());
        let settled = format!(
            "{} of {} combinations settled ({}).",
            digits::count(counted),
            digits::count(total),
            digits::share(counted, total)
        );
        let amount = |amount| digits::text(QuantityKind::Money, Some(money(amount)), answer.study.system);
        let floor = match self.floor.filter(|floor| floor.is_finite()) {
            Some(floor) => format!("; nothing left can go below {}", best_choice::objective(floor)),
            None => String::new(),
        };
        let best = match self.best {
            Some((objective, cost)) => {
                format!(
                    "Best objective {} (cost {}){floor}.",
                    best_choice::objective(objective),
                    amount(cost)
                )
            }
            None => "Nothing adequate is found so far.".to_owned(),
        };
        let saved = self.saved.iter().map(|file| format!("{file} (best so far)"));
        let checkpoint = self.checkpoint.iter().map(|file| format!("{file} (checkpoint)"));
        let saved: Vec<String> = saved.chain(checkpoint).collect();
        let searched = if self.searched {
            "The search is complete; what is shown of it was not computed to the end. "
        } else {
            ""
        };
        [
            format!("STOPPED after {ran}: this ranking is not final"),
            format!("{searched}{settled} {best}"),
            format!("Saved: {}", saved.join(", ")),
        ]
    }
}

/// Lays out a ranking.
pub fn document(answer: &Answer<'_>, told: Told<'_>) -> Document {
    let study = answer.study;
    let mut document = Document::new(study.title.as_str());
    if let Some(stopped) = told.stopped {
        let [verdict, how, saved] = stopped.lines(answer);
        document.push(Section::new("").with(verdict).with(how).with(saved));
    }
    if !answer.adequate {
        let total = digits::count(answer.space.total());
        if told.stopped.is_none() {
            let verdict = format!("Nothing is adequate: 0 of {total} combinations");
            document.push(Section::new("").with(verdict));
        }
        document.push(misses::section(answer.misses, study, told.stopped.is_some()));
    }
    document.next = next(answer, told);
    if told.quiet {
        return document;
    }
    if let Some(pumps) = &answer.query.pumps {
        document.push(Section::new("").with(format!("Only with these pumps: {}", pumps_name(pumps, study))));
    }
    if let Some(first) = answer.rows.first().filter(|_| answer.adequate) {
        document.push(best_choice::section(first));
        let listed = setups::section(answer.rows).with(emptied(answer.rows));
        document.push(listed.with(best_choice::sorted_by(&study.objective)));
    }
    if told.stopped.is_some() {
        document.push(unjudged(answer.unjudged[0]));
        document.push(Section::new("").with(if answer.rows.is_empty() { "" } else { UNTIMED }));
    }
    document.push(groups::section(answer));
    let mut sentence = account::sentence(answer.space, answer.account, told.stopped.is_some());
    if !told.account {
        sentence += " Each reason: --account";
    }
    document.push(Section::new("").with(sentence).with(told.verified.unwrap_or_default()));
    if told.account {
        let section = account::section(answer.space, answer.account, told.stopped.is_some());
        document.push(section.with(answer.work.map_or_else(String::new, account::work)));
    }
    document.push(settings::section(&study.settings, study.system, told.account));
    let judged = answer.rows.iter().take(CAUTIONED).map(|row| row.judged);
    let judged: Vec<Judged<'_>> = judged.collect();
    let cautions = cautions::cautions(&judged).into_iter().map(str::to_owned);
    document.push(Section::new("Safety").with(cautions.collect::<Vec<_>>()));
    document
}

/// The command to go on with.
fn next(answer: &Answer<'_>, told: Told<'_>) -> String {
    if let Some(stopped) = told.stopped {
        return stopped.resume.clone();
    }
    let study = pasted(told.study);
    match (answer.adequate, told.csv, answer.rows.first(), answer.misses.first()) {
        (true, Some(csv), ..) => format!("sumpwright card {study} --from {} --rank 1", pasted(csv)),
        (true, None, Some(first), _) => format!("sumpwright card {study} {}", pasted(&first.assessment.name)),
        (false, _, _, Some(miss)) => format!("sumpwright simulate {study} {}", pasted(&miss.name)),
        _ => format!("sumpwright check {study}"),
    }
}

/// How many rows fail by gas heat transfer alone, which the search does not know.
fn emptied(rows: &[Row<'_>]) -> String {
    match rows.iter().filter(|row| row.assessment.fails_by_timed_gas_alone()).count() {
        0 => String::new(),
        some => format!(
            "NOT ADEQUATE: {some} of the {} rows of the CSV. With gas heat transfer, which the search does not know, their \
             accumulators run empty.",
            rows.len()
        ),
    }
}

/// What was found, but not simulated again: how many, and the first by name with their cost.
fn unjudged(entries: &[Entry]) -> Section {
    if entries.is_empty() {
        return Section::new("");
    }
    let named = entries.iter().take(MOST_UNJUDGED);
    let named = named.map(|entry| {
        let cost =
            digits::text(QuantityKind::Money, Some(money(entry.score.cost)), crate::units::System::Metric);
        format!("{cost:>12}  {}\n", entry.name)
    });
    let first = match entries.len() {
        1 => "1 more row was not simulated again: the CSV has its name, cost and objective.".to_owned(),
        number => {
            format!(
                "{number} more rows were not simulated again: the CSV has name, cost and objective of each."
            )
        }
    };
    Section::new("Not simulated again").with(first).with(Block::Verbatim(named.collect()))
}
