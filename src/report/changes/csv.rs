//! What became of each combination, as CSV.

use super::{Compared, movement};
use crate::analysis::comparison::Figures;
use crate::report::csv::Sheet;
use crate::report::digits;
use crate::units::{QuantityKind, money, yes_no};
use std::io;

const HEADINGS: [&str; 13] = [
    "list",
    "movement",
    "previous rank",
    "current rank",
    "previous adequate",
    "current adequate",
    "previous cost",
    "current cost",
    "previous heat margin [%]",
    "current heat margin [%]",
    "why",
    "name",
    "previous name",
];

/// A line for each combination; those of the groups below those of the ranking.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(compared: &Compared<'_>) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(HEADINGS.into_iter().map(str::to_owned))?;
    let (comparison, system) = (compared.comparison, compared.study.system);
    for (list, changes) in [("ranking", &comparison.ranking), ("best of each", &comparison.groups)] {
        for change in changes {
            let number = |kind: QuantityKind, value: Option<f64>| {
                value.map_or_else(String::new, |value| kind.number(value, system))
            };
            let adequate = |of: Option<Figures>| of.map_or("", |of| yes_no(of.adequate)).to_owned();
            let rank = |rank: Option<usize>| rank.map_or_else(String::new, |rank| rank.to_string());
            let (previous, current) = (change.previous, change.current);
            sheet.line(
                [
                    list.to_owned(),
                    movement(change.movement).to_owned(),
                    rank(change.previous_rank),
                    rank(change.rank),
                    adequate(previous),
                    adequate(current),
                    number(QuantityKind::Money, previous.map(|f| money(f.cost))),
                    number(QuantityKind::Money, current.map(|f| money(f.cost))),
                    number(QuantityKind::Percent, previous.map(|f| f.heat_margin)),
                    number(QuantityKind::Percent, current.map(|f| f.heat_margin)),
                    compared.why(change).replace(digits::TIE, " "),
                    change.name.clone(),
                    change.previous_name.clone().unwrap_or_default(),
                ]
                .into_iter(),
            )?;
        }
    }
    sheet.bytes()
}
