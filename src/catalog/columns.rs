//! The columns of each kind. A row is asked for its cells by name, content and meaning, so the function that reads a
//! row also describes the columns: [`columns`] lets it read a row that has no cells and keeps what it asked for.

use super::{PartKind, engines, rows};
use crate::input::{CellValue, Column, Content, Field, Need, Range};
use crate::units::{Money, Quantity, QuantityKind, parse};

/// A row that can be asked for its cells. What is wrong with one is noted; it comes as NaN, 0 or an empty text.
pub(super) trait Cells {
    /// What stands in a column.
    fn take(&mut self, column: Column) -> CellValue;

    /// Notes that a readable cell does not go with the others of its row. Of several columns the first that is there
    /// is named; where none is, that was noted.
    fn refuse(&mut self, columns: &[&str], accepted: &str, hint: &str);

    /// Line of the row.
    fn line(&mut self) -> usize;

    /// A quantity that every row must state.
    fn quantity<Q: Quantity>(&mut self, field: &Field<Q>) -> Q {
        self.quantity_if(field).unwrap_or(Q::from_si(f64::NAN))
    }

    /// A quantity that a row may leave out.
    fn quantity_if<Q: Quantity>(&mut self, field: &Field<Q>) -> Option<Q> {
        match self.take(field.column()) {
            CellValue::Number(si) => Some(Q::from_si(si)),
            _ => None,
        }
    }

    /// A quantity with a default: what a missing cell means.
    fn quantity_or<Q: Quantity>(&mut self, field: &Field<Q>) -> Q {
        let stated = self.quantity_if(field);
        stated.unwrap_or_else(|| parse(field.absent()).unwrap_or_else(|_| Q::from_si(f64::NAN)))
    }

    /// A text, a name or a word that every row must state.
    fn text(&mut self, name: &'static str, content: Content, meaning: &'static str) -> String {
        match self.take(Column { name, content, need: Need::Required, meaning }) {
            CellValue::Text(text) => text,
            _ => String::new(),
        }
    }

    /// An amount that every row must state.
    fn money(&mut self, name: &'static str, meaning: &'static str) -> Money {
        match self.take(Column { name, content: Content::Money, need: Need::Required, meaning }) {
            CellValue::Money(amount) => amount,
            _ => Money::default(),
        }
    }

    /// A whole number that a row may leave out.
    fn count_if(&mut self, name: &'static str, absent: &'static str, meaning: &'static str) -> Option<u32> {
        match self.take(Column { name, content: Content::Count, need: Need::Optional(absent), meaning }) {
            CellValue::Count(count) => Some(count),
            _ => None,
        }
    }

    /// Points that a row may leave out.
    fn points_if(
        &mut self,
        name: &'static str,
        kinds: &'static [(QuantityKind, Range)],
        absent: &'static str,
        meaning: &'static str,
    ) -> Option<Vec<Vec<f64>>> {
        match self.take(Column {
            name,
            content: Content::Points(kinds),
            need: Need::Optional(absent),
            meaning,
        }) {
            CellValue::Points(points) => Some(points),
            _ => None,
        }
    }
}

/// The columns of a kind's catalog, in the order in which `sumpwright formats` lists them.
pub fn columns(kind: PartKind) -> Vec<Column> {
    let mut description = Description(Vec::new());
    let cells = &mut description;
    match kind {
        PartKind::Pumps => drop(rows::pump(cells)),
        PartKind::Accumulators => drop(rows::accumulator(cells)),
        PartKind::Coolers => drop(rows::cooler(cells)),
        PartKind::Reservoirs => drop(rows::reservoir(cells)),
        PartKind::Filters => drop(rows::filter(cells)),
        PartKind::ReliefValves => drop(rows::relief_valve(cells)),
        PartKind::UnloadingValves => drop(rows::unloading_valve(cells)),
        PartKind::Engines => drop(engines::engine(cells)),
    }
    description.0
}

/// A row without cells that keeps what it was asked for.
struct Description(Vec<Column>);

impl Cells for Description {
    fn take(&mut self, column: Column) -> CellValue {
        self.0.push(column);
        CellValue::Nothing
    }

    fn refuse(&mut self, _: &[&str], _: &str, _: &str) {}

    fn line(&mut self) -> usize {
        0
    }
}
