//! Catalog files to parts.

use super::columns::{Cells, columns};
use super::{Catalog, Listed, PartKind, engines, rows};
use crate::input::{CellValue, Column, Diagnostics, RowReader, Source};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Reads the catalog files of a study, one after the other.
///
/// # Examples
/// ```
/// use sumpwright::catalog::{PartKind, Reader};
/// let valves = "id,price,mass [kg],source,rated flow [gpm],highest pressure [psi]\nU-10,85.00,1.1,own test,10,3000\n";
/// let mut reader = Reader::default();
/// reader.read(PartKind::UnloadingValves, valves.as_bytes(), "valves.csv");
/// let (catalog, diagnostics) = reader.finish();
/// assert!(diagnostics.is_empty());
/// assert_eq!(catalog.unloading_valves[0].listing.id, "U-10");
/// ```
#[derive(Debug, Default)]
pub struct Reader {
    catalog: Catalog,
    diagnostics: Diagnostics,
    /// File and line of each id.
    ids: BTreeMap<(PartKind, String), (Arc<str>, usize)>,
    /// Whether what the rows state is kept cell by cell.
    cells: bool,
}

impl Reader {
    /// A reader that keeps what the rows state cell by cell as well.
    #[must_use]
    pub fn with_cells() -> Self {
        Self { cells: true, ..Self::default() }
    }

    /// Reads one file of a kind. What is wrong is noted; the sound rows are kept.
    pub fn read(&mut self, kind: PartKind, bytes: &[u8], file: &str) {
        let source = match Source::new(bytes, file) {
            Ok(source) => source,
            Err(diagnostics) => {
                self.diagnostics.extend(diagnostics);
                self.miss(kind);
                return;
            }
        };
        let mut table = RowReader::open(source, columns(kind));
        match kind {
            PartKind::Pumps => self.rows(kind, file, &mut table, rows::pump, |catalog| &mut catalog.pumps),
            PartKind::Accumulators => {
                self.rows(kind, file, &mut table, rows::accumulator, |catalog| &mut catalog.accumulators);
            }
            PartKind::Coolers => {
                self.rows(kind, file, &mut table, rows::cooler, |catalog| &mut catalog.coolers);
            }
            PartKind::Reservoirs => {
                self.rows(kind, file, &mut table, rows::reservoir, |catalog| &mut catalog.reservoirs);
            }
            PartKind::Filters => {
                self.rows(kind, file, &mut table, rows::filter, |catalog| &mut catalog.filters);
            }
            PartKind::ReliefValves => {
                self.rows(kind, file, &mut table, rows::relief_valve, |catalog| &mut catalog.relief_valves);
            }
            PartKind::UnloadingValves => {
                self.rows(kind, file, &mut table, rows::unloading_valve, |catalog| {
                    &mut catalog.unloading_valves
                });
            }
            PartKind::Engines => {
                self.rows(kind, file, &mut table, engines::engine, |catalog| &mut catalog.engines);
            }
        }
        self.diagnostics.extend(table.finish());
    }

    /// Notes that a file could not be opened, or a row not be parted into cells: its parts are not known, so a study
    /// that picks one is not blamed.
    pub fn miss(&mut self, kind: PartKind) {
        self.catalog.refused.entry(kind).or_default().unnamed = true;
    }

    /// The sound rows, sorted by id, and all problems of the files.
    #[must_use]
    pub fn finish(mut self) -> (Catalog, Diagnostics) {
        sort(&mut self.catalog.pumps);
        sort(&mut self.catalog.accumulators);
        sort(&mut self.catalog.coolers);
        sort(&mut self.catalog.reservoirs);
        sort(&mut self.catalog.filters);
        sort(&mut self.catalog.relief_valves);
        sort(&mut self.catalog.unloading_valves);
        sort(&mut self.catalog.engines);
        (self.catalog, self.diagnostics)
    }

    fn rows<'a, T: Listed>(
        &mut self,
        kind: PartKind,
        file: &str,
        table: &mut RowReader<'a>,
        read: impl Fn(&mut RowReader<'a>) -> Result<T, String>,
        list: impl Fn(&mut Catalog) -> &mut Vec<T>,
    ) {
        if let (Some(one), Some(map)) = (table.column("consumption"), table.column("fuel map"))
            && table.is_usable()
            && !table.has(one)
            && !table.has(map)
        {
            table.refuse_missing(one, "or a column `fuel map [rpm:N.m:g/kWh]`");
        }
        if !table.is_usable() {
            self.miss(kind);
        }
        let columns = columns(kind);
        let file: Arc<str> = file.into();
        while table.advance() {
            let id = table.column("id").map_or("", |id| table.cell(id)).to_owned();
            let part = read(table);
            self.note_twice(kind, &file, table, &id);
            match part {
                Ok(part) if table.is_sound() => {
                    if self.cells {
                        let stated = columns.iter().map(|column| (*column, table.take(*column))).collect();
                        let all = Arc::make_mut(&mut self.catalog.stated);
                        all.insert((kind, part.listing().id.clone()), stated);
                    }
                    list(&mut self.catalog).push(part);
                    continue;
                }
                Err(faults) if table.is_sound() => table.refuse_row(&id, "numbers that go together", &faults),
                _ => {}
            }
            let refused = self.catalog.refused.entry(kind).or_default();
            if id.is_empty() {
                refused.unnamed = true;
            } else {
                refused.insert(&id);
            }
        }
        if table.has_lost_rows() {
            self.miss(kind);
        }
    }

    /// Notes an id that stands in an earlier row of the same kind, in this file or another.
    fn note_twice(&mut self, kind: PartKind, file: &Arc<str>, table: &mut RowReader<'_>, id: &str) {
        let line = table.line();
        let key = (kind, id.to_owned());
        let Some(column) = table.column("id").filter(|_| !id.is_empty()) else { return };
        match self.ids.get(&key) {
            Some((first, at)) => {
                let hint = format!("{first}:{at} has the same id: give one of them another");
                table.refuse(column, &format!("each id once among the {}", kind.name()), &hint);
            }
            None => {
                self.ids.insert(key, (Arc::clone(file), line));
            }
        }
    }
}

impl Cells for RowReader<'_> {
    fn take(&mut self, column: Column) -> CellValue {
        self.column(column.name).map_or(CellValue::Nothing, |at| self.value(at))
    }

    fn refuse(&mut self, columns: &[&str], accepted: &str, hint: &str) {
        let there = columns.iter().filter_map(|name| self.column(name)).find(|&at| self.has(at));
        if let Some(at) = there {
            RowReader::refuse(self, at, accepted, hint);
        }
    }

    fn line(&mut self) -> usize {
        RowReader::line(self)
    }
}

fn sort<T: Listed>(parts: &mut [T]) {
    parts.sort_by(|a, b| a.listing().id.cmp(&b.listing().id));
}
