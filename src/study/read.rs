//! The study from its TOML, checked against the catalog and the profile.

use super::{Scheme, Settings, Slots, StagingRule, Study, choices, file, keys, sections, slots, tolerances};
use crate::catalog::{Catalog, PartKind};
use crate::input::{Diagnostics, Range, Source, TomlSection, TomlTree};
use crate::parts::cooler::Cooler;
use crate::parts::engine::Engine;
use crate::parts::oil::Oil;
use crate::parts::pump::Pump;
use crate::profile::Profile;
use crate::units::{Quantity, Speed, System, Temperature, Voltage};

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
    before: Diagnostics,
) -> Result<Study, Diagnostics> {
    let mut diagnostics = before;
    let source = match Source::new(bytes, file) {
        Ok(source) => source,
        Err(found) => {
            diagnostics.extend(found);
            return Err(diagnostics);
        }
    };
    let (study, found) = TomlTree::new(source).read(|root| study(root, catalog.clone(), profile));
    diagnostics.extend(found);
    match study {
        Some(study) => diagnostics.or(study),
        None if diagnostics.is_empty() => {
            diagnostics.push(source.diagnostic(
                (0, 0),
                "[files] profile",
                "",
                "a load profile",
                "it was not read",
            ));
            Err(diagnostics)
        }
        None => Err(diagnostics),
    }
}

/// The study; `None` where a problem was noted, or there is no profile.
fn study(root: &mut TomlSection<'_, '_>, mut catalog: Catalog, profile: Option<Profile>) -> Option<Study> {
    let title = root.name("title");
    let system = root.word_if("units", &[("metric", System::Metric), ("us", System::Us)]).unwrap_or_default();
    let files = root.section("files", |section| file::check(section, &catalog));
    let settings = root.section_if("settings", choices::settings).unwrap_or_default();
    let site = root.section("site", |section| sections::site(section, &settings));
    let oil = root.section("oil", sections::oil);
    thick(root, oil.as_ref(), &settings, site.air_temperature);
    let (circuit, line) = root.section("circuit", sections::circuit);
    let suction = root.section("suction", sections::suction);
    let voltage: Voltage =
        root.section("electric", |section| section.quantity(keys::ON_BOARD.name, &keys::ON_BOARD.range));
    let thermostat = root.section_if("thermostat", sections::thermostat);
    let schemes = schemes(root);
    root.section_if("owned", |section| slots::owned(section, &mut catalog));
    let (slots, drive) = slots::slots(root, catalog, schemes);
    let hardware = root.section_if("hardware", sections::hardware).unwrap_or_default();
    let limits = root.section_if("limits", sections::limits).unwrap_or_default();
    let objective = root.section_if("objective", sections::objective).unwrap_or_default();
    let tolerances = root.section_if("doubt", tolerances::tolerances).unwrap_or_default();
    let [gas_temperature, hottest_gas, coldest_gas] = root
        .section_if("gas", |section| sections::gas(section, site.air_temperature, &settings))
        .unwrap_or_else(|| sections::gas_unless_stated(site.air_temperature, &settings));
    let named = |kind| files.catalogs.iter().any(|(named, _)| *named == kind);
    needed(root, &slots, named);
    let combinations = slots.combinations();
    if combinations > MOST_COMBINATIONS {
        let found = format!("some {combinations:.0e} combinations large");
        let accepted = "at most 1e36 combinations: beyond that they cannot be counted exactly";
        root.refuse_together(
            "the study",
            &found,
            accepted,
            "fewer numbers, or a list `pick` of the best rows",
        );
    }
    payable(root, &slots, &settings, oil.as_ref(), site.air_temperature);

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
        tolerances,
        profile: profile?,
    })
}

/// Most combinations: beyond some 10^38 they cannot be counted exactly.
const MOST_COMBINATIONS: f64 = 1e36;

/// Most schemes: each is compared with those before it.
const MOST_SCHEMES: usize = 1000;

/// Notes an oil that is no liquid where it is coldest: the figures of the model would overflow.
fn thick(root: &mut TomlSection<'_, '_>, oil: Option<&Oil>, settings: &Settings, air: Temperature) {
    let Some(oil) = oil else { return };
    let most = Range::COLD_VISCOSITY;
    for (place, temperature, coldest) in [
        ("the oil at the coldest start", settings.coldest_start, "coldest_start"),
        ("the oil in the air", air, "air_temperature"),
    ] {
        if most.exceeded_by(oil.viscosity(temperature).si()) {
            root.refuse_together(
                place,
                "too thick",
                &format!("a viscosity of {}", most.words()),
                &format!("its line through the stated points gives more than that at {}: a thinner oil, or another {coldest}",
                    System::Metric.show(temperature)),
            );
        }
    }
}

/// Most cents that a running cost may come to: together with the prices of all parts they are exact as a number too.
const MOST_CENTS: f64 = 5e15;

/// Notes a life and a price of fuel with which the running cost of no part could be counted in cents: the largest pumps
/// of the study at full pressure and the fans of the most coolers, all their lives.
fn payable(
    root: &mut TomlSection<'_, '_>,
    slots: &Slots,
    settings: &Settings,
    oil: Option<&Oil>,
    air: Temperature,
) {
    let Some(oil) = oil else { return };
    let most = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
    let relief = most(&mut slots.relief_settings.iter().map(|p| p.si()));
    let ratio = most(&mut slots.drive_ratios.iter().copied());
    let own = slots.engines.iter().map(|e| e.governed_speed.si());
    let speed = most(&mut own.chain(slots.engine_speeds.iter().map(|s| s.si()))) * ratio;
    let cold = settings.coldest_running.si().min(air.si());
    let mu = oil.dynamic_viscosity(Temperature::from_si(cold));
    let power = |pump: &Pump| pump.running(Speed::from_si(speed), mu).full_displacement_power(relief);
    let pumps = 4.0 * most(&mut slots.pumps.iter().map(power));
    let fan = |c: &Cooler| c.row.fan_current.si() * c.row.fan_voltage.si();
    let fans = 8.0 * most(&mut slots.coolers.iter().map(fan)) / settings.alternator_efficiency.si();
    let fuel = |e: &Engine| e.most_consumption().si() / e.fuel_density.si();
    let volume = (pumps + fans + settings.other_engine_power.si())
        * most(&mut slots.engines.iter().map(fuel))
        * settings.life.si();
    let cents = volume * settings.fuel_price.si() * 100.0;
    if cents > MOST_CENTS {
        let amount =
            if cents.is_finite() { format!("{:.3e}", cents / 100.0) } else { "without end".to_owned() };
        root.refuse_together(
            "the running cost",
            &amount,
            "a life and a price of fuel with which it stays below 50 000 000 000 000",
            "set [settings] life or fuel_price lower: the largest pumps at full pressure would burn that much",
        );
    }
}

fn schemes(root: &mut TomlSection<'_, '_>) -> Vec<Scheme> {
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
fn needed(root: &mut TomlSection<'_, '_>, slots: &Slots, named: impl Fn(PartKind) -> bool) {
    let counted = |counts: &[u32]| counts.iter().any(|&count| count > 0);
    let staged = slots.schemes.iter().any(|scheme| scheme.rule != StagingRule::Continuous);
    let fixed = slots.pumps.iter().any(|pump| pump.row.compensator.is_none());
    let reasons = [
        (
            PartKind::Accumulators,
            counted(&slots.accumulator_counts),
            "the counts of [accumulators] ask for them",
        ),
        (
            PartKind::Coolers,
            counted(&slots.cooler_counts),
            "without coolers write counts = [0] under [coolers]",
        ),
        (PartKind::UnloadingValves, staged && fixed, "a scheme unloads pumps: each needs a valve"),
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
