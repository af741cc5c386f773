//! The cells of a map as CSV.

use crate::analysis::sensitivity::{Axis, BestAt, SweepMap};
use crate::report::csv::Sheet;
use crate::units::{QuantityKind, money, yes_no};
use std::io;

impl SweepMap<'_> {
    /// One line for each cell.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let labels = self.labels();
        let [columns, rows] = &self.axes;
        let heading = |side: &Axis<'_>| match side.unit.symbol {
            "" => side.parameter.name.clone(),
            symbol => format!("{} [{symbol}]", side.parameter.name),
        };
        let mut sheet = Sheet::new();
        let words =
            ["adequate", "best choice", "cost", "heat margin [%]", "limited by", "headroom [%]", "name"];
        sheet.line([heading(columns), heading(rows)].into_iter().chain(words.map(str::to_owned)))?;
        for (row, cells) in rows.values.iter().zip(&self.found) {
            for (column, cell) in columns.values.iter().zip(cells) {
                let outcome = cell.outcome();
                let letter = labels.letter(outcome);
                let of = |what: &dyn Fn(&BestAt) -> String| outcome.map_or_else(String::new, what);
                let number = |kind: QuantityKind, value: f64| kind.number(value, self.study.system);
                let cells = [
                    column.to_string(),
                    row.to_string(),
                    if cell.refused().is_some() { "refused" } else { yes_no(letter.is_some()) }.to_owned(),
                    letter.unwrap_or_default(),
                    of(&|o| number(QuantityKind::Money, money(o.cost))),
                    of(&|o| number(QuantityKind::Percent, o.heat_margin)),
                    of(&|o| o.binds.map_or_else(String::new, |check| check.check.words().to_owned())),
                    of(&|o| {
                        let headroom = o.binds.and_then(|check| check.margin);
                        headroom.map_or_else(String::new, |headroom| number(QuantityKind::Percent, headroom))
                    }),
                    of(&|o| o.name.clone()),
                ];
                sheet.line(cells.into_iter())?;
            }
        }
        sheet.bytes()
    }
}
