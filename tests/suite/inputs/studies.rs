//! Studies.

use super::assert_said;
use sumpwright::catalog::{Catalog, PartKind, Reader};
use sumpwright::input::Diagnostics;
use sumpwright::profile::{self, Profile};
use sumpwright::study::{self, Circuit, Drive, StagingRule, Study};
use sumpwright::units::{Money, Quantity, System};

/// A study with every section and every key.
pub(super) const FULL: &str = include_str!("../../inputs/full.toml");

/// A study with nothing but what must be there.
pub(super) const LEAST: &str = include_str!("../../inputs/least.toml");

pub(super) fn catalog() -> Catalog {
    let mut reader = Reader::default();
    for (kind, text) in [
        (PartKind::Pumps, include_str!("../../inputs/pumps.csv")),
        (PartKind::Accumulators, include_str!("../../inputs/accumulators.csv")),
        (PartKind::Coolers, include_str!("../../inputs/coolers.csv")),
        (PartKind::Reservoirs, include_str!("../../inputs/reservoirs.csv")),
        (PartKind::Filters, include_str!("../../inputs/filters.csv")),
        (PartKind::ReliefValves, include_str!("../../inputs/relief_valves.csv")),
        (PartKind::UnloadingValves, include_str!("../../inputs/unloading_valves.csv")),
        (PartKind::Engines, include_str!("../../inputs/engines.csv")),
    ] {
        reader.read(kind, text.as_bytes(), kind.name());
    }
    let (catalog, diagnostics) = reader.finish();
    assert_said(diagnostics, "");
    catalog
}

pub(super) fn load() -> Profile {
    profile::read(b"duration [s],function,flow [L/min],pressure [bar]\n5,boom,30,120\n", "load.csv").unwrap()
}

pub(super) fn read(text: &str) -> Result<Study, Diagnostics> {
    study::read(text.as_bytes(), "study.toml", &catalog(), Some(load()), Diagnostics::default())
}

/// What is said of a study after some changes; each must find its text.
#[track_caller]
pub(super) fn diagnostics(text: &str, changes: &[(&str, &str)]) -> Diagnostics {
    let mut changed = text.to_owned();
    for (from, to) in changes {
        assert!(changed.contains(from), "{from}");
        changed = changed.replacen(from, to, 1);
    }
    read(&changed).map(|_| ()).unwrap_err()
}

#[test]
fn a_full_study() {
    let study = read(FULL).unwrap_or_else(|diagnostics| panic!("{:#?}", diagnostics.sorted()));
    assert_eq!((study.title.as_str(), study.system), ("Firewood processor", System::Us));
    assert!((study.site.air_pressure.in_unit("bar abs").unwrap() - 0.8456).abs() < 1e-3);
    assert_eq!((study.circuit, study.drive), (Circuit::ClosedCentre, Drive::OwnPads));
    assert_eq!(study.line.unwrap().drop.in_unit("bar"), Some(6.0));
    assert!(study.suction.strainer.is_some() && study.oil.has_cold_point());
    let slots = &study.slots;
    assert_eq!((&slots.pump_counts[..], &slots.drive_ratios[..]), (&[1, 2][..], &[0.8, 1.0][..]));
    let ids: Vec<&str> = slots.pumps.iter().map(|pump| pump.row.listing.id.as_str()).collect();
    assert_eq!(ids, ["P-16", "P-22"], "the order of the catalog, not of the study");
    let settings: Vec<f64> =
        slots.relief_settings.iter().filter_map(|setting| setting.in_unit("psi")).collect();
    assert!((settings[0] - 2500.0).abs() < 1e-9 && (settings[1] - 2800.0).abs() < 1e-9, "{settings:?}");
    assert_eq!(
        (&slots.accumulator_counts[..], &slots.cooler_counts[..], &slots.filter_counts[..]),
        (&[0, 1][..], &[1, 2][..], &[1][..])
    );
    let rules: Vec<StagingRule> = slots.schemes.iter().map(|scheme| scheme.rule).collect();
    assert_eq!(
        rules,
        [StagingRule::Staggered, StagingRule::Together, StagingRule::Matched, StagingRule::Continuous]
    );
    assert!(slots.schemes[3].idle && !slots.schemes[0].idle);
    assert_eq!(slots.pumps[1].row.listing.owned, 1, "[owned] goes before the column");
    assert_eq!((study.hardware.switch_price, study.limits.budget), (Money(4550), Some(Money(900_000))));
    assert_eq!(
        (study.objective.cost, study.objective.heat_margin, study.objective.shortfall),
        (1.0, 200.0, 0.0)
    );
    assert!((study.settings.oil_limit.to_celsius() - 75.0).abs() < 1e-9);
    assert!((study.coldest_gas.to_celsius() + 5.0).abs() < 1e-9);
}

#[test]
fn what_a_short_study_leaves_to_defaults() {
    let study = read(LEAST).unwrap_or_else(|diagnostics| panic!("{:#?}", diagnostics.sorted()));
    let slots = &study.slots;
    assert_eq!(
        (&slots.pump_counts[..], &slots.drive_ratios[..], slots.pumps.len()),
        (&[1, 2, 3][..], &[1.0][..], 3)
    );
    assert_eq!((&slots.accumulator_counts[..], slots.accumulators.len()), (&[0][..], 0));
    assert_eq!(
        (&slots.cooler_counts[..], &slots.filter_counts[..], slots.engine_speeds.len()),
        (&[1][..], &[1][..], 0)
    );
    assert_eq!((study.drive, study.system, study.thermostat), (Drive::Tandem, System::Metric, None));
    assert_eq!(study.gas_temperature, study.site.air_temperature);
    assert_eq!(
        (study.hottest_gas, study.coldest_gas),
        (study.settings.oil_limit, study.settings.coldest_start)
    );
    assert_eq!((study.objective.cost, study.objective.heat_margin), (1.0, 0.0));
    // grade 46, index 100: ASTM D2270
    assert!(
        (study.oil.viscosity(sumpwright::units::Temperature::celsius(100.0)).in_unit("mm2/s").unwrap()
            - 6.760)
            .abs()
            < 1e-3
    );
}

#[test]
fn the_files_that_a_study_names() {
    let text =
        "[files]\nprofile = \"load.csv\"\npumps = [\"a.csv\", \"b.csv\"]\nengines = \"e.csv\"\nfilters = 5\n";
    let files = study::files(text.as_bytes(), "study.toml");
    assert_eq!(files.profile.as_deref(), Some("load.csv"));
    let named: Vec<(PartKind, &str)> =
        files.catalogs.iter().map(|(kind, name)| (*kind, name.as_str())).collect();
    assert_eq!(named, [(PartKind::Pumps, "a.csv"), (PartKind::Pumps, "b.csv"), (PartKind::Engines, "e.csv")]);
}

#[test]
fn sections_that_are_missing() {
    assert_said(
        read("title = \"Nothing yet\"\n").unwrap_err(),
        r#"
study.toml: [[scheme]] is missing
    needs at least one section [[scheme]] with rule, and with the pressures of the rule
    the simplest is: rule = "continuous"
study.toml: [circuit] is missing
    needs a section [circuit] with kind; it may have line_drop, line_flow
study.toml: [electric] is missing
    needs a section [electric] with voltage
study.toml: [files] is missing
    needs a section [files] with profile, pumps, reservoirs, filters, relief_valves, engines; it may have accumulators, coolers, unloading_valves
study.toml: [oil] is missing
    needs a section [oil] with density_at_15; it may have viscosity_at_40, grade, viscosity_at_100, viscosity_index, cold_temperature, cold_viscosity
study.toml: [relief] is missing
    needs a section [relief] with settings; it may have pick
study.toml: [site] is missing
    needs a section [site] with air_temperature, altitude
study.toml: [suction] is missing
    needs a section [suction] with bore, length, fittings, head; it may have strainer_drop, strainer_flow, strainer_viscosity
"#,
    );
}

#[test]
fn keys_that_are_missing() {
    assert_said(
        diagnostics(
            LEAST,
            &[
                ("title = \"Least\"\n", ""),
                ("pumps = \"pumps.csv\"\n", ""),
                ("altitude = \"0 m\"\n", ""),
                ("kind = \"open-centre\"\n", ""),
                ("bore = \"40 mm\"\n", ""),
                ("voltage = \"12 V\"\n", ""),
                ("settings = [\"180 bar\"]\n", ""),
                ("rule = \"continuous\"\n", ""),
            ],
        ),
        r#"
study.toml: title is missing
    needs a text in quotation marks
study.toml:2:1: [files] pumps is missing
    needs the name of a file, or a list of names
study.toml:10:1: [site] altitude is missing
    needs a number and a unit: mm, m, in, ft, cm
study.toml:18:1: [circuit] kind is missing
    needs one of: closed-centre, open-centre, closed-center, open-center
study.toml:20:1: [suction] bore is missing
    needs a number and a unit: mm, m, in, ft, cm
study.toml:25:1: [electric] voltage is missing
    needs a number and a unit: V
study.toml:27:1: [relief] settings is missing
    needs a list of pressures such as ["180 bar"]
study.toml:29:1: [[scheme]] rule is missing
    needs one of: continuous, together, staggered, matched
"#,
    );
}

#[test]
fn unknown_keys_and_sections() {
    assert_said(
        diagnostics(
            LEAST,
            &[
                ("altitude = \"0 m\"\n", "altitude = \"0 m\"\naltitud = \"0 m\"\n"),
                ("[electric]", "[electrics]\n[electric]"),
                ("rule = \"continuous\"\n", "rule = \"continuous\"\nidel = true\n[settings]\noil_limt = \"70 degC\"\n"),
            ],
        ),
        "
study.toml:15:1: [site] altitud is not known here
    needs one of the keys air_temperature, altitude
    try altitude
study.toml:31:2: electrics is not known here
    needs one of the keys title, units, files, settings, site, oil, circuit, suction, electric, thermostat, scheme, owned, pumps, engine, relief, unloading, reservoirs, accumulators, coolers, filters, hardware, limits, objective, doubt, gas
    try electric
study.toml:40:1: [[scheme]] idel is not known here
    needs one of the keys rule, cut_out, cut_in, stagger, idle
    try idle
study.toml:42:1: [settings] oil_limt is not a setting
    needs one of the 37 keys that `sumpwright formats` lists
    try oil_limit
",
    );
}

#[test]
fn quantities_that_are_none() {
    assert_said(
        diagnostics(
            LEAST,
            &[
                ("\"30 degC\"", "\"30 °C\""),
                ("\"0 m\"", "1500"),
                ("\"870 kg/m3\"", "\"nan kg/m3\""),
                ("\"40 mm\"", "\"40\""),
                ("\"0.6 m\"", "\"0,6 m\""),
                ("1.5", "inf"),
                ("\"0.3 m\"", "\"0.3 furlong\""),
                ("\"12 V\"", "true"),
                ("[\"180 bar\"]", "[\"180 bar abs\", \"-5 bar\", \"\"]"),
            ],
        ),
        r#"
study.toml:13:19: [site] air_temperature is "30 °C"
    needs a number and a unit: degC, degF, K
    try "30 degC"
study.toml:14:12: [site] altitude is 1500
    needs a number and a unit: mm, m, in, ft, cm
    try "1500 m" or "1500 ft": add the unit and quotation marks
study.toml:19:17: [oil] density_at_15 is "nan kg/m3"
    needs a number and a unit: kg/m3, lb/ft3, lb/gal
    a missing or endless value cannot be computed with: give a number
study.toml:25:8: [suction] bore is "40"
    needs a number and a unit: mm, m, in, ft, cm
    try "40 mm" or "40 in": add the unit
study.toml:26:10: [suction] length is "0,6 m"
    needs a number and a unit: mm, m, in, ft, cm
    try 0.6 m, with a decimal point
study.toml:27:12: [suction] fittings is inf
    needs a number
    a missing or endless value cannot be computed with: give a number
study.toml:28:8: [suction] head is "0.3 furlong"
    needs a number and a unit: mm, m, in, ft, cm
study.toml:31:11: [electric] voltage is true
    needs a number and a unit: V
study.toml:34:13: [relief] settings is "180 bar abs"
    needs a number and a unit: bar, psi, MPa, kPa, Pa, mbar
    it is a gauge pressure: [bar]
study.toml:34:28: [relief] settings is "-5 bar"
    needs 0.001 to 1000 bar
study.toml:34:38: [relief] settings is ""
    needs a number and a unit: bar, psi, MPa, kPa, Pa, mbar
"#,
    );
}

#[test]
fn hints_that_can_be_obeyed() {
    assert_said(
        diagnostics(
            LEAST,
            &[
                ("\"30 degC\"", "\"95 F\""),
                ("\"0 m\"", "\"1,200 ft\""),
                ("\"40 mm\"", "1.25"),
                ("\"0.6 m\"", "\"1.200,5 mm\""),
                ("\"12 V\"", "12"),
                ("[\"180 bar\"]", "[2300, \"2,300\"]"),
                ("46", "\"46\""),
            ],
        ),
        r#"
study.toml:13:19: [site] air_temperature is "95 F"
    needs a number and a unit: degC, degF, K
    try "95 degF"
study.toml:14:12: [site] altitude is "1,200 ft"
    needs a number and a unit: mm, m, in, ft, cm
    try 1200 ft if the comma separates thousands, 1.200 ft if it is a decimal comma
study.toml:17:9: [oil] grade is "46"
    needs one of the whole numbers 2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200
    without quotation marks
study.toml:25:8: [suction] bore is 1.25
    needs a number and a unit: mm, m, in, ft, cm
    try "1.25 mm" or "1.25 in": add the unit and quotation marks
study.toml:26:10: [suction] length is "1.200,5 mm"
    needs a number and a unit: mm, m, in, ft, cm
    try 1200.5 mm, with a decimal point and no separators between thousands
study.toml:31:11: [electric] voltage is 12
    needs a number and a unit: V
    try "12 V": add the unit and quotation marks
study.toml:34:13: [relief] settings is 2300
    needs a number and a unit: bar, psi, MPa, kPa, Pa, mbar
    try "2300 bar" or "2300 psi": add the unit and quotation marks
study.toml:34:19: [relief] settings is "2,300"
    needs a number and a unit: bar, psi, MPa, kPa, Pa, mbar
    try 2300 if the comma separates thousands, 2.300 if it is a decimal comma
"#,
    );
}

#[test]
fn a_circuit_in_either_spelling() {
    let text = |kind: &str| LEAST.replace("\"open-centre\"", &format!("\"{kind}\""));
    assert_eq!(read(&text("open-center")).unwrap().circuit, Circuit::OpenCentre);
    assert_eq!(read(&text("closed-center")).unwrap().circuit, Circuit::ClosedCentre);
}

#[test]
fn quantities_out_of_range() {
    assert_said(
        diagnostics(
            FULL,
            &[
                ("\"95 degF\"", "\"950 degF\""),
                ("\"1500 m\"", "\"15000 m\""),
                ("\"46 mm2/s\"", "\"0 mm2/s\""),
                ("\"2500 psi\"", "\"25000 psi\""),
                ("drive_ratios = [1.0, 0.8]", "drive_ratios = [1.0, 0]"),
                ("mass = \"900 lb\"", "mass = \"0 lb\""),
                ("heat_margin = 200.0", "heat_margin = -1"),
                ("fill = 0.8", "fill = 0.999"),
            ],
        ),
        r#"
study.toml:16:19: [site] air_temperature is "950 degF"
    needs -60 to 200 degC
study.toml:17:12: [site] altitude is "15000 m"
    needs -500 to 9000 m
study.toml:20:19: [oil] viscosity_at_40 is "0 mm2/s"
    needs 2 to 5000 mm2/s
study.toml:53:22: [pumps] drive_ratios is 0
    needs 0.1 to 10
study.toml:62:25: [relief] settings is "25000 psi"
    needs 0.001 to 1000 bar
study.toml:113:8: [limits] mass is "0 lb"
    needs 0.001 to 1 000 000 kg
study.toml:118:15: [objective] heat_margin is -1
    needs 0, or 0.000001 to 1 000 000 000
study.toml:124:8: [settings] fill is 0.999
    needs 0.3 to 0.98
    the default is 0.85
"#,
    );
}

#[test]
fn lists() {
    assert_said(
        diagnostics(
            FULL,
            &[
                ("counts = [2, 1]", "counts = [0, 5, 2, 2, \"3\", 1.5]"),
                ("settings = [\"2800 psi\", \"2500 psi\"]", "settings = \"2500 psi\""),
                ("precharge = [\"80 bar\"]", "precharge = [\"80 bar\", \"8 MPa\"]"),
                ("speeds = [\"2600 rpm\"]", "speeds = []"),
            ],
        ),
        r#"
study.toml:52:11: [pumps] counts is 0
    needs a list of whole numbers, 1 to 4
study.toml:52:14: [pumps] counts is 5
    needs a list of whole numbers, 1 to 4
study.toml:52:20: [pumps] counts is 2
    needs each value once
    delete one of the two
study.toml:52:23: [pumps] counts is "3"
    needs a list of whole numbers, 1 to 4
    without quotation marks
study.toml:52:28: [pumps] counts is 1.5
    needs a list of whole numbers, 1 to 4
study.toml:59:10: [engine] speeds is []
    needs a list such as ["2600 rpm"]
    an empty list leaves nothing to try
study.toml:62:12: [relief] settings is "2500 psi"
    needs a list such as ["180 bar"]
    put square brackets around it
study.toml:70:24: [accumulators] precharge is "8 MPa"
    needs each value once
    delete one of the two
"#,
    );
}

#[test]
fn the_oil() {
    assert_said(diagnostics(FULL, &[("density_at_15", "grade = 45\ndensity_at_15")]), "
study.toml:22:9: [oil] grade is 45
    needs either viscosity_at_40 or grade
    delete one of the two
study.toml:22:9: [oil] grade is 45
    needs one of the whole numbers 2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200
");
    assert_said(
        diagnostics(LEAST, &[("grade = 46\n", ""), ("viscosity_index = 100\n", "")]),
        "
study.toml:16:1: [oil] viscosity_at_100 is missing
    needs either viscosity_at_100 or viscosity_index
    one of the two is missing
study.toml:16:1: [oil] viscosity_at_40 is missing
    needs either viscosity_at_40 or grade
    one of the two is missing
",
    );
    assert_said(
        diagnostics(
            FULL,
            &[
                ("\"46 mm2/s\"", "\"6.8 mm2/s\""),
                ("\"6.8 mm2/s\"\nviscosity_at_100", "\"5 mm2/s\"\nviscosity_at_100"),
            ],
        ),
        r#"
study.toml:21:20: [oil] viscosity_at_100 is "6.8 mm2/s"
    needs less than the viscosity at 40 degC
    are the two swapped?
"#,
    );
    assert_said(
        diagnostics(FULL, &[("\"560 mm2/s\"", "\"30 mm2/s\"")]),
        r#"
study.toml:24:18: [oil] cold_viscosity is "30 mm2/s"
    needs more than the viscosity at 40 degC
    oil is thicker when it is cold
"#,
    );
    assert_said(
        diagnostics(FULL, &[("cold_viscosity = \"560 mm2/s\"\n", "")]),
        "
study.toml:19:1: [oil] cold_viscosity is missing
    needs cold_temperature, cold_viscosity together
    each needs the others
",
    );
}

#[test]
fn one_value_without_the_other() {
    assert_said(
        diagnostics(FULL, &[("line_flow = \"80 L/min\"\n", ""), ("strainer_flow = \"120 L/min\"\n", "")]),
        "
study.toml:26:1: [circuit] line_flow is missing
    needs line_drop, line_flow together
    each needs the others
study.toml:30:1: [suction] strainer_flow is missing
    needs strainer_drop, strainer_flow, strainer_viscosity together
    each needs the others
",
    );
}

#[test]
fn temperatures_in_order() {
    assert_said(
        diagnostics(
            FULL,
            &[("off = \"50 degC\"", "off = \"58 degC\""), ("hottest = \"90 degC\"", "hottest = \"20 degC\"")],
        ),
        r#"
study.toml:45:7: [thermostat] off is "58 degC"
    needs less than the switch-on temperature
    are the two swapped?
study.toml:49:11: [gas] hottest is "20 degC"
    needs at least the temperature of the gas
    unless stated that is the air temperature
"#,
    );
    assert_said(
        diagnostics(FULL, &[("coldest_start = \"-5 degC\"", "coldest_start = \"20 degC\"")]),
        r#"
study.toml:123:17: [settings] coldest_start is "20 degC"
    needs at most coldest_running
    coldest_running is 5.00 degC
"#,
    );
    assert_said(
        diagnostics(FULL, &[("coldest_running = \"5 degC\"", "coldest_running = \"-8 degC\"")]),
        r#"
study.toml:123:17: [settings] coldest_start is "-5 degC"
    needs at most coldest_running
    coldest_running is -8.00 degC
"#,
    );
}

#[test]
fn money() {
    assert_said(
        diagnostics(
            FULL,
            &[("45.50", "-45.50"), ("300.00", "300.005"), ("budget = 9000.00", "budget = \"lots\"")],
        ),
        r#"
study.toml:105:16: [hardware] switch_price is -45.50
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    an amount cannot be negative
study.toml:106:20: [hardware] controller_price is 300.005
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    round it to two decimals
study.toml:112:10: [limits] budget is "lots"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
"#,
    );
}

#[test]
fn money_with_a_currency() {
    assert_said(
        diagnostics(FULL, &[("45.50", "\"$1,045.50\""), ("9000.00", "\"2500 USD\"")]),
        r#"
study.toml:105:16: [hardware] switch_price is "$1,045.50"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    try 1045.50, without currency
study.toml:112:10: [limits] budget is "2500 USD"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    try 2500, without currency
"#,
    );
}

#[test]
fn settings() {
    assert_said(
        diagnostics(
            FULL,
            &[(
                "oil_limit = \"75 degC\"",
                "oil_limit = 75\nfouling = 25\nrepeat_limit = 12.5\nlife = \"long\"",
            )],
        ),
        r#"
study.toml:121:13: [settings] oil_limit is 75
    needs a text with number and unit, such as "80 degC"
    try "75 degC" or "75 degF": add the unit and quotation marks
study.toml:122:11: [settings] fouling is 25
    needs 0, or 0.000001 % to 90 %
    the default is 10 %
study.toml:123:16: [settings] repeat_limit is 12.5
    needs a whole number
study.toml:124:8: [settings] life is "long"
    needs a number and a unit: s, min, h, ms
    the default is 0 h
"#,
    );
}

#[test]
fn weights() {
    assert_said(
        diagnostics(FULL, &[("cost = 1.0\nheat_margin = 200.0", "cost = 0")]),
        "
study.toml:116:1: [objective] is a set of values that do not go together
    at least one weight must be above 0
",
    );
}

#[test]
fn syntax() {
    assert_said(
        diagnostics(
            LEAST,
            &[
                ("\"Least\"", "Least"),
                ("\"30 degC\"", "\"30 degC"),
                ("grade = 46", "grade = 46\ngrade = 68"),
                ("[circuit]", "[circuit"),
                ("1.5", "1,5"),
                ("[\"180 bar\"]", "[\"180 bar\""),
            ],
        ),
        r#"
study.toml:1:9: the line is `title = Least`
    needs a number, true, false, or a text in quotation marks
    put quotation marks around it, as in "80 bar"
study.toml:13:27: the line is `air_temperature = "30 degC`
    needs a text that begins and ends with a quotation mark
    close the quotation mark
study.toml:18:1: the line is `grade = 68`
    needs each key once in its section, each section once
    delete one of the two
study.toml:22:9: the line is `[circuit`
    needs the name of a section in square brackets
    close the square bracket
study.toml:28:13: the line is `fittings = 1,5`
    needs nothing after a value but a remark that begins with #
    a decimal comma, or a value that needs quotation marks?
study.toml:37:1: the line is `[[scheme]]`
    needs a list with commas between its values
    a comma is missing, or the list before is not closed
study.toml:38:1: the line is `rule = "continuous"`
    needs a list with commas between its values
    a comma is missing, or the list before is not closed
"#,
    );
    assert_said(
        diagnostics(LEAST, &[("[relief]", "[reliefs]"), ("\"12 V\"", "12 V")]),
        r#"
study.toml:31:11: the line is `voltage = 12 V`
    needs a number, true, false, or a text in quotation marks
    put quotation marks around it, as in "80 bar"
study.toml:33:2: reliefs is not known here
    needs one of the keys title, units, files, settings, site, oil, circuit, suction, electric, thermostat, scheme, owned, pumps, engine, relief, unloading, reservoirs, accumulators, coolers, filters, hardware, limits, objective, doubt, gas
    try relief
"#,
    );
}

#[test]
fn problems_of_all_files_in_one_run() {
    let mut diagnostics = Diagnostics::default();
    let profile =
        profile::read(b"duration [s],function,flow [L/min],pressure [bar]\n0,boom,30,120\n", "load.csv");
    let profile = profile.map_err(|found| diagnostics.extend(found)).ok();
    let mut reader = Reader::default();
    let pumps = include_str!("../../inputs/pumps.csv").replace("P-22,", "P-22,free of charge ");
    reader.read(PartKind::Pumps, pumps.as_bytes(), "pumps.csv");
    reader.miss(PartKind::Engines);
    let (catalog, found) = reader.finish();
    diagnostics.extend(found);
    let rest = catalog_without_pumps_and_engines(catalog);
    // the refused pump P-22 and the unread engine D-30 are not said to be unknown as well
    let text = FULL.replace("kind = \"closed-centre\"", "kind = \"closed\"");
    assert_said(
        study::read(text.as_bytes(), "study.toml", &rest, profile, diagnostics).unwrap_err(),
        r#"
load.csv:2:1: duration is "0"
    needs a number in s, 0.000001 to 864 000 s
pumps.csv:2:2: price is "free of charge 300"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
study.toml:27:8: [circuit] kind is "closed"
    needs one of: closed-centre, open-centre, closed-center, open-center
"#,
    );
}

/// The good catalog with the pumps, and what was refused, of another.
fn catalog_without_pumps_and_engines(other: Catalog) -> Catalog {
    Catalog { pumps: other.pumps, engines: other.engines, refused: other.refused, ..catalog() }
}
