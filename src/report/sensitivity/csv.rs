//! The ranges as CSV.

use super::whole;
use crate::analysis::sensitivity::{BestAt, Sensitivity, cost_jump, stretches};
use crate::report::csv::Sheet;
use crate::units::{QuantityKind, fixed, money, yes_no};
use std::io;

impl Sensitivity<'_> {
    fn heading(&self, words: &str) -> String {
        if self.unit.symbol.is_empty() { words.to_owned() } else { format!("{words} [{}]", self.unit.symbol) }
    }

    /// One line for each range.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let (labels, stretches, changes) = (self.labels(), stretches(&self.found), self.changes());
        let mut sheet = Sheet::new();
        let (from, to) = (self.heading("from"), self.heading("to"));
        let headings = [
            from.as_str(),
            &to,
            "adequate",
            "best choice",
            "cost at from",
            "cost at to",
            "heat margin at from [%]",
            "heat margin at to [%]",
            "limited by at from",
            "headroom at from [%]",
            "limited by at to",
            "headroom at to [%]",
            "why it ends",
            "cost change",
            "name",
        ];
        sheet.line(headings.into_iter().map(str::to_owned))?;
        for (i, stretch) in stretches.iter().enumerate() {
            let ends = self.ends(*stretch);
            let outcomes = ends.map(|(_, point)| point.outcome());
            let each = |what: &dyn Fn(&BestAt) -> String| outcomes.map(|o| o.map_or_else(String::new, what));
            let number = |kind: QuantityKind, value: f64| kind.number(value, self.system());
            let costs = each(&|o| number(QuantityKind::Money, money(o.cost)));
            let margins = each(&|o| number(QuantityKind::Percent, o.heat_margin));
            let limits = each(&|o| o.binds.map_or_else(String::new, |c| c.check.words().to_owned()));
            let headrooms = each(&|o| {
                let headroom = o.binds.and_then(|check| check.margin);
                headroom.map_or_else(String::new, |headroom| number(QuantityKind::Percent, headroom))
            });
            let letter = labels.letter(outcomes[0]);
            let mut cells = ends.map(|(value, _)| value.to_string()).to_vec();
            let refused = ends[0].1.refused().is_some();
            cells.push(if refused { "refused" } else { yes_no(letter.is_some()) }.to_owned());
            cells.push(letter.unwrap_or_default());
            cells.extend(costs.into_iter().chain(margins));
            cells.extend(limits.into_iter().zip(headrooms).flat_map(|(check, headroom)| [check, headroom]));
            let sides = changes.get(i).copied().zip(self.reasons.get(i));
            let why = sides.map(|(sides, reason)| whole(self, reason, sides, &labels));
            // files have ASCII units
            cells.push(why.unwrap_or_default().replace('°', "deg"));
            let next = changes.get(i).and_then(|sides| cost_jump(*sides));
            cells.push(next.map_or_else(String::new, |jump| fixed(jump.to_units(), 2)));
            cells.push(outcomes[0].map_or_else(String::new, |o| o.name.clone()));
            sheet.line(cells.into_iter())?;
        }
        sheet.bytes()
    }
}
