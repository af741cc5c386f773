//! The study from its TOML, checked against the catalog and the profile.

use super::{Rule, Scheme, Slots, Study, choices, doubt, file, sections, slots};
use crate::catalog::{Catalog, Kind};
use crate::problems::Problems;
use crate::profile::Profile;
use crate::reading::{Range, Section, Source, Tree};
use crate::units::{System, Voltage};

/// Reads a study.
///
/// `before` are the problems of the catalogs and the profile. The study is read even where there are some, and even
/// without a profile, so that everything that is wrong is said in one run.
///
/// # Errors
/// All problems, those before included.
pub fn read(
    bytes: &[u8],
    file: &str,
    catalog: &Catalog,
    profile: Option<Profile>,
    before: Problems,
) -> Result<Study, Problems> {
    let mut problems = before;
    let source = match Source::new(bytes, file) {
        Ok(source) => source,
        Err(found) => {
            problems.extend(found);
            return Err(problems);
        }
    };
    let (study, found) = Tree::new(source).read(|root| study(root, catalog.clone(), profile));
    problems.extend(found);
    match study {
        Some(study) => problems.or(study),
        None if problems.is_empty() => {
            problems.push(source.problem((0, 0), "[files] profile", "", "a load profile", "it was not read"));
            Err(problems)
        }
        None => Err(problems),
    }
}

/// The study; `None` where a problem was noted, or there is no profile.
fn study(root: &mut Section<'_, '_>, mut catalog: Catalog, profile: Option<Profile>) -> Option<Study> {
    let title = root.name("title");
    let system = root.word_if("units", &[("metric", System::Metric), ("us", System::Us)]).unwrap_or_default();
    let files = root.section("files", |section| file::check(section, &catalog));
    let settings = root.section_if("settings", choices::settings).unwrap_or_default();
    let site = root.section("site", |section| sections::site(section, &settings));
    let oil = root.section("oil", sections::oil);
    let (circuit, line) = root.section("circuit", sections::circuit);
    let suction = root.section("suction", sections::suction);
    let voltage: Voltage = root.section("electric", |section| section.quantity("voltage", &Range::VOLTAGE));
    let thermostat = root.section_if("thermostat", sections::thermostat);
    let schemes = schemes(root);
    root.section_if("owned", |section| slots::owned(section, &mut catalog));
    let (slots, drive) = slots::slots(root, catalog, schemes);
    let hardware = root.section_if("hardware", sections::hardware).unwrap_or_default();
    let limits = root.section_if("limits", sections::limits).unwrap_or_default();
    let objective = root.section_if("objective", sections::objective).unwrap_or_default();
    let doubt = root.section_if("doubt", doubt::doubt).unwrap_or_default();
    let [gas_temperature, hottest_gas, coldest_gas] = root
        .section_if("gas", |section| sections::gas(section, site.air_temperature, &settings))
        .unwrap_or_else(|| sections::gas_unless_stated(site.air_temperature, &settings));
    let named = |kind| files.catalogs.iter().any(|(named, _)| *named == kind);
    needed(root, &slots, named);
    let combinations = slots.combinations();
    if combinations > MOST_COMBINATIONS {
        let found = format!("some {combinations:.0e} combinations");
        let accepted = "at most 1e36 combinations: beyond that they cannot be counted exactly";
        root.refuse_together(
            "the slots",
            &found,
            accepted,
            "fewer numbers, or a list `pick` of the best rows",
        );
    }

    Some(Study {
        title,
        system,
        site,
        oil: oil?,
        circuit: circuit?,
        line,
        suction: suction?,
        drive,
        voltage,
        thermostat,
        gas_temperature,
        hottest_gas,
        coldest_gas,
        slots,
        hardware,
        limits,
        objective,
        settings,
        doubt,
        profile: profile?,
    })
}

/// Most combinations: beyond some 10^38 they cannot be counted exactly.
const MOST_COMBINATIONS: f64 = 1e36;

/// Most schemes: each is compared with those before it.
const MOST_SCHEMES: usize = 1000;

fn schemes(root: &mut Section<'_, '_>) -> Vec<Scheme> {
    let mut schemes: Vec<Scheme> = Vec::new();
    root.sections("scheme", |section| {
        if schemes.len() == MOST_SCHEMES {
            section.refuse_all("a study tries at most 1000 schemes");
        } else if let Some(scheme) = choices::scheme(section) {
            if schemes.contains(&scheme) {
                section.refuse_all("an earlier [[scheme]] says the same: delete one");
            }
            schemes.push(scheme);
        }
    });
    if !root.has("scheme") {
        let accepted = "at least one section [[scheme]] with rule, and with the pressures of the rule";
        root.refuse_missing("[[scheme]]", accepted, "the simplest is: rule = \"continuous\"");
    }
    schemes
}

/// Notes catalogs that the study does not name although something of it needs them.
fn needed(root: &mut Section<'_, '_>, slots: &Slots, named: impl Fn(Kind) -> bool) {
    let counted = |counts: &[u32]| counts.iter().any(|&count| count > 0);
    let staged = slots.schemes.iter().any(|scheme| scheme.rule != Rule::Continuous);
    let fixed = slots.pumps.iter().any(|pump| pump.row.compensator.is_none());
    let reasons = [
        (Kind::Accumulators, counted(&slots.accumulator_counts), "the counts of [accumulators] ask for them"),
        (Kind::Coolers, counted(&slots.cooler_counts), "without coolers write counts = [0] under [coolers]"),
        (Kind::UnloadingValves, staged && fixed, "a scheme unloads pumps: each needs a valve"),
    ];
    for (kind, is_needed, reason) in reasons {
        if is_needed && !named(kind) && root.has("files") {
            root.refuse_missing(
                &format!("[files] {}", kind.key()),
                "the name of a file, or a list of names",
                reason,
            );
        }
    }
}
