//! The readers, each used in one place, and what must hold of whatever they say.

use super::{Reader, root};
use crate::commands::folder::Folder;
use serde_json::Value;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::fmt::{Debug, Display};
use sumpwright::analysis::comparison::PreviousRanking;
use sumpwright::assessment::{Assessment, Check, HydraulicResult};
use sumpwright::candidate::{self, Candidate, Names, hydraulic_exclusion, thermal_exclusion};
use sumpwright::catalog::{self, PartKind};
use sumpwright::input::Column;
use sumpwright::input::Diagnostics;
use sumpwright::report::changes;
use sumpwright::report::checkpoint;
use sumpwright::report::stamp::InputFile;
use sumpwright::search::{ChunkSizes, Space};
use sumpwright::simulation::{PreparedCase, Timed};
use sumpwright::study::{Settings, Study, StudyParameter};
use sumpwright::units::{
    self, AbsolutePressure, Area, Conductance, Consumption, Current, Density, Displacement, Duration, Energy,
    Flow, FuelPrice, HeatCapacity, HeatTransfer, Length, Mass, Power, Pressure, Quantity, Rate, Ratio,
    SpecificHeat, Speed, System, Temperature, TemperatureDifference, Torque, Velocity, Viscosity, Voltage,
    Volume,
};
use sumpwright::{profile, study as studies};

type Said = Result<String, String>;

/// The files of a study, by the names that the study gives them.
type Files = BTreeMap<String, Vec<u8>>;

/// A study with every section and every key, and the files that it names.
fn full() -> Files {
    let catalogs = PartKind::ALL.map(|kind| format!("{}.csv", kind.key()));
    let mut files: Files = catalogs.map(|name| (name.clone(), file(&format!("tests/inputs/{name}")))).into();
    files.insert("study.toml".to_owned(), file("tests/inputs/full.toml"));
    files.insert("load.csv".to_owned(), file("catalogs/firewood/load.csv"));
    files
}

fn file(path: &str) -> Vec<u8> {
    std::fs::read(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Reads a study with the files that it names, and what was read in its order.
fn read_study(name: &str, files: &Files) -> (Result<Study, Diagnostics>, Vec<InputFile>) {
    let empty = Vec::new();
    let bytes = files.get(name).unwrap_or(&empty);
    let named = studies::files(bytes, name);
    let mut inputs = vec![InputFile::new(name, bytes)];
    let mut get = |file: &String| {
        let bytes = files.get(file)?;
        inputs.push(InputFile::new(file, bytes));
        Some(bytes)
    };
    let mut diagnostics = Diagnostics::default();
    let mut load = None;
    if let Some((file, bytes)) = named.profile.as_ref().and_then(|file| Some((file, get(file)?))) {
        match profile::read(bytes, file) {
            Ok(read) => load = Some(read),
            Err(found) => diagnostics = found,
        }
    }
    let mut reader = catalog::Reader::default();
    for (kind, file) in &named.catalogs {
        match get(file) {
            Some(bytes) => reader.read(*kind, bytes, file),
            None => reader.miss(*kind),
        }
    }
    let (catalog, found) = reader.finish();
    diagnostics.extend(found);
    (studies::read(bytes, name, &catalog, load, diagnostics), inputs)
}

pub(crate) fn study() -> Reader {
    let mut good = vec![file("tests/inputs/full.toml"), file("tests/inputs/least.toml")];
    for demo in ["firewood", "beach-rake"] {
        let text = String::from_utf8(file(&format!("catalogs/{demo}/study.toml"))).unwrap();
        good.push(text.replace("../generic/", "").into_bytes());
    }
    let base = full();
    let read = move |bytes: &[u8]| {
        let mut files = base.clone();
        files.insert("study.toml".to_owned(), bytes.to_vec());
        match read_study("study.toml", &files).0 {
            Ok(study) => judged(&study),
            Err(diagnostics) => told(diagnostics, &files),
        }
    };
    let words = Settings::table().iter().map(|line| line.key.to_owned()).chain(symbols()).collect();
    Reader { name: "study", good, words, ends: b"=\n\"[],", read: Box::new(read) }
}

pub(crate) fn profile() -> Reader {
    let good = ["catalogs/firewood/load.csv", "catalogs/beach-rake/load.csv"].map(file).to_vec();
    let base = full();
    let read = move |bytes: &[u8]| {
        let mut files = base.clone();
        files.insert("load.csv".to_owned(), bytes.to_vec());
        match profile::read(bytes, "load.csv") {
            Ok(_) => accepted(read_study("study.toml", &files).0, &files),
            Err(diagnostics) => told(diagnostics, &files),
        }
    };
    let words = profile::columns().iter().map(Column::heading).chain(symbols()).collect();
    Reader { name: "profile", good, words, ends: b",\n", read: Box::new(read) }
}

pub(crate) fn catalog() -> Reader {
    let folders = ["tests/inputs", "catalogs/generic"];
    let paths =
        PartKind::ALL.iter().flat_map(|kind| folders.map(|folder| format!("{folder}/{}.csv", kind.key())));
    let good = paths.map(|path| file(&path)).collect();
    let base = full();
    // of which kind a file is it does not say: each kind reads it
    let read = move |bytes: &[u8]| {
        let mut all = String::new();
        for kind in PartKind::ALL {
            let mut reader = catalog::Reader::default();
            let name = format!("{}.csv", kind.key());
            reader.read(kind, bytes, &name);
            let diagnostics = reader.finish().1;
            let mut files = base.clone();
            files.insert(name, bytes.to_vec());
            all += &if diagnostics.is_empty() {
                accepted(read_study("study.toml", &files).0, &files)?
            } else {
                told(diagnostics, &files)?
            };
        }
        Ok(all)
    };
    let columns = PartKind::ALL.iter().flat_map(|kind| catalog::columns(*kind));
    let words = columns.map(|column| column.heading()).chain(symbols()).collect();
    Reader { name: "catalog", good, words, ends: b",\n", read: Box::new(read) }
}

pub(crate) fn name() -> Reader {
    let study = sound(&full());
    let space = Space::new(&study);
    let some = (0..space.hydraulics()).step_by(97).flat_map(|number| {
        let space = &space;
        space
            .thermal_choices()
            .map(move |thermals| Candidate { hydraulics: space.hydraulic(number), thermals })
    });
    let good = some.map(|one| candidate::name(&one, &study).into_bytes()).collect();
    let names = Names::new(&study);
    let read = move |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes);
        if let Ok(pumps) = names.installed_pumps(&text) {
            same(&names.installed_pumps(&candidate::pumps_name(&pumps, &study)), &Ok(pumps), "a pump set")?;
        }
        match names.parse(&text) {
            Ok(one) => same(&names.parse(&candidate::name(&one, &study)), &Ok(one), "a candidate")
                .map(|()| "a name".to_owned()),
            Err(what) => said(&what),
        }
    };
    Reader { name: "name", good, words: symbols().collect(), ends: b"/+@*x-", read: Box::new(read) }
}

/// What `vary` and `--with` take: a requirement and a value, with `=` between them here.
pub(crate) fn parameter() -> Reader {
    let files = full();
    let study = sound(&files);
    let text = String::from_utf8(files["study.toml"].clone()).unwrap();
    let settings = Settings::table();
    let table = StudyParameter::table();
    let names = table.iter().map(|(name, _)| name.as_str()).chain(settings.iter().map(|line| line.key));
    let functions = study.profile.function_names();
    let of = ["flow", "pressure"]
        .iter()
        .flat_map(|what| functions.iter().map(move |of| format!("{what} of {of}")));
    let mut good = Vec::new();
    for name in names.map(str::to_owned).chain(of) {
        if let Ok(found) = StudyParameter::find(&name, &study, &text) {
            good.push(format!("{name} = {}", found.stated_words()).into_bytes());
            good.push(format!("{name} = times 1.1").into_bytes());
            good.push(format!("{name} = by 2 K").into_bytes());
        }
    }
    let words = symbols().chain(["by ", "times ", " of ", "idle"].map(str::to_owned)).collect();
    let read = move |bytes: &[u8]| {
        let input = String::from_utf8_lossy(bytes);
        let (name, value) = input.split_once('=').unwrap_or((&input, ""));
        let found = match StudyParameter::find(name, &study, &text) {
            Ok(found) => found,
            Err(what) => return said(&what),
        };
        let value = match found.value(value) {
            Ok(value) => value,
            Err(what) => return said(&what),
        };
        let (mut files, mut load) = (files.clone(), study.profile.clone());
        let mut changed = text.clone();
        if let Err(what) = found.put(value, &mut changed, &mut load) {
            return said(&what);
        }
        files.insert("study.toml".to_owned(), changed.clone().into_bytes());
        match read_study("study.toml", &files).0 {
            Ok(study) => {
                let again = StudyParameter::find(&found.name, &study, &changed)?;
                if changed != text {
                    same(&again.stated.map(|v| v.to_string()), &Some(value.to_string()), &found.name)?;
                }
                judged(&Study { profile: load, ..study })
            }
            Err(diagnostics) => told(diagnostics, &files),
        }
    };
    Reader { name: "requirement", good, words, ends: b"= ", read: Box::new(read) }
}

pub(crate) fn quantity() -> Reader {
    let numbers = ["12.5", "-40", "1e3", "0", "1_000", "0.001"];
    let good =
        symbols().flat_map(|unit| numbers.map(|number| format!("{number} {unit}").into_bytes())).collect();
    let read = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes);
        macro_rules! all {
            ($each:ident: $($quantity:ident)+) => {[$($each::<$quantity>(&text)?),+].concat()};
        }
        let shown = all! { shown: Pressure AbsolutePressure Flow Volume Displacement Speed Torque Power Energy Temperature
        TemperatureDifference Viscosity Conductance HeatCapacity Length Velocity Mass Duration };
        let others = all! { read: Density SpecificHeat HeatTransfer Area Current Voltage Consumption FuelPrice Rate Ratio };
        match units::parse_number(&text) {
            Ok(number) if !number.is_finite() => Err(format!("a number: {number}")),
            number => Ok(format!("{shown}{others}{}", number.is_ok())),
        }
    };
    Reader { name: "quantity", good, words: symbols().collect(), ends: b" /.(", read: Box::new(read) }
}

/// A quantity of a text is a finite number and reads the same in each of its units.
fn read<Q: Quantity + Debug>(text: &str) -> Said {
    let quantity = match units::parse::<Q>(text) {
        Ok(quantity) => quantity,
        Err(what) => return said(&what).map(|_| "-".to_owned()),
    };
    let si = quantity.si();
    if !si.is_finite() {
        return Err(format!("{}: {si}", Q::NAME));
    }
    for unit in Q::UNITS {
        let number = quantity.in_unit(unit.symbol).ok_or(unit.symbol)?;
        if number.is_finite() && number.abs() < 1e290 {
            let again = units::parse::<Q>(&format!("{number} {}", unit.symbol))?.si();
            if (again - si).abs() > 1e-12 * (si.abs() + unit.offset.abs()) + f64::MIN_POSITIVE {
                return Err(format!("{}: {si} in {} is {again} again", Q::NAME, unit.symbol));
            }
        }
    }
    Ok("+".to_owned())
}

/// The same, and as results show it.
fn shown<Q: Quantity + Debug>(text: &str) -> Said {
    let answer = read::<Q>(text)?;
    if let Ok(quantity) = units::parse::<Q>(text) {
        for system in [System::Metric, System::Us] {
            let number = |of: Q| of.in_unit(system.symbol::<Q>()).unwrap_or(f64::NAN);
            // beyond that no range of an input goes
            if number(quantity).abs() < 1e200 {
                let shown = system.show(quantity);
                let again = units::parse::<Q>(&shown).map_err(|what| format!("{shown}: {what}"))?;
                if (number(quantity) - number(again)).abs() > 0.51 + 1e-9 * number(quantity).abs() {
                    return Err(format!("{}: {} is shown as {shown}", Q::NAME, number(quantity)));
                }
            }
        }
    }
    Ok(answer)
}

/// What a search keeps, whole and on the way.
pub(crate) fn state() -> Reader {
    let folder = folder();
    let search = |more: &[&str]| {
        let all =
            ["rank", "study.toml", "--quiet", "--csv", "a.csv", "--first", "3", "--checkpoint", "kept.json"];
        let code = folder.run(&[&all[..], more].concat()).exit();
        assert!(code < 2 || more.contains(&"--time-limit"), "{code}");
        folder.get("kept.json").into_bytes()
    };
    let good = vec![
        search(&["--share", "1/2", "--best-of", "scheme"]),
        search(&["--share", "2/2", "--front", "f.csv"]),
        search(&["--share", "1/3", "--best-of", "pumps"]),
        search(&["--time-limit", "0"]),
    ];
    let (study, inputs) = read_study("study.toml", &full());
    let study = study.unwrap();
    let read = move |bytes: &[u8]| {
        let bytes = &signed(bytes)[..];
        match checkpoint::read(bytes, &inputs, &PreparedCase::new(&study), ChunkSizes::USUAL) {
            Ok((kept, _)) => {
                let again = checkpoint::bytes(&kept, &inputs, &study).map_err(|error| error.to_string())?;
                let [was, is] = [bytes, &again].map(|bytes| sorted(serde_json::from_slice(bytes).unwrap()));
                // these say where it comes from, and are compared in other ways
                let lost = is.as_object().unwrap().iter().find(|(key, value)| {
                    !["inputs", "digest"].contains(&key.as_str()) && was.get(key) != Some(value)
                });
                lost.map_or(Ok("kept".to_owned()), |(key, value)| {
                    Err(format!("another {key}: {} became {value}", was[key]))
                })
            }
            Err(what) => said(&what),
        }
    };
    Reader { name: "state", good, words: symbols().collect(), ends: b":,[]{}\"\n", read: Box::new(read) }
}

/// A state with the digest (FNV-1a) of what stands before it, where it ends with one: else nothing that is changed
/// would be looked at.
fn signed(bytes: &[u8]) -> Vec<u8> {
    let end = b",\n  \"digest\": \"";
    let Some(at) = bytes.windows(end.len()).rposition(|window| window == end) else { return bytes.to_vec() };
    let digest = bytes[..at].iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    [&bytes[..at], end, format!("{digest:016x}\"\n}}\n").as_bytes()].concat()
}

/// A value with lists of names sorted: their order says nothing, nor that one is said twice.
fn sorted(value: Value) -> Value {
    match value {
        Value::Array(mut list) => {
            if list.iter().all(Value::is_string) {
                list.sort_by(|a, b| a.as_str().cmp(&b.as_str()));
            }
            Value::Array(list.into_iter().map(sorted).collect())
        }
        Value::Object(all) => {
            Value::Object(all.into_iter().map(|(key, value)| (key, sorted(value))).collect())
        }
        other => other,
    }
}

/// An older ranking, as `changes` reads it.
pub(crate) fn ranking() -> Reader {
    let folder = folder();
    let rank = |more: &[&str]| {
        let all = ["rank", "study.toml", "--quiet", "--csv", "a.csv", "--json", "then.json", "--first", "2"];
        let code = folder.run(&[&all[..], more].concat()).exit();
        assert!(code < 2, "{code}");
        folder.get("then.json").into_bytes()
    };
    let good = vec![rank(&[]), rank(&["--best-of", "scheme", "--front", "f.csv"])];
    let read = |bytes: &[u8]| match changes::read(bytes, "then.json") {
        Ok(previous) => {
            let (first, files) = of_then(&previous);
            match read_study(&first, &files).0 {
                Ok(study) => changes::candidates(&previous, &study)
                    .map_or_else(|what| said(&what), |_| Ok("rows".to_owned())),
                Err(diagnostics) => told(diagnostics, &files),
            }
        }
        Err(what) => said(&what),
    };
    Reader { name: "ranking", good, words: symbols().collect(), ends: b":,[]{}\"\n", read: Box::new(read) }
}

fn of_then(previous: &PreviousRanking) -> (String, Files) {
    let files = previous.files.iter().map(|file| (file.name.clone(), file.bytes.clone().unwrap_or_default()));
    (previous.files[0].name.clone(), files.collect())
}

/// A folder with the full study.
fn folder() -> Folder {
    let folder = Folder::new("");
    for (name, bytes) in &full() {
        folder.put(name, bytes);
    }
    folder
}

fn sound(files: &Files) -> Study {
    read_study("study.toml", files).0.unwrap_or_else(|diagnostics| panic!("{:#?}", diagnostics.sorted()))
}

/// Units of all quantities.
fn symbols() -> impl Iterator<Item = String> {
    fn of<Q: Quantity>() -> Vec<String> {
        Q::UNITS.iter().map(|unit| unit.symbol.to_owned()).collect()
    }
    [
        of::<Pressure>(),
        of::<AbsolutePressure>(),
        of::<Flow>(),
        of::<Volume>(),
        of::<Displacement>(),
        of::<Speed>(),
        of::<Torque>(),
        of::<Power>(),
        of::<Energy>(),
        of::<Temperature>(),
        of::<TemperatureDifference>(),
        of::<Viscosity>(),
        of::<Length>(),
        of::<Mass>(),
        of::<Duration>(),
        of::<Rate>(),
        of::<Ratio>(),
    ]
    .into_iter()
    .flatten()
}

fn accepted(study: Result<Study, Diagnostics>, files: &Files) -> Said {
    match study {
        Ok(study) => judged(&study),
        Err(diagnostics) => told(diagnostics, files),
    }
}

/// What is said of an input: something.
fn said(what: &str) -> Said {
    if what.trim().is_empty() {
        Err("refused without a word".to_owned())
    } else {
        Ok(what.chars().take(40).collect())
    }
}

/// Problems stand within their files, say what is accepted, and put no control character on a terminal; what they say
/// without their figures.
fn told(diagnostics: Diagnostics, files: &Files) -> Said {
    let diagnostics = diagnostics.sorted();
    if diagnostics.is_empty() {
        return Err("refused without a problem".to_owned());
    }
    let mut words = Vec::new();
    for diagnostic in &diagnostics {
        let wrong = |what: &str| Err(format!("{what}: {diagnostic:?}"));
        let Some(bytes) = files.get(&diagnostic.file) else { return wrong("of no file") };
        let text = String::from_utf8_lossy(bytes);
        if diagnostic.line > 1 + text.matches('\n').count() {
            return wrong("behind the last line");
        }
        let line = text.split('\n').nth(diagnostic.line.saturating_sub(1)).unwrap_or_default();
        // cells in a CSV, characters in a study; a ranking may call its files as it likes
        let columns = 1 + text.matches(',').count().max(line.chars().count());
        if diagnostic.column > columns || (diagnostic.column > 0 && diagnostic.line == 0) {
            return wrong("behind the end of its line");
        }
        if diagnostic.place.is_empty() || (diagnostic.accepted.is_empty() && diagnostic.hint.is_empty()) {
            return wrong("where, or what is accepted, is not said");
        }
        if diagnostic.to_string().chars().any(|c| c.is_control() && c != '\n') {
            return wrong("a control character");
        }
        words.push(format!("{}: {}", diagnostic.place, diagnostic.accepted));
    }
    words.dedup();
    Ok(words.join("\n"))
}

/// The first combination that no rule excludes has figures; which checks it meets.
fn judged(study: &Study) -> Said {
    let (case, space) = (PreparedCase::new(study), Space::new(study));
    let hydraulics = (0..space.hydraulics().min(200)).map(|number| space.hydraulic(number));
    let hydraulics = hydraulics.into_iter().find(|choice| hydraulic_exclusion(choice, study).is_none());
    let thermals = space.thermal_choices().find(|choice| thermal_exclusion(choice, study).is_none());
    let Some((hydraulics, thermals)) = hydraulics.zip(thermals) else { return Ok("excluded".to_owned()) };
    let hydraulic = HydraulicResult::new(hydraulics, &case);
    let all = Assessment::with(hydraulic, Timed::NotRun, thermals, &case);
    let figures = OnceCell::new();
    let must = |name: &dyn Display, figure: f64, may_be_endless: bool| {
        if figure.is_nan() || (figure.is_infinite() && !may_be_endless) {
            let _ = figures.set(format!("no figure: {name} is {figure}"));
        }
    };
    let oil_temperatures = &all.oil_temperatures;
    must(&"heat", oil_temperatures.heat_at_limit, false);
    must(&"cooling", oil_temperatures.cooling_at_limit, false);
    // where there is neither heat nor cooling
    must(&"heat margin", oil_temperatures.margin, true);
    must(&"objective", all.score.objective, study.objective.heat_margin != 0.0);
    must(&"fan duty", oil_temperatures.fan_duty, false);
    must(&"capacity", oil_temperatures.capacity, false);
    must(&"steady mean", oil_temperatures.steady.unwrap_or_default(), false);
    must(&"peak", oil_temperatures.peak.unwrap_or_default(), false);
    must(&"fuel", all.fuel.rate, false);
    for checked in &all.checks {
        let endless = checked.check == Check::HeatMargin;
        must(&format!("figure of {:?}", checked.check), checked.figure.unwrap_or_default(), endless);
        must(&format!("limit of {:?}", checked.check), checked.limit, false);
        must(&format!("margin of {:?}", checked.check), checked.margin.unwrap_or_default(), endless);
    }
    if all.score.cost.0 < 0 || all.score.cost.0 > 1 << 53 {
        let _ = figures.set(format!("no figure: cost is {} cents", all.score.cost.0));
    }
    match figures.into_inner() {
        Some(fault) => Err(fault),
        None => Ok(all.checks.iter().map(|checked| if checked.met { '+' } else { '-' }).collect()),
    }
}

fn same<T: PartialEq + Debug>(is: &T, was: &T, what: &str) -> Result<(), String> {
    if is == was { Ok(()) } else { Err(format!("{what} became another: {was:?} became {is:?}")) }
}
