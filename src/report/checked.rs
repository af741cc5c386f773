//! What `check` found: the load profile, the choices, what the rules leave of them.

use super::account::choices;
use super::digits;
use super::document::{Document, Figure, Section, Table, TableColumn};
use super::phrases::pasted;
use crate::candidate::Exclusion;
use crate::profile::Step;
use crate::search::{Account, Space};
use crate::study::Study;
use crate::units::{Quantity, QuantityKind};

/// What was counted of a study whose inputs are good.
#[derive(Debug, Clone, Copy)]
pub struct Checked<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its combinations.
    pub space: &'a Space,
    /// Combinations that the rules leave out; `None` where counting was stopped.
    pub account: Option<&'a Account>,
    /// Rows of each kind of catalog.
    pub rows: &'a [(&'static str, usize)],
    /// What is allowed, but weakens the answer.
    pub warnings: &'a [String],
    /// What simulating each combination would take.
    pub exhaustive: &'a str,
    /// The study as it is typed.
    pub typed: &'a str,
}

/// Lays it out.
pub fn document(checked: &Checked<'_>) -> Document {
    let Checked { study, space, account, .. } = *checked;
    let total = space.total();
    let mut document = Document::new(format!("{}: inputs are good", study.title));
    let counted = match account {
        Some(account) => format!(
            "{} combinations, {} left after the rules",
            digits::count(total),
            digits::count(total - account.total())
        ),
        None => format!("{} combinations; STOPPED before the rules were counted", digits::count(total)),
    };
    document.push(Section::new("").with(counted));
    let rows: Vec<String> = checked.rows.iter().map(|(kind, rows)| format!("{rows} {kind}")).collect();
    document.push(Section::new("").with(vec![
        Figure::words("Load profile", profile(study)),
        Figure::words("Choices", choices(space)),
        Figure::words("Catalogs", rows.join(", ")),
        Figure::words("Exhaustive", checked.exhaustive),
    ]));
    if let Some(account) = account {
        document.push(ruled_out(account, total));
    }
    document.push(Section::new("Warnings").with(checked.warnings.to_vec()));
    document.next = format!("sumpwright rank {}", pasted(checked.typed));
    document
}

/// What the load profile asks: a heading with the wrong unit shows here.
fn profile(study: &Study) -> String {
    let steps = &study.profile.steps;
    let show = |kind, value| digits::text(kind, Some(value), study.system);
    let flow = |step: &Step| step.functions.iter().map(|f| f.flow.si()).sum::<f64>();
    let power = |step: &Step| step.functions.iter().map(|f| f.flow.si() * f.load_pressure.si()).sum::<f64>();
    let most = |of: &dyn Fn(&Step) -> f64| steps.iter().map(of).fold(0.0, f64::max);
    let functions = steps.iter().flat_map(|step| step.functions.iter());
    let pressure = functions.map(|f| f.load_pressure.si()).fold(0.0, f64::max);
    let cycle: f64 = steps.iter().map(|step| step.duration.si()).sum();
    let number = match steps.len() {
        1 => "1 step".to_owned(),
        number => format!("{} steps", digits::count(number as u128)),
    };
    format!(
        "{number}, {cycle:.1} s; most in a step: {}, {}, {}",
        show(QuantityKind::Flow, most(&flow)),
        show(QuantityKind::Pressure, pressure),
        show(QuantityKind::Power, most(&power))
    )
}

/// How many combinations each rule leaves out.
fn ruled_out(account: &Account, total: u128) -> Section {
    let mut table = Table::new([
        TableColumn::words("combinations").right(),
        TableColumn::words("share").right(),
        TableColumn::words("rule"),
    ]);
    let counts = Exclusion::ALL.iter().zip(account.excluded).filter(|(_, count)| *count > 0);
    for (rule, count) in counts {
        table.row([digits::count(count).into(), digits::share(count, total).into(), rule.words().into()]);
    }
    Section::new("Ruled out by rules").with(table)
}
