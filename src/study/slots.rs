//! The slots of a study and the catalog rows that may fill them.

use super::{Drive, Scheme, Slots, keys};
use crate::catalog::{Catalog, Listed, PartKind, Refused};
use crate::input::{TomlSection, nearest};
use crate::units::{Quantity, Ratio};
use std::collections::{BTreeMap, BTreeSet};
use std::mem::take;

/// Reads the sections of the slots. All but `[relief]` may be missing: then every row of the catalog may fill the slot.
pub(super) fn slots(
    root: &mut TomlSection<'_, '_>,
    mut catalog: Catalog,
    schemes: Vec<Scheme>,
) -> (Slots, Drive) {
    let (pumps, pump_counts, drive_ratios, drive) = root
        .section_if(PartKind::Pumps.section(), |section| {
            let counts = section.counts("counts", &keys::PUMPS);
            let ratios =
                section.quantities::<Ratio>(keys::DRIVE_RATIO.name, &keys::DRIVE_RATIO.range, "[1.0, 1.2]");
            let drive = section.word_if("drive", &[("tandem", Drive::Tandem), ("own-pads", Drive::OwnPads)]);
            (
                pick(section, &catalog.refused, PartKind::Pumps, take(&mut catalog.pumps)),
                counts,
                ratios,
                drive,
            )
        })
        .unwrap_or_else(|| (take(&mut catalog.pumps), None, None, None));
    let (engines, engine_speeds) = root
        .section_if(PartKind::Engines.section(), |section| {
            let speeds = section
                .quantities(keys::ENGINE_SPEED.name, &keys::ENGINE_SPEED.range, "[\"2600 rpm\"]")
                .unwrap_or_default();
            (pick(section, &catalog.refused, PartKind::Engines, take(&mut catalog.engines)), speeds)
        })
        .unwrap_or_else(|| (take(&mut catalog.engines), Vec::new()));
    let (relief_valves, relief_settings) = root.section(PartKind::ReliefValves.section(), |section| {
        section.require("settings", "a list of pressures such as [\"180 bar\"]");
        let settings =
            section.quantities(keys::RELIEF.name, &keys::RELIEF.range, "[\"180 bar\"]").unwrap_or_default();
        (pick(section, &catalog.refused, PartKind::ReliefValves, take(&mut catalog.relief_valves)), settings)
    });
    let unloading_valves =
        all_or_picked(root, &catalog.refused, PartKind::UnloadingValves, take(&mut catalog.unloading_valves));
    let reservoirs =
        all_or_picked(root, &catalog.refused, PartKind::Reservoirs, take(&mut catalog.reservoirs));
    let (accumulators, accumulator_counts, precharges) = root
        .section_if(PartKind::Accumulators.section(), |section| {
            let counts = section.counts("counts", &keys::ACCUMULATORS).unwrap_or_else(|| vec![0, 1, 2]);
            let precharges = section.quantities(keys::PRECHARGE.name, &keys::PRECHARGE.range, "[\"80 bar\"]");
            if precharges.is_none() && counts.iter().any(|&count| count > 0) {
                section.refuse_missing(
                    "precharge",
                    "a list of pressures such as [\"80 bar\"]",
                    "the key is missing",
                );
            }
            let picked =
                pick(section, &catalog.refused, PartKind::Accumulators, take(&mut catalog.accumulators));
            (picked, counts, precharges.unwrap_or_default())
        })
        .unwrap_or_else(|| (Vec::new(), vec![0], Vec::new()));
    let (coolers, cooler_counts) = root
        .section_if(PartKind::Coolers.section(), |section| {
            let counts = section.counts("counts", &keys::COOLERS);
            (pick(section, &catalog.refused, PartKind::Coolers, take(&mut catalog.coolers)), counts)
        })
        .unwrap_or_else(|| (take(&mut catalog.coolers), None));
    let (filters, filter_counts) = root
        .section_if(PartKind::Filters.section(), |section| {
            let counts = section.counts("counts", &keys::FILTERS);
            (pick(section, &catalog.refused, PartKind::Filters, take(&mut catalog.filters)), counts)
        })
        .unwrap_or_else(|| (take(&mut catalog.filters), None));
    let slots = Slots {
        pump_counts: pump_counts
            .map_or_else(|| vec![1, 2, 3], |counts| counts.into_iter().map(|count| count as usize).collect()),
        pumps,
        drive_ratios: drive_ratios
            .map_or_else(|| vec![1.0], |ratios| ratios.into_iter().map(Quantity::si).collect()),
        engines,
        engine_speeds,
        relief_valves,
        relief_settings,
        unloading_valves,
        fitted_valves: None,
        schemes,
        accumulators,
        accumulator_counts,
        precharges,
        coolers,
        cooler_counts: cooler_counts.unwrap_or_else(|| vec![1]),
        reservoirs,
        filters,
        filter_counts: filter_counts.unwrap_or_else(|| vec![1]),
    };
    (slots, drive.unwrap_or(Drive::Tandem))
}

fn all_or_picked<T: Listed + Clone>(
    root: &mut TomlSection<'_, '_>,
    refused: &BTreeMap<PartKind, Refused>,
    kind: PartKind,
    mut rows: Vec<T>,
) -> Vec<T> {
    root.section_if(kind.section(), |section| pick(section, refused, kind, take(&mut rows))).unwrap_or(rows)
}

/// The rows that `pick` names, in the order of the catalog; all, where it is missing.
fn pick<T: Listed + Clone>(
    section: &mut TomlSection<'_, '_>,
    refused: &BTreeMap<PartKind, Refused>,
    kind: PartKind,
    rows: Vec<T>,
) -> Vec<T> {
    let Some(names) = section.names("pick") else { return rows };
    let refused = refused.get(&kind);
    let ids: BTreeSet<&str> = rows.iter().map(|part| part.listing().id.as_str()).collect();
    for (name, span) in &names {
        let is_refused = refused.is_some_and(|refused| refused.may_hold(name));
        if !is_refused && !ids.contains(name.as_str()) {
            let hint = similar(section, name, ids.iter().copied());
            let accepted = format!("the id of a row of the {}", kind.name());
            section.refuse_at(span.clone(), "pick", &accepted, &hint);
        }
    }
    let picked: BTreeSet<&str> = names.iter().map(|(name, _)| name.as_str()).collect();
    rows.iter().filter(|part| picked.contains(part.listing().id.as_str())).cloned().collect()
}

/// Reads `[owned]` into the catalog.
pub(super) fn owned(section: &mut TomlSection<'_, '_>, catalog: &mut Catalog) {
    let mut known: BTreeMap<String, Vec<(PartKind, Option<u32>)>> = BTreeMap::new();
    for (kind, listing) in catalog.listings() {
        known.entry(listing.id.clone()).or_default().push((kind, listing.stock));
    }
    for id in section.free_keys() {
        let Some(count) = section.free_count(&id) else { continue };
        let of = known.get(&id).map_or(&[][..], Vec::as_slice);
        match *of {
            [(_, Some(stock))] if count > stock => {
                section.refuse(
                    &id,
                    &format!("at most the stock of {stock}"),
                    "the owned ones count as stock",
                );
            }
            [(kind, _)] => catalog.own(kind, &id, count),
            [] if catalog.refused.values().any(|refused| refused.may_hold(&id)) => {}
            [] => {
                let hint = similar(section, &id, known.keys().map(String::as_str));
                section.refuse_unknown(&id, "the id of a row of a catalog", &hint);
            }
            _ => {
                let kinds: Vec<&str> = of.iter().map(|(kind, _)| kind.name()).collect();
                let hint = format!("{} have this id: use the column `owned` instead", kinds.join(" and "));
                section.refuse_unknown(&id, "an id that only one kind has", &hint);
            }
        }
    }
}

/// A hint to the id that was probably meant; spared where it would not be shown.
fn similar<'a>(section: &TomlSection<'_, '_>, name: &str, ids: impl Iterator<Item = &'a str>) -> String {
    if section.is_full() {
        return String::new();
    }
    nearest(name, ids)
        .map_or_else(|| "no catalog of the study has this id".to_owned(), |near| format!("try \"{near}\""))
}
